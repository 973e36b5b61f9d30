"""Which sums over several workbooks' documents may be told, where some of these hide their part.

A sum that is told says what all hidden parts add up to. Something hidden in one document stays open where there is a
way (`other_ways`) that changes it, and another document has the opposite way: both together change no sum.
"""

from collections import defaultdict
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from opsreport.plan.people.counts import is_small
from opsreport.plan.people.other_ways import Way
from opsreport.plan.people.sites import MEASURES

_GIVEN_UP: Final = ("contacts", "households", "completers", "kits", "people")
"""Sums in the order in which they are hidden."""
_AT: Final = {measure: at for at, measure in enumerate(MEASURES)}


@dataclass(frozen=True, slots=True)
class Summand:
    """One document: what it hides of MEASURES, the true figures, and how what it hides could be otherwise."""

    hidden: frozenset[str]
    values: Mapping[str, int]
    ways: frozenset[Way]


def open_sums(parts: Sequence[Summand], of_all: Mapping[str, int], small: int) -> frozenset[str]:
    """The sums that may be told, of MEASURES. of_all: the true ones, which are less where people are counted once."""
    shown = [measure for measure in MEASURES if _is_large(measure, parts, of_all, small)]
    if "completers" in shown and _others_are_few(parts, of_all, small):
        shown.remove("completers")
    while (told := _told(parts, shown)) is not None:
        shown.remove(next(measure for measure in _GIVEN_UP if measure in shown and measure in told.hidden))
    return frozenset(shown)


def _is_large(measure: str, parts: Sequence[Summand], of_all: Mapping[str, int], small: int) -> bool:
    """Whether neither the sum is small nor what all parts that hide theirs add up to."""
    hidden = sum(part.values[measure] for part in parts if measure in part.hidden)
    return not is_small(of_all[measure], small) and not is_small(hidden, small)


def _others_are_few(parts: Sequence[Summand], of_all: Mapping[str, int], small: int) -> bool:
    """Whether few did not complete, be it of all or of those parts that hide people or completers."""
    hidden = sum(
        part.values["people"] - part.values["completers"] for part in parts if part.hidden & {"people", "completers"}
    )
    return any(is_small(many, small) for many in (of_all["people"] - of_all["completers"], hidden))


def _told(parts: Sequence[Summand], shown: Collection[str]) -> Summand | None:
    """A part of which something hidden follows from the sums that are shown."""
    places = [_AT[measure] for measure in shown]
    offers: dict[Way, set[int]] = defaultdict(set)
    for at, part in enumerate(parts):
        for way in part.ways:
            offers[tuple(way[place] for place in places)].add(at)

    def made_up_for(at: int, way: Way) -> bool:
        """Whether no sum changes, or another part can change so that it does not."""
        changes = [way[place] for place in places]
        return not any(changes) or any(other != at for other in offers.get(tuple(-by for by in changes), ()))

    for at, part in enumerate(parts):
        secret = [_AT[measure] for measure in part.hidden if part.values[measure]]
        if part.hidden.isdisjoint(shown):
            continue
        if not all(any(way[place] and made_up_for(at, way) for way in part.ways) for place in secret):
            return part
    return None
