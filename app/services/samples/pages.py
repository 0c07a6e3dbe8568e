"""What the pages about samples show."""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import date

from sqlalchemy import func, select
from sqlalchemy.orm import selectinload

from app.access.gate import access_farm, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.agronomy.ash import external_ash, plant_ash, rfq_change_of_ash, soil_share, tdn_change_of_ash
from app.agronomy.quality import HayGrade, hay_grade, intake_of_ndf
from app.nutrition.lab import MINERALS
from app.nutrition.lots import USE_CLASSES
from app.records.feeds import Feed, Load, Lot
from app.records.fields import Field, Stand
from app.records.samples import Sample
from app.services.samples.edits import head_values, lines_of, places
from app.services.samples.flags import COLUMNS, Typical, fitting_columns, typical_fermentation
from app.services.samples.groups import COMMON, GROUPS
from app.services.samples.quality import LotQuality, Mean, lot_quality, quality_of_lot
from app.services.samples.values import Line, mend
from app.services.stands import grass_share
from app.units.sentences import Sentence

RECENT_REMOVED = 10
GRASS_OF_GRADES_FRAC = 0.10
"""The hay guideline is for alfalfa with a tenth of grass or less. [UsdaHay2003]_"""
GRADES = {
    HayGrade.SUPREME: Sentence("Supreme"),
    HayGrade.PREMIUM: Sentence("Premium"),
    HayGrade.GOOD: Sentence("Good"),
    HayGrade.FAIR: Sentence("Fair"),
    HayGrade.UTILITY: Sentence("Utility"),
}


@dataclass(frozen=True)
class LotLine:
    """A lot in the list, with what its samples say; `quality` is None without samples."""

    id: int
    name: str
    feed: str
    quality: LotQuality | None


@dataclass(frozen=True)
class SampleLine:
    id: int
    place: str
    of: str
    sampled_on: date
    lab: str | None
    lab_ref: str | None
    values_count: int


@dataclass(frozen=True)
class SamplesPage:
    lots: tuple[LotLine, ...]
    of_fields: tuple[SampleLine, ...]
    removed: tuple[SampleLine, ...]


def samples_page(work: Work, farm_id: int) -> SamplesPage:
    """Lots with their quality, samples of standing fields, and samples lately taken back."""
    access_farm(work, farm_id)
    quality = lot_quality(work, farm_id)
    wanted = select(Lot.id, Lot.name, Feed.name).join(Feed, Feed.id == Lot.feed_id)
    wanted = wanted.where(Lot.farm_id == farm_id, Lot.removed_at.is_(None)).order_by(Lot.position, Lot.name, Lot.id)
    lots = tuple(LotLine(id_, name, feed, quality.get(id_)) for id_, name, feed in work.session.execute(wanted))
    names = dict(places(work, farm_id))
    fields = _sample_lines(work, names, Sample.farm_id == farm_id, Sample.field_id.is_not(None), _there())
    removed = _sample_lines(work, names, Sample.farm_id == farm_id, Sample.removed_at.is_not(None), most=RECENT_REMOVED)
    return SamplesPage(lots, fields, removed)


def _there():
    return Sample.removed_at.is_(None)


def _sample_lines(work: Work, names: dict[str, str], *where, most: int = 50) -> tuple[SampleLine, ...]:
    wanted = select(Sample).where(*where).options(selectinload(Sample.values))
    rows = work.session.scalars(wanted.order_by(Sample.sampled_on.desc(), Sample.id.desc()).limit(most))
    return tuple(_sample_line(row, names) for row in rows)


def _sample_line(sample: Sample, names: dict[str, str]) -> SampleLine:
    of = head_values(sample)["of"]
    return SampleLine(
        sample.id, names.get(of, "–"), of, sample.sampled_on, sample.lab, sample.lab_ref, len(sample.values)
    )  # fmt: skip


@dataclass(frozen=True)
class AshView:
    """A lot's ash against what its plants hold."""

    ash: Mean
    plant_frac: float
    external_frac: float
    soil_frac: float
    tdn_change_frac: float
    rfq_change_index: float
    ask_ash_free: bool


@dataclass(frozen=True)
class Section:
    """Means of one group of analytes."""

    title: Sentence
    means: tuple[Mean, ...]


@dataclass(frozen=True)
class LotSamplesPage:
    """Everything the samples of one lot say."""

    lot_id: int
    name: str
    feed: str
    quality: LotQuality
    sections: tuple[Section, ...]
    samples: tuple[SampleLine, ...]
    ash: AshView | None
    fermentation: tuple[Typical, ...]
    fermentation_columns: tuple[tuple[Sentence, bool], ...]
    grass_frac: float
    grass_says: Sentence
    contradictions: tuple[tuple[SampleLine, Sentence], ...]
    class_says: tuple[Sentence, Sentence] | None
    mixed_methods: tuple[Mean, ...]
    near_infrared_minerals: tuple[Mean, ...]
    mixed_labs: tuple[str, ...]
    grade: Sentence | None
    is_hay: bool


def lot_page(work: Work, farm_id: int, lot_id: int) -> LotSamplesPage:
    """A lot's samples: means, indices, ash, fermentation, flags and class."""
    lot = access_row(work, Lot, farm_id, lot_id, Permission.FARM_VIEW)
    feed = work.session.get(Feed, lot.feed_id)
    grass, says = grass_of_lot(work, lot)
    quality = quality_of_lot(work, farm_id, lot_id, grass)
    wanted = select(Sample).where(Sample.lot_id == lot_id, Sample.farm_id == farm_id, _there())
    rows = list(
        work.session.scalars(
            wanted.options(selectinload(Sample.values)).order_by(Sample.sampled_on.desc(), Sample.id.desc())
        )
    )
    names = {f"lot-{lot.id}": lot.name}
    return LotSamplesPage(
        lot.id,
        lot.name,
        feed.name if feed else "",
        quality,
        _sections(quality),
        tuple(_sample_line(row, names) for row in rows),
        _ash(quality, grass),
        typical_fermentation(quality.means),
        tuple(zip((name for _key, name in COLUMNS), fitting_columns(quality.dm.mean), strict=True)),
        grass,
        says,
        tuple(
            (_sample_line(row, names), why) for row in rows for why in mend(lines_of(row), legume=grass <= 0.5).together
        ),
        _class_says(quality),
        tuple(mean for mean in quality.means.values() if len(mean.methods) > 1),
        tuple(
            quality.means[code] for code in MINERALS if code in quality.means and "NIR" in quality.means[code].methods
        ),
        tuple(sorted({row.lab for row in rows if row.lab})),
        _grade(quality, grass),
        feed is not None and feed.kind == "hay",
    )


def _sections(quality: LotQuality) -> tuple[Section, ...]:
    sections = []
    for group in GROUPS:
        means = tuple(quality.means[entry.code] for entry in group.entries if entry.code in quality.means)
        if means:
            sections.append(Section(group.title, means))
    return tuple(sections)


def _ash(quality: LotQuality, grass_frac: float) -> AshView | None:
    ash = quality.means.get("ASH")
    if ash is None:
        return None
    external = float(external_ash(ash.mean, grass_frac))
    ndf = quality.ndf.mean
    rfq = float(rfq_change_of_ash(external, intake_of_ndf(ndf))) if not math.isnan(ndf) else math.nan
    return AshView(
        ash,
        float(plant_ash(grass_frac)),
        external,
        float(soil_share(ash.mean, grass_frac)),
        float(tdn_change_of_ash(external)),
        rfq,
        ash.mean > 0.12 and "aNDFom" not in quality.means,
    )


def _grade(quality: LotQuality, grass_frac: float) -> Sentence | None:
    """Grade of hay with these figures, the poorest of them; None for grassy lots and where nothing was measured."""
    rfv = quality.rfv.mean if 20 <= quality.rfv.mean <= 500 else math.nan
    rank = float(
        hay_grade(adf_frac=quality.of("ADF").mean, ndf_frac=quality.ndf.mean, rfv_index=rfv, cp_frac=quality.cp.mean)
    )
    if math.isnan(rank) or not quality.is_hay_crop or grass_frac > GRASS_OF_GRADES_FRAC:
        return None
    return GRADES[HayGrade(int(rank))]


def _class_says(quality: LotQuality) -> tuple[Sentence, Sentence] | None:
    """What the suggested class is fed to first, and what it is not for."""
    found = next((each for each in USE_CLASSES if each.use_class == quality.use_class.use_class), None)
    if found is not None:
        return found.first_choice, found.not_for
    if quality.use_class.use_class is None:
        return None
    return Sentence("Diluted to heifers, after another test"), Sentence("Fresh and close-up cows")


def grass_of_lot(work: Work, lot: Lot) -> tuple[float, Sentence]:
    """Grass in a lot's dry matter: from the stands its weighed loads came from, else taken as pure alfalfa."""
    corrected = select(Load.corrects_id).where(Load.lot_id == lot.id, Load.corrects_id.is_not(None))
    wanted = select(Load.field_id, func.sum(Load.mass_af_kg)).where(
        Load.lot_id == lot.id, Load.is_withdrawn.is_(False), Load.field_id.is_not(None), Load.id.not_in(corrected)
    )
    masses = {field_id: float(mass) for field_id, mass in work.session.execute(wanted.group_by(Load.field_id))}
    if not masses:
        return 0.0, Sentence("No load says which field this lot came from; it is taken as pure alfalfa.")
    stands = work.session.scalars(
        select(Stand)
        .join(Field, Field.id == Stand.field_id)
        .where(Field.id.in_(masses), Stand.ended_on.is_(None))
        .options(selectinload(Stand.species))
    )
    shares = {stand.field_id: grass_share(stand) for stand in stands}
    total = sum(masses.values())
    grass = sum(mass * shares.get(field or 0, 0.0) for field, mass in masses.items()) / total if total else 0.0
    return grass, Sentence("By its weighed loads from the fields.")


@dataclass(frozen=True)
class SampleView:
    """A sample as its form opens it."""

    id: int
    head: dict
    lines: dict[str, Line]
    name: str


def sample_view(work: Work, farm_id: int, sample_id: int) -> SampleView:
    sample = access_row(work, Sample, farm_id, sample_id, Permission.FARM_VIEW, selectinload(Sample.values))
    names = dict(places(work, farm_id))
    head = head_values(sample)
    return SampleView(sample.id, head, lines_of(sample), names.get(head["of"], "–"))


__all__ = ["COMMON", "GROUPS", "LotSamplesPage", "SamplesPage", "lot_page", "sample_view", "samples_page"]
