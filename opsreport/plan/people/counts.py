"""What a choice of groups and days adds up to: the figures behind a funder's document."""

import datetime as dt
from collections.abc import Collection
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from opsreport.kinds import Share
from opsreport.plan.people.attendance import hours, needed
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
