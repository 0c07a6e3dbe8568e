"""Exact factors, the two unit systems people read and type in, and sentences that carry figures."""
