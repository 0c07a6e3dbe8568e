"""The farm of the first spring, told once: what its people type into pages, and what they would write into a workbook.

Figures worked by hand stand beside the test that holds them against the board.
"""

from __future__ import annotations

import io
import re
from datetime import date, timedelta

import numpy as np
import openpyxl

from tests.builders import real_weather
from tests.builders.lab import lab_form
from tests.builders.published import table
from tests.builders.site import Browser

TODAY = date(2018, 5, 8)
STARTS_ON = date(2018, 6, 1)
HERD = table("planning", "reference_herd")
QUESTION = "Cut Bottom Piece first?"

FIELDS = (
    {"name": "Top Piece", "area_ha": "100", "haul_km": "1.5"},
    {"name": "Bottom Piece", "area_ha": "50", "haul_km": "2"},
)
STANDS = ({"season_yield_kg_ha": ""}, {"season_yield_kg_ha": "5"})
WALKS = (("vegetative", 24), ("bud", 24))
STEMS = "50"
MACHINES = (
    {"name": "Chopper", "kind": "chopper", "rate_kg_h": "50"},
    {"name": "Blue", "kind": "packing_tractor", "weight_kg": "30000", "share_frac": "100"},
)
BUNKER = {"name": "Bunker 2", "kind": "bunker", "length_m": "150", "width_m": "40", "wall_height_m": "12",
          "peak_height_m": "14", "ramps_count": "1", "fills_next": "yes"}  # fmt: skip
RULE = {"heat_start_rule": "first-of-march", "heat_start_on": "", "heat_method": "average", "heat_base_c": "41",
        "heat_cap_c": "86"}  # fmt: skip


def weather():
    """(day, high, low, rain) of the real days of Champion, Nebraska, up to yesterday; degrees C and mm."""
    series = real_weather.series("champion")
    known = series.days < np.datetime64(TODAY)
    columns = (series.days, series.high_c, series.low_c, series.precip_mm)
    return list(zip(*(column[known] for column in columns), strict=True))


def weather_csv() -> bytes:
    """As someone keeps it: no units anywhere, so that the preview has to ask."""
    lines = (f"{day},{high:.1f},{low:.1f},{0 if np.isnan(rain) else rain:.1f}" for day, high, low, rain in weather())
    return "\n".join(("Date,High,Low,Rain", *lines)).encode()


class Told:
    """The farm as its people typed it; `owner`, `agronomist` and `phone` are their browsers."""

    def __init__(self, app, set_up: str) -> None:
        self.app, self.owner = app, Browser(app)
        self._owner(set_up)
        self._weather()
        self._people()
        self.fields = [self._field(*each) for each in zip(FIELDS, STANDS, WALKS, strict=True)]
        self._feed()
        self._herd()
        self._yard()

    def send(self, path: str, form: dict, who: Browser | None = None) -> str:
        """Post a form that must be taken, and say where it led."""
        answer = (who or self.owner).post(path, form)
        assert answer.status_code == 303, (
            path,
            answer.status_code,
            re.findall(r'class="error[^>]*>([^<]+)', answer.text),
        )
        return answer.headers["location"]

    def _owner(self, set_up: str) -> None:
        assert self.owner.get(set_up).status_code == 200
        person = {"name": "Ruth", "email": "ruth@example.org", "password": "a long password"}
        assert self.send(set_up, person) == "/farms/new"
        farm = {"name": "Marl Hollow", "time_zone": "America/Denver", "cuts_count": "4"}
        self.root = re.match(r"/farms/\d+", self.send("/farms/new", farm))[0]
        settings = farm | {"was_name": "Marl Hollow", "place": "14 Marl Lane", "was_place": ""}
        self.send(f"{self.root}/settings", settings)

    def _weather(self) -> None:
        station = self.send(f"{self.root}/weather/stations/new", {"name": "Champion", "source": "own record"})
        number = re.search(r"/stations/(\d+)", station) or re.search(
            r"/stations/(\d+)", self.owner.get(f"{self.root}/weather").text
        )
        where = f"{self.root}/weather/stations/{number[1]}/files"
        sent = self.owner._call("POST", where, files={"file": ("our days.csv", weather_csv())},
                                headers={"Origin": "http://swathboard.test"})  # fmt: skip
        assert sent.status_code == 303
        preview = sent.headers["location"]
        asked = set(re.findall(r'name="(temp_unit|rain_unit)"', self.owner.get(preview).text))
        assert asked == {"temp_unit", "rain_unit"}
        self.send(preview, {"temp_unit": "c", "rain_unit": "mm"})
        self.send(f"{preview}/take", {})
        self.send(f"{self.root}/weather/rule", RULE)

    def _people(self) -> None:
        """An agronomist comes by invitation, a crew phone by the code on the wall."""
        invited = self.owner.post(f"{self.root}/team/invitations", {"email": "tom@example.org", "role": "agronomist"})
        link = re.search(r"/invitations/[\w-]{43}", invited.text)[0]
        self.agronomist = Browser(self.app)
        assert "Marl Hollow" in self.agronomist.get(link).text
        person = {"name": "Tom", "email": "tom@example.org", "password": "another long one"}
        self.send(link, person, self.agronomist)
        made = self.owner.post(f"{self.root}/team/crew-codes", {"days": "7"})
        code = re.search(r"/crew/[\w-]{43}", made.text)[0]
        self.phone = Browser(self.app)
        self.send(code, {"name": "Luis"}, self.phone)

    def _field(self, field: dict, stand: dict, walk: tuple[str, int]) -> int:
        tom = self.agronomist
        where = self.send(f"{self.root}/fields/new", field, tom)
        if not re.search(r"/fields/\d+", where):
            where = re.search(rf'href="({self.root}/fields/\d+)"[^>]*>\s*{field["name"]}', tom.get(where).text)[1]
        where = re.match(rf"{self.root}/fields/\d+", where)[0]
        self.send(f"{where}/stands/new", {"seeded_on": "2015-04-20", "share_alfalfa": "100"} | stand, tom)
        count = re.search(rf"{self.root}/stands/\d+/counts/new", tom.get(where).text)[0]
        self.send(
            count, {"counted_on": "2018-04-20", "stems_per_m2": STEMS, "root_score": "1", "spots_count": "5"}, tom
        )
        stage, inches = walk
        spots = {f"{name}_{n}": value for n in range(1, 6)
                 for name, value in (("stage", stage), ("height_cm", str(inches)))}  # fmt: skip
        head = {"scouted_on": TODAY.isoformat(), "cutting": "1", "spots_count": "5"}
        self.send(f"{where}/scout", head | spots, tom)
        return int(where.rsplit("/", 1)[1])

    def _feed(self) -> None:
        self.send(f"{self.root}/structures/new", BUNKER)
        self.send(f"{self.root}/feeds/new", {"name": "Haylage", "kind": "haylage", "dm_frac": "40"})
        form = self.owner.get(f"{self.root}/lots/new").text
        self.feed = re.search(r'<option value="(\d+)"[^>]*>\s*Haylage', form)[1]
        lot = {"name": "Bunker 1", "feed_id": self.feed, "dm_frac": "40"}
        where = re.match(rf"{self.root}/lots/\d+", self.send(f"{self.root}/lots/new", lot))[0]
        self.lot = int(where.rsplit("/", 1)[1])
        found = {"measured_on": TODAY.isoformat(), "method": "weight", "mass_af_kg": "750", "dm_frac": "40"}
        self.send(f"{where}/measurements", found)
        report = lab_form(f"lot-{self.lot}", sampled_on="2018-04-20", value_DM="40", value_CP="20", value_ADF="30",
                          value_aNDF="40", sure="yes")  # fmt: skip
        self.send(f"{self.root}/samples/new", report)

    def _herd(self) -> None:
        for row in HERD:
            group = {"name": row["group"], "use_class": row["use_class"], "head_count": str(int(row["head"])),
                     "intake_method": "measured", "intake_kg": f"{row['intake_lb']:g}"}  # fmt: skip
            where = re.match(rf"{self.root}/herds/\d+", self.send(f"{self.root}/herds", group))[0]
            if row["share"]:
                share = {"feed_id": self.feed, "from_on": "2018-01-01", "share_frac": f"{100 * row['share']:g}"}
                self.send(f"{where}/inclusions", share)

    def _yard(self) -> None:
        for machine in MACHINES:
            self.send(f"{self.root}/machines", machine)
        self.send(f"{self.root}/checklists/draw", {})
        self.send(f"{self.root}/checklists/start", {"starts_on": STARTS_ON.isoformat(), "was_starts_on": ""})
        tick = re.search(rf"{self.root}/checklists/\d+/items/\d+/tick", self.phone.get(f"{self.root}/checklists").text)
        self.send(tick[0], {}, self.phone)
        self.send(f"{self.root}/decisions", {"question": QUESTION})
        asked = re.search(rf"{self.root}/decisions/\d+", self.owner.get(f"{self.root}/decisions").text)[0]
        answer = {"question": QUESTION, "answer": "Yes", "why": "it is further on", "was_question": QUESTION,
                  "was_answer": "", "was_why": ""}  # fmt: skip
        self.send(asked, answer)


def workbook() -> bytes:
    """The same farm as somebody fills it in at home: only the sheets and columns that hold something."""
    book = openpyxl.Workbook()
    book.remove(book.active)

    def sheet(title: str, heads: tuple[str, ...], *rows: tuple) -> None:
        made = book.create_sheet(title)
        for row in (heads, *rows):
            made.append(row)

    # fmt: off
    names, seeded, counted = [field["name"] for field in FIELDS], date(2015, 4, 20), date(2018, 4, 20)
    sheet("Farm", ("Name of the farm", "Time zone", "Cuttings in a season"), ("From paper", "America/Denver", 4))
    sheet("Settings", ("Setting", "Value", "Unit"), ("heat_start_rule", "first-of-march", None))
    sheet("Cuttings", ("Year", "Cutting", "Agreed start of cutting"), (2018, 1, STARTS_ON))
    sheet("Fields", ("Name of the field", "Area (ac)", "Haul to storage, one way (mi)"),
          *((each["name"], float(each["area_ha"]), float(each["haul_km"])) for each in FIELDS))
    sheet("Stands", ("Field", "Seeded on", "Alfalfa (%)", "Own record of the season's yield (t DM/ac)"),
          (names[0], seeded, 100, None), (names[1], seeded, 100, 5))
    sheet("Stem counts", ("Field", "Counted on", "Stems (stems/sq ft)", "Roots and crowns, 0 to 5", "Spots"),
          *((name, counted, float(STEMS), 1, 5) for name in names))
    sheet("Scoutings", ("Field", "Day", "Reading of that day", "Most mature stem", "Tallest stem (in)", "Cutting"),
          *((name, TODAY, 1, stage, inches, 1) for name, (stage, inches) in zip(names, WALKS, strict=True)
            for _spot in range(5)))
    sheet("Weather stations", ("Name of the station", "Where the days come from", "Heat is counted from it"),
          ("Champion", "own record", "yes"))
    sheet("Weather days", ("Station", "Day", "High (°C)", "Low (°C)", "Rain (mm)"),
          *(("Champion", day.astype(object), round(float(high), 1), round(float(low), 1),
             0.0 if np.isnan(rain) else round(float(rain), 1)) for day, high, low, rain in weather()))
    sheet("Structures", ("Name of the structure", "Kind of structure", "Length (ft)", "Width at the floor (ft)",
                         "Height of the walls (ft)", "Settled height at the highest point (ft)", "Sloped ends",
                         "Meant to take the coming cutting"),
          ("Bunker 2", "bunker", 150, 40, 12, 14, 1, "yes"))
    sheet("Feeds", ("Name of the feed", "Kind of feed", "Dry matter, usual (%)"), ("Haylage", "haylage", 40))
    sheet("Lots", ("Name of the lot", "Feed", "Dry matter (%)"), ("Bunker 1", "Haylage", 40))
    sheet("Measurements", ("Lot", "Day", "How it was found", "Weight as fed (t as fed, 2000 lb)", "Dry matter (%)"),
          ("Bunker 1", TODAY, "weight", 750, 40))
    sheet("Samples", ("Lot", "Sampled on", "Sample of that day", "Analyte", "Value", "Unit", "Basis"),
          *(("Bunker 1", counted, 1, code, value, "%", basis)
            for code, value, basis in
            (("DM", 40, "AR"), ("CP", 20, "DM"), ("ADF", 30, "DM"), ("aNDF", 40, "DM"))))
    sheet("Herd groups", ("Name of the group", "Use class", "Head (head)", "How the intake is known",
                          "Measured intake (lb DM/day)"),
          *((row["group"], row["use_class"], int(row["head"]), "measured", row["intake_lb"]) for row in HERD))
    sheet("Diet shares", ("Group", "Feed", "From", "Share of the diet's dry matter (%)"),
          *((row["group"], "Haylage", date(2018, 1, 1), 100 * row["share"]) for row in HERD if row["share"]))
    sheet("Machines", ("Name", "Kind of machine", "Weight with ballast (lb)", "Share of the filling hours it packs (%)",
                       "What it moves in an hour (t/h, 2000 lb)"),
          ("Chopper", "chopper", None, None, 50), ("Blue", "packing_tractor", 30000, 100, None))
    sheet("Decisions", ("What has to be decided", "What was agreed", "Why"), (QUESTION, "Yes", "it is further on"))
    # fmt: on
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def heat_c(first: date, last: date) -> float:
    """Degree-days C above 5 C, mean of high and low, both days included: a plain loop over the days typed."""
    days = {day.astype(object): (high, low) for day, high, low, _rain in weather_rounded()}
    return sum(max(0.0, sum(days[first + timedelta(days=n)]) / 2 - 5) for n in range((last - first).days + 1))


def weather_rounded():
    return [(day, round(float(high), 1), round(float(low), 1), rain) for day, high, low, rain in weather()]


def usual_day(more_c_d: float) -> date:
    """The middle of the days on which so much more heat has come, by the weather of each past year from today on."""
    days = {day.astype(object): (high, low) for day, high, low, _rain in weather_rounded()}
    found = []
    for year in range(1982, 2018):
        total, day = 0.0, TODAY.replace(year=year)
        while total < more_c_d:
            total += max(0.0, sum(days[day]) / 2 - 5)
            day += timedelta(days=1)
        found.append((day - timedelta(days=1)).replace(year=2018))
    return sorted(found)[len(found) // 2]
