"""An invented herd and its haylage, worked by hand in the published order of a forage budget."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from app.planning.feeding import BalanceInput, Group, HeadStep, Inclusion, Lot, NewCrop, Rules
from app.units.quantities import KG_PER_LB, KG_PER_SHORT_TON
from tests.builders.published import table

TODAY = date(2026, 5, 1)
HAYLAGE = "haylage"


def make_group(name="low", use_class="milking", head=200.0, intake_lb=50.0, share=0.25, from_on=date(2026, 1, 1)):
    return Group(
        name, use_class, intake_lb * KG_PER_LB, (HeadStep(from_on, head),), (Inclusion(HAYLAGE, from_on, share),)
    )


def reference_herd():
    return tuple(
        make_group(r["group"], r["use_class"], r["head"], r["intake_lb"], r["share"])
        for r in table("planning", "reference_herd")
    )


def make_lot(name="bunker", tons=300.0, loss=0.02, **more):
    return Lot(name, HAYLAGE, tons * KG_PER_SHORT_TON, loss, 0.40, 0.41, **more)


def make_input(groups=None, lots=None, rules=None, **more):
    return BalanceInput(
        TODAY,
        reference_herd() if groups is None else groups,
        (make_lot(),) if lots is None else lots,
        new_crop=more.pop("new_crop", NewCrop(HAYLAGE, date(2026, 5, 28))),
        rules=rules or Rules(hay_usd_kg=222 / KG_PER_SHORT_TON, freight_usd_kg=30 / KG_PER_SHORT_TON),
        **more,
    )


def with_rules(given, **changed):
    return replace(given, rules=replace(given.rules, **changed))
