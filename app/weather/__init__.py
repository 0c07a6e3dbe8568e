"""Daily weather: files read, series kept in order, climate of a station."""
