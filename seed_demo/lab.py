"""Invented lab reports: figures that hang together, scattered a little from sample to sample."""

from __future__ import annotations

import random
from dataclasses import dataclass
from datetime import date

from app.services.samples import Line

LAB = "Lab of the demo (invented)"


@dataclass(frozen=True)
class Quality:
    """What a lot is like, in per cent of dry matter unless said otherwise."""

    ndf: float
    cp: float
    ash: float = 10.2
    ph: float = 4.5
    ndfd30: float = 46.0
    """Per cent of NDF."""
    butyric: float = 0.05
    ammonia: float = 8.0
    """Per cent of nitrogen."""
    nitrate_n_ppm: float | None = None
    is_grassy: bool = False
    is_corn: bool = False


def report(quality: Quality, dm: float, name: str, day: date) -> dict[str, Line]:
    """What one report prints."""
    chance = random.Random(f"{name} {day}")

    def about(value: float, spread: float, digits: int = 1) -> str:
        return f"{max(0.01, chance.gauss(value, spread)):.{digits}f}"

    ndf = chance.gauss(quality.ndf, 0.9)
    adf = ndf * (0.62 if quality.is_grassy or quality.is_corn else 0.77) + chance.gauss(0.0, 0.3)
    values = {
        "DM": about(dm * 100, 1.1),
        "CP": about(quality.cp, 0.5),
        "aNDF": f"{ndf:.1f}",
        "aNDFom": f"{ndf - 1.1:.1f}",
        "ADF": f"{adf:.1f}",
        "NDFD30": about(quality.ndfd30, 1.3),
        "uNDF240": f"{(ndf - 1.1) * (0.32 if quality.is_grassy else 0.26 if quality.is_corn else 0.44):.1f}",
        "LIG": f"{ndf * (0.10 if quality.is_grassy or quality.is_corn else 0.165):.1f}",
        "ASH": about(quality.ash, 0.3),
        "FAT": about(3.0, 0.15),
        "PH": about(quality.ph, 0.06, 2),
        "LACT": about(1.6 if quality.butyric > 0.4 else 5.4, 0.3),
        "ACET": about(1.9, 0.2),
        "BUT": about(quality.butyric, 0.02 + quality.butyric / 12, 2),
        "NH3N": about(quality.ammonia, 0.6),
        "P": about(0.33, 0.02, 2),
        "K": about(1.1 if quality.is_corn else 2.7, 0.15, 2),
    }
    if quality.is_corn:
        values |= {"STARCH": about(33.0, 1.5)}
        del values["NH3N"], values["LIG"]
    else:
        values |= {"CA": about(0.7 if quality.is_grassy else 1.35, 0.06, 2)}
    lines = {code: Line(text, method="" if code == "PH" else "NIR") for code, text in values.items()}
    for code in ("PH", "BUT", "LACT", "ACET"):
        lines[code] = Line(values[code], method="WET")
    if quality.nitrate_n_ppm is not None:
        lines["NO3N"] = Line(about(quality.nitrate_n_ppm, 60, 0), unit="ppm", method="WET")
    return lines
