"""What food costs whom: charged to funders by the session's date, and per kit, contact, participant and completer."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from opsreport.money import Money, split
from opsreport.plan.buying.costs import NOBODY
from opsreport.plan.people_model import Charged, Totals, UnitCost
from opsreport.programme import Programme, Session
from opsreport.sheets import FunderRow
from opsreport.words import fold


@dataclass(frozen=True, slots=True)
class Spent:
    """By session: what the orders charge it for food, and the value of the donated food that it takes."""

    food: Mapping[str, Money]
    in_kind: Mapping[str, Money] = field(default_factory=dict)


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


def charge_all(programme: Programme, spent: Spent) -> tuple[Charged, ...]:
    """What each funder bears, in the order of Funders, then what falls to none of them on its day."""
    charged = [
        Charged(row.funder, charged_to(programme, row, spent.food), charged_to(programme, row, spent.in_kind))
        for row in programme.funders
    ]
    food = sum(spent.food.values()) - sum(each.food for each in charged)
    in_kind = sum(spent.in_kind.values()) - sum(each.in_kind for each in charged)
    return (*charged, Charged(NOBODY, Money(food), Money(in_kind)))


def unit_costs(
    programme: Programme, spent: Spent, totals: Totals, kits_of: Callable[[Session], int]
) -> tuple[UnitCost, ...]:
    """Food ordered and donated food used per kit, contact, participant and completer of the sessions it is for.

    Those sessions are still to come, so contacts and participants are those expected (members active on the day) and
    completers as many of them as have completed so far of those who came. One figure is thus never divided by another
    of different sessions.

    Args:
        kits_of: kits packed for a session, spare and demo kits included.
    """
    sessions = [programme.sessions[name] for name in {**spent.food, **spent.in_kind} if name in programme.sessions]
    food, in_kind = (Money(sum(money.values())) for money in (spent.food, spent.in_kind))
    contacts, people = _expected(programme, sessions)
    share = Fraction(totals.completers, totals.people) if totals.people else None
    units: tuple[tuple[str, Fraction | None], ...] = (
        ("kit", Fraction(sum(kits_of(session) for session in sessions))),
        ("contact", Fraction(contacts)),
        ("participant", Fraction(people)),
        ("completer", None if share is None else people * share),
    )
    return tuple(UnitCost(unit, food, in_kind, number or None) for unit, number in units)  # type: ignore[arg-type]


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
