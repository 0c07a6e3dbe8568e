"""Power cuts, worked out: what would be on the disk had the power gone at a moment, and is every answered write in it?

`python -m tests.faults.power [--cuts N] [--seconds S]` lets six people write to a real server of which every write and
sync below SQLite is written down (`recorded.py`), then cuts the power at moments of chance in that record. After a cut
the disk holds, of each file: everything before its last finished sync, and of what came after it any part: each sector
of 512 bytes of each write by chance the new or the old one. A file's name counts as durable once it was there at the
start. The disk is taken to keep what it said was synced. The same cuts with a weaker setting show that losses are seen.
"""

from __future__ import annotations

import argparse
import os
import random
import sqlite3
import tempfile
import time
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass, field
from pathlib import Path

from tests.bench.serving import met, table
from tests.faults.place import Place
from tests.faults.recorded import CUT, HEAD, SYNC, SYNCED, WRITE
from tests.faults.writers import Saved, Writer

SECTOR = 512
NAMES = ("farm.sqlite", "farm.sqlite-wal")


@dataclass
class Line:
    """One write, shortening, sync or finished sync of one file."""

    at_ns: int
    word: int
    file: int
    offset: int
    content: bytes = b""


@dataclass
class Disk:
    """One file: what is durable, and what came after, of which any part may be there."""

    durable: bytearray
    after: list[Line] = field(default_factory=list)
    asked: int | None = None

    def take(self, line: Line) -> None:
        if line.word in (WRITE, CUT):
            self.after.append(line)
        elif line.word == SYNC:
            self.asked = len(self.after)  # what is written while it syncs is not covered by it
        elif line.word == SYNCED and self.asked is not None:
            for each in self.after[: self.asked]:
                _apply(self.durable, each)
            self.after, self.asked = self.after[self.asked :], None

    def after_a_cut(self, chance: random.Random) -> bytes:
        content, keeps = bytearray(self.durable), chance.choice((0.0, 0.3, 0.7, 1.0))
        for line in self.after:
            _apply(content, line, lambda: chance.random() < keeps)
        return bytes(content)


def _apply(content: bytearray, line: Line, keep=lambda: True) -> None:
    if line.word == CUT:
        if keep():
            del content[line.offset :]
        return
    for start in range(0, len(line.content), SECTOR):
        if keep():
            piece, at = line.content[start : start + SECTOR], line.offset + start
            if len(content) < at:
                content.extend(bytes(at - len(content)))
            content[at : at + len(piece)] = piece


def read_record(path: Path) -> Iterator[Line]:
    with path.open("rb") as file:
        while head := file.read(HEAD.size):
            at_ns, word, number, offset, length = HEAD.unpack(head)
            yield Line(at_ns, word, number, offset, file.read(length))


def write_and_record(folder: Path, seconds: float, level: str = "") -> tuple[Place, dict[int, bytes], list[Saved]]:
    """People write for a while; the files as they were before, and what was answered when."""
    os.environ["RECORD_TO"], os.environ["RECORD_SYNCHRONOUS"] = str(folder / "record"), level
    place = Place(folder, module="tests.faults.recorded")
    before = {number: _bytes(folder / name) for number, name in enumerate(NAMES)}
    place.start()
    writers = [Writer(place, number) for number in range(6)]
    try:
        for writer in writers:
            writer.up.set()
            writer.start()
        time.sleep(seconds)
    finally:
        for writer in writers:
            writer.ending.set()
        for writer in writers:
            writer.join(20)
        place.end()
    return place, before, sorted((each for writer in writers for each in writer.done), key=lambda each: each.at)


def _bytes(path: Path) -> bytes:
    return path.read_bytes() if path.exists() else b""


def cut_often(folder: Path, before: dict[int, bytes], saved: list[Saved], cuts: int) -> tuple[int, int, int]:
    """(cuts with a loss, answered writes lost in all, cuts after which the file was not whole)."""
    chance, lines = random.Random(11), list(read_record(folder / "record"))
    first, last = saved[0].at * 1e9, saved[-1].at * 1e9
    moments = sorted(chance.uniform(first, last) for _ in range(cuts))
    disks = [Disk(bytearray(before[number])) for number in range(len(NAMES))]
    with_loss = lost = broken = place = 0
    for moment in moments:
        while place < len(lines) and lines[place].at_ns <= moment:
            disks[lines[place].file].take(lines[place])
            place += 1
        answered = {each.key for each in saved if each.at * 1e9 <= moment}
        kept, is_whole = _start_again(folder / "after", [disk.after_a_cut(chance) for disk in disks])
        lost += len(answered - kept)
        with_loss += bool(answered - kept)
        broken += not is_whole
    return with_loss, lost, broken


def _start_again(folder: Path, contents: list[bytes]) -> tuple[set[str], bool]:
    """The once-only keys in what the cut left, read as SQLite takes it up again, and whether the file is whole."""
    folder.mkdir(exist_ok=True)
    for old in folder.iterdir():
        old.unlink()
    for name, content in zip(NAMES, contents, strict=True):
        (folder / name).write_bytes(content)
    try:
        with closing(sqlite3.connect(folder / NAMES[0])) as connection:
            kept = {key.partition(":")[2] for (key,) in connection.execute("select key from sendings")}
            gaps = connection.execute(
                "select count(*) from farms where seq <> (select count(*) from changes where farm_id = farms.id)"
            ).fetchone()[0]
            return kept, connection.execute("PRAGMA integrity_check").fetchall() == [("ok",)] and not gaps
    except sqlite3.DatabaseError:
        return set(), False


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--cuts", type=int, default=1000)
    parser.add_argument("--seconds", type=float, default=20)
    chosen = parser.parse_args()
    rows = []
    for name, level, cuts in (
        ("as it is", "", chosen.cuts),
        ("weaker, to compare (NORMAL)", "NORMAL", chosen.cuts // 5),
    ):
        with tempfile.TemporaryDirectory() as folder:
            _place, before, saved = write_and_record(Path(folder), chosen.seconds, level)
            with_loss, lost, broken = cut_often(Path(folder), before, saved, cuts)
        found = f"{cuts} cuts over {len(saved):,} answered writes: {lost} lost in {with_loss} cuts, {broken} not whole"
        rows.append((name, "" if level else "0 lost, all whole", found, "" if level else met(lost + broken == 0)))
    table("Power cut at a moment of chance while six people write (SQLite)", rows)


if __name__ == "__main__":
    main()
