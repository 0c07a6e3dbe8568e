"""Silage in store: one published relation per function, numbers in, numbers out."""
