"""Attendance of several workbooks together, people counted once, and nothing told that a small count follows from."""

from collections import defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from opsreport.plan.people.counts import is_small
from opsreport.plan.people.hiding import HIDDEN, hide_people, hide_row
from opsreport.plan.people.sites import MEASURES, Site
from opsreport.plan.people.who_is_who import Rows, Unions, homes_once, people_once
from opsreport.plan.people_model import Totals

Sites = frozenset[int]
"""Workbooks, by their place in the run."""


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
    """Every workbook's line, in their order, and that of all. joined: people in several workbooks counted once; None:
    not to be told. apart: codes that stand in several workbooks and are counted apart. shown: where funders' documents
    were reckoned with, of how many workbooks each figure of all is."""

    sites: tuple[Printed, ...]
    all: Printed
    joined: int | None
    apart: int
    small: int
    shown: Mapping[str, int] = field(default_factory=dict)


def combine(sites: Sequence[Site]) -> Combined:
    """All workbooks together, small counts hidden, where no workbook has a funder's document, by the largest Small
    count of any of them.

    Workbooks that share people are one part: what is printed of parts adds up, so that nothing hidden follows from it
    (`hiding`). Of the workbooks of such a part their own counts are printed only where nobody could subtract one from
    the other and find a small count.
    """
    small = max((site.small for site in sites), default=0)
    people, apart = people_once(sites)
    homes = [frozenset(site for site, _ in rows) for rows in homes_once(sites, people)]
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
    rows = zip(people_labels, done_labels, household_labels, contacts, kits, strict=True)
    labels = [dict(zip(MEASURES, row, strict=True)) for row in rows]
    of_all = dict(zip(MEASURES, (shown.people, shown.completers, all_homes, all_contacts, all_kits), strict=True))
    return Combined(
        tuple(_printed(site.totals, of_site) for site, of_site in zip(sites, labels, strict=True)),
        _printed(_sums(sites), of_all),
        sum(len(rows) > 1 for rows in people),
        apart,
        small,
    )


def combine_beside(
    sites: Sequence[Site], people: Sequence[Rows], homes: Sequence[Rows], apart: int, unions: tuple[Unions, Unions]
) -> Combined:  # fmt: skip
    """The same where workbooks have funders' documents, which the same readers may hold.

    Of a workbook only what may stand beside those is printed (`Site.open`), and the figures of all are of the workbooks
    that print theirs: a reader can add those up. Only how many people are in several workbooks is new in them; `unions`
    says whether that may be told. Workbooks that delivered no session are no part of it.

    Args:
        people, homes: everyone once, and every household. apart: as in `Combined`. unions: of people and of
            households, with what funders' documents of all tell accepted before.
    """
    attended = [at for at, site in enumerate(sites) if site.totals.sessions_delivered]
    small = unions[0].small
    where = {measure: {at for at in attended if measure in sites[at].open} for measure in MEASURES}
    came = _lists(people, where["people"])
    done = _lists(people, where["completers"], completers=True)
    at_home = _lists(homes, where["households"])
    joined = {number: 1 for number, of in came.items() if len(of) > 1}
    lone = len(_lists(people, where["completers"])) - len(done)
    shown = {
        "people": unions[0].accept(came),
        "completers": unions[0].accept(done) and not is_small(len(done), small) and not is_small(lone, small),
        "households": unions[1].accept(at_home),
    }
    numbers = {
        "people": len(came), "completers": len(done), "households": len(at_home),
        "contacts": sum(sites[at].totals.contacts for at in where["contacts"]),
        "kits": sum(sites[at].totals.kits_distributed for at in where["kits"]),
    }  # fmt: skip
    labels = {
        measure: f"{number:,}" if where[measure] and shown.get(measure, True) else HIDDEN
        for measure, number in numbers.items()
    }
    tells = is_small(len(joined), small) or unions[0].accept_sum(joined)
    totals = replace(
        _sums(sites[at] for at in attended),
        contact_hours=_sums(sites[at] for at in sorted(where["contacts"])).contact_hours,
    )
    of_all = _printed(totals, labels)
    return Combined(
        tuple(_printed(sites[at].totals, _own_labels(sites[at])) for at in attended),
        of_all if where["people"] == where["completers"] else replace(of_all, completion=None),
        len(joined) if tells else None, apart, small, {measure: len(of) for measure, of in where.items()},
    )  # fmt: skip


def _lists(things: Sequence[Rows], sites: Collection[int], *, completers: bool = False) -> dict[int, set[int]]:
    """By number, those that some workbooks count, or count as completers, and which of them do."""
    found = (
        (number, {at for at, one in rows if at in sites and (one.completer or not completers)})
        for number, rows in enumerate(things)
    )
    return {number: of for number, of in found if of}


def _own_labels(site: Site) -> dict[str, str]:
    totals = site.totals
    numbers = {
        "people": totals.people, "completers": totals.completers, "households": totals.households,
        "contacts": totals.contacts, "kits": totals.kits_distributed,
    }  # fmt: skip
    return {measure: f"{number:,}" if measure in site.open else HIDDEN for measure, number in numbers.items()}


# --- parts of workbooks that share nobody ---


def _parts(count: int, seen: Iterable[Sites]) -> list[Sites]:
    """Sites in parts of which no two share a person, in the order of their first."""
    linked = [{at} for at in range(count)]
    for places in seen:
        joint = set().union(*(linked[at] for at in places))
        if len(joint) > len(linked[min(places)]):
            for at in joint:
                linked[at] = joint
    return list(dict.fromkeys(frozenset(each) for each in linked))


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


# --- lines ---


def _is_shown(label: str) -> bool:
    return label.replace(",", "").isdecimal()


def _cell(label: str) -> int | str:
    return int(label.replace(",", "")) if _is_shown(label) else label


def _printed(totals: Totals, labels: Mapping[str, str]) -> Printed:
    """A line. labels: what is printed of each of MEASURES."""
    cells = {measure: _cell(label) for measure, label in labels.items()}
    people, done = cells["people"], cells["completers"]
    rate = Fraction(done, people) if isinstance(people, int) and isinstance(done, int) and people else None
    return Printed(
        totals.sessions_planned, totals.sessions_delivered, people, cells["households"], cells["contacts"],
        totals.contact_hours if isinstance(cells["contacts"], int) else None, cells["kits"], done, rate,
    )  # fmt: skip


def _sums(sites: Iterable[Site]) -> Totals:
    """What adds up over workbooks."""
    totals = [site.totals for site in sites]
    return Totals(
        sessions_planned=sum(each.sessions_planned for each in totals),
        sessions_delivered=sum(each.sessions_delivered for each in totals),
        contact_hours=sum((each.contact_hours for each in totals), Fraction(0)),
    )
