"""Charts over days name their series where they end and show at most four."""

import math
from datetime import date, timedelta
from xml.etree import ElementTree

import pytest

from app.charts.lines import Chart, Level, Line, Mark, line_chart
from app.errors import OutOfRange

SVG = "{http://www.w3.org/2000/svg}"
DAYS = tuple(date(2027, 5, 10) + timedelta(days=step) for step in range(60))
TICKS = ((DAYS[0], "10 May"), (DAYS[30], "9 June"))


def falling(start: float, step: float) -> tuple[float, ...]:
    return tuple(max(start - step * day, 0.0) for day in range(60))


def balance(**changes) -> Chart:
    lines = (Line("Milking cows", falling(200, 5), falling(180, 5), falling(220, 5)), Line("Dry cows", falling(90, 1)))
    given = {"title": "Milking cows run out on 19 June", "unit": "t DM", "days": DAYS, "lines": lines, "ticks": TICKS}
    return Chart(**(given | changes))


def texts(drawn: str) -> list[str]:
    return [element.text for element in ElementTree.fromstring(drawn).iter(f"{SVG}text")]


def test_series_are_named_beside_their_lines_and_the_unit_stands_on_top():
    said = texts(line_chart(balance()))
    assert {"Milking cows", "Dry cows", "t DM", "0", "10 May"} <= set(said)


def test_a_fifth_series_is_refused():
    with pytest.raises(OutOfRange, match="at most 4"):
        balance(lines=tuple(Line(str(index), falling(10, 1)) for index in range(5)))


def test_past_years_do_not_count_as_series():
    fan = tuple(Line(str(year), falling(year - 2000, 1), quiet=True) for year in range(2010, 2027))
    drawn = line_chart(balance(lines=(*fan, Line("2027", falling(30, 1)))))
    assert "2027" in texts(drawn) and "2012" not in texts(drawn)
    assert drawn.count('class="k-rule"') >= len(fan)


def test_a_series_of_the_wrong_length_is_refused():
    with pytest.raises(OutOfRange, match="values of Milking"):
        balance(lines=(Line("Milking", (1.0, 2.0)),))


def test_a_run_out_on_a_day_of_the_chart_is_marked_and_one_outside_is_not():
    marks = (Mark(DAYS[40], "runs out"), Mark(date(2028, 1, 1), "new crop"))
    said = texts(line_chart(balance(marks=marks, today=DAYS[0], today_label="today")))
    assert "runs out" in said and "today" in said and "new crop" not in said


def test_a_level_above_all_values_is_inside_the_chart():
    tree = ElementTree.fromstring(line_chart(balance(levels=(Level(700, "first flower"),))))
    ys = [float(line.get("y1")) for line in tree.iter(f"{SVG}line") if line.get("stroke-dasharray") == "6 4"]
    assert len(ys) == 1 and ys[0] >= 0


def test_nothing_known_draws_axes_only():
    drawn = line_chart(balance(lines=(Line("Milking cows", (math.nan,) * 60),)))
    assert "Milking cows" not in texts(drawn)


def test_axis_values_are_written_as_the_reader_writes_them():
    assert "200,0" in texts(line_chart(balance(), written=lambda value: f"{value:.1f}".replace(".", ",")))


@pytest.mark.parametrize("width", [358, 640, 1100])
def test_no_label_begins_outside_the_picture(width):
    tree = ElementTree.fromstring(line_chart(balance(), width=width))
    assert all(0 <= float(text.get("x")) <= width for text in tree.iter(f"{SVG}text"))
