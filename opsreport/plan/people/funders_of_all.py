"""What a funder of groups in several workbooks is told of all of them, people counted once.

The reader is taken to hold every funder's document of every workbook, those of all workbooks, and the attendance of
all. Each line of a workbook is as its own document prints it, so it tells nothing new. A figure of all does so in two
ways only:

- It is of things counted once, so it tells how many are in several workbooks (`Unions`).
- Workbooks hide some of what it is a sum of, so it tells their sum (`sums_of_all`). Documents that count some of the
  same sessions as another funder's have no part in that, as those could tell more together.
"""

from collections import Counter, defaultdict
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Final

from opsreport.kinds import Share
from opsreport.money import Currency, Money
from opsreport.plan.people.attendance_of_all import Combined, combine, combine_beside
from opsreport.plan.people.funding import one_decimal, percent
from opsreport.plan.people.hiding import HIDDEN
from opsreport.plan.people.other_ways import Guest, Way, ways_of
from opsreport.plan.people.outcomes_of_all import OutcomesOfAll, outcomes_of_all
from opsreport.plan.people.sites import MEASURES, FunderPart, Site, Visit
from opsreport.plan.people.sums_of_all import Summand, open_sums
from opsreport.plan.people.who_is_who import Rows, Unions, homes_once, people_once
from opsreport.plan.people_model import FunderReport, Measure
from opsreport.words import fold

MONEY: Final = ("cost", "cost_held", "cost_to_come", "in_kind")


@dataclass(frozen=True, slots=True)
class Line:
    """One workbook's part, as its own document prints it. groups: as named, with the funder's share."""

    name: str
    programme: str
    currency: str
    completion: Share
    groups: tuple[tuple[str, Fraction], ...]
    report: FunderReport


@dataclass(frozen=True, slots=True)
class FunderOfAll:
    """One funder's document of all workbooks that name it, safe to hand over beside theirs.

    measures: of all, people counted once. sums: what the workbooks' own numbers add up to, where these are shown and
    that of all is not. money: by currency, its code and what the workbooks that count in it add up to.
    """

    name: str
    lines: tuple[Line, ...]
    measures: tuple[Measure, ...]
    sums: Mapping[str, int]
    money: tuple[tuple[str, tuple[Measure, ...]], ...]
    outcomes: OutcomesOfAll
    small: int


@dataclass(frozen=True, slots=True)
class OfAll:
    """attendance: None where fewer than two workbooks delivered sessions. funders: by name, those that several
    workbooks name."""

    attendance: Combined | None
    funders: tuple[FunderOfAll, ...]


def add_up(sites: Sequence[Site]) -> OfAll:
    """The attendance of all workbooks, and the funders of several of them, none of which tells a small count beside the
    others."""
    attended = [site for site in sites if site.totals.sessions_delivered]
    if not any(site.funders for site in sites):
        return OfAll(combine(attended) if len(attended) > 1 else None, ())
    people, apart = people_once(sites)
    homes = homes_once(sites, people)
    small = max(count for site in sites for count in (site.small, *(each.report.small_count for each in site.funders)))
    unions = (Unions(small), Unions(small))
    funders = tuple(each.told(*unions) for each in _funders(sites, people, homes))
    attendance = combine_beside(sites, people, homes, apart, unions) if len(attended) > 1 else None
    return OfAll(attendance, funders)


# --- who is named by several, and whom their documents count ---

_Numbers = Mapping[int, int]
"""By workbook, the number of the funder there."""
_Name = tuple[str, str]


def _funders(sites: Sequence[Site], people: Sequence[Rows], homes: Sequence[Rows]) -> "list[_Funder]":
    several = _several(sites)
    name_of = {(at, number): name for name, numbers in several.items() for at, number in numbers.items()}
    guests: dict[_Name, dict[int, list[_Guest]]] = {name: {at: [] for at in of} for name, of in several.items()}
    home_of = {(at, one.person): number for number, rows in enumerate(homes) for at, one in rows}
    for number, rows in enumerate(people):
        for at, one in rows:
            for funder, visit in one.visits.items():
                if (name := name_of.get((at, funder))) is not None:
                    guests[name][at].append((number, home_of[at, one.person], visit))
    sessions = _free(sites, several, lambda part: frozenset(part.report.sessions))
    answers = _free(sites, several, _who_answered)
    return [
        _Funder([sites[at] for at in of], list(of.values()), list(guests[name].values()), sessions[name], answers[name])
        for name, of in several.items()
    ]


def _several(sites: Sequence[Site]) -> dict[_Name, _Numbers]:
    """By name, in order: the funders that several workbooks name. A name that one workbook has for several funders goes
    with their codes."""
    found: dict[_Name, dict[int, int]] = defaultdict(dict)
    for at, site in enumerate(sites):
        times = Counter(fold(part.report.name) for part in site.funders)
        for number, part in enumerate(site.funders):
            name = fold(part.report.name)
            found[name, fold(part.report.funder) if times[name] > 1 else ""][at] = number
    return {name: found[name] for name in sorted(found) if len(found[name]) > 1}


def _free(
    sites: Sequence[Site], several: Mapping[_Name, _Numbers], inside: Callable[[FunderPart], frozenset[str]]
) -> dict[_Name, list[bool]]:
    """By funder and workbook: whether no other document, of it or of all, counts some of the same things only.

    Args:
        inside: what a part counts.
    """
    counted = [[inside(part) for part in site.funders] for site in sites]
    whole = {name: {at: counted[at][number] for at, number in of.items()} for name, of in several.items()}
    name_of = {(at, number): name for name, of in several.items() for at, number in of.items()}

    def alike(name: _Name, at: int, other: int) -> bool:
        beside = name_of.get((at, other))
        return counted[at][other] == whole[name][at] if beside is None else whole[beside] == whole[name]

    return {
        name: [
            not any(
                theirs & whole[name][at] and not alike(name, at, other)
                for other, theirs in enumerate(counted[at])
                if other != number
            )
            for at, number in of.items()
        ]
        for name, of in several.items()
    }


def _who_answered(part: FunderPart) -> frozenset[str]:
    return frozenset(who for each in part.answers for who in (*each.before, *each.after))


_Guest = tuple[int, int, Visit]
"""Person and household, by number, and how often they came."""


@dataclass(frozen=True)
class _Funder:
    """One funder's parts, workbook by workbook. sites: the workbooks. numbers: of the funder in each. guests: whom each
    part counts. free, answers_free: whether no other document counts some of its sessions only, or some of its people's
    answers."""

    sites: Sequence[Site]
    numbers: Sequence[int]
    guests: Sequence[Sequence[_Guest]]
    free: Sequence[bool]
    answers_free: Sequence[bool]

    def told(self, people: Unions, homes: Unions) -> FunderOfAll:
        """What may be told beside all that these unions have accepted; they have this accepted as well then."""
        shown = self._shown(people, homes)
        return FunderOfAll(
            self.parts[0].report.name,
            tuple(
                Line(site.name, " ".join(words for words in (site.programme, site.term) if words), site.currency.code,
                     site.completion, part.groups, part.report)
                for site, part in zip(self.sites, self.parts, strict=True)
            ),
            tuple(self._measures(shown)),
            {
                measure: sum(values[measure] for values in self.values)
                for measure in ("people", "households", "completers")
                if measure not in shown and not any(measure in part.hidden for part in self.parts)
            },
            tuple(
                (currency.code, tuple(self._money(currency)))
                for currency in dict.fromkeys(site.currency for site in self.sites)
            ),
            outcomes_of_all(self.parts, self.answers_free),
            self.small,
        )  # fmt: skip

    @cached_property
    def parts(self) -> list[FunderPart]:
        return [site.funders[number] for site, number in zip(self.sites, self.numbers, strict=True)]

    @cached_property
    def small(self) -> int:
        return max(part.report.small_count for part in self.parts)

    @cached_property
    def people(self) -> dict[int, set[int]]:
        """By number: the parts that count them."""
        return self._where((person, at) for at, guests in enumerate(self.guests) for person, _, _ in guests)

    @cached_property
    def completers(self) -> dict[int, set[int]]:
        return self._where(
            (one, at) for at, guests in enumerate(self.guests) for one, _, visit in guests if visit.completer
        )

    @cached_property
    def homes(self) -> dict[int, set[int]]:
        return self._where((home, at) for at, guests in enumerate(self.guests) for _, home, _ in guests)

    @staticmethod
    def _where(pairs: Iterable[tuple[int, int]]) -> dict[int, set[int]]:
        found: dict[int, set[int]] = defaultdict(set)
        for thing, at in pairs:
            found[thing].add(at)
        return found

    @cached_property
    def ways(self) -> list[frozenset[Way]]:
        """By part: how what it hides could be otherwise; none where another document could tell more of it."""
        return [
            ways_of(part, [self._guest(each) for each in guests], values) if free else frozenset()
            for part, guests, values, free in zip(self.parts, self.guests, self.values, self.free, strict=True)
        ]

    def _guest(self, guest: _Guest) -> Guest:
        one, home, visit = guest
        return Guest(visit, home, len(self.people[one]) == 1 and len(self.homes[home]) == 1)

    @cached_property
    def values(self) -> list[dict[str, int]]:
        """By part: the true figures, whatever is hidden."""
        return [
            {
                "people": len(guests), "completers": sum(visit.completer for _, _, visit in guests),
                "households": part.households, "contacts": sum(visit.contacts for _, _, visit in guests),
                "kits": part.kits,
            }
            for part, guests in zip(self.parts, self.guests, strict=True)
        ]  # fmt: skip

    @cached_property
    def all(self) -> dict[str, int]:
        """The true figures of all, people and households once."""
        sums = {measure: sum(values[measure] for values in self.values) for measure in MEASURES}
        twice = sum(len(parts) - 1 for parts in self.homes.values())
        return sums | {
            "people": len(self.people), "completers": len(self.completers), "households": sums["households"] - twice
        }  # fmt: skip

    # --- the figures of all ---

    def _shown(self, people: Unions, homes: Unions) -> frozenset[str]:
        """Those of MEASURES that may be told of all."""
        parts = zip(self.parts, self.values, self.ways, strict=True)
        shown = open_sums([Summand(part.hidden, values, ways) for part, values, ways in parts], self.all, self.small)
        unions = (
            ("people", people, self.people),
            ("completers", people, self.completers),
            ("households", homes, self.homes),
        )
        return shown - {measure for measure, union, of in unions if measure in shown and not union.accept(of)}

    def _measures(self, shown: Collection[str]) -> Iterable[Measure]:
        """In the order of a funder's document."""
        sessions = sum(len(part.report.sessions) for part in self.parts)
        yield Measure("sessions", None, sessions, f"{sessions:,}")
        for measure in ("people", "households", "contacts"):
            yield self._count(measure, measure in shown)
        people, completers = self.all["people"], self.all["completers"]
        if not people:
            yield Measure("completion", None, None, "–")
        elif {"people", "completers"} <= set(shown):
            yield Measure(
                "completion", None, float(Fraction(completers, people)), percent(Fraction(completers, people))
            )
        else:
            yield Measure("completion", None, None, HIDDEN)
        yield self._count("completers", "completers" in shown)
        hours = [
            measure.value
            for part in self.parts
            for measure in part.report.measures
            if measure.measure == "contact_hours"
        ]
        if None in hours:
            yield Measure("contact_hours", None, None, HIDDEN)
        else:
            exact = sum((Fraction(str(each)) for each in hours), Fraction(0))
            yield Measure("contact_hours", None, str(exact), one_decimal(exact))
        yield self._count("kits", "kits" in shown)

    def _count(self, measure: str, shown: bool) -> Measure:
        value = self.all[measure]
        return Measure(measure, None, value, f"{value:,}") if shown else Measure(measure, None, None, HIDDEN)

    def _money(self, currency: Currency) -> Iterable[Measure]:
        """What all parts in one currency add up to; unknown as soon as one of them is."""
        for name in MONEY:
            found = [
                measure
                for site, part in zip(self.sites, self.parts, strict=True)
                if site.currency == currency
                for measure in part.report.measures
                if measure.measure == name
            ]
            unknown = next((measure for measure in found if measure.value is None), None)
            if unknown is not None:
                yield Measure(name, None, None, unknown.shown)
                continue
            exact = [currency.exact(Fraction(str(measure.value))) for measure in found]
            money = Money(sum(each for each in exact if each is not None))
            yield Measure(name, None, currency.plain(money), currency.shown(money))
