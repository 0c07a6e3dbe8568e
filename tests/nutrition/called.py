"""Calls a formula with the inputs of a published row, which stay in the units of their source."""

import importlib

from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON

FACTORS = {"lb": KG_PER_LB, "ton": KG_PER_SHORT_TON, "pct": 0.01, "g": 0.001, "per_ton": 1 / KG_PER_SHORT_TON,
           "per_lb": 1 / KG_PER_LB, "week": 7.0, "": 1.0}  # fmt: skip


def kept(text):
    """`40 pct` is 0.40, `54 lb` is 24.49; several values separated by spaces and `|` make a list."""
    if "|" in text:
        return [kept(part) for part in text.split("|")]
    figure, _, unit = text.strip().partition(" ")
    try:
        return float(figure) * FACTORS[unit]
    except ValueError:
        return text.strip()


def called(package, row):
    """The formula's result in the unit of the row."""
    module, _, name = row["formula"].partition(".")
    pairs = (part.split("=") for part in row["inputs"].split(";") if part)
    inputs = {key.strip(): kept(value) for key, value in pairs}
    formula_module = importlib.import_module(f"app.{package}.{module}")
    if "curve" in inputs:
        inputs["curve"] = getattr(formula_module, inputs["curve"])
    return getattr(formula_module, name)(**inputs) / FACTORS[row["unit"]]
