"""Turns numbers into a decision with reasons; no clock, no database."""
