"""A problem says where, what stands there and what would be taken."""

from app.units.findings import Problem
from app.units.sentences import Sentence


def test_a_problem_reads_as_one_sentence_with_its_place():
    problem = Problem("Weather", 7, "high", "hot", Sentence("Type a temperature, such as {example}.", example=21.5))
    assert str(problem.sentence()) == "Weather · row 7, high: “hot”. Type a temperature, such as 21.5."


def test_a_problem_of_a_whole_column_names_no_row_and_a_long_value_is_cut():
    text = str(Problem("", None, "high", "x" * 500, Sentence("Choose a column.")).sentence())
    assert text.startswith("high: “xxx") and len(text) < 100
