"""A farm rich in everything a workbook holds, put down as rows; nothing in it is of a real farm."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from typing import Any

from app.access.work import Work
from app.records import checklists, farms, feeds, fields, herds, samples, scoutings, stations

NOON = datetime(2027, 5, 1, 12, 30, tzinfo=UTC)


def fill(work: Work, farm_id: int, name: str = "Long Acre", note: str = "Wet at the creek,\nkeep off") -> None:
    """Fill the farm: every sheet gets rows, with odd names, corrections, withdrawn and removed rows among them."""
    ground(work, farm_id, name, note)
    feed(work, farm_id, name, note)
    yard(work, farm_id, name, note)
    work.session.flush()


def ground(work: Work, farm_id: int, name: str, note: str) -> None:
    add = work.session.add_all
    of: dict[str, Any] = {"farm_id": farm_id}
    read: dict[str, Any] = {**of, "noted_at": NOON}
    add([
        farms.FarmValue(**of, key="heat_base_c", number=5.0),
        farms.FarmValue(**of, key="heat_method", choice="sine"),
        farms.Cutting(**of, year=2026, number=1, starts_on=date(2026, 5, 24), sealed_on=date(2026, 5, 28)),
        farms.Cutting(**of, year=2027, number=1, note=note),
        *(farms.CuttingShare(**of, number=n, share_frac=s) for n, s in ((1, 0.4), (2, 0.25), (3, 0.2), (4, 0.15))),
    ])  # fmt: skip
    first = fields.Field(**of, name=name, area_ha=25.1, latitude=43.07, haul_km=2.4, drainage_note=note, position=2)
    second = fields.Field(**of, name="=1+1", area_ha=8.3, position=1)
    gone = fields.Field(**of, name="Sold", area_ha=5.0, removed_at=NOON)
    add([first, second, gone])
    work.session.flush()
    old = fields.Stand(**of, field_id=first.id, seeded_on=date(2020, 4, 18), ended_on=date(2024, 9, 1))
    old.species = [fields.StandSpecies(species="alfalfa", share_frac=1.0)]
    new = fields.Stand(**of, field_id=first.id, seeded_on=date(2025, 4, 20), is_reduced_lignin=True, note=note,
                       season_yield_kg_ha=11_000.0)  # fmt: skip
    new.species = [
        fields.StandSpecies(species="alfalfa", share_frac=0.7),
        fields.StandSpecies(species="orchardgrass", share_frac=0.3),
    ]
    bare = fields.Stand(**of, field_id=second.id)
    bare.species = [fields.StandSpecies(species="alfalfa", share_frac=1.0)]
    sold = fields.Stand(**of, field_id=gone.id)
    add([old, new, bare, sold])
    work.session.flush()
    wrong = fields.StandCount(**read, stand_id=new.id, counted_on=date(2027, 4, 20), stems_per_m2=40.0)
    add([wrong, fields.StandCount(**read, stand_id=old.id, counted_on=date(2022, 4, 20), root_score=2.5)])
    work.session.flush()
    add([fields.StandCount(**read, stand_id=new.id, counted_on=date(2027, 4, 20), stems_per_m2=520.0, root_score=1.5,
                           spots_count=5, note=note, corrects_id=wrong.id)])  # fmt: skip
    for day, height, withdrawn in ((date(2027, 5, 1), 40.0, False), (date(2027, 5, 8), 60.5, False),
                                   (date(2027, 5, 8), 61.0, False), (date(2027, 5, 9), 99.0, True)):  # fmt: skip
        scouting = scoutings.Scouting(**read, field_id=first.id, scouted_on=day, cutting=1, grass_frac=0.3, note=note,
                                      is_lodged=height > 60, is_withdrawn=withdrawn)  # fmt: skip
        scouting.spots = [
            scoutings.ScoutingSpot(number=n, height_cm=height + n, stage=stage, latitude=43.07)
            for n, stage in enumerate(("vegetative", "bud", "bud", "flower"), 1)
        ]
        add([scouting])
    home = stations.Station(**of, name="Home", code="XX1", elevation_m=274.3, source="own gauge", is_primary=True)
    ridge = stations.Station(**of, name="Ridge", source="open data", is_primary=False)
    add([home, ridge])
    work.session.flush()
    for n in range(40):
        day, high = date(2027, 4, 1) + timedelta(days=n), 12.0 + n / 7
        kind = "forecast" if n > 38 else "filled" if n == 5 else "observed"
        add(
            [
                stations.Day(
                    station_id=home.id, day_on=day, high_c=high, low_c=high - 9, precip_mm=n % 4 * 2.54, kind=kind
                )
            ]
        )
    add([stations.Day(station_id=ridge.id, day_on=date(2027, 4, 1), high_c=15.55, precip_mm=None)])
    sample = samples.Sample(**of, field_id=first.id, sampled_on=date(2027, 5, 7), note=note)
    sample.values = [samples.SampleValue(analyte="aNDF", value=0.385)]
    add([sample])


def feed(work: Work, farm_id: int, name: str, note: str) -> None:
    add = work.session.add_all
    of: dict[str, Any] = {"farm_id": farm_id}
    read: dict[str, Any] = {**of, "noted_at": NOON}
    bunker = feeds.Structure(**of, name="Bunker 2", kind="bunker", length_m=45.7, width_m=12.2, wall_height_m=3.66,
                             peak_height_m=4.0, ramps_count=1, end_slope=3.0, fills_next=True, note=note,
                             position=1)  # fmt: skip
    stack = feeds.Structure(**of, name="Stack", kind="stack", diameter_m=1.5, bale_width_m=1.2, bale_is_round=True)
    squares = feeds.Structure(**of, name="Squares", kind="stack", bale_is_round=False, bale_width_m=0.9,
                              bale_length_m=2.4, bale_depth_m=0.9, removed_at=NOON)  # fmt: skip
    haylage = feeds.Feed(**of, name="Alfalfa haylage", kind="haylage", dm_frac=0.38, price_usd_kg_dm=0.23)
    grains = feeds.Feed(**of, name="Wet grains", kind="byproduct", dm_frac=0.33, storage_life_d=6.0, removed_at=NOON)
    hay = feeds.Feed(**of, name="Hay, mixed", kind="hay", dm_frac=0.87)
    add([bunker, stack, squares, haylage, grains, hay])
    work.session.flush()
    lots = [
        feeds.Lot(**of, feed_id=haylage.id, structure_id=bunker.id, name="First cutting", year=2026, cutting=1,
                  use_class="milking", sealed_on=date(2026, 5, 28), opened_on=date(2026, 9, 10), dm_frac=0.41,
                  density_kg_m3=240.0, remaining_loss_frac=0.02, note=note, position=1),
        feeds.Lot(**of, feed_id=haylage.id, name="First cutting", year=2025, position=2, used_up_on=date(2026, 4, 1)),
        feeds.Lot(**of, feed_id=hay.id, structure_id=squares.id, name="Hay", position=3),
    ]  # fmt: skip
    add(lots)
    work.session.flush()
    lot, _older, bales = lots
    field = work.session.query(fields.Field).filter_by(farm_id=farm_id, name=name).one()
    add([
        feeds.LotMeasurement(**read, lot_id=lot.id, measured_on=date(2027, 5, 1), method="sizes", length_m=27.4,
                             width_m=12.2, height_m=3.9, note=note),
        feeds.LotMeasurement(**read, lot_id=bales.id, measured_on=date(2027, 5, 2), method="count", bales_count=120,
                             bale_weight_kg=590.0, dm_frac=0.86),
        *(feeds.Load(**read, lot_id=lot.id, field_id=field.id, loaded_on=date(2026, 5, 25), mass_af_kg=11_250.0,
                     dm_frac=0.4) for _ in range(2)),
        feeds.Load(**read, lot_id=lot.id, loaded_on=date(2026, 5, 26), mass_af_kg=9_800.0),
        feeds.Feedout(**read, lot_id=lot.id, from_on=date(2027, 5, 3), to_on=date(2027, 5, 9), mass_af_kg=76_000.0,
                      thrown_af_kg=1_800.0),
        feeds.Feedout(**read, lot_id=lot.id, from_on=date(2027, 5, 3), to_on=date(2027, 5, 9), mass_af_kg=12_000.0),
    ])  # fmt: skip
    supply = feeds.Supply(**of, feed_id=grains.id, name="Grains, contract", on_hand_af_kg=21_000.0, dm_frac=0.34,
                          counted_on=date(2027, 5, 1), ndf_frac=0.45, cp_frac=0.28, price_usd_kg_af=0.088,
                          note=note)  # fmt: skip
    supply.deliveries = [
        feeds.Delivery(**of, due_on=date(2027, 5, 3), mass_af_kg=22_000.0, received_on=date(2027, 5, 4)),
        feeds.Delivery(**of, due_on=date(2027, 6, 3), mass_af_kg=22_000.0),
        feeds.Delivery(**of, due_on=date(2027, 6, 3), mass_af_kg=11_000.0),
    ]
    sample = samples.Sample(**of, lot_id=lot.id, sampled_on=date(2027, 5, 3), received_on=date(2027, 5, 7),
                            lab="County lab", lab_ref="A-10442", note=note)  # fmt: skip
    sample.values = [
        samples.SampleValue(
            analyte="DM", value=0.41, typed_value="41.0", typed_unit="%", typed_basis="AR", method="NIR"
        ),
        samples.SampleValue(
            analyte="CP", value=0.205, typed_value="20,5", typed_unit="%", typed_basis="DM", method="NIR"
        ),
        samples.SampleValue(analyte="aNDF", value=0.42),
    ]
    again = samples.Sample(**of, lot_id=lot.id, sampled_on=date(2027, 5, 3))
    again.values = [samples.SampleValue(analyte="DM", value=0.40125)]
    words = samples.AnalyteName(**of, name="ndf ash free", analyte="aNDFom", unit="%", basis="DM")
    cows = herds.Group(**of, name="High cows", use_class="milking", head_count=220, intake_method="measured",
                       intake_kg=25.4, milk_kg=41.0, fat_frac=0.038, note=note, position=1)  # fmt: skip
    dry = herds.Group(**of, name="Dry", use_class="dry", head_count=40, intake_method="measured", intake_kg=12.7)
    add([supply, sample, again, words, cows, dry])
    work.session.flush()
    add([
        herds.HeadChange(**of, group_id=cows.id, from_on=date(2027, 6, 1), head_count=200),
        herds.Inclusion(**of, group_id=cows.id, feed_id=haylage.id, from_on=date(2026, 9, 10), share_frac=0.30),
        herds.Inclusion(**of, group_id=cows.id, feed_id=haylage.id, from_on=date(2027, 3, 1), share_frac=0.25),
        herds.Inclusion(**of, group_id=cows.id, feed_id=grains.id, from_on=date(2027, 1, 1), share_frac=0.08),
    ])  # fmt: skip


def yard(work: Work, farm_id: int, name: str, note: str) -> None:
    add = work.session.add_all
    of: dict[str, Any] = {"farm_id": farm_id}
    add([
        checklists.Machine(**of, name="Big loader", kind="packing_tractor", weight_kg=16_300.0, share_frac=0.75),
        checklists.Machine(**of, name="Big loader", kind="packing_tractor", weight_kg=14_000.0),
        checklists.Machine(**of, name="Chopper", kind="chopper", rate_kg_h=80_000.0, width_m=3.0, is_custom=True),
    ])  # fmt: skip
    this, last = (checklists.Checklist(**of, year=y, cutting=1, created_at=NOON) for y in (2027, 2026))
    add([this, last])
    work.session.flush()
    weights = checklists.Item(**of, checklist_id=this.id, key="packing-weight", title="Packing weight", kind="weight",
                              place="structure", role="owner", need=30_000.0, have=16_300.0, days_before=7, position=10,
                              note=note)  # fmt: skip
    add([weights, checklists.Item(**of, checklist_id=last.id, title="Packing weight", position=5, done_at=NOON)])
    work.session.flush()
    add([
        checklists.Item(**of, checklist_id=this.id, title="Hitch checked", owner="Ruth", due_on=date(2027, 5, 14),
                        blocked_by_id=weights.id, position=20),
        checklists.Item(**of, checklist_id=this.id, title="Hitch checked", kind="count", need=3.0, position=30),
        checklists.Decision(**of, question=f"Cut {name[:200]} on Thursday?", answer="Yes", why=note, decided_at=NOON,
                            created_at=NOON),
        checklists.Decision(**of, question="Wide swaths?", created_at=NOON),
    ])  # fmt: skip
