"""Tables, constraints and queries: one file per noun."""
