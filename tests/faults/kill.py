"""The server killed over and over while people write: what was answered must be there, once, afterwards.

`python -m tests.faults.kill [--kills N]` prints the table; it stops by itself and ends only the server it started.
"""

from __future__ import annotations

import argparse
import json
import random
import statistics
import sys
import tempfile
import time
from collections import Counter
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.serving import met, table
from tests.faults.place import Place
from tests.faults.writers import Saved, Writer

BACK_S = 3.0


@dataclass
class Result:
    """What was found over all kills."""

    kills: int = 0
    written: int = 0
    sent_again: int = 0
    back_s: list[float] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)


def kill_often(place: Place, kills: int, load_s: tuple[float, float], writers_count: int = 6) -> Result:
    """Let people write, kill the server at a moment of chance, start it again and look; `kills` times."""
    result, chance = Result(), random.Random(7)
    place.start()
    before = place.rows("select seq from farms where id = ?", place.farm_id)[0][0]
    writers = [Writer(place, number) for number in range(writers_count)]
    for writer in writers:
        writer.up.set()
        writer.start()
    try:
        for number in range(kills):
            time.sleep(chance.uniform(*load_s))
            for writer in writers:
                writer.up.clear()
            place.kill()
            if number % 10 == 9:
                _kill_while_starting(place, chance)
            result.back_s.append(place.start())
            result.wrong += _look(place, writers, f"after kill {number + 1}")
            if number % 25 == 24:
                print(f"{number + 1} kills, {len(result.wrong)} wrong", file=sys.stderr)
            for writer in writers:
                writer.up.set()
        result.kills = kills + kills // 10
    finally:
        for writer in writers:
            writer.ending.set()
            writer.up.set()
        for writer in writers:
            writer.join(30)
    if place.stop() != 0:
        result.wrong.append("it did not end in good order")
    saved = [each for writer in writers for each in writer.done]
    result.written, result.sent_again = len(saved), sum(writer.sent_again for writer in writers)
    result.wrong += [said for writer in writers for said in writer.wrong]
    result.wrong += _look(place, writers, "at the end") + _effects(place, writers, before)
    return result


def _kill_while_starting(place: Place, chance: random.Random) -> None:
    """A second crash, while the database is being taken up again after the first."""
    place.launch()
    time.sleep(chance.uniform(0.3, 1.5))
    place.kill()


def _look(place: Place, writers: list[Writer], when: str) -> list[str]:
    """Lost keys, keys taken twice, gaps in the numbers, a broken file."""
    saved: list[Saved] = [each for writer in writers for each in list(writer.done)]
    taken = Counter(key.partition(":")[2] for (key,) in place.rows("select key from sendings"))
    wrong = [f"{when}: {each.kind} {each.text} is lost" for each in saved if taken[each.key] != 1]
    if not place.is_whole():
        wrong.append(f"{when}: the file is not whole")
    if not place.has_every_seq_once():
        wrong.append(f"{when}: the history is not numbered without gaps")
    return wrong


def _effects(place: Place, writers: list[Writer], before: int) -> list[str]:
    """Each acknowledged write has exactly one line of history and one effect, and there is nothing else."""
    wrong = []
    lines = place.rows("select noun, row_id, verb, name, fields from changes where farm_id = ?", place.farm_id)
    verbs = Counter((row_id, verb) for noun, row_id, verb, _name, _fields in lines if noun == "items")
    after = Counter(
        pair[1] for *_line, fields in lines for pair in json.loads(fields).values() if isinstance(pair[1], str)
    )
    added = Counter(name for _noun, _row, verb, name, _fields in lines if verb == "add")
    walks = Counter(text for (text,) in place.rows("select note from scoutings"))
    for writer in writers:
        ticks = sum(each.kind == "tick" for each in writer.done)
        if verbs[writer.tick_id, "tick"] + verbs[writer.tick_id, "untick"] != ticks:
            wrong.append(f"writer {writer.number}: {ticks} ticks answered, other number in the history")
        is_done = place.rows("select done_at is not null from items where id = ?", writer.tick_id)[0][0]
        if bool(is_done) != writer.ticked:
            wrong.append(f"writer {writer.number}: the last tick is not what stands there")
        for each in writer.done:
            kept = {"note": after, "edit": after, "add": added, "scout": walks}.get(each.kind)
            if kept is not None and kept[each.text] != 1:
                wrong.append(f"{each.kind} {each.text} is there {kept[each.text]} times")
        note, title = (place.rows(f"select {of} from items where id = ?", row)[0][0]
                       for of, row in (("note", writer.note_id), ("title", writer.edit_id)))  # fmt: skip
        if writer.note and (note, title) != (writer.note, writer.title or title):
            wrong.append(f"writer {writer.number}: the last note or title is not what stands there")
    now, answered = (
        place.rows("select seq from farms where id = ?", place.farm_id)[0][0],
        sum(len(w.done) for w in writers),
    )
    if now - before != answered:
        wrong.append(f"{answered} writes were answered, the history grew by {now - before}")
    return wrong


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--kills", type=int, default=300)
    kills = parser.parse_args().kills
    with tempfile.TemporaryDirectory() as folder:
        place = Place(Path(folder))
        try:
            found = kill_often(place, kills, (0.4, 2.6))
        finally:
            place.end()
    most, middle = max(found.back_s), statistics.median(found.back_s)
    late = sum(each > BACK_S for each in found.back_s)
    table(
        "Killed while six people write (SIGKILL, SQLite)",
        [
            ("kills", ">= 300", str(found.kills), met(found.kills >= 300)),
            ("acknowledged writes", ">= 50,000", f"{found.written:,}", met(found.written >= 50_000)),
            ("sent again because no answer came", "", f"{found.sent_again:,}", ""),
            ("lost, doubled, out of order or broken", "0", str(len(found.wrong)), met(not found.wrong)),
            (
                "back after",
                f"<= {BACK_S:g} s",
                f"median {middle:.2f} s, most {most:.2f} s, {late} later",
                met(not late),
            ),
        ],
    )
    print("\n".join(found.wrong[:20]))


if __name__ == "__main__":
    main()
