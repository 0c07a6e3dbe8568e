"""Every route of the app, and the table of who may use it (`rights.csv`).

`python -m tests.web.routes` adds routes that are not listed yet, with what the app answers now, and drops those that
are gone. Read each added line and correct what is wrong before committing: the table says what is meant, not what is.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from fastapi import FastAPI
from starlette.routing import Mount

TABLE = Path(__file__).with_name("rights.csv")
ROLES = ("owner", "nutritionist", "agronomist", "consultant", "crew", "viewer", "phone", "stranger", "nobody")
"""People of farm one by role, a crew phone of it, the owner of farm two, and somebody signed out."""
COLUMNS = ("method", "path", *ROLES)
YES, ROLE, HIDDEN, SIGN_IN = "yes", "role", "hidden", "sign-in"
"""Done or refused for what was typed; wrong role (403); not there (404); signed out (401, or 303 to the sign-in)."""
PARAMETER = re.compile(r"\{(\w+)(?::\w+)?\}")


def routes_of(app: FastAPI) -> Iterator[tuple[str, str]]:
    """(method, path) of every route, those of included routers too."""
    yield from sorted(set(_methods(app)))


def _methods(app: FastAPI) -> Iterator[tuple[str, str]]:
    for route in _walk(app.routes):
        for method in {"MOUNT"} if isinstance(route, Mount) else route.methods - {"HEAD"}:
            yield method, route.path


def parameters_by_name(app: FastAPI) -> dict[str, set[str]]:
    """Name of a route -> what its address is made of."""
    return {route.name: set(PARAMETER.findall(route.path)) for route in _walk(app.routes)}


def _walk(routes: list) -> Iterator[Any]:
    for route in routes:
        if hasattr(route, "original_router"):  # how FastAPI keeps an included router
            yield from _walk(route.original_router.routes)
        else:
            yield route


def read_table() -> dict[tuple[str, str], dict[str, str]]:
    """(method, path) -> role -> what is meant."""
    with TABLE.open(newline="") as file:
        return {(row["method"], row["path"]): row for row in csv.DictReader(file)}


def write_table(rows: dict[tuple[str, str], dict[str, str]]) -> None:
    with TABLE.open("w", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows[key] for key in sorted(rows, key=lambda key: (key[1], key[0])))


def main() -> None:
    import tempfile

    from tests.web.walker import Walker

    with tempfile.TemporaryDirectory() as folder:
        walker = Walker.on_new_database(Path(folder) / "walk.sqlite")
        listed = read_table() if TABLE.exists() else {}
        rows = {}
        for method, path in routes_of(walker.app):
            if (method, path) in listed:
                rows[method, path] = listed[method, path]
                continue
            answers = {role: walker.answer(method, path, role) for role in ROLES}
            print("new:", method, path, *(f"{role}={answers[role]}" for role in ROLES))
            if not any("error" in answer for answer in answers.values()):  # a broken page is not listed
                rows[method, path] = {"method": method, "path": path, **answers}
        for method, path in listed.keys() - rows.keys():
            print("gone:", method, path)
        write_table(rows)


if __name__ == "__main__":
    main()
