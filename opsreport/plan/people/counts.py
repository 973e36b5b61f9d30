"""What a choice of groups and days adds up to: the figures behind a funder's document."""

import datetime as dt
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from opsreport.kinds import Share
from opsreport.plan.people.attendance import hours, needed
from opsreport.plan.people.breakdowns import BreakdownColumn
from opsreport.plan.people.ledger import Ledger
from opsreport.programme import Session

if TYPE_CHECKING:
    from opsreport.plan.people.ledger import Integers


@dataclass(frozen=True, slots=True)
class Counts:
    """What a choice of sessions adds up to. people, completers, homes: their numbers in the roll, each once.

    least_presents: what a completer of any of the groups needs at least.
    """

    sessions: tuple[Session, ...]
    contacts: int
    people: "Integers"
    homes: "Integers"
    completers: "Integers"
    contact_hours: Fraction
    least_presents: int


def count(
    ledger: Ledger, completion: Share, groups: Collection[str], days: tuple[dt.date, dt.date] | None = None
) -> Counts:
    """What some groups' delivered sessions add up to, within days (inclusive) where these are given.

    Completers are held to the sessions that lie within the days, as everything else is.
    """
    import numpy as np

    roll, presents = ledger.roll, ledger.presents
    start, end = days or (dt.date.min, dt.date.max)
    chosen = np.array([s.group in groups and start <= s.day <= end for s in roll.sessions], bool)
    here = chosen[presents.session]
    session, person, home, member = (
        column[here] for column in (presents.session, presents.person, presents.home, presents.member)
    )
    times = np.bincount(member[member >= 0], minlength=len(roll.members))
    held = np.bincount(roll.session_group[chosen], minlength=len(roll.groups))
    least = np.array([needed(completion, meetings) for meetings in held.tolist()], np.int64)
    completed = roll.member_person[(times >= least[roll.member_group]) & (times > 0)]
    each = np.bincount(session, minlength=len(roll.sessions)).tolist()
    return Counts(
        tuple(s for s, taken in zip(roll.sessions, chosen.tolist(), strict=True) if taken),
        len(session),
        flagged(person, len(roll.people)),
        flagged(home, len(roll.homes)),
        flagged(completed, len(roll.people)),
        hours((s, each[at]) for at, s in enumerate(roll.sessions) if each[at]),
        int(least[held > 0].min(initial=max(len(roll.sessions), 1))),
    )


def flagged(numbers: "Integers", size: int) -> "Integers":
    """The different ones of some numbers below `size`, in order; faster than sorting them."""
    import numpy as np

    seen = np.zeros(size, bool)
    seen[numbers] = True
    return np.flatnonzero(seen)


Sessions = frozenset[str]
Rows = Mapping[str, tuple[tuple[str, int, int], ...]]
"""By column: value, people and completers, values without anybody among its groups left out."""


@dataclass(frozen=True)
class Told:
    """One choice of sessions: its counts, those of each breakdown, and the small count that holds for it."""

    counts: Counts
    kits: Mapping[str, int]
    """Distributed, by session."""
    columns: tuple[BreakdownColumn, ...]
    values: Mapping[str, tuple[int, ...]]
    """By column: the places of the values that its members or people have."""
    small: int

    @cached_property
    def sessions(self) -> Sessions:
        return frozenset(session.session for session in self.counts.sessions)

    @property
    def all_kits(self) -> int:
        return sum(self.kits.values())

    @cached_property
    def rows(self) -> Rows:
        """By column: (value, people, completers)."""
        found = {}
        for column in self.columns:
            people, completers = column.counts(self.counts.people), column.counts(self.counts.completers)
            found[column.heading] = tuple(
                (column.values[at], people[at], completers[at]) for at in self.values[column.heading]
            )
        return found

    def people_of(self, heading: str, value: str) -> int:
        return next((people for name, people, _ in self.rows.get(heading, ()) if name == value), 0)


def is_small(value: int, small: int) -> bool:
    return 1 <= value <= small
