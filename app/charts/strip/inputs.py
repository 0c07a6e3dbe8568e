"""What a season strip is drawn from. Every text comes in already translated and in the reader's units."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from app.errors import OutOfRange

CLASS_EDGES = (0.36, 0.38, 0.40, 0.42, 0.45)
"""NDF when fed at which the tint changes (fractions); six tints, darkest for the lowest."""

Days = tuple[date, date]


@dataclass(frozen=True)
class Words:
    """The words of the picture and of the table behind it."""

    today: str = "today"
    dry: str = "chance of a dry day"
    observed: str = "observed"
    forecast: str = "forecast"
    climate: str = "what past years did"
    ndf: str = "NDF when fed, %"
    classes: tuple[str, ...] = ("under 36", "36-38", "38-40", "40-42", "42-45", "over 45")
    edges: str = "top and bottom edge: best and worst of 8 years in 10"
    bud: str = "buds: 8 years in 10"
    flower: str = "first flower: 8 years in 10"
    target: str = "reaches the target: 8 years in 10"
    cut: str = "planned cut"
    unknown: str = "not known"
    heads: tuple[str, ...] = (
        "Field",
        "Area",
        "NDF when fed today",
        "Buds",
        "First flower",
        "Reaches the target",
        "Cut",
    )


@dataclass(frozen=True)
class Due:
    """Something that must be done by a day."""

    on: date
    label: str


@dataclass(frozen=True)
class Row:
    """One field or farm. NDF is given per day of the axis, as fractions, NaN where not known."""

    name: str
    detail: str = ""
    ndf_frac: tuple[float, ...] = ()
    ndf_low_frac: tuple[float, ...] = ()
    ndf_high_frac: tuple[float, ...] = ()
    bud: Days | None = None
    flower: Days | None = None
    target: date | None = None
    target_range: Days | None = None
    target_label: str = ""
    cut: date | None = None
    cut_label: str = ""
    reason: str = ""
    """Why there is no feeding value to draw."""
    cells: tuple[str, ...] = ()
    """The row as text, in the order of `Words.heads` after the name."""
    href: str = ""


@dataclass(frozen=True)
class Strip:
    """The whole picture. `title` says the finding; `weather` is per day `observed`, `forecast`, `climate` or empty."""

    title: str
    days: tuple[date, ...]
    today: date
    ticks: tuple[tuple[date, str], ...]
    dry_frac: tuple[float, ...]
    weather: tuple[str, ...]
    rows: tuple[Row, ...]
    dues: tuple[Due, ...] = ()
    desc: str = ""
    words: Words = field(default_factory=Words)

    def __post_init__(self) -> None:
        wanted = len(self.days)
        lengths = {"dry_frac": self.dry_frac, "weather": self.weather}
        lengths |= {f"ndf_frac of {row.name}": row.ndf_frac for row in self.rows if row.ndf_frac}
        lengths |= {f"ndf_low_frac of {row.name}": row.ndf_low_frac for row in self.rows if row.ndf_low_frac}
        lengths |= {f"ndf_high_frac of {row.name}": row.ndf_high_frac for row in self.rows if row.ndf_high_frac}
        for name, values in lengths.items():
            if len(values) != wanted:
                raise OutOfRange(f"{name} must have one value for each of the {wanted} days, not {len(values)}")
        if wanted < 2:
            raise OutOfRange("days must hold at least two days")
