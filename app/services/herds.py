"""What people do with the herd: groups that are fed alike, their head over time, and their share of each feed."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Any

from sqlalchemy import or_, select
from sqlalchemy.orm import selectinload

from app.access.gate import access_farm, access_removed, access_row
from app.access.permissions import Permission
from app.access.work import Work
from app.errors import Invalid, NotFound, Unsure
from app.events.edits import apply_edit
from app.events.history import note
from app.events.removal import remove_row, removed_rows, restore_row
from app.planning.intakes import WAYS, GroupIntake, group_intake
from app.records.feeds import Feed
from app.records.herds import Group, HeadChange, Inclusion
from app.records.history import Change
from app.units.quantities import KG_PER_LB
from app.units.sentences import Quantity, Sentence
from app.units.shapes import Column, Shape, parse_day

USE_CLASS_NAMES = (("milking", "Milking cows"), ("growing", "Growing stock"), ("dry", "Dry cows"))
CLASS_WORDS = {key: Sentence(label) for key, label in USE_CLASS_NAMES}
WAY_NAMES = tuple((way.key, way.label.text) for way in WAYS.values())
_LB = KG_PER_LB

GROUP_SHAPE = Shape(
    "groups",
    (
        Column("name", "Name of the group", required=True, longest=80, example="Low cows"),
        Column("use_class", "Use class", "choice", required=True, choices=USE_CLASS_NAMES),
        Column(
            "head_count",
            "Head",
            "whole",
            "head",
            required=True,
            low=0,
            high=100_000,
            likely_high=5_000,
            example="220",
            hint="Until the first dated change below.",
        ),
        Column("intake_method", "How the intake is known", "choice", required=True, choices=WAY_NAMES),
        Column(
            "intake_kg",
            "Measured intake",
            "number",
            "intake",
            low=0.5,
            high=45,
            likely_low=2.5,
            likely_high=33,
            example="50",
            hint="Dry matter of the whole diet a head eats in a day: delivered less refusals.",
        ),
        Column(
            "body_weight_kg", "Body weight", "number", "weight", low=30, high=1_100, likely_low=70, likely_high=950,
            example="1500",
        ),
        Column(
            "mature_weight_kg", "Weight when mature", "number", "weight", low=300, high=1_000, likely_low=400,
            likely_high=850, hint="Empty: the farm's setting.", example="1540",
        ),
        Column("milk_kg", "Milk", "number", "milk", low=0, high=90, likely_low=8, likely_high=60, example="80"),
        Column("fat_frac", "Fat in the milk", "number", "percent", low=0.01, high=0.12, likely_low=0.025,
               likely_high=0.065, example="3.8"),
        Column("protein_frac", "True protein in the milk", "number", "percent", low=0.01, high=0.08, likely_low=0.025,
               likely_high=0.045, example="3.1"),
        Column("lactose_frac", "Lactose in the milk", "number", "percent", low=0.02, high=0.08, likely_low=0.043,
               likely_high=0.052, example="4.85", hint="Empty: 4.85 %."),
        Column("days_in_milk_d", "Days in milk", "number", "days", low=0, high=1_000, likely_high=450, example="120"),
        Column("multiparous_frac", "Share past the first lactation", "number", "percent", low=0, high=1,
               example="65"),
        Column("condition_score", "Body condition score", "number", "score", low=1, high=5, likely_low=2,
               likely_high=4.5, example="3", hint="1 to 5. Empty: 3."),
        Column("days_to_calving_d", "Days to calving", "number", "days", low=0, high=300, likely_high=90,
               example="40"),
        Column("diet_ndf_frac", "NDF of the whole diet", "number", "percent", low=0.1, high=0.8, likely_low=0.25,
               likely_high=0.6, example="32"),
        Column("forage_ndf_frac", "NDF from forage in the diet", "number", "percent", low=0.02, high=0.7,
               likely_low=0.1, likely_high=0.4, example="24"),
        Column("adf_ndf_frac", "ADF as a share of NDF in the diet", "number", "percent", low=0.2, high=1,
               likely_low=0.45, likely_high=0.84, example="70", hint="High for alfalfa, low for grass and corn."),
        Column("forage_ndfd48_frac", "Digestibility of the forage NDF, 48 hours", "number", "percent", low=0.1, high=1,
               likely_low=0.24, likely_high=0.73, example="48"),
        Column(
            "ndf_ceiling_frac", "Highest NDF of haylage for this group", "number", "ndf", low=0.25, high=0.8,
            likely_low=0.32, likely_high=0.62, example="42", hint="Empty: the farm's setting for the use class.",
        ),
        Column("note", "Note", "long", longest=2000),
    ),
)  # fmt: skip
HEAD_SHAPE = Shape(
    "head_changes",
    (
        Column("from_on", "From", "day", required=True, ask_if="this_year", example="2027-06-01"),
        Column("head_count", "Head", "whole", "head", required=True, low=0, high=100_000, likely_high=5_000,
               example="200"),
    ),
)  # fmt: skip
INCLUSION_SHAPE = Shape(
    "inclusions",
    (
        Column("feed_id", "Feed", "choice", required=True),
        Column("from_on", "From", "day", required=True, ask_if="this_year", example="2027-06-01"),
        Column("share_frac", "Share of the diet's dry matter", "number", "percent", required=True, low=0, high=1,
               likely_high=0.7, example="25", hint="0 ends it."),
    ),
)  # fmt: skip
PARTS = ("feed-balance", "herds-table", "board-figures")
ROUNDING = 0.0005
REMOVED_MOST = 12


@dataclass(frozen=True)
class Step:
    """A head count or a share from a day on; `feed` is empty for heads."""

    id: int
    from_on: date
    value: float
    feed: str = ""
    in_force: bool = False


@dataclass(frozen=True)
class GroupLine:
    """One group as the pages show it."""

    id: int
    name: str
    use_class: str
    head: int
    intake: GroupIntake
    ndf_ceiling_frac: float | None
    heads: tuple[Step, ...]
    shares: Mapping[str, tuple[Step, ...]]
    """Steps of the share by feed."""
    fed: tuple[tuple[str, float], ...]
    """(feed, share) fed today."""
    note: str | None

    @property
    def share_frac(self) -> float:
        return sum(share for _feed, share in self.fed)


@dataclass(frozen=True)
class RemovedStep:
    """A head count or a share that was taken off and can be put back."""

    seq: int
    noun: str
    from_on: date
    value: float
    feed: str


@dataclass(frozen=True)
class GroupPage:
    line: GroupLine
    removed: tuple[RemovedStep, ...]


def list_groups(work: Work, farm_id: int) -> list[Group]:
    """Every group that is not removed, with its steps; the caller has passed the gate."""
    wanted = select(Group).where(Group.farm_id == farm_id, Group.removed_at.is_(None))
    both = (selectinload(Group.head_changes), selectinload(Group.inclusions))
    return list(work.session.scalars(wanted.options(*both).order_by(Group.position, Group.id)))


def feed_names(work: Work, farm_id: int) -> dict[int, str]:
    """Feeds by id, removed ones too (their shares still count until they are ended); no two of one name."""
    rows = work.session.execute(select(Feed.id, Feed.name).where(Feed.farm_id == farm_id).order_by(Feed.id)).all()
    names: dict[int, str] = {}
    for feed_id, name in rows:
        names[feed_id] = name if name not in names.values() else f"{name} ({feed_id})"
    return names


def inclusion_shape(work: Work, farm_id: int, also: int | None = None) -> Shape:
    """The form of a share, with the farm's feeds to choose from, and the feed it has now even if that was removed."""
    offered = or_(Feed.removed_at.is_(None), Feed.id == also)
    rows = work.session.execute(select(Feed.id, Feed.name).where(Feed.farm_id == farm_id, offered).order_by(Feed.id))
    feeds = tuple((str(feed_id), name) for feed_id, name in rows)
    first, *others = INCLUSION_SHAPE.columns
    return Shape("inclusions", (replace(first, choices=feeds), *others))


def intake_of(group: Group, values: Mapping[str, float | str]) -> GroupIntake:
    """The group's intake under the farm's settings."""
    key = str(group.intake_method) if group.intake_method in WAYS else "measured"
    animal = {name: getattr(group, name) for name in WAYS[key].inputs}
    scale, mature = float(values["intake_scale_ratio"]), float(values["mature_weight_kg"])
    return group_intake(key, animal, scale_ratio=scale, mature_weight_kg=mature)


def try_intake(typed: Mapping[str, Any], values: Mapping[str, float | str]) -> GroupIntake:
    """The intake of values that nobody has saved."""
    return intake_of(Group(**{column.name: typed.get(column.name) for column in GROUP_SHAPE.columns}), values)


def head_on(group: Group, day: date) -> int:
    """Head on a day: the last dated change, else what the group started with."""
    return next((c.head_count for c in reversed(group.head_changes) if c.from_on <= day), group.head_count)


def line_of(group: Group, feeds: Mapping[int, str], values: Mapping[str, float | str], today: date) -> GroupLine:
    shares: dict[str, list[Inclusion]] = defaultdict(list)
    for row in group.inclusions:
        shares[feeds[row.feed_id]].append(row)
    steps = {feed: _steps(rows, today, feed) for feed, rows in sorted(shares.items())}
    now = tuple((feed, each.value) for feed, found in steps.items() for each in found if each.in_force and each.value)
    return GroupLine(
        group.id,
        group.name,
        group.use_class,
        head_on(group, today),
        intake_of(group, values),
        group.ndf_ceiling_frac,
        _steps(group.head_changes, today),
        steps,
        now,
        group.note,
    )


def _steps(rows: list, today: date, feed: str = "") -> tuple[Step, ...]:
    rows = sorted(rows, key=lambda row: row.from_on)
    last = max((row.from_on for row in rows if row.from_on <= today), default=None)
    value = "share_frac" if feed else "head_count"
    return tuple(Step(row.id, row.from_on, getattr(row, value), feed, row.from_on == last) for row in rows)


def group_page(work: Work, farm_id: int, group_id: int, values: Mapping[str, float | str], today: date) -> GroupPage:
    """One group with its steps and what was taken off it."""
    group = access_group(work, farm_id, group_id)
    line = line_of(group, feed_names(work, farm_id), values, today)
    return GroupPage(line, tuple(_removed_steps(work, group, feed_names(work, farm_id))))


def removed_groups(work: Work, farm_id: int) -> tuple[Group, ...]:
    return tuple(removed_rows(work, Group, farm_id, REMOVED_MOST))


def access_group(work: Work, farm_id: int, group_id: int, permission: Permission = Permission.FARM_VIEW) -> Group:
    both = (selectinload(Group.head_changes), selectinload(Group.inclusions))
    return access_row(work, Group, farm_id, group_id, permission, *both)


def access_step(work: Work, farm_id: int, row_id: int, *, heads: bool) -> HeadChange | Inclusion:
    """A dated line of a group, for someone who may change it."""
    if heads:
        return access_row(work, HeadChange, farm_id, row_id, Permission.HERD_EDIT)
    return access_row(work, Inclusion, farm_id, row_id, Permission.HERD_EDIT)


def check_inputs(values: Mapping[str, Any]) -> None:
    """Each way to an intake needs its own inputs; the refusal names every one that is missing."""
    way = WAYS.get(str(values.get("intake_method")))
    if way is None:
        return
    optional = {"lactose_frac", "condition_score", "mature_weight_kg"}
    wanting = [name for name in way.inputs if values.get(name) is None and name not in optional]
    if wanting:
        why = Sentence("Needed for the intake you chose: “{way}”.", way=way.label)
        raise Invalid(dict.fromkeys(wanting, why))
    if values.get("use_class") not in way.classes:
        allowed = tuple(each.label for each in WAYS.values() if values.get("use_class") in each.classes)
        why = Sentence("This equation is not for that use class. For it there are: {ways}.", ways=allowed)
        raise Invalid({"intake_method": why})


def add_group(work: Work, farm_id: int, values: dict[str, Any]) -> Group:
    access_farm(work, farm_id, Permission.HERD_EDIT)
    check_inputs(values)
    group = Group(farm_id=farm_id, **values)
    work.session.add(group)
    work.session.flush()
    note(work, farm_id, "add", "groups", group.id, name=group.name, parts=PARTS)
    return group


def edit_group(
    work: Work, farm_id: int, group_id: int, values: dict[str, Any], was: Mapping[str, Any] | None = None
) -> Group:
    """Change a group; people who changed different things both win."""
    group = access_group(work, farm_id, group_id, Permission.HERD_EDIT)
    now = {column.name: getattr(group, column.name) for column in GROUP_SHAPE.columns}
    check_inputs(now | values)
    apply_edit(work, group, values, was, noun="groups", parts=PARTS)
    return group


def remove_group(work: Work, farm_id: int, group_id: int) -> Group:
    """Take a group off; `restore_group` puts it back with all its steps."""
    group = access_group(work, farm_id, group_id, Permission.HERD_EDIT)
    remove_row(work, group, noun="groups", parts=PARTS)
    return group


def restore_group(work: Work, farm_id: int, group_id: int) -> Group:
    group = access_removed(work, Group, farm_id, group_id, Permission.HERD_EDIT)
    restore_row(work, group, noun="groups", parts=PARTS)
    return group


def add_head_change(work: Work, farm_id: int, group_id: int, values: dict[str, Any]) -> HeadChange:
    """Head from a day on."""
    group = access_group(work, farm_id, group_id, Permission.HERD_EDIT)
    _refuse_same_day(group.head_changes, values["from_on"])
    return _add_step(work, group, HeadChange(farm_id=farm_id, group_id=group.id, **values), "head_changes")


def edit_head_change(
    work: Work, farm_id: int, change_id: int, values: dict[str, Any], was: Mapping[str, Any] | None = None
) -> HeadChange:
    row = access_row(work, HeadChange, farm_id, change_id, Permission.HERD_EDIT)
    group = access_group(work, farm_id, row.group_id, Permission.HERD_EDIT)
    _refuse_same_day([each for each in group.head_changes if each.id != row.id], values.get("from_on", row.from_on))
    apply_edit(work, row, values, was, noun="head_changes", name=group.name, parts=_parts(group))
    _read_again(work, group)
    return row


def remove_head_change(work: Work, farm_id: int, change_id: int) -> int:
    """Take a step off (`put_back` undoes it); the group's id."""
    row = access_row(work, HeadChange, farm_id, change_id, Permission.HERD_EDIT)
    return _remove_step(work, row, "head_changes", {"head_count": row.head_count})


def add_inclusion(work: Work, farm_id: int, group_id: int, values: dict[str, Any], *, sure: bool = True) -> Inclusion:
    """A share of one feed from a day on. Without `sure`, a share that looks like a fraction is asked about."""
    group = access_group(work, farm_id, group_id, Permission.HERD_EDIT)
    _ask_fraction(values, sure)
    values = _with_feed(work, farm_id, values)
    _refuse_same_day([each for each in group.inclusions if each.feed_id == values["feed_id"]], values["from_on"])
    row = Inclusion(farm_id=farm_id, group_id=group.id, **values)
    check_whole([*group.inclusions, row], group.name)
    return _add_step(work, group, row, "inclusions")


def edit_inclusion(
    work: Work,
    farm_id: int,
    inclusion_id: int,
    values: dict[str, Any],
    was: Mapping[str, Any] | None = None,
    *,
    sure: bool = True,
) -> Inclusion:
    row = access_row(work, Inclusion, farm_id, inclusion_id, Permission.HERD_EDIT)
    group = access_group(work, farm_id, row.group_id, Permission.HERD_EDIT)
    _ask_fraction(values, sure)
    values, was = _with_feed(work, farm_id, values), _with_number(was)
    feed_id, day = values.get("feed_id", row.feed_id), values.get("from_on", row.from_on)
    others = [each for each in group.inclusions if each.id != row.id]
    _refuse_same_day([each for each in others if each.feed_id == feed_id], day)
    apply_edit(work, row, values, was, noun="inclusions", name=group.name, parts=_parts(group))
    check_whole([*others, row], group.name)
    _read_again(work, group)
    return row


def remove_inclusion(work: Work, farm_id: int, inclusion_id: int) -> int:
    """Take a step off (`put_back` undoes it); the group's id."""
    row = access_row(work, Inclusion, farm_id, inclusion_id, Permission.HERD_EDIT)
    return _remove_step(work, row, "inclusions", {"feed_id": row.feed_id, "share_frac": row.share_frac})


def put_back(work: Work, farm_id: int, group_id: int, seq: int) -> None:
    """Undo the removal of a step, named by the number of that change."""
    group = access_group(work, farm_id, group_id, Permission.HERD_EDIT)
    change = work.session.scalar(
        select(Change).where(Change.farm_id == farm_id, Change.seq == seq, Change.verb == "remove")
    )
    if change is None or change.fields.get("group_id", [None])[0] != group.id:
        raise NotFound("changes")
    was = {name: both[0] for name, both in change.fields.items() if name != "group_id"}
    values = was | {"from_on": date.fromisoformat(was["from_on"])}
    add = add_inclusion if change.noun == "inclusions" else add_head_change
    add(work, farm_id, group.id, values)


def _parts(group: Group) -> tuple[str, ...]:
    return (*PARTS, f"herds-group-{group.id}")


def _add_step(work: Work, group: Group, row: Any, noun: str) -> Any:
    work.session.add(row)
    work.session.flush()
    note(work, group.farm_id, "add", noun, row.id, name=group.name, parts=_parts(group))
    _read_again(work, group)
    return row


def _read_again(work: Work, group: Group) -> None:
    """Let the next reader in this session see the steps as they are now."""
    work.session.flush()
    work.session.expire(group, ["head_changes", "inclusions"])


def _remove_step(work: Work, row: Any, noun: str, fields: Mapping[str, Any]) -> int:
    group = access_group(work, row.farm_id, row.group_id, Permission.HERD_EDIT)
    gone = {"group_id": group.id, "from_on": row.from_on, **fields}
    work.session.delete(row)
    note(
        work,
        row.farm_id,
        "remove",
        noun,
        row.id,
        name=group.name,
        fields={name: (value, None) for name, value in gone.items()},
        parts=_parts(group),
    )
    _read_again(work, group)
    return group.id


def _removed_steps(work: Work, group: Group, feeds: Mapping[int, str]):
    """The latest steps taken off this group whose place is still free."""
    wanted = select(Change).where(
        Change.farm_id == group.farm_id, Change.verb == "remove", Change.noun.in_(("inclusions", "head_changes"))
    )
    taken: set[tuple[Any, date | None]] = {(None, row.from_on) for row in group.head_changes}
    taken |= {(row.feed_id, row.from_on) for row in group.inclusions}
    for change in work.session.scalars(wanted.order_by(Change.seq.desc()).limit(60)):
        was = {name: both[0] for name, both in change.fields.items()}
        place = (was.get("feed_id"), parse_day(was.get("from_on")))
        if was.get("group_id") != group.id or place in taken or place[1] is None:
            continue
        taken.add(place)
        value = was["share_frac"] if change.noun == "inclusions" else was["head_count"]
        yield RemovedStep(change.seq, change.noun, place[1], value, feeds.get(was.get("feed_id") or 0, ""))


def _refuse_same_day(rows: list, day: date) -> None:
    if any(row.from_on == day for row in rows):
        raise Invalid({"from_on": Sentence("There is already a line from {day}. Change that one.", day=day)})


def _ask_fraction(values: Mapping[str, Any], sure: bool) -> None:
    """25 % typed as 0.25. No share at all is a plain way to end one."""
    share = values.get("share_frac")
    if sure or share is None or not 0 < share <= 0.01:
        return
    why = Sentence(
        "{label}: {got} is very low. Was it meant as a fraction, that is {meant}?",
        label=Sentence("Share of the diet's dry matter"),
        got=Quantity(share, "percent"),
        meant=Quantity(share * 100, "percent"),
    )
    raise Unsure({"share_frac": why})


def _with_number(values: Mapping[str, Any] | None) -> dict[str, Any] | None:
    """A form sends the feed as text."""
    if values is None:
        return None
    feed = values.get("feed_id")
    return dict(values) | ({"feed_id": int(feed)} if feed not in (None, "") else {})


def _with_feed(work: Work, farm_id: int, values: Mapping[str, Any]) -> dict[str, Any]:
    values = _with_number(values) or {}
    if "feed_id" in values:
        try:
            access_row(work, Feed, farm_id, values["feed_id"], Permission.HERD_EDIT)
        except NotFound:
            raise Invalid({"feed_id": Sentence("That feed is not on this farm's list of feeds.")}) from None
    return values


def check_whole(rows: list[Inclusion], name: str) -> None:
    """On no day may the shares of a group make more than the whole diet."""
    for day in sorted({row.from_on for row in rows}):
        now = {row.feed_id: row for row in sorted(rows, key=lambda row: row.from_on) if row.from_on <= day}
        total = sum(row.share_frac for row in now.values())
        if total > 1 + ROUNDING:
            why = Sentence(
                "From {day} on the shares of {name} would make {got} of the diet; together they may make {most}.",
                day=day,
                name=name,
                got=Quantity(total, "percent"),
                most=Quantity(1.0, "percent"),
            )
            raise Invalid({"share_frac": why})
