"""What several funders may be told of the same people: every document is held to what the others say.

Two documents whose sessions are the same say the same. Where the sessions of one are part of another's, so are its
people, and a reader of both can take one figure from the other: the difference is a count as well.
"""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import combinations
from typing import Final

from opsreport.plan.breakdowns import BreakdownColumn
from opsreport.plan.counts import Counts
from opsreport.plan.hiding import Known, KnownOfPeople, PrintedPeople, hide_people

_MOST_PARTS: Final = 3
"""Documents that are taken together from another one, when it is looked for what they give away."""

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


@dataclass(frozen=True, slots=True)
class Shown:
    """What may be printed of one choice of sessions."""

    people: PrintedPeople
    households: bool
    contacts: bool
    kits: bool


def smalls(own: Sequence[int], sessions: Sequence[Sessions]) -> list[int]:
    """The small count of each document: the largest of all that are linked by sessions of which one has all of the
    other's, so that no document shows what another hides.

    Args:
        own: the funders' own small counts. sessions: of their documents.
    """
    linked = [{at} for at in range(len(own))]
    for one, other in combinations(range(len(own)), 2):
        a, b = sessions[one], sessions[other]
        if a and b and (a <= b or b <= a):
            joint = linked[one] | linked[other]
            for at in joint:
                linked[at] = joint
    return [max(own[at] for at in together) for together in linked]


def show_all(told: Sequence[Told]) -> list[Shown]:
    """What may be printed of each, given all the others."""
    by_sessions = {each.sessions: each for each in told}
    distinct = list(by_sessions.values())
    shown_people = {each.sessions: _people(each, distinct) for each in distinct}
    contacts = _not_given_away(
        {each.sessions: each.counts.contacts for each in distinct},
        {
            each.sessions
            for each in distinct
            if _is_small(each.counts.contacts, each.small)
            or not shown_people[each.sessions].shows_people
            or not _completers_stay_open(each, shown_people[each.sessions])
        },
        lambda sessions: by_sessions[sessions].small,
    )
    kits = _not_given_away(
        {each.sessions: each.all_kits for each in distinct},
        {each.sessions for each in distinct if _is_small(each.all_kits, each.small)},
        lambda sessions: by_sessions[sessions].small,
    )
    return [
        Shown(
            shown_people[each.sessions],
            shown_people[each.sessions].shows_people and not _households_tell(each, distinct),
            each.sessions not in contacts,
            each.sessions not in kits,
        )
        for each in told
    ]


def _is_small(value: int, small: int) -> bool:
    return 1 <= value <= small


def _people(each: Told, others: Iterable[Told]) -> PrintedPeople:
    """People and completers, held to the documents that are part of this one, and of which this one is part."""
    parts = [other for other in others if other.sessions < each.sessions]
    wholes = [other for other in others if other.sessions > each.sessions]
    head = _known(
        len(each.counts.people),
        [len(part.counts.people) for part in parts],
        [len(whole.counts.people) for whole in wholes],
        each.small,
    )
    rows = {heading: list(of) for heading, of in each.rows.items()}
    cells = {
        heading: [
            _known(
                people,
                [part.people_of(heading, value) for part in parts],
                [whole.people_of(heading, value) for whole in wholes],
                each.small,
            )
            for value, people, _ in of
        ]
        for heading, of in rows.items()
    }
    return hide_people(
        len(each.counts.people),
        len(each.counts.completers),
        {heading: [(people, completers) for _, people, completers in of] for heading, of in rows.items()},
        each.small,
        KnownOfPeople(head, cells),
    )


def _known(value: int, of_parts: Sequence[int], of_wholes: Sequence[int], small: int) -> Known:
    """What the other documents' counts say of one, and whether it lies a small number below one of them."""
    secret = any(_is_small(whole - value, small) for whole in of_wholes) and value > 0
    return Known(max(of_parts, default=0), min(of_wholes, default=None), secret)


def _households_tell(each: Told, others: Iterable[Told]) -> bool:
    """Whether the households of a document that this one is part of are only a few more."""
    return any(
        _is_small(len(other.counts.homes) - len(each.counts.homes), each.small)
        for other in others
        if other.sessions > each.sessions and len(each.counts.homes)
    )


def _completers_stay_open(each: Told, shown: PrintedPeople) -> bool:
    """Whether a hidden number of completers stays open beside the contacts.

    A completer came `least_presents` times at least and everybody else once, so contacts bound the completers from
    above; one who is none missed some sessions, so they bound them from below.
    """
    if shown.shows_completers or not shown.shows_people:
        return True
    counts = each.counts
    people, completers, needed = len(counts.people), len(counts.completers), counts.least_presents
    most = min(people, (counts.contacts - people) // (needed - 1)) if needed > 1 else people
    held = len(counts.sessions)
    least = 0
    if held >= needed:
        least = max(0, -(-(counts.contacts - people * (needed - 1)) // (held - needed + 1)))
    return least < completers < most


def _not_given_away(
    values: Mapping[Sessions, int], hidden: set[Sessions], small: Callable[[Sessions], int]
) -> set[Sessions]:
    """What else to hide of a figure that adds up session by session (contacts, kits).

    Documents that are parts of another one, and apart from each other, leave a rest. Where the rest is small, or is
    what another document hides, one of them is hidden too, the smallest.
    """
    hidden = set(hidden)
    while True:
        found = next(_telling(values, hidden, small), None)
        if found is None:
            return hidden
        hidden.add(found)


def _telling(
    values: Mapping[Sessions, int], hidden: set[Sessions], small: Callable[[Sessions], int]
) -> Iterator[Sessions]:
    """Documents one of which must go, as with others they give something away."""
    printed = [sessions for sessions in values if sessions not in hidden]
    for whole in printed:
        inside = [part for part in printed if part < whole and values[part]]
        for many in range(1, _MOST_PARTS + 1):
            for parts in combinations(inside, many):
                together = frozenset().union(*parts)
                if len(together) < sum(map(len, parts)):
                    continue
                rest = values[whole] - sum(values[part] for part in parts)
                if _is_small(rest, small(whole)) or whole - together in hidden:
                    yield min(parts, key=lambda part: (values[part], sorted(part)))
