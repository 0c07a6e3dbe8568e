"""Everything together: people come in, farms are set up, the diaries are written."""

from __future__ import annotations

import random
import secrets
from collections.abc import Callable
from dataclasses import replace
from datetime import date, datetime, timedelta

from app.access.work import SYSTEM, Clock, Work, zone_of
from app.records.base import Database
from app.services import accounts, crew, farms, invitations, stations, weather_files
from seed_demo import cast, marl_hollow, nine_furlong, sedgewater
from seed_demo.cast import Person
from seed_demo.diary import Diary, moved_clock, writing
from seed_demo.story import Story
from seed_demo.weather import PAST_YEARS, SOURCE, station_file, with_usual_spring

FARMS = (
    (marl_hollow, cast.marl_hollow),
    (sedgewater, cast.sedgewater),
    (nine_furlong, cast.nine_furlong),
)
SIGNED_IN_D = 30
CREW_D = 150
PHONES = ("packer", "mower")


def seed(database: Database, clock: Clock) -> list[str]:
    """Put the invented farms into an empty, migrated database; one line for each person who can come in."""
    adviser = cast.consultant()
    lines = []
    _join_consultant(database, clock, adviser)
    for farm, members in FARMS:
        people = {person.key: person for person in members()}
        story = _set_up(database, clock, farm, people, adviser)
        farm.tell(story)
        story.diary.write(database)
        lines += [f"{person.name}, {person.role} of {farm.NAME}" for person in people.values()]
    _look_in(database, clock, adviser)
    return [f"{adviser.name}, consultant of all three farms", *lines]


def _set_up(database: Database, clock: Clock, farm, people: dict[str, Person], adviser: Person) -> Story:
    """The owner starts the farm and invites the others; phones come in by the code of this spring."""
    zone = zone_of(farm.TIME_ZONE)
    until = clock.moment(zone)
    place = with_usual_spring(farm.PLACE, until.year, farm.AHEAD_D)
    owner, diary = people["owner"], Diary(zone, until)
    begun = datetime(until.year - 2, 2, 26, 19, 10, tzinfo=zone)
    with writing(database) as session:
        work = Work(session, SYSTEM, moved_clock(begun))
        _keep(
            owner, accounts.add_account(work, owner.name, owner.email or "", _unknowable(), owner.language, owner.units)
        )
        work = Work(session, owner.actor(), work.clock)
        farm_id = farms.add_farm(work, farm.FARM).id
        owner.roles[farm_id] = "owner"
    story = Story(farm_id, until.year, place, {**people, "consultant": adviser}, diary, farm.START_F_D)
    for number, key in enumerate(("nutritionist", "agronomist", "lead", "consultant")):
        _tell_joining(story, key, begun + timedelta(hours=1 + number))
    _tell_phones(story, datetime(until.year, 2, 18, 8, 20, tzinfo=zone))
    _tell_weather(story, farm)
    _tell_last_looks(story, until)
    return story


def _tell_joining(story: Story, key: str, at: datetime) -> None:
    person = story.people[key]

    def join(work: Work) -> None:
        token = invitations.invite(work, story.farm_id, {"email": person.email, "role": person.role})
        person.roles[story.farm_id] = person.role
        if person.account_id is not None:
            invitations.join(Work(work.session, person.actor(), work.clock), token)
            return
        values = {"name": person.name, "email": person.email, "password": _unknowable()}
        joining = Work(work.session, SYSTEM, work.clock)
        new = invitations.join_as_new(joining, token, values, person.device, SIGNED_IN_D)
        person.account_id = new.account_id
        accounts.choose(Work(work.session, person.actor(), work.clock), person.language, person.units)

    story.on(at.date(), "owner", join, at.hour + at.minute / 60)


def _tell_phones(story: Story, at: datetime) -> None:
    """One code for this spring; two phones scan it, and were in use lately."""
    codes: list[str] = []
    hour = at.hour + at.minute / 60

    def come_in(work: Work, person: Person) -> None:
        joining = Work(work.session, SYSTEM, work.clock)
        new, _farm_id = crew.come_in(joining, codes[0], person.name, person.device, person.language)
        person.account_id, person.roles[story.farm_id] = new.account_id, "crew"

    def see(work: Work, person: Person) -> None:
        phones = {phone.name: phone.id for phone in crew.list_phones(work, story.farm_id)}
        actor = replace(person.actor(), sign_in_id=phones[person.name])
        accounts.see(Work(work.session, actor, work.clock))

    story.on(at.date(), "owner", lambda work: codes.append(crew.make_link(work, story.farm_id, CREW_D)), hour)
    for number, key in enumerate(PHONES):
        person = story.people[key]
        story.on(at.date(), "owner", lambda work, p=person: come_in(work, p), hour + 0.3 + number)
        seen = max(at + timedelta(hours=9), story.diary.until - timedelta(hours=14 + 3 * number))
        story.on(seen.date(), "owner", lambda work, p=person: see(work, p), seen.hour + seen.minute / 60)


def _tell_weather(story: Story, farm) -> None:
    """One station; its file is brought in at the start, then now and then, and this morning through yesterday."""
    place = story.place
    values = {
        "name": place.name,
        "latitude": place.latitude,
        "longitude": place.longitude,
        "elevation_m": place.elevation_m,
        "source": SOURCE,
    }
    story.on(
        story.begun_on,
        "agronomist",
        lambda work: story.keep("station", stations.add_station(work, story.farm_id, values)),
        9,
    )

    first = date(story.year - PAST_YEARS, 1, 1)
    for until in _import_days(story):
        story.on(until, "agronomist", _taken(story, first, until), 9.2 if until == story.begun_on else 5.9)
        first = until


def _import_days(story: Story) -> list[date]:
    """Days on which somebody copied the station's file: now and then, and today."""
    past = [date(year, month, 8) for year in story.years[:2] for month in (4, 6)]
    this = [date(story.year, month, 5) for month in (3, 4, 5, 6)]
    days = {story.begun_on, story.today, *past, *this}
    return sorted(day for day in days if story.begun_on <= day <= story.today)


def _taken(story: Story, first: date, until: date) -> Callable[[Work], None]:
    def take(work: Work) -> None:
        body = station_file(story.place, first, until)
        upload = weather_files.send_file(work, story.farm_id, story.ids["station"], "own-station-invented.csv", body)
        weather_files.take_file(work, story.farm_id, upload)

    return take


def _tell_last_looks(story: Story, until: datetime) -> None:
    """Everybody looked at the board lately, so the team page can say when."""
    chance = random.Random(story.place.name)
    for key, person in story.people.items():
        if key in (*PHONES, "consultant"):
            continue
        at = until - timedelta(minutes=chance.randint(20, 1500))

        def look(work: Work, person: Person = person) -> None:
            account = accounts.own_account(work)
            accounts.start_sign_in(work, account, person.device, SIGNED_IN_D)

        story.on(at.date(), key, look, at.hour + at.minute / 60)


def _join_consultant(database: Database, clock: Clock, person: Person) -> None:
    with writing(database) as session:
        begun = datetime(clock.moment(zone_of(marl_hollow.TIME_ZONE)).year - 2, 2, 20, 9, tzinfo=zone_of("UTC"))
        work = Work(session, SYSTEM, moved_clock(begun))
        _keep(person, accounts.add_account(work, person.name, person.email or "", _unknowable()))


def _look_in(database: Database, clock: Clock, person: Person) -> None:
    with writing(database) as session:
        at = clock.moment(zone_of(marl_hollow.TIME_ZONE)) - timedelta(minutes=12)
        work = Work(session, person.actor(), moved_clock(at))
        accounts.start_sign_in(work, accounts.own_account(work), person.device, SIGNED_IN_D)


def _keep(person: Person, account) -> None:
    person.account_id = account.id


def _unknowable() -> str:
    """Nobody signs in to the demo with a password."""
    return secrets.token_urlsafe(24)
