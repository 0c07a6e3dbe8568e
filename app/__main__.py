"""The command line: `swathboard run | demo | migrate | import | report | account`."""

from __future__ import annotations

import argparse
import getpass
import json
import signal
import socket
import sys
import tempfile
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import Any

import uvicorn
from pydantic import ValidationError
from sqlalchemy.exc import SQLAlchemyError

from app.access.work import SYSTEM, Clock, Work
from app.errors import AppError, Invalid, Unsure
from app.main import create_app
from app.records.base import Database
from app.records.migrating import migrate
from app.services import accounts, farms, invitations, reports, team, workbook
from app.settings import Settings
from app.units.wording import Reader
from app.web.logs import start_logging, without_secrets

LOOPBACK = ("127.0.0.1", "::1", "localhost")
STOPS_WITHIN_S = 3
"""How long the server waits for open live streams when it is told to stop."""


class Refused(Exception):
    """Something a person can put right; printed without a traceback."""


def main(arguments: list[str] | None = None) -> int:
    """Run one command. 0 when it is done, 1 when it was refused, 2 when it was called wrongly."""
    chosen = _parser().parse_args(arguments)
    start_logging()
    try:
        return chosen.do(chosen, Settings()) or 0
    except Invalid as refused:
        reasons = (Reader().say(why) for why in refused.fields.values())
        print("Not done: " + "\n  ".join(reasons), file=sys.stderr)
    except Unsure as asked:
        questions = (Reader().say(why) for why in asked.fields.values())
        print("Not done, please look: " + "\n  ".join(questions), file=sys.stderr)
        print("If all of it is right, say so with --sure.", file=sys.stderr)
    except ValidationError as wrong:
        for each in wrong.errors():
            name = "SWATHBOARD_" + "_".join(str(part) for part in each["loc"]).upper()
            print(f"Setting {name}: {each['msg']} (it is {each['input']!r}).", file=sys.stderr)
    except SQLAlchemyError as away:
        said = without_secrets(str(getattr(away, "orig", None) or away).strip())
        print(f"The database did not answer: {said}", file=sys.stderr)
    except (AppError, Refused) as refused:
        print(f"Not done: {refused}", file=sys.stderr)
    except OSError as refused:
        print(f"Not done: {refused.filename or 'file'}: {refused.strerror or refused}", file=sys.stderr)
    return 1


def _parser() -> argparse.ArgumentParser:
    top = argparse.ArgumentParser(prog="swathboard", description="The shared board of a dairy's haylage harvest.")
    commands = top.add_subparsers(metavar="COMMAND", required=True)

    def command(name: str, do: Callable[..., int | None], says: str, within: Any = commands) -> argparse.ArgumentParser:
        parser = within.add_parser(name, help=says, description=says)
        parser.set_defaults(do=do)
        return parser

    run = command("run", _run, "Bring the database up to date and serve the pages.")
    run.add_argument("--host", help="address to listen on; this computer only unless given")
    run.add_argument("--port", type=_port)
    demo = command("demo", _demo, "Serve invented farms from a new database that is thrown away at the end.")
    demo.add_argument("--on", type=_day, metavar="DATE", help="the day to stand on, such as 2027-05-10")
    demo.add_argument("--port", type=_port)
    command("migrate", _migrate, "Bring the database up to date; a copy of it is made first.")
    load = command("import", _import, "Read a farm workbook (XLSX, or a ZIP of CSV), all of it or nothing.")
    load.add_argument("file", type=Path, metavar="FARM_FILE")
    where = load.add_mutually_exclusive_group()
    where.add_argument("--farm", metavar="FARM", help="number or name of the farm to read it into")
    where.add_argument("--new", action="store_true", help="make a new farm of it (the usual)")
    load.add_argument("--sure", action="store_true", help="take values that are possible but unlikely")
    load.add_argument("--dry-run", action="store_true", help="say what would be done, and do nothing")
    report = command("report", _report, "Print every figure of a farm's board, with unit, day, range and source.")
    report.add_argument("farm", metavar="FARM", help="number or name of the farm")
    report.add_argument("--json", action="store_true")
    _account_commands(command, command("account", _list_accounts, "People and their ways in."))
    return top


def _account_commands(command: Callable[..., argparse.ArgumentParser], account: argparse.ArgumentParser) -> None:
    verbs = account.add_subparsers(metavar="VERB", required=True)
    command("list", _list_accounts, "List everyone and their farms.", verbs)
    add = command("add", _add_account, "Add a person. The password is asked for, or read from standard input.", verbs)
    add.add_argument("email")
    add.add_argument("--name", required=True)
    invite = command("invite", _invite, "Make a link by which one person joins a farm.", verbs)
    invite.add_argument("farm", metavar="FARM")
    invite.add_argument("email")
    invite.add_argument("role", choices=list(team.ROLES))
    for name, do, says in (
        ("password", _set_password, "Give a person a new password and sign them out everywhere."),
        ("token", _add_token, "Make a token for the JSON interface; it is shown once."),
        ("close", _close_account, "End every way in for a person."),
    ):
        verb = command(name, do, says, verbs)
        verb.add_argument("email")
        if name == "token":
            verb.add_argument("--name", default="command line", help="what it is for")


def _port(text: str) -> int:
    if not text.isdigit() or not 0 <= int(text) <= 65535:
        raise argparse.ArgumentTypeError(f"{text!r} is not a port; write a number such as 8466")
    return int(text)


def _day(text: str) -> date:
    try:
        return date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a day; write one such as 2027-05-10") from None


# Serving -------------------------------------------------------------------------------------------------------------


class _Server(uvicorn.Server):
    """A server that says where it is once it listens."""

    greeting: Callable[[], None]

    async def startup(self, sockets: list[socket.socket] | None = None) -> None:
        await super().startup(sockets)
        if self.started:
            self.greeting()

    def handle_exit(self, sig: int, frame: Any) -> None:
        """End the live streams first: an open one would hold the server up until its patience is over."""
        self.config.app.state.bus.close()  # type: ignore[union-attr]
        super().handle_exit(sig, frame)


def _run(chosen: argparse.Namespace, settings: Settings) -> None:
    changed = {name: value for name in ("host", "port") if (value := getattr(chosen, name)) is not None}
    settings = settings.model_copy(update=changed)
    if settings.demo and settings.host not in LOOPBACK:
        raise Refused("in demo mode anyone may come in as anyone, so it is served on this computer only")
    listening = _listen(settings)
    link = ""
    with _writing(settings) as work:
        if accounts.is_empty(work):
            link = accounts.make_setup_link(work)

    def greet(address: str) -> None:
        print(f"Swathboard is at {address}/")
        if link:
            print(f"Nobody has an account yet. The first owner starts here (works once): {address}/set-up/{link}")

    _serve(settings, listening, greet)


def _demo(chosen: argparse.Namespace, settings: Settings) -> None:
    signal.signal(signal.SIGTERM, lambda *_: sys.exit(0))  # so that the folder is taken away in any case
    with tempfile.TemporaryDirectory(prefix="swathboard-demo-") as folder:
        settings = Settings(
            database=f"sqlite:///{folder}/demo.sqlite",
            host=LOOPBACK[0],
            port=settings.port if chosen.port is None else chosen.port,
            today=chosen.on or settings.today,
            demo=True,
            https=False,
            base_url="",
        )
        listening = _listen(settings)
        try:
            from seed_demo import demo_day, seed
        except ImportError as missing:
            raise Refused("the invented farms (package seed_demo) are not part of this installation") from missing
        settings = settings.model_copy(update={"today": settings.today or demo_day(date.today())})
        database, clock = _migrated(settings), _demo_clock(settings.today)
        print(f"Making the invented farms as they stand on {settings.today} (another day: --on DATE) ...")
        people = seed(database, clock)
        database.close()

        def greet(address: str) -> None:
            print(f"Swathboard demo is at {address}/ (this computer only). Sign in with one click as:")
            print("\n".join(f"  {line}" for line in people))

        _serve(settings, listening, greet, clock)


def _demo_clock(stands_on: date | None) -> Clock:
    """A clock that runs on from this time of day on the day the demo stands on, so that "yesterday" fits it too."""
    ahead = stands_on - date.today() if stands_on else timedelta(0)
    return Clock(stands_on, lambda: datetime.now(UTC) + ahead)


def _listen(settings: Settings) -> socket.socket:
    """The socket to serve on, taken before anything else is done."""
    family = socket.AF_INET6 if ":" in settings.host else socket.AF_INET
    # The protocol is named: for a socket without it asyncio does not switch off delayed sending, 40 ms an answer.
    listening = socket.socket(family, socket.SOCK_STREAM, socket.IPPROTO_TCP)
    listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
    try:
        listening.bind((settings.host, settings.port))
        listening.listen(128)
    except OSError as taken:
        listening.close()
        raise Refused(
            f"cannot listen on {settings.host} port {settings.port} ({taken.strerror}). "
            f"Is Swathboard running already? Another port: --port {settings.port % 65535 + 1}, or 0 for any free one."
        ) from taken
    return listening


def _serve(
    settings: Settings, listening: socket.socket, greet: Callable[[str], None], clock: Clock | None = None
) -> None:
    host = f"[{settings.host}]" if ":" in settings.host else settings.host
    address = settings.base_url.rstrip("/") or f"http://{host}:{listening.getsockname()[1]}"
    config = uvicorn.Config(
        create_app(settings, clock), log_config=None, access_log=False, timeout_graceful_shutdown=STOPS_WITHIN_S
    )
    server = _Server(config)
    server.greeting = lambda: (greet(address), print("Stop it with Ctrl-C.", flush=True))  # type: ignore[assignment]
    signal.signal(signal.SIGTERM, signal.SIG_IGN)  # the server hands the signal on once it has stopped
    try:
        server.run(sockets=[listening])
    except KeyboardInterrupt:
        print("Stopped.")
    if not server.started:
        raise Refused("the server could not start; the lines above say why")


# The database --------------------------------------------------------------------------------------------------------


def _migrated(settings: Settings) -> Database:
    database = Database(settings.database)
    done = migrate(database, settings.backups)
    if done != "up to date":
        print(f"Database {database.url.render_as_string(hide_password=True)}: {done}.")
    return database


@contextmanager
def _writing(settings: Settings, *, keep: bool = True) -> Iterator[Work]:
    """A committed transaction of the machine itself, on a database brought up to date; undone on any error."""
    database = _migrated(settings)
    try:
        with database.lock, database.writing() as session:
            yield Work(session, SYSTEM, Clock(settings.today))
            if keep:
                session.commit()
    finally:
        database.close()


def _migrate(_chosen: argparse.Namespace, settings: Settings) -> None:
    _migrated(settings).close()
    print("The database is up to date.")


# Farms ---------------------------------------------------------------------------------------------------------------


def _import(chosen: argparse.Namespace, settings: Settings) -> int:
    content = chosen.file.read_bytes()
    with _writing(settings, keep=not chosen.dry_run) as work:
        farm_id = farms.find_farm(work, chosen.farm).id if chosen.farm else None
        result = workbook.import_farm(
            work, content, chosen.file.name, farm_id, chosen.dry_run, sure=chosen.sure, reader=Reader()
        )
    print("\n".join(Reader().say(line) for line in result))
    for problem in result.problems:
        print(Reader().say(problem.sentence()), file=sys.stderr)
    print("Done." if result.is_done else "Nothing was changed: this was a dry run.")
    return 1 if result.problems else 0


def _report(chosen: argparse.Namespace, settings: Settings) -> None:
    with _writing(settings, keep=False) as work:
        report = reports.report_farm(work, farms.find_farm(work, chosen.farm).id)
    if chosen.json:
        print(json.dumps(report, indent=2, ensure_ascii=False, default=str))
        return
    print("\n".join(reports.report_lines(report)))


# People --------------------------------------------------------------------------------------------------------------


def _list_accounts(_chosen: argparse.Namespace, settings: Settings) -> None:
    with _writing(settings, keep=False) as work:
        for person, memberships in team.list_people(work):
            roles = ", ".join(f"{farm}: {role}" for farm, role in memberships)
            print(f"{person.email or '(crew phone)':32} {person.name:24} {roles or 'no farm'}")


def _add_account(chosen: argparse.Namespace, settings: Settings) -> None:
    password = _asked_password()
    with _writing(settings) as work:
        accounts.add_account(work, chosen.name, chosen.email, password)
    print(f"{chosen.name} may sign in with {chosen.email}.")


def _invite(chosen: argparse.Namespace, settings: Settings) -> None:
    with _writing(settings) as work:
        farm = farms.find_farm(work, chosen.farm)
        token = invitations.invite(work, farm.id, {"email": chosen.email, "role": chosen.role})
    address = settings.base_url.rstrip("/") or f"http://{settings.host}:{settings.port}"
    print(f"For {chosen.email}, works once, within {invitations.INVITATION_D} days: {address}/invitations/{token}")


def _set_password(chosen: argparse.Namespace, settings: Settings) -> None:
    password = _asked_password()
    with _writing(settings) as work:
        accounts.set_password(work, accounts.account_by_email(work, chosen.email), password)
    print(f"{chosen.email} has a new password and is signed out everywhere.")


def _add_token(chosen: argparse.Namespace, settings: Settings) -> None:
    with _writing(settings) as work:
        token = accounts.add_api_token(work, accounts.account_by_email(work, chosen.email), chosen.name)
    print(token)


def _close_account(chosen: argparse.Namespace, settings: Settings) -> None:
    with _writing(settings) as work:
        account = accounts.account_by_email(work, chosen.email)
        team.check_not_needed(work, account.id)
        accounts.close_account(work, account)
    print(f"{chosen.email} cannot come in any more; what they wrote stays.")


def _asked_password() -> str:
    """The password: typed twice at a terminal, else the first line of standard input."""
    if not sys.stdin.isatty():
        return sys.stdin.readline().rstrip("\n")
    first, again = getpass.getpass("Password: "), getpass.getpass("Again: ")
    if first != again:
        raise Refused("the two passwords differ")
    return first


if __name__ == "__main__":
    sys.exit(main())
