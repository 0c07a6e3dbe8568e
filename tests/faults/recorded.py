"""`swathboard run` with every write and every sync of its database written down, in order, with the moment.

The app is unchanged; the record is made below SQLite, where it asks the system for them. One line of the record is a
moment (nanoseconds, monotonic), a word (`write`, `cut`, `sync`, `synced`), a file (`db`, `wal`), an offset, a length,
followed by the bytes of a write. `sync` is written when it is asked for and `synced` when it has returned.
"""

from __future__ import annotations

import ctypes
import os
import struct
import sys
import threading
import time

from sqlalchemy import event
from sqlalchemy.pool import Pool

HEAD = struct.Struct("<qBBqq")
WRITE, CUT, SYNC, SYNCED = range(4)
FILES = {0x100: 0, 0x80000: 1}
"""SQLite's flags of the main database and of its write-ahead log -> number of the file in the record."""

pointer, whole, large = ctypes.c_void_p, ctypes.c_int, ctypes.c_int64
Open = ctypes.CFUNCTYPE(whole, pointer, pointer, pointer, whole, pointer)
Write = ctypes.CFUNCTYPE(whole, pointer, pointer, whole, large)
Cut = ctypes.CFUNCTYPE(whole, pointer, large)
Sync = ctypes.CFUNCTYPE(whole, pointer, whole)


class Methods(ctypes.Structure):
    """What SQLite calls on an open file (`sqlite3_io_methods`, version 3)."""

    _fields_ = [("version", whole), *((f"m{place}", pointer) for place in range(18))]


class System(ctypes.Structure):
    """The start of `sqlite3_vfs`, up to the function that opens files."""

    _fields_ = [
        ("version", whole),
        ("size", whole),
        ("longest", whole),
        ("next", pointer),
        ("name", ctypes.c_char_p),
        ("more", pointer),
        ("open", pointer),
    ]


CLOSE, READ, WRITE_AT, CUT_AT, SYNC_AT = range(5)
"""Places of the functions in `Methods`."""

kept: list[object] = []
"""What SQLite holds an address of."""


class Record:
    """The open record; one line at a time."""

    def __init__(self, path: str) -> None:
        self.file, self.lock = open(path, "wb", buffering=0), threading.Lock()  # noqa: SIM115

    def line(self, word: int, file: int, offset: int = 0, content: bytes = b"", length: int | None = None) -> None:
        with self.lock:
            size = len(content) if length is None else length
            self.file.write(HEAD.pack(time.monotonic_ns(), word, file, offset, size) + content)


def watch(record: Record) -> None:
    """From now on, every file SQLite opens is written down."""
    library = ctypes.CDLL("libsqlite3.so.0")
    library.sqlite3_vfs_find.restype = ctypes.POINTER(System)
    system = library.sqlite3_vfs_find(None).contents
    really_open = Open(system.open)

    def opened(vfs: int, name: int, file: int, flags: int, out: int) -> int:
        answer = really_open(vfs, name, file, flags, out)
        number = next((number for flag, number in FILES.items() if flags & flag), None)
        if answer == 0 and number is not None:
            place = ctypes.cast(file, ctypes.POINTER(ctypes.POINTER(Methods)))
            place[0] = ctypes.pointer(_written_down(place[0].contents, number, record))
        return answer

    replaced = Open(opened)
    kept.extend((library, really_open, replaced))
    system.open = ctypes.cast(replaced, pointer)


def _written_down(real: Methods, number: int, record: Record) -> Methods:
    copy = Methods.from_buffer_copy(real)
    write, cut, sync = Write(real.m2), Cut(real.m3), Sync(real.m4)

    def written(file: int, content: int, length: int, offset: int) -> int:
        record.line(WRITE, number, offset, ctypes.string_at(content, length))
        return write(file, content, length, offset)

    def shortened(file: int, length: int) -> int:
        record.line(CUT, number, length)
        return cut(file, length)

    def synced(file: int, flags: int) -> int:
        record.line(SYNC, number)
        answer = sync(file, flags)
        record.line(SYNCED, number)
        return answer

    functions = (Write(written), Cut(shortened), Sync(synced))
    for place, function in zip(("m2", "m3", "m4"), functions, strict=True):
        setattr(copy, place, ctypes.cast(function, pointer))
    kept.extend((copy, write, cut, sync, *functions))
    return copy


def main() -> int:
    from app.__main__ import main as run

    watch(Record(os.environ["RECORD_TO"]))
    if level := os.environ.get("RECORD_SYNCHRONOUS"):  # how it would be with another setting, to see what is lost

        @event.listens_for(Pool, "checkout")
        def weaken(connection, _record, _proxy):
            connection.execute(f"PRAGMA synchronous={level}")

    return run(sys.argv[1:])


if __name__ == "__main__":
    sys.exit(main())
