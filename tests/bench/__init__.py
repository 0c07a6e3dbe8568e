"""Measurements against the figures to reach. Each module prints one table: `python -m tests.bench.<name>`."""
