"""How one funder's document could hide other figures than it does, all that it prints being as it is.

Each way is what one person more, one less, or one who came more or less often would change. It is real: people who came
to one group only are taken away, added or made to come at other times as that group's sessions allow, and the rest
stays. Where one workbook's figures change so and another's the other way round, no sum over both shows it.
"""

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Final

from opsreport.plan.people.counts import is_small
from opsreport.plan.people.sites import MEASURES, FunderPart, Visit

Way = tuple[int, ...]
"""By how much each of MEASURES changes."""
_FURTHEST: Final = 3
"""Contacts more or less that are tried where somebody becomes a completer, or none."""


@dataclass(frozen=True, slots=True)
class Guest:
    """Somebody whom the document counts. home: of the household. alone: this funder's documents of other workbooks
    count neither them nor anybody of the household."""

    visit: Visit
    home: int
    alone: bool


def ways_of(part: FunderPart, guests: Sequence[Guest], values: Mapping[str, int]) -> frozenset[Way]:
    """All ways in which what is hidden could be one more or less. values: the true figures, by measure."""
    if not part.hidden:
        return frozenset()
    kits: list[Way] = [(0, 0, 0, 0, by) for by in (1, -1)]
    found = {
        *kits,
        *_leaving(guests),
        *_joining(part, guests),
        *_moving_house(guests),
        *_coming_otherwise(part, guests),
    }
    return frozenset(way for way in found if _agrees(part, way, values))


def _agrees(part: FunderPart, way: Way, values: Mapping[str, int]) -> bool:
    """Whether only what is hidden changes and still looks as it does: a small count small, another not, none nought."""
    small, heads = part.report.small_count, (way[0], way[1])
    if any(heads) and heads not in part.report.moves:
        return False
    changed = {measure: by for measure, by in zip(MEASURES, way, strict=True) if by}
    return changed.keys() <= part.hidden and all(
        values[measure] + by > 0 and is_small(values[measure] + by, small) == is_small(values[measure], small)
        for measure, by in changed.items()
    )


def _leaving(guests: Sequence[Guest]) -> Iterator[Way]:
    at_home = Counter(guest.home for guest in guests)
    for guest in guests:
        if guest.alone and guest.visit.group:
            yield (-1, -int(guest.visit.completer), -int(at_home[guest.home] == 1), -guest.visit.contacts, 0)


def _joining(part: FunderPart, guests: Sequence[Guest]) -> Iterator[Way]:
    """Somebody of a household that is counted already, or of another."""
    for held, needed in part.meetings.values():
        for times in range(1, held + 1):
            for homes in (0, 1) if guests else (1,):
                yield (1, int(times >= needed), homes, times, 0)


def _moving_house(guests: Sequence[Guest]) -> Iterator[Way]:
    """One of two leaves a household for one of their own, or joins another's."""
    at_home = Counter(guest.home for guest in guests)
    if len(at_home) < len(guests):
        yield (0, 0, 1, 0, 0)
    if len({guest.home for guest in guests if guest.alone}) > 1:
        yield (0, 0, -1, 0, 0)


def _coming_otherwise(part: FunderPart, guests: Sequence[Guest]) -> Iterator[Way]:
    """Somebody comes more or less often, and so becomes a completer, or none, or stays what they are; others of the
    group may make up for it."""
    for group, (held, needed) in part.meetings.items():
        visits = [guest.visit for guest in guests if guest.alone and guest.visit.group == group]
        more = {visit: (held if visit.completer else min(needed - 1, held)) - visit.contacts for visit in visits}
        less = {visit: visit.contacts - (needed if visit.completer else 1) for visit in visits}
        all_more, all_less = (sum(room[visit] for visit in visits) for room in (more, less))
        if all_more:
            yield (0, 0, 0, 1, 0)
        if all_less:
            yield (0, 0, 0, -1, 0)
        for visit in set(visits):
            times = (1, min(needed - 1, held)) if visit.completer else (needed, held)
            least = times[0] - visit.contacts - (all_less - less[visit])
            most = times[1] - visit.contacts + (all_more - more[visit])
            if times[0] <= times[1]:
                for by in range(max(least, -_FURTHEST), min(most, _FURTHEST) + 1):
                    yield (0, -1 if visit.completer else 1, 0, by, 0)
