"""What the Feed page needs besides the balance: the sources its figures rest on."""

from __future__ import annotations

SOURCES = ("AmaralPhillips2026", "Weiss2004", "Eastridge2024", "Shaver2026", "Paulson2009", "Daugherty2013")
"""Need, both shrink conventions, the wait before new crop, stretching, NDF ceilings, measured shrink."""
