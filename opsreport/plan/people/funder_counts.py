"""What several funders may be told of the same people: every document is held to what the others say.

Two documents whose sessions are the same say the same. Where the sessions of one are part of another's, so are its
people, and a reader of both can take one figure from the other: the difference is a count as well.
"""

from collections.abc import Callable, Hashable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations
from typing import TYPE_CHECKING

from opsreport.plan.people.breakdowns import BreakdownColumn
from opsreport.plan.people.counts import Counts
from opsreport.plan.people.hiding import HIDDEN, Known, KnownOfPeople, PrintedPeople, hide_people
from opsreport.plan.people.together import Together

if TYPE_CHECKING:
    from opsreport.plan.people.ledger import Integers

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
    contacts: Mapping[str, int]
    """By session."""
    of_groups: Callable[[], list[Counts]]
    """The counts of each of its groups."""

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
    distinct = list({each.sessions: each for each in told}.values())
    linked = any(one.sessions & other.sessions for one, other in combinations(distinct, 2))
    people = [_people(each, distinct) for each in distinct]
    if linked:
        people = open_people(distinct, people)
    households = [
        shown.shows_people
        and not _is_small(len(each.counts.homes), each.small)
        and not _households_tell(each, distinct)
        for each, shown in zip(distinct, people, strict=True)
    ]
    if linked:
        households = open_households(distinct, households)
    contacts = [
        not _is_small(each.counts.contacts, each.small) and shown.shows_people and _completers_stay_open(each, shown)
        for each, shown in zip(distinct, people, strict=True)
    ]
    kits = [
        not _is_small(each.all_kits, each.small) and (not each.all_kits or (shown.shows_people and homes))
        for each, shown, homes in zip(distinct, people, households, strict=True)
    ]
    if linked:
        contacts = open_sums(distinct, [each.contacts for each in distinct], contacts)
        kits = open_sums(distinct, [each.kits for each in distinct], kits)
    by_sessions = {
        each.sessions: Shown(people[at], households[at], contacts[at], kits[at]) for at, each in enumerate(distinct)
    }
    return [by_sessions[each.sessions] for each in told]


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


# --- all documents together ---

_Part = tuple[str, Sessions]
"""One group with those of its sessions that a document counts."""
_Terms = dict[Hashable, int]


def _parts(each: Told) -> dict[_Part, Counts]:
    """Its groups with a session in its period."""
    return {
        (of.sessions[0].group, frozenset(session.session for session in of.sessions)): of
        for of in each.of_groups()
        if of.sessions
    }


def open_people(told: Sequence[Told], printed: Sequence[PrintedPeople]) -> list[PrintedPeople]:
    """The same with more people and completers hidden, and columns left out, until all documents together tell no small
    count of those in some of them, nor of those of them who completed or did not."""
    parts = [_parts(each) for each in told]
    everybody = _counted_people(told, parts, [(each.people, each.completers) for each in printed], None)
    hidden = everybody.hide(_hidden(printed))
    found = list(printed)
    for at, each in enumerate(printed):
        lost_people, lost = (("people", at) in hidden, ("completers", at) in hidden)
        if (lost_people and each.shows_people) or (lost and each.shows_completers):
            found[at] = replace(
                each, people=HIDDEN if lost_people and each.shows_people else each.people,
                completers=HIDDEN if lost and each.shows_completers else each.completers, breakdowns={},
                left_out=(*each.left_out, *each.breakdowns), shows_people=not lost_people, shows_completers=not lost,
            )  # fmt: skip
    for heading in dict.fromkeys(heading for each in found for heading in each.breakdowns):
        _open_column(told, parts, found, heading)
    return found


def _open_column(
    told: Sequence[Told], parts: Sequence[Mapping[_Part, Counts]], found: list[PrintedPeople], heading: str
) -> None:
    """Leave a column out of as many documents as it takes, those with fewest people first."""
    column = next(column for column in told[0].columns if column.heading == heading)
    for value in range(len(column.values)):
        while True:
            having = [at for at, each in enumerate(found) if heading in each.breakdowns]
            if len(having) < 2:
                return
            labels = [_row(told[at], found[at], heading, column.values[value]) for at in having]
            some = [told[at] for at in having]
            system = _counted_people(some, [parts[at] for at in having], labels, (column, value))
            hidden = {
                (name, at)
                for at, row in enumerate(labels)
                for name, label in zip(("people", "completers"), row, strict=True)
                if not _plain(label)
            }
            if not system.told(hidden, system.secrets):
                break
            least = min(having, key=lambda at: (len(told[at].counts.people), sorted(told[at].sessions)))
            kept = {name: rows for name, rows in found[least].breakdowns.items() if name != heading}
            found[least] = replace(found[least], breakdowns=kept, left_out=(*found[least].left_out, heading))


def _row(each: Told, printed: PrintedPeople, heading: str, value: str) -> tuple[str, str]:
    """What is printed of one value; noughts where it has no row."""
    rows = zip(each.rows[heading], printed.breakdowns[heading], strict=True)
    return next((labels for (name, _, _), labels in rows if name == value), ("0", "0"))


def _plain(label: str) -> bool:
    return label.replace(",", "").isdigit()


def _hidden(printed: Sequence[PrintedPeople]) -> set[Hashable]:
    people: set[Hashable] = {("people", at) for at, each in enumerate(printed) if not each.shows_people}
    return people | {("completers", at) for at, each in enumerate(printed) if not each.shows_completers}


def _counted_people(
    told: Sequence[Told], parts: Sequence[Mapping[_Part, Counts]], labels: Sequence[tuple[str, str]],
    of: tuple[BreakdownColumn, int] | None,
) -> Together:  # fmt: skip
    """People and completers, of one value of a column only where one is given. Who is in two groups is counted in each,
    as if a reader knew how many these are."""

    def chosen(numbers: "Integers") -> set[int]:
        return set(numbers.tolist() if of is None else numbers[of[0].of_person[numbers] == of[1]].tolist())

    every = {part: counts for each in parts for part, counts in each.items()}
    people = {part: chosen(counts.people) for part, counts in every.items()}
    atoms, members = _seen(people)
    for part, counts in every.items():
        atoms["completers", part] = len(chosen(counts.completers))
    small = max(each.small for each in told)
    figures: dict[Hashable, _Terms] = {}
    bounds: dict[Hashable, tuple[int, int | None]] = {}
    for at, (each, row) in enumerate(zip(parts, labels, strict=True)):
        figures["people", at] = {atom: 1 for part in each for atom in members[part]}
        figures["completers", at] = {("completers", part): 1 for part in each}
        differ = any(label == f"1–{told[at].small}" for label in row)
        for name, label in zip(("people", "completers"), row, strict=True):
            if label == f"1–{told[at].small}":
                bounds[name, at] = (1, told[at].small)
            elif not _plain(label):
                bounds[name, at] = (told[at].small + 1 if differ else 1, None)
    staying: list[_Terms] = []
    for part in every:
        staying.append(dict.fromkeys(members[part], 1) | {("completers", part): -1})
    secrets = [*({atom: 1} for atom in atoms), *staying]
    for one, other in combinations(range(len(told)), 2):
        for a, b in ((one, other), (other, one)):
            secrets.append({atom: 1 for atom in figures["people", a] if atom not in figures["people", b]})
            apart = [part for part in parts[a] if part not in parts[b]]
            secrets.append({("completers", part): 1 for part in apart})
    system = Together(atoms, figures, (), staying, bounds)
    system.secrets = [each for each in secrets if 1 <= system.value(each) <= small]
    system.secrets += [figures[figure] for figure in bounds]
    return system


def _seen(of: Mapping[_Part, set[int]]) -> tuple[dict[Hashable, int], dict[_Part, list[Hashable]]]:
    """How many of each group are seen in which of its parts, and by part those of whom some are seen there.

    Also where nobody is: a reader cannot know that.
    """
    atoms: dict[Hashable, int] = {}
    members: dict[_Part, list[Hashable]] = {part: [] for part in of}
    for group in dict.fromkeys(group for group, _ in of):
        own = sorted((part for part in of if part[0] == group), key=lambda part: (len(part[1]), sorted(part[1])))
        times: dict[tuple[int, ...], int] = {(at,): 0 for at in range(len(own))}
        if len(own) > 1:
            times[tuple(range(len(own)))] = 0
        for who in set().union(*(of[part] for part in own)):
            seen = tuple(at for at, part in enumerate(own) if who in of[part])
            times[seen] = times.get(seen, 0) + 1
        for seen in sorted(times):
            elsewhere = frozenset[str]().union(*(part[1] for at, part in enumerate(own) if at not in seen))
            if any(own[at][1] <= elsewhere for at in seen):
                continue  # seen there, one would be seen in another of these too
            atoms["people", group, seen] = times[seen]
            for at in seen:
                members[own[at]].append(("people", group, seen))
    return atoms, members


def open_households(told: Sequence[Told], shown: Sequence[bool]) -> list[bool]:
    """Whether households may be shown beside those of all the other documents."""
    parts = [_parts(each) for each in told]
    homes = {part: set(counts.homes.tolist()) for each in parts for part, counts in each.items()}
    atoms, members = _seen(homes)
    figures = [{atom: 1 for part in each for atom in members[part]} for each in parts]
    return _open(told, atoms, figures, shown)


def open_sums(told: Sequence[Told], by_session: Sequence[Mapping[str, int]], shown: Sequence[bool]) -> list[bool]:
    """Whether a figure that adds up session by session (contacts, kits) may be shown beside all the others."""
    inside: dict[str, tuple[int, ...]] = {}
    values: dict[str, int] = {}
    for at, each in enumerate(by_session):
        for session, value in each.items():
            inside[session] = (*inside.get(session, ()), at)
            values[session] = value
    atoms: dict[Hashable, int] = {}
    for session in sorted(inside):
        atoms[inside[session]] = atoms.get(inside[session], 0) + values[session]
    figures: list[_Terms] = [{atom: 1 for atom in atoms if at in atom} for at in range(len(told))]  # type: ignore[operator]
    return _open(told, atoms, figures, shown)


def _open(
    told: Sequence[Told], atoms: Mapping[Hashable, int], figures: Sequence[_Terms], shown: Sequence[bool]
) -> list[bool]:
    """Hide more of a figure until no small number of what some documents have and others do not can be worked out."""
    hidden = {at for at, seen in enumerate(shown) if not seen}
    small = max(each.small for each in told)
    secrets: list[_Terms] = [{atom: 1} for atom in atoms]
    for one, other in combinations(range(len(told)), 2):
        for a, b in ((one, other), (other, one)):
            secrets.append({atom: 1 for atom in figures[a] if atom not in figures[b]})
    system = Together(atoms, dict(enumerate(figures)), ())
    bounds: dict[Hashable, tuple[int, int | None]] = {}
    for at in hidden:
        value = system.value(figures[at])
        bounds[at] = (1, told[at].small) if _is_small(value, told[at].small) and told[at].small > 1 else (1, None)
    system.bounds = bounds
    system.secrets = [each for each in secrets if _is_small(system.value(each), small)] + [figures[at] for at in hidden]
    gone = system.hide(hidden)
    return [at not in gone for at in range(len(told))]
