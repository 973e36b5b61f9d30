"""Attendance of several workbooks together: a person counted once where the codes say that it is the same one.

Codes are given out workbook by workbook, so that two may have one code. Two rows are one person only where Programme,
participant and household agree, the household is a code of its own, and nothing that both say of the person (name,
further columns of Enrolment) differs. Else they are counted apart: too many people rather than too few.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import combinations

from opsreport.plan.people.hiding import HIDDEN, hide_people, hide_row
from opsreport.plan.people.ledger import distinct, keep_ledger
from opsreport.plan.people_model import PeoplePlan, Totals
from opsreport.programme import Programme
from opsreport.words import fold

Sites = frozenset[int]
"""Workbooks, by their place in the run."""


@dataclass(frozen=True, slots=True)
class Came:
    """Somebody who was present at least once. household: '' where none is stated. told: what else is said of them, by
    heading; all but `person` without case."""

    person: str
    household: str
    completer: bool
    told: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Site:
    """What one workbook has to say. programme, term: from Settings. small: its Small count."""

    name: str
    programme: str
    term: str
    small: int
    totals: Totals
    came: tuple[Came, ...]


@dataclass(frozen=True, slots=True)
class Printed:
    """One line as it may be printed; a count that is hidden is in words, figures that rest on one are None."""

    sessions_planned: int
    sessions_delivered: int
    people: int | str
    households: int | str
    contacts: int | str
    contact_hours: Fraction | None
    kits: int | str
    completers: int | str
    completion: Fraction | None


@dataclass(frozen=True, slots=True)
class Combined:
    """Every workbook's line, in their order, and that of all. joined: people in several workbooks counted once.
    apart: codes that stand in several workbooks and are counted apart."""

    sites: tuple[Printed, ...]
    all: Printed
    joined: int
    apart: int
    small: int


def site_of(name: str, programme: Programme, people: PeoplePlan) -> Site:
    """One workbook's figures and everyone who came."""
    ledger = keep_ledger(programme)
    roll = ledger.roll
    completers = {member.participant for member in people.members if member.completer}
    told: dict[str, dict[str, str]] = defaultdict(dict)
    for member in roll.members:
        for heading, text in (("Name", member.name), *member.extra.items()):
            if fold(text):
                told[member.participant].setdefault(fold(heading), fold(text))
    came = []
    for at in distinct(ledger.presents.person).tolist():
        person, home = roll.people[at], roll.homes[roll.person_home[at]]
        household = "" if fold(home) == fold(person) else fold(home)
        came.append(Came(person, household, person in completers, told.get(person, {})))
    settings = programme.settings
    return Site(name, settings.programme, settings.term, settings.small_count, people.totals, tuple(came))


def combine(sites: Sequence[Site]) -> Combined:
    """All workbooks together, small counts hidden, by the largest Small count of any of them.

    Workbooks that share people are one part: what is printed of parts adds up, so that nothing hidden follows from it
    (`hiding`). Of the workbooks of such a part their own counts are printed only where nobody could subtract one from
    the other and find a small count.
    """
    small = max((site.small for site in sites), default=0)
    people, apart = _people(sites)
    homes = _homes(sites, people)
    seen = [frozenset(site for site, _ in rows) for rows in people]
    parts = _parts(len(sites), seen)
    heads = [_heads(people, part) for part in parts]
    at_home = [sum(home <= part for home in homes) for part in parts]
    some = [head for head in heads if head[0]]  # to which nobody came is no secret
    shown = hide_people(sum(p for p, _ in heads), sum(c for _, c in heads), {"": some}, small)
    of_some = iter(shown.breakdowns.get("", ((HIDDEN, HIDDEN),) * len(some)))
    by_part = [next(of_some) if head[0] else ("0", "0") for head in heads]
    unsure = {at for at, (label, _) in enumerate(by_part) if not _is_shown(label)}
    home_labels, all_homes = hide_row(at_home, small, unsure)
    open_ = [len(part) == 1 or _tells_nothing(people, homes, part, small) for part in parts]
    part_of = {site: at for at, part in enumerate(parts) for site in part}

    def own(site: int, label: str, count: int) -> str:
        """A site's own count, as open as that of its part."""
        part = part_of[site]
        if len(parts[part]) == 1:
            return label
        return f"{count:,}" if open_[part] and _is_shown(label) else HIDDEN

    alone = [_heads(people, frozenset((site,)), within=True) for site in range(len(sites))]
    people_labels = [own(s, by_part[part_of[s]][0], alone[s][0]) for s in range(len(sites))]
    done_labels = [own(s, by_part[part_of[s]][1], alone[s][1]) for s in range(len(sites))]
    household_labels = [own(s, home_labels[part_of[s]], sum(s in home for home in homes)) for s in range(len(sites))]
    closed = {site for site, label in enumerate(people_labels) if not _is_shown(label)}
    contacts, all_contacts = hide_row([site.totals.contacts for site in sites], small, closed)
    kits, all_kits = hide_row([site.totals.kits_distributed for site in sites], small, closed)
    labels = zip(people_labels, household_labels, contacts, kits, done_labels, strict=True)
    return Combined(
        tuple(_printed(site.totals, *words) for site, words in zip(sites, labels, strict=True)),
        _printed(_sums(sites), shown.people, all_homes, all_contacts, all_kits, shown.completers),
        sum(len(rows) > 1 for rows in people),
        apart,
        small,
    )


# --- who is who ---

Rows = tuple[tuple[int, Came], ...]
"""One person: where they came, a site once."""


def _people(sites: Sequence[Site]) -> tuple[list[Rows], int]:
    """Everyone once, and how many codes of several sites are counted apart."""
    alike: dict[tuple[str, str, str], list[tuple[int, Came]]] = defaultdict(list)
    codes: dict[str, set[int]] = defaultdict(set)
    people: list[Rows] = []
    for at, site in enumerate(sites):
        for one in site.came:
            codes[fold(one.person)].add(at)
            if site.programme and one.household:
                alike[fold(site.programme), fold(one.person), one.household].append((at, one))
            else:
                people.append(((at, one),))
    joined: set[str] = set()
    for (_, code, _), rows in alike.items():
        if len(rows) > 1 and all(_agree(one.told, other.told) for (_, one), (_, other) in combinations(rows, 2)):
            joined.add(code)
            people.append(tuple(rows))
        else:
            people += [(row,) for row in rows]
    return people, sum(len(places) > 1 and code not in joined for code, places in codes.items())


def _agree(one: Mapping[str, str], other: Mapping[str, str]) -> bool:
    return all(one[heading] == other[heading] for heading in one.keys() & other.keys())


def _homes(sites: Sequence[Site], people: Iterable[Rows]) -> list[Sites]:
    """The sites of every household; two are one where somebody of it is one person."""
    of_person: dict[tuple[int, str], tuple[int, str]] = {}

    def root(home: tuple[int, str]) -> tuple[int, str]:
        while (above := of_person.setdefault(home, home)) != home:
            home = above
        return home

    for rows in people:
        first, *others = ((site, one.household or fold(one.person)) for site, one in rows)
        for other in others:
            of_person[root(other)] = root(first)
    found: dict[tuple[int, str], set[int]] = defaultdict(set)
    for at, site in enumerate(sites):
        for one in site.came:
            found[root((at, one.household or fold(one.person)))].add(at)
    return [frozenset(places) for places in found.values()]


def _parts(count: int, seen: Iterable[Sites]) -> list[Sites]:
    """Sites in parts of which no two share a person, in the order of their first."""
    linked = [{at} for at in range(count)]
    for places in seen:
        joint = set().union(*(linked[at] for at in places))
        if len(joint) > len(linked[min(places)]):
            for at in joint:
                linked[at] = joint
    return list(dict.fromkeys(frozenset(each) for each in linked))


# --- what may be printed ---


def _heads(people: Iterable[Rows], sites: Collection[int], within: bool = False) -> tuple[int, int]:
    """People of some sites and completers among them, each once. within: only what these sites say of them."""
    found = [[one for site, one in rows if site in sites or not within] for rows in people
             if any(site in sites for site, _ in rows)]  # fmt: skip
    return len(found), sum(any(one.completer for one in rows) for rows in found)


def _tells_nothing(people: Iterable[Rows], homes: Iterable[Sites], part: Sites, small: int) -> bool:
    """Whether the people who came to the same sites of a part, completers of the same and others, are nowhere few;
    the households neither. Whatever a reader adds or subtracts is a sum of these."""
    atoms: dict[object, int] = defaultdict(int)
    for rows in people:
        if rows[0][0] in part:
            atoms["people", frozenset(site for site, _ in rows), frozenset(s for s, one in rows if one.completer)] += 1
    for home in homes:
        if home <= part:
            atoms["homes", home] += 1
    return all(number > small for number in atoms.values())


def _is_shown(label: str) -> bool:
    return label.replace(",", "").isdecimal()


def _cell(label: str) -> int | str:
    return int(label.replace(",", "")) if _is_shown(label) else label


def _printed(totals: Totals, people: str, households: str, contacts: str, kits: str, completers: str) -> Printed:
    shown, done = _cell(people), _cell(completers)
    rate = Fraction(done, shown) if isinstance(shown, int) and isinstance(done, int) and shown else None
    return Printed(
        totals.sessions_planned, totals.sessions_delivered, shown, _cell(households), _cell(contacts),
        totals.contact_hours if _is_shown(contacts) else None, _cell(kits), done, rate,
    )  # fmt: skip


def _sums(sites: Iterable[Site]) -> Totals:
    """What adds up over workbooks."""
    totals = [site.totals for site in sites]
    return Totals(
        sessions_planned=sum(each.sessions_planned for each in totals),
        sessions_delivered=sum(each.sessions_delivered for each in totals),
        contact_hours=sum((each.contact_hours for each in totals), Fraction(0)),
    )
