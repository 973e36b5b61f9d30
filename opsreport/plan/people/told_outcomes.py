"""What a funder may be told of an outcome: no small count of people, and nothing from which one would follow."""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import pairwise, product
from typing import Final

from opsreport.plan.people.chance import student
from opsreport.plan.people.hiding import hide_row
from opsreport.plan.people_model import Outcome

_MOST_MOVED: Final = 16
"""Most people whose changes are made others in thought, when it is tried what else could be true."""
_REACH: Final = 3
"""How far from the truth other numbers of those who improved, stayed and got worse are tried."""
_MOST_LENGTH: Final = 8
"""Steps along the scale that such a change has at most."""


def safe_outcome(outcome: Outcome, small: int, *, sides: bool = True) -> Outcome:
    """An outcome without the small counts in it, nor shares, changes and p from which they follow.

    Of yes and no everything but n hangs together: after = before + (improved − worse) / n, and every share
    gives a count. So all of it is hidden when any of it rests on few. The average change and its interval give the sum
    of the changes and of their squares; they stay where other changes of other people add up to the same. Statistics
    are as exact as they are printed, in the cells of a spreadsheet too.

    Args:
        sides: whether those who improved, stayed and got worse may be shown at all.
    """
    up, same, down = outcome.improved or 0, outcome.same or 0, outcome.worse or 0
    labels, _ = hide_row((up, same, down), small)
    shown = [
        value if sides and label == f"{value:,}" else None
        for value, label in zip((up, same, down), labels, strict=True)
    ]
    unmatched = outcome.unmatched
    outcome = _as_printed(outcome)
    safe = replace(
        outcome, unmatched=None if unmatched and unmatched <= small else unmatched, stayed_n=0, dropped_n=0,
        dropped_before=None, seen=(),
    )  # fmt: skip
    if outcome.kind == "yes-no":
        few = any(_rests_on_few(share, outcome.n, small) for share in (outcome.before, outcome.after))
        if None not in shown and not few:
            return safe
        return replace(
            safe, before=None, before_low=None, before_high=None, after=None, low=None, high=None, change=None,
            p=None, improved=None, same=None, worse=None,
        )  # fmt: skip
    safe = replace(safe, improved=shown[0], same=shown[1], worse=shown[2])
    if None not in shown:
        return safe
    safe = replace(safe, p=None)
    hidden = tuple(value is None for value in shown)
    small = small if sides else outcome.n
    if _other_changes_fit(outcome, hidden, small, squares=True):
        return safe
    safe = replace(safe, low=None, high=None, effect=None)
    if _other_changes_fit(outcome, hidden, small, squares=False):
        return safe
    return replace(safe, before=None, after=None, change=None)


def _rests_on_few(share: float | None, n: int, small: int) -> bool:
    """Whether a share, or its complement, is of few people."""
    if share is None:
        return False
    yes = round(share * n)
    return 1 <= yes <= small or 1 <= n - yes <= small


def printed_statistic(value: float) -> float:
    """A statistic as it is printed: three decimals below 1, two below 100, else one."""
    size = abs(value)
    return round(value, 3 if size < 1 else 2 if size < 100 else 1) + 0.0  # -0.0 + 0.0 is 0.0


def _as_printed(outcome: Outcome) -> Outcome:
    if outcome.kind == "yes-no":
        return outcome
    figures = (outcome.before, outcome.after, outcome.change, outcome.low, outcome.high, outcome.effect)
    before, after, change, low, high, effect = (None if x is None else printed_statistic(x) for x in figures)
    return replace(outcome, before=before, after=after, change=change, low=low, high=high, effect=effect)


_Sides = tuple[int, int, int]
"""Improved, same, worse."""


def _other_changes_fit(outcome: Outcome, hidden: Sequence[bool], small: int, *, squares: bool) -> bool:
    """Whether each hidden count of improved, same and worse could be another one, with all that is printed as it is.

    Tried by giving a few of the people other changes: their answers before stay, those after lie within what was
    answered, so that what is found could truly be. A hidden count is 1 or more, as a nought is printed, and one of them
    is small, as nothing would be hidden else. Nothing found is taken for nothing there, and more is hidden.
    """
    low = min(min(seen.before, seen.after) for seen in outcome.seen)
    high = max(max(seen.before, seen.after) for seen in outcome.seen)
    answers = [value - low for seen in outcome.seen for value in (seen.before, seen.after)]
    step = min((gap for gap in _gaps(answers)), default=1.0)
    people = [
        (round((seen.before - low) / step), round((seen.after - low) / step))
        for seen in outcome.seen
        for _ in range(seen.people)
    ]
    sign = 1 if outcome.better == "higher" else -1
    changes = [sign * (after - before) for before, after in people]
    length = min(round((high - low) / step), _MOST_LENGTH)
    moved = _spread([at for at, change in enumerate(changes) if abs(change) <= length])
    stay = Counter(changes)
    stay.subtract(changes[at] for at in moved)
    fixed, true = _sides(stay), _sides(Counter(changes))
    starts = sum(people[at][0] for at in moved), len(moved) * round((high - low) / step)
    room = (starts[1] - starts[0], starts[0]) if sign > 0 else (starts[0], starts[1] - starts[0])
    sums, of_squares = sum(changes[at] for at in moved), sum(changes[at] ** 2 for at in moved)
    fits = _fitting(changes, step) if squares else lambda _: True
    reached = _reached(len(moved), length)
    open_ = [not each for each in hidden]
    for sides in _near(true, hidden):
        ups, sames, downs = (of - kept for of, kept in zip(sides, fixed, strict=True))
        if min(ups, sames, downs) < 0 or not any(1 <= of <= small for of, no in zip(sides, hidden, strict=True) if no):
            continue
        differ = [of != was for of, was in zip(sides, true, strict=True)]
        if all(was or not new for was, new in zip(open_, differ, strict=True)):
            continue
        if _possible(reached[ups], reached[downs], sums, room, lambda found: fits(found - of_squares)):
            open_ = [was or new for was, new in zip(open_, differ, strict=True)]
        if all(open_):
            return True
    return all(open_)


def _gaps(values: Iterable[float]) -> Iterator[float]:
    """Differences of neighbours, equal ones apart."""
    ordered = sorted(values)
    return (gap for a, b in pairwise(ordered) if (gap := b - a) > 1e-9)


def _spread(places: Sequence[int]) -> list[int]:
    """At most `_MOST_MOVED` of some places, evenly."""
    many = min(len(places), _MOST_MOVED)
    return [places[at * len(places) // many] for at in range(many)]


def _sides(changes: Counter[int]) -> _Sides:
    return (
        sum(many for change, many in changes.items() if change > 0),
        changes[0],
        sum(many for change, many in changes.items() if change < 0),
    )


def _near(true: _Sides, hidden: Sequence[bool]) -> list[_Sides]:
    """Other threes that add up to the same, the nearest first; what is shown stays, what is hidden is 1 or more."""
    by = range(-_REACH, _REACH + 1)
    found = [(true[0] + up, true[1] - up - down, true[2] + down) for up, down in product(by, by) if up or down]
    kept = [
        each
        for each in found
        if all(of >= 1 if no else of == was for of, was, no in zip(each, true, hidden, strict=True))
    ]
    return sorted(kept, key=lambda each: (sum(abs(of - was) for of, was in zip(each, true, strict=True)), each))


def _reached(people: int, length: int) -> list[dict[int, int]]:
    """By number of people: the sums of so many changes of 1 to `length` steps, each with a bit for every sum of their
    squares."""
    reached = [{0: 1}]
    for _ in range(people):
        further: dict[int, int] = {}
        for total, bits in reached[-1].items():
            for change in range(1, length + 1):
                further[total + change] = further.get(total + change, 0) | bits << change * change
        reached.append(further)
    return reached


def _possible(
    ups: dict[int, int], downs: dict[int, int], sums: int, room: tuple[int, int], fits: Callable[[int], bool]
) -> bool:
    """Whether some changes up and some down add up to `sums`, with squares that fit and within the room each way."""
    for down, bits in downs.items():
        others = ups.get(sums + down, 0)
        if not others or down > room[1] or sums + down > room[0]:
            continue
        for square in _bits(bits):
            if any(fits(square + other) for other in _bits(others)):
                return True
    return False


def _bits(number: int) -> Iterator[int]:
    while number:
        lowest = number & -number
        yield lowest.bit_length() - 1
        number ^= lowest


def _fitting(changes: Sequence[int], step: float) -> Callable[[int], bool]:
    """Whether a sum of squares that is so much greater prints the same interval and standardised change."""
    n, total = len(changes), sum(changes)
    squares, half = sum(change * change for change in changes), student(n - 1) / math.sqrt(n)

    def printed(more: int) -> tuple[float, ...]:
        spread = n * (squares + more) - total * total
        if spread <= 0:
            return ()
        mean, deviation = total * step / n, step * math.sqrt(spread / (n * (n - 1)))
        exact = (mean - half * deviation, mean + half * deviation, mean / deviation)
        return tuple(map(printed_statistic, exact))

    as_is = printed(0)
    known: dict[int, bool] = {}

    def fits(more: int) -> bool:
        if more not in known:
            known[more] = printed(more) == as_is
        return known[more]

    return fits
