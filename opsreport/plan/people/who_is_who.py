"""Who is one person in several workbooks, and when it may be told how many are in several.

Codes are given out workbook by workbook, so that two may have one code. Two rows are one person only where Programme,
participant and household agree, the household is a code of its own, and nothing that both say of the person (name,
further columns of Enrolment) differs. Else they are counted apart: too many people rather than too few.
"""

from collections import Counter, defaultdict
from collections.abc import Collection, Iterable, Mapping, Sequence
from itertools import combinations
from typing import Final

from opsreport.plan.people.counts import is_small
from opsreport.plan.people.sites import Came, Site
from opsreport.words import fold

Rows = tuple[tuple[int, Came], ...]
"""One person (or household): where they came, by the place of the workbook in the run."""
_ENOUGH: Final = 3
"""Workbooks with somebody of their own, beside whom whoever is in several could be others."""


def people_once(sites: Sequence[Site]) -> tuple[list[Rows], int]:
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


def homes_once(sites: Sequence[Site], people: Iterable[Rows]) -> list[Rows]:
    """Everyone of every household; two are one where somebody of it is one person."""
    of_person: dict[tuple[int, str], tuple[int, str]] = {}

    def root(home: tuple[int, str]) -> tuple[int, str]:
        while (above := of_person.setdefault(home, home)) != home:
            home = above
        return home

    for rows in people:
        first, *others = ((site, one.home) for site, one in rows)
        for other in others:
            of_person[root(other)] = root(first)
    found: dict[tuple[int, str], list[tuple[int, Came]]] = defaultdict(list)
    for at, site in enumerate(sites):
        for one in site.came:
            found[root((at, one.home))].append((at, one))
    return [tuple(rows) for rows in found.values()]


class Unions:
    """Numbers of things counted once over several lists, accepted one after the other as long as, beside the lists'
    own numbers and all that was accepted before, they do not tell of a few that are in several lists or in one only.

    Whoever adds the lists' numbers up and subtracts gets how often things are in more than one list. So things that are
    in as many of them in every union are taken together, and none of these sorts may be few.
    """

    def __init__(self, small: int) -> None:
        self.small = small
        self._sorts: dict[int, int] = {}
        """By thing: its sort, 0 where no union has it in more than one list."""

    def accept(self, seen: Mapping[int, Collection[object]]) -> bool:
        """Whether one more union may be told. seen: the lists that each thing is in, at least one."""
        if not self._open_alone(list(seen.values())):
            return False
        return self.accept_sum({thing: len(lists) - 1 for thing, lists in seen.items() if len(lists) > 1})

    def accept_sum(self, more: Mapping[int, int]) -> bool:
        """The same of a sum of what each thing adds to it."""
        sorts = {thing: (self._sorts.get(thing, 0), more.get(thing, 0)) for thing in self._sorts.keys() | more.keys()}
        if any(any(sort) and is_small(many, self.small) for sort, many in Counter(sorts.values()).items()):
            return False
        numbers: dict[tuple[int, int], int] = {(0, 0): 0}
        self._sorts = {thing: numbers.setdefault(sort, len(numbers)) for thing, sort in sorts.items()}
        return True

    def _open_alone(self, lists: Sequence[Collection[object]]) -> bool:
        """Whether nothing small follows from one union and its own lists.

        The things in several lists could be others where three lists at least have some of their own: one is taken out
        of a list here and put into another there. Of two lists all is told.
        """
        own = Counter(each for of in lists for each in of)
        more = sum(own.values()) - len(lists)
        if not more or not self.small:
            return True
        if is_small(more, self.small) or any(is_small(len(lists) - many, self.small) for many in own.values()):
            return False
        return len(own) < _ENOUGH or len({each for of in lists if len(of) == 1 for each in of}) >= _ENOUGH
