"""The attendance sheet as columns of numbers, so that a million marks take no object each.

Members, sessions, groups, people and households are numbered once; everything that is counted is an array of these
numbers. A *pair* is one member with one delivered session of their group, belonging to it on that day or not.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from itertools import count
from typing import TYPE_CHECKING, Final

from opsreport.marks import NOT_TOLD, MarkColumns, in_columns
from opsreport.programme import Member, Programme, Session, once

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Integers = NDArray[np.int64]
    Flags = NDArray[np.bool_]

NOT_RECORDED, PRESENT, ABSENT, EXCUSED = range(4)
_CODES: Final = {"present": PRESENT, "absent": ABSENT, "excused": EXCUSED}
_FIRST_DAY: Final = dt.date.min.toordinal()
_LAST_DAY: Final = dt.date.max.toordinal()


@dataclass(frozen=True, slots=True)
class Roll:
    """Who and what is counted, by number.

    groups, people, homes: ids. sessions: delivered ones, by date, then id; session_group: their groups.
    members: group by group, one a person and group, with their group, person, household as written there and home
    (one household over all their groups). first: the first pair of each member; at: a session's place among its
    group's; held: delivered sessions by group.
    """

    groups: tuple[str, ...]
    people: tuple[str, ...]
    homes: tuple[str, ...]
    sessions: tuple[Session, ...]
    session_group: "Integers"
    members: tuple[Member, ...]
    member_group: "Integers"
    member_person: "Integers"
    member_household: "Integers"
    member_home: "Integers"
    person_home: "Integers"
    first: "Integers"
    at: "Integers"
    held: "Integers"

    def member_of(self, person: "Integers", group: "Integers") -> "Integers":
        """The member that each person is in each group; -1 where they are none."""
        import numpy as np

        if not self.members:
            return np.full(len(person), -1, np.int64)
        keys = self.member_group * len(self.people) + self.member_person
        order = np.argsort(keys)
        wanted = group * len(self.people) + person
        found = order[np.searchsorted(keys[order], wanted).clip(max=len(keys) - 1)]
        return np.where(keys[found] == wanted, found, -1)


@dataclass(frozen=True, slots=True)
class Pairs:
    """Members with the delivered sessions of their groups, member by member in order of date. code: of the mark."""

    session: "Integers"
    member: "Integers"
    active: "Flags"
    code: "Integers"


@dataclass(frozen=True, slots=True)
class Presents:
    """Every present mark of a delivered session. household: as written in the session's group; home: over all groups;
    member: whose own session it was, -1 for a visit."""

    session: "Integers"
    person: "Integers"
    household: "Integers"
    home: "Integers"
    member: "Integers"


@dataclass(frozen=True, slots=True)
class Ledger:
    """All of it."""

    roll: Roll
    pairs: Pairs
    presents: Presents
    handed: "Integers"
    """Kits by session as Attendance has them, one a holder; -1 where it says nothing. Empty: no kit stands there."""


@once
def keep_ledger(programme: Programme) -> Ledger:
    """The attendance that counts: of two marks of one person at one session the last counts, blanks never."""
    import numpy as np

    marks = in_columns(programme.attendance)
    roll, person = _roll(programme, marks)
    number = {session.session: at for at, session in enumerate(roll.sessions)}
    session = np.array([number.get(name, -1) for name in marks.sessions], np.int64)[marks.session]
    code = np.array([_CODES[kind.mark] if kind else NOT_RECORDED for kind in marks.kinds], np.int64)[marks.mark]
    held = session >= 0
    counts = held & (code != NOT_RECORDED)
    key = session[counts] * len(roll.people) + person[counts]
    order = np.argsort(key, kind="stable")
    last = np.append(key[order][1:] != key[order][:-1], True)[: len(order)]
    kept = np.flatnonzero(counts)[order[last]]
    pairs, presents = _join(roll, session[kept], person[kept], code[kept])
    return Ledger(roll, pairs, presents, _handed(programme, roll, marks, session, person))


def _roll(programme: Programme, marks: MarkColumns) -> tuple[Roll, "Integers"]:
    """The roll, and the person of every mark."""
    import numpy as np

    sessions = sorted(
        (session for session in programme.sessions.values() if session.status == "delivered"),
        key=lambda session: (session.day, session.session),
    )
    by_group: dict[str, dict[str, Member]] = {group: {} for group in programme.groups}
    for member in programme.members:
        by_group.setdefault(member.group, {}).setdefault(member.participant, member)
    for session in sessions:
        by_group.setdefault(session.group, {})
    members = tuple(member for group in by_group.values() for member in group.values())
    groups = {group: at for at, group in enumerate(by_group)}
    numbers: dict[str, int] = {}
    member_person = _numbered(numbers, (member.participant for member in members))
    met = _first_met(marks.person)
    number = np.zeros(len(marks.participants), np.int64)
    number[met] = _numbered(numbers, (marks.participants[at] for at in met.tolist()))
    person = number[marks.person]
    stated = _stated_households(members)
    homes: dict[str, int] = {}
    person_home = _numbered(homes, (stated.get(who, who) for who in numbers))
    member_household = _numbered(homes, (member.household for member in members))
    joint = (m.household if m.household != m.participant else stated.get(m.household, m.household) for m in members)
    member_home = _numbered(homes, joint)
    member_group = _numbered(groups, (member.group for member in members))
    session_group = _numbered(groups, (session.group for session in sessions))
    held = np.bincount(session_group, minlength=len(groups))
    sizes = held[member_group]
    order = np.argsort(session_group, kind="stable")
    at = np.empty(len(sessions), np.int64)
    at[order] = np.arange(len(sessions)) - (np.cumsum(held) - held)[session_group[order]]
    roll = Roll(
        tuple(groups), tuple(numbers), tuple(homes), tuple(sessions), session_group, members, member_group,
        member_person, member_household, member_home, person_home, np.cumsum(sizes) - sizes, at, held,
    )  # fmt: skip
    return roll, person


def _numbered(numbers: dict[str, int], names: Iterable[str]) -> "Integers":
    """The number of each name, new ones getting the next."""
    import numpy as np

    known = defaultdict(count(len(numbers)).__next__, numbers)
    found = np.fromiter(map(known.__getitem__, names), np.int64)
    numbers.update(known)
    return found


def _first_met(numbers: "Integers") -> "Integers":
    """The different numbers in the order in which they stand first."""
    import numpy as np

    first = np.full(int(numbers.max(initial=-1)) + 1, len(numbers))
    np.minimum.at(first, numbers, np.arange(len(numbers)))
    return np.argsort(first, kind="stable")[: int((first < len(numbers)).sum())]


def _stated_households(members: Sequence[Member]) -> Mapping[str, str]:
    """By person: the household stated in any of their groups. Somebody with a household in one group and none
    in another is one household, not two."""
    stated: dict[str, str] = {}
    for member in members:
        if member.household != member.participant:
            stated.setdefault(member.participant, member.household)
    return stated


def _join(roll: Roll, session: "Integers", person: "Integers", code: "Integers") -> tuple[Pairs, Presents]:
    """The marks laid on the pairs, and the presents with those who made them."""
    import numpy as np

    sizes = roll.held[roll.member_group]
    of_member = np.repeat(np.arange(len(roll.members)), sizes)
    place = np.arange(len(of_member)) - np.repeat(roll.first, sizes)
    in_group = np.argsort(roll.session_group, kind="stable")
    start = np.cumsum(roll.held) - roll.held
    of_session = in_group[start[roll.member_group[of_member]] + place]
    day = np.array([each.day.toordinal() for each in roll.sessions], np.int64)[of_session]
    days = np.array([_days(member) for member in roll.members], np.int64).reshape(-1, 2)[of_member]
    active = (days[:, 0] <= day) & (day <= days[:, 1])

    member = roll.member_of(person, roll.session_group[session])
    known = member >= 0
    pair = roll.first[member[known]] + roll.at[session[known]]
    codes = np.zeros(len(of_member), np.int64)
    codes[pair] = code[known]
    own = np.zeros(len(member), bool)
    own[known] = active[pair]

    here = code == PRESENT
    session, person, member, own = session[here], person[here], member[here], own[here]
    household, home = roll.person_home[person], roll.person_home[person]
    enrolled = member >= 0
    household[enrolled] = roll.member_household[member[enrolled]]
    home[enrolled] = roll.member_home[member[enrolled]]
    presents = Presents(session, person, household, home, np.where(own, member, -1))
    return Pairs(of_session, of_member, active, codes), presents


def _days(member: Member) -> tuple[int, int]:
    """First and last day in the group, as `Member.active_on` says; none: the first after the last."""
    if member.status == "waiting" or (member.status == "withdrawn" and member.left is None):
        return _LAST_DAY, _FIRST_DAY
    first = member.joined.toordinal() if member.joined else _FIRST_DAY
    return first, member.left.toordinal() if member.left else _LAST_DAY


def _handed(
    programme: Programme, roll: Roll, marks: MarkColumns, session: "Integers", person: "Integers"
) -> "Integers":  # fmt: skip
    """Kits by session as the Kit column and `kit only` say, one a holder: a household, or a participant where the
    group gives each one a kit."""
    import numpy as np

    if not (marks.kit != NOT_TOLD).any():
        return np.zeros(0, np.int64)
    only = np.array([kind is not None and kind.kit_only for kind in marks.kinds], bool)[marks.mark]
    told = (session >= 0) & ((marks.kit != NOT_TOLD) | only)
    session, person, given = session[told], person[told], (marks.kit[told] == 1) | only[told]
    group = roll.session_group[session]
    member = roll.member_of(person, group)
    shared = (member >= 0) & ~gives_each(programme, roll)[group]
    holder = person.copy()
    holder[shared] = len(roll.people) + roll.member_household[member[shared]]
    counts = np.full(len(roll.sessions), -1, np.int64)
    counts[session] = 0
    most = len(roll.people) + len(roll.homes)
    kits = distinct(session[given] * most + holder[given]) // most
    return counts + np.bincount(kits, minlength=len(roll.sessions))


def gives_each(programme: Programme, roll: Roll) -> "Flags":
    """By group: whether each participant gets a kit, not each household."""
    import numpy as np

    each = (name in programme.groups and programme.groups[name].kit_for_participant for name in roll.groups)
    return np.fromiter(each, bool, len(roll.groups))


def people_at(ledger: Ledger, sessions: Collection[str]) -> set[str]:
    """Who was present at one of some sessions at least."""
    import numpy as np

    roll, presents = ledger.roll, ledger.presents
    chosen = np.array([session.session in sessions for session in roll.sessions], bool)
    return {roll.people[at] for at in distinct(presents.person[chosen[presents.session]]).tolist()}


def by_mark(numbers: "Integers", codes: "Integers", size: int) -> "Integers":
    """Counts of marks: one row a number (session or member), one column a code."""
    import numpy as np

    return np.bincount(numbers * 4 + codes, minlength=size * 4).astype(np.int64).reshape(size, 4)


def different(groups: "Integers", things: "Integers", size: int) -> "Integers":
    """How many different things each group has. size: of the groups."""
    import numpy as np

    most = int(things.max()) + 1 if len(things) else 1
    return np.bincount(distinct(groups * most + things) // most, minlength=size)


def distinct(numbers: "Integers") -> "Integers":
    """The different ones, in order; by sorting, which is twice as fast as `unique` for as many."""
    import numpy as np

    in_order = np.sort(numbers)
    return in_order[np.append(True, in_order[1:] != in_order[:-1])] if len(in_order) else in_order
