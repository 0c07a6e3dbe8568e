"""Results turned into figures: light SVG for phones and print, Plotly for desk pages."""
