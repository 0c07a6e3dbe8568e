"""What a reader of files found wrong or could not decide: problems with a place, and questions with a guess.

Readers of weather, lab and farm files hand these back beside what they could read, so that a page can show all of them
before anything is stored.
"""

from __future__ import annotations

from dataclasses import dataclass

from app.units.sentences import Sentence


@dataclass(frozen=True)
class Problem:
    """One thing in a file that cannot be taken as it stands.

    `row` counts from 1 as the person's own program shows it, None where a whole sheet or column is meant; `got` is what
    stands in the file; `allowed` says what would be taken, with a range or an example.
    """

    sheet: str
    row: int | None
    column: str
    got: str
    allowed: Sentence

    def sentence(self) -> Sentence:
        """The problem in one sentence, place first."""
        place = f"{self.sheet} · " if self.sheet else ""
        got = self.got if len(self.got) <= 60 else self.got[:59] + "…"
        if self.row is None:
            return Sentence(
                "{place}{column}: “{got}”. {allowed}", place=place, column=self.column, got=got, allowed=self.allowed
            )
        return Sentence(
            "{place}row {row}, {column}: “{got}”. {allowed}",
            place=place,
            row=self.row,
            column=self.column,
            got=got,
            allowed=self.allowed,
        )


@dataclass(frozen=True)
class Choice:
    """One answer to a question; `value` is what the form sends back."""

    value: str
    label: Sentence


@dataclass(frozen=True)
class Question:
    """Something a file leaves open. `guess` is offered, never taken unasked, and `because` gives the reason for it.

    A reader called again with `answers[key]` set to the value of a choice no longer asks.
    """

    key: str
    asked: Sentence
    choices: tuple[Choice, ...]
    guess: str | None
    because: Sentence
