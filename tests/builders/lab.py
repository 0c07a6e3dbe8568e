"""Lots to sample, a lab form as a page sends it, and a lab file written by hand."""

from __future__ import annotations

from datetime import date

from app.access.work import Work
from app.nutrition.lab import ANALYTES
from app.records.feeds import Feed, Lot
from app.records.fields import Field
from app.services.samples import Line

SAMPLED = date(2027, 5, 3)


def add_lots(work: Work, farm_id: int, *names: str, kind: str = "haylage") -> list[int]:
    """Lots of one feed; their ids."""
    feed = Feed(farm_id=farm_id, name=kind, kind=kind)
    work.session.add(feed)
    work.session.flush()
    lots = [Lot(farm_id=farm_id, feed_id=feed.id, name=name, position=i) for i, name in enumerate(names)]
    work.session.add_all(lots)
    work.session.flush()
    return [lot.id for lot in lots]


def add_field(work: Work, farm_id: int, name: str = "North forty") -> int:
    row = Field(farm_id=farm_id, name=name, area_ha=16.0)
    work.session.add(row)
    work.session.flush()
    return row.id


def lines(**typed: str) -> dict[str, Line]:
    """`CP="20.5 % DM"` and the like as typed lines; unit and basis may be left off."""
    return {code: Line(*text.split()) for code, text in typed.items()}


def head(of: str, sampled_on: date = SAMPLED, **more: object) -> dict:
    return {"of": of, "sampled_on": sampled_on, "received_on": None, "lab": None, "lab_ref": None, "note": None, **more}


def lab_form(of: str, **typed: str) -> dict[str, str]:
    """The whole form with the values given; every other analyte is sent empty, as a browser does."""
    form = {"of": of, "sampled_on": SAMPLED.isoformat(), "received_on": "", "lab": "", "lab_ref": "", "note": ""}
    for code, analyte in ANALYTES.items():
        form |= {f"value_{code}": "", f"unit_{code}": analyte.units[0], f"basis_{code}": str(analyte.basis)}
        form[f"method_{code}"] = ""
    return form | typed


COLUMNS = "lot,sample_id,sampled_on,lab,analyte,value,unit,basis,method,hours,note"


def lab_csv(*rows: str) -> bytes:
    return "\n".join((COLUMNS, *rows)).encode()
