"""Publications behind the weather drying figures."""

from app.sources.source import Source

WEATHER_DRYING: dict[str, Source] = {
    "Day1985": Source(
        "Day, G. N.",
        1985,
        "Extended streamflow forecasting using NWSRFS",
        "Journal of Water Resources Planning and Management 111:157-170",
        "memory",
    ),
    "GabrielNeumann1962": Source(
        "Gabriel, K. R. and Neumann, J.",
        1962,
        "A Markov chain model for daily rainfall occurrence at Tel Aviv",
        "Quarterly Journal of the Royal Meteorological Society 88:90-95",
        "memory",
    ),
    "Menne2012": Source(
        "Menne, M. J., Durre, I., Vose, R. S., Gleason, B. E. and Houston, T. G.",
        2012,
        "An overview of the Global Historical Climatology Network-Daily database",
        "Journal of Atmospheric and Oceanic Technology 29:897-910; format description beside the data (read)",
        "memory",
    ),
    "MeteorologicalGlossary2026": Source(
        "American Meteorological Society",
        2026,
        "Glossary of Meteorology: probability of precipitation",
        "glossary.ametsoc.org",
    ),
}
