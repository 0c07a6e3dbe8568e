"""Values are collected by day; impossible and doubled ones are named and counted."""

from datetime import date

import numpy as np

from app.weather.reading import MOST_PROBLEMS, DayBook


def test_impossible_values_are_refused_with_the_range():
    book = DayBook("weather.csv")
    book.put(2, date(2026, 5, 1), "high_c", 99.0, "99")
    book.put(3, date(2026, 5, 2), "precip_mm", -1.0, "-1")
    assert [problem.row for problem in book.problems] == [2, 3] and "57" in str(book.problems[0].sentence())
    assert np.isnan(book.series("A").high_c).all()


def test_a_file_full_of_faults_gives_a_list_one_can_read_and_the_whole_number():
    book = DayBook()
    for row in range(1000):
        book.put(row, date(2026, 5, 1), "high_c", 99.0, "99")
    assert len(book.problems) == MOST_PROBLEMS and book.rejected["unreadable"] == 1000


def test_the_same_value_twice_is_counted_but_no_fault():
    book = DayBook()
    for row in (2, 3):
        book.put(row, date(2026, 5, 1), "high_c", 20.0, "20")
    assert book.counts(book.series("A"), 2).doubled_days == 1 and not book.problems
