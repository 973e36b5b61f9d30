"""What food costs whom: charged to funders by the session's date, and per kit, contact, participant and completer."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import chain
from typing import Literal

from opsreport.money import Money, split
from opsreport.plan.buying.costs import NOBODY
from opsreport.plan.buying.placed import PlacedCosts
from opsreport.plan.people.ledger import keep_ledger, people_at
from opsreport.plan.people_model import Charged, PeoplePlan, SessionCost, UnitCost
from opsreport.programme import Programme, Session
from opsreport.sheets import FunderRow
from opsreport.words import fold


@dataclass(frozen=True, slots=True)
class Spent:
    """By session: what the orders still to place charge it, the value of the donated food that it takes, and what
    stands in Orders already."""

    food: Mapping[str, Money]
    in_kind: Mapping[str, Money] = field(default_factory=dict)
    placed: PlacedCosts = field(default_factory=PlacedCosts)

    def sessions(self, programme: Programme) -> tuple[SessionCost, ...]:
        """Every session that something is charged to, by date, then id."""
        columns = (self.placed.received, self.placed.coming, self.food, self.in_kind)
        names = [name for name in dict.fromkeys(chain(*columns)) if name in programme.sessions]
        names.sort(key=lambda name: (programme.sessions[name].day, name))
        return tuple(
            SessionCost(
                name,
                programme.sessions[name].status == "delivered",
                *(column.get(name, Money(0)) for column in columns),
            )
            for name in names
        )


def food_by_session(costs: Iterable[SessionCost], *, held: bool) -> dict[str, Money]:
    """What food costs for the sessions held already, or for the others."""
    return {each.session: each.food for each in costs if each.held == held}


def charged_to(programme: Programme, row: FunderRow, by_session: Mapping[str, Money]) -> Money:
    """What a funder bears: each group's sum of the sessions held from its first day to its last, both included, in
    its share of the group, split among the group's funders to the cent."""
    spent: Counter[str] = Counter()
    for name, money in by_session.items():
        session = programme.sessions.get(name)
        if session is not None and row.start <= session.day <= row.end:
            spent[session.group] += money
    charged = 0
    for group in programme.groups.values():
        if spent[group.group] and group.funders:
            parts = split(Money(spent[group.group]), [part for _, part in group.funders])
            charged += sum(
                money
                for money, (funder, _) in zip(parts, group.funders, strict=True)
                if fold(funder) == fold(row.funder)
            )
    return Money(charged)


def charge_all(programme: Programme, costs: Sequence[SessionCost], unassigned: Money) -> tuple[Charged, ...]:
    """What each funder bears, in the order of Funders, then what falls to none of them on its day.

    Args:
        unassigned: of packs that no session takes.
    """
    held, ahead = (food_by_session(costs, held=which) for which in (True, False))
    gifts = {each.session: each.in_kind for each in costs}
    charged = []
    for row in programme.funders:
        of_held = charged_to(programme, row, held)
        food = Money(of_held + charged_to(programme, row, ahead))
        charged.append(Charged(row.funder, food, charged_to(programme, row, gifts), of_held))
    rest = Charged(
        NOBODY,
        Money(sum(each.food for each in costs) + unassigned - sum(each.food for each in charged)),
        Money(sum(gifts.values()) - sum(each.in_kind for each in charged)),
        Money(sum(held.values()) - sum(each.held for each in charged)),
    )
    return (*charged, rest)


def unit_costs(
    programme: Programme, costs: Sequence[SessionCost], people: PeoplePlan, kits_of: Callable[[Session], int]
) -> tuple[UnitCost, ...]:
    """Food and donated food per kit, contact, participant and completer: of sessions held, then of those to come.

    Of sessions to come contacts and participants are those expected (members active on the day) and completers as many
    of them as have completed so far of those who came. Of sessions held that anything is charged to, all are those
    recorded, and kits those packed. One figure is thus never divided by another of different sessions.

    Args:
        kits_of: kits packed for a session, spare and demo kits included.
    """
    found: list[UnitCost] = []
    for held in (True, False):
        of_them = [each for each in costs if each.held == held and (each.food or each.in_kind)]
        if held and not of_them:
            continue
        sessions = [programme.sessions[each.session] for each in of_them]
        food, in_kind = Money(sum(each.food for each in of_them)), Money(sum(each.in_kind for each in of_them))
        units = _came(programme, people, sessions) if held else _to_come(programme, people, sessions, kits_of)
        found += [UnitCost(unit, food, in_kind, number or None, held) for unit, number in units]
    return tuple(found)


_Units = tuple[tuple[Literal["kit", "contact", "participant", "completer"], Fraction | None], ...]


def _to_come(
    programme: Programme, people: PeoplePlan, sessions: Sequence[Session], kits_of: Callable[[Session], int]
) -> _Units:
    contacts, expected = _expected(programme, sessions)
    totals = people.totals
    share = Fraction(totals.completers, totals.people) if totals.people else None
    return (
        ("kit", Fraction(sum(kits_of(session) for session in sessions))),
        ("contact", Fraction(contacts)),
        ("participant", Fraction(expected)),
        ("completer", None if share is None else expected * share),
    )


def _came(programme: Programme, people: PeoplePlan, sessions: Sequence[Session]) -> _Units:
    """Of sessions held: kits packed, spare and demo kits included, and who was there."""
    names = {session.session for session in sessions}
    kits = sum(each.packed + each.spare + each.demo for each in people.kits if each.session in names)
    contacts = sum(each.contacts for each in people.sessions if each.session in names)
    present = people_at(keep_ledger(programme), names)
    completers = {member.participant for member in people.members if member.completer} & present
    return (
        ("kit", Fraction(kits)),
        ("contact", Fraction(contacts)),
        ("participant", Fraction(len(present))),
        ("completer", Fraction(len(completers))),
    )


def _expected(programme: Programme, sessions: Sequence[Session]) -> tuple[int, int]:
    """Contacts if all come who belong to the groups on the days, and how many different people these are."""
    days: dict[str, list[Session]] = {}
    for session in sessions:
        days.setdefault(session.group, []).append(session)
    contacts = 0
    people = set()
    for group, person, member in {
        (m.group, m.participant): (m.group, m.participant, m) for m in programme.members
    }.values():
        times = sum(member.active_on(session.day) for session in days.get(group, ()))
        contacts += times
        if times:
            people.add(person)
    return contacts, len(people)
