"""Scouting on a phone in a real browser: big targets, a spot more without the server, the phone's own place."""

from __future__ import annotations

import pytest
from sqlalchemy import select
from sqlalchemy.orm import selectinload

from app.records.scoutings import Scouting
from tests.builders.crops import a_field

pytestmark = pytest.mark.browser
SMALL = """
[...document.querySelectorAll(`main button, main a, main summary, main .bigs label, main label.pick,
  main input[type=text], main input[type=date], main select`)]
  .filter((each) => each.offsetParent && each.getBoundingClientRect().height < 47.5)
  .map((each) => each.outerHTML.slice(0, 80))
"""


def spots_of(served):
    """(stage, inches, latitude) of each spot of the one scouting."""

    def read(work):
        row = work.session.scalars(select(Scouting).options(selectinload(Scouting.spots))).one()
        return [(spot.stage, round(spot.height_cm / 2.54, 3), spot.latitude) for spot in row.spots]

    return served.site.do(read)


def test_a_walk_of_six_spots_is_typed_with_taps_only(served, sign_in):
    field_id = served.site.do(lambda work: a_field(work, served.site.farm_id).id)
    page = sign_in(
        "crew", has_touch=True, geolocation={"latitude": 43.07, "longitude": -89.4}, permissions=["geolocation"]
    )
    faults: list[str] = []
    page.on("pageerror", lambda error: faults.append(str(error)))
    page.goto(f"{served.farm}/fields/{field_id}/scout")
    for number in range(1, 4):
        page.tap(f"#scoutings-spot-{number} .bigs label:nth-child(1)")
        page.tap(f"#scoutings-spot-{number} .stepper button >> nth=1")
    page.tap("#scoutings-spot-1 .stepper button >> nth=1")
    page.tap("button[name=more]")
    assert page.locator(".spot").count() == 6
    page.tap("#scoutings-spot-6 .bigs label:nth-child(2)")
    page.tap("#scoutings-spot-6 .stepper button >> nth=1")
    assert page.is_checked("[name=stage_3][value=vegetative]"), "a spot more leaves the others alone"
    page.tap("#scoutings-spot-1 summary")
    page.tap("#scoutings-spot-1 [data-here]")
    page.wait_for_function("document.querySelector('[name=latitude_1]').value === '43.07000'")
    page.tap("button.main")
    page.wait_for_url(f"{served.farm}/fields/{field_id}")
    stored = spots_of(served)
    assert stored == [("vegetative", 25, 43.07), ("vegetative", 24, None), ("vegetative", 24, None), ("bud", 24, None)]
    assert faults == []


def test_everything_to_tap_is_at_least_48_px_high(served, sign_in):
    field_id = served.site.do(lambda work: a_field(work, served.site.farm_id).id)
    page = sign_in("crew", has_touch=True)
    page.goto(f"{served.farm}/fields/{field_id}/scout")
    small = page.evaluate(SMALL)
    assert small == []
    assert not page.evaluate("document.documentElement.scrollWidth > innerWidth")
