"""Telling open pages what changed, after the commit."""
