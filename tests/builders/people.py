"""People of two farms: one for every role, and a stranger."""

from __future__ import annotations

from dataclasses import dataclass, field, replace

from app.access.sessions import actor_of
from app.access.work import Actor, Work
from app.records.accounts import ROLES, Account, Membership
from app.records.farms import Farm


@dataclass
class Team:
    """Two farms; `people[role]` is a member of the first with that role, `stranger` owns only the second."""

    farm: Farm
    other: Farm
    people: dict[str, Account] = field(default_factory=dict)

    def acts(self, work: Work, role: str) -> Work:
        """The same session, acted in by the person with that role."""
        return replace(work, actor=self.actor(work, role))

    def actor(self, work: Work, role: str) -> Actor:
        return actor_of(work.session, self.people[role])


def make_team(work: Work) -> Team:
    """Add the two farms and their people."""
    farm = Farm(name="Marl Hollow", time_zone="America/Chicago", latitude=43.0, longitude=-89.5, created_at=work.now())
    other = Farm(name="Alder Flats", time_zone="America/Chicago", created_at=work.now())
    work.session.add_all([farm, other])
    work.session.flush()
    team = Team(farm, other)
    for role in (*ROLES, "stranger"):
        person = Account(name=role.title(), email=f"{role}@example.org", created_at=work.now())
        work.session.add(person)
        work.session.flush()
        member_of, its_role = (other, "owner") if role == "stranger" else (farm, role)
        work.session.add(Membership(farm_id=member_of.id, account_id=person.id, role=its_role, created_at=work.now()))
        team.people[role] = person
    work.session.flush()
    return team
