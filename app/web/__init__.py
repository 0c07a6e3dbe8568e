"""URL and form in, page out: one file per noun."""
