"""Swathboard: the shared board of a dairy's haylage harvest."""
