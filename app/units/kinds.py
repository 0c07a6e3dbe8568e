"""The kinds of figure the app keeps, with the unit each unit system shows and types them in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from app.units import quantities as q

System = Literal["us", "metric"]


@dataclass(frozen=True)
class Unit:
    """A unit people read: shown = (kept - offset) / factor, rounded to `digits` decimals."""

    label: str
    factor: float = 1.0
    digits: int = 0
    offset: float = 0.0

    def shown(self, kept: float) -> float:
        return (kept - self.offset) / self.factor

    def kept(self, shown: float) -> float:
        return shown * self.factor + self.offset


@dataclass(frozen=True)
class Kind:
    """A kind of figure: the unit kept inside and the two shown at the edge."""

    key: str
    inside: str
    us: Unit
    metric: Unit

    def unit(self, system: System) -> Unit:
        return self.us if system == "us" else self.metric


def _same(key: str, inside: str, label: str, factor: float = 1.0, digits: int = 0) -> Kind:
    unit = Unit(label, factor, digits)
    return Kind(key, inside, unit, unit)


_F = Unit("°F", 1 / 1.8, 0, -32 / 1.8)

_ALL = (
    Kind("area", "ha", Unit("ac", q.HA_PER_ACRE, 1), Unit("ha", 1.0, 1)),
    Kind("area_sheet", "m2", Unit("sq ft", q.M2_PER_FT2, 0), Unit("m²", 1.0, 0)),
    Kind("mass_dm", "kg", Unit("t DM", q.KG_PER_SHORT_TON, 0), Unit("t DM", q.KG_PER_TONNE, 0)),
    Kind("mass_af", "kg", Unit("t as fed", q.KG_PER_SHORT_TON, 0), Unit("t as fed", q.KG_PER_TONNE, 0)),
    Kind("weight", "kg", Unit("lb", q.KG_PER_LB, 0), Unit("kg", 1.0, 0)),
    Kind("length", "m", Unit("ft", q.M_PER_FT, 1), Unit("m", 1.0, 1)),
    Kind("height", "cm", Unit("in", q.CM_PER_IN, 1), Unit("cm", 1.0, 0)),
    Kind("distance", "km", Unit("mi", q.KM_PER_MILE, 1), Unit("km", 1.0, 1)),
    Kind("volume", "m3", Unit("cu ft", q.M3_PER_FT3, 0), Unit("m³", 1.0, 0)),
    Kind("density_dm", "kg/m3", Unit("lb DM/cu ft", q.KG_M3_PER_LB_FT3, 1), Unit("kg DM/m³", 1.0, 0)),
    Kind("density_af", "kg/m3", Unit("lb/cu ft", q.KG_M3_PER_LB_FT3, 1), Unit("kg/m³", 1.0, 0)),
    Kind("temp", "C", _F, Unit("°C", 1.0, 1)),
    Kind("heat", "C d", Unit("GDD41", 1 / q.F_D_PER_C_D, 0), Unit("GDD5", 1.0, 0)),
    Kind("rain", "mm", Unit("in", q.MM_PER_IN, 2), Unit("mm", 1.0, 1)),
    Kind("speed", "km/h", Unit("mph", q.KM_PER_MILE, 1), Unit("km/h", 1.0, 1)),
    Kind("stems", "1/m2", Unit("stems/sq ft", q.PER_M2_PER_FT2, 0), Unit("stems/m²", 1.0, 0)),
    Kind("yield_dm", "kg/ha", Unit("t DM/ac", q.KG_HA_PER_TON_ACRE, 2), Unit("t DM/ha", q.KG_PER_TONNE, 2)),
    Kind("rate_af", "kg/h", Unit("t/h", q.KG_PER_SHORT_TON, 0), Unit("t/h", q.KG_PER_TONNE, 0)),
    Kind("intake", "kg", Unit("lb DM/day", q.KG_PER_LB, 1), Unit("kg DM/day", 1.0, 1)),
    Kind("milk", "kg", Unit("lb/day", q.KG_PER_LB, 0), Unit("kg/day", 1.0, 1)),
    Kind("face_rate", "cm/d", Unit("in/day", q.CM_PER_IN, 1), Unit("cm/day", 1.0, 0)),
    Kind(
        "ndf_rate",
        "1/(C d)",
        Unit("NDF points per GDD41", 0.01 * q.F_D_PER_C_D, 4),
        Unit("NDF points per GDD5", 0.01, 4),
    ),
    Kind(
        "yield_rate",
        "kg/(ha C d)",
        Unit("lb DM/ac per GDD41", q.KG_HA_PER_LB_ACRE * q.F_D_PER_C_D, 1),
        Unit("kg DM/ha per GDD5", 1.0, 1),
    ),
    Kind("price_dm", "usd/kg", Unit("$/t DM", 1 / q.KG_PER_SHORT_TON, 0), Unit("$/t DM", 1 / q.KG_PER_TONNE, 0)),
    Kind(
        "price_af", "usd/kg", Unit("$/t as fed", 1 / q.KG_PER_SHORT_TON, 0), Unit("$/t as fed", 1 / q.KG_PER_TONNE, 0)
    ),
    Kind(
        "price_rfv",
        "usd/kg",
        Unit("$/t per RFV point", 1 / q.KG_PER_SHORT_TON, 2),
        Unit("$/t per RFV point", 1 / q.KG_PER_TONNE, 2),
    ),
    Kind("money", "usd", Unit("$", 1.0, 0), Unit("$", 1.0, 0)),
    _same("percent", "fraction", "%", 0.01, 1),
    _same("percent_fine", "fraction", "%", 0.01, 2),
    _same("ndf", "fraction", "% NDF", 0.01, 1),
    _same("days", "d", "days"),
    _same("hours", "h", "h", 1.0, 1),
    _same("count", "1", ""),
    _same("head", "1", "head"),
    _same("index", "1", "", 1.0, 0),
    _same("score", "1", "", 1.0, 1),
    _same("ratio", "1", "", 1.0, 2),
    _same("ppm", "ppm", "ppm"),
    _same("degrees", "deg", "°", 1.0, 5),
    _same("energy", "Mcal/kg", "Mcal/kg", 1.0, 2),
)

KINDS: dict[str, Kind] = {kind.key: kind for kind in _ALL}
"""Every kind by key. Tons are short tons (2,000 lb) in the US system and tonnes (1,000 kg) in the metric one."""


def shown(value: float, kind: str, system: System) -> float:
    """A kept value in the unit the reader sees."""
    return KINDS[kind].unit(system).shown(value)


def kept(value: float, kind: str, system: System) -> float:
    """A value the reader typed in the unit the code keeps."""
    return KINDS[kind].unit(system).kept(value)
