"""The most kits that limited food can fill: an exact search in whole numbers."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from math import lcm
from typing import Final

MOST_NODES: Final = 200_000
"""Steps after which the search stops and says so: a second or two."""


@dataclass(frozen=True, slots=True)
class Limit:
    """One food of which there is only so much. amounts: what one kit of each sort takes of it, by sort."""

    amounts: tuple[Fraction, ...]
    there: Fraction


@dataclass(frozen=True, slots=True)
class Filled:
    """How many kits of each sort; proven: that no other choice is worth more."""

    kits: tuple[int, ...]
    proven: bool = True


def fill(
    worth: Sequence[int], least: Sequence[int], most: Sequence[int], limits: Sequence[Limit], nodes: int = MOST_NODES
) -> Filled | None:
    """The number of kits of each sort that is worth most and that the food is enough for.

    Sets: sorts of kit i, limits f. Variables: kits x_i, whole. Objective: greatest sum of worth_i x_i.
    Constraints: least_i <= x_i <= most_i; sum of amounts_fi x_i <= there_f, compared exactly.

    Returns:
        None where not even `least` can be filled.
    """
    rows = []
    for limit in limits:
        scale = lcm(limit.there.denominator, *(amount.denominator for amount in limit.amounts))
        row = [int(amount * scale) for amount in limit.amounts]
        left = int(limit.there * scale) - sum(each * kits for each, kits in zip(row, least, strict=True))
        if left < 0:
            return None
        rows.append((row, left))
    room = [high - low for low, high in zip(least, most, strict=True)]
    if any(more < 0 for more in room):
        return None
    for row, left in rows:
        room = [min(more, left // each) if each else more for each, more in zip(row, room, strict=True)]
    binding = [(row, left) for row, left in rows if sum(a * n for a, n in zip(row, room, strict=True)) > left]
    binding = _tightest(binding)
    kits = [low + more for low, more in zip(least, room, strict=True)]
    proven = True
    for sorts in _apart([row for row, _ in binding], len(worth)):
        mine = [(tuple(row[sort] for sort in sorts), left) for row, left in binding if any(row[s] for s in sorts)]
        found, exact = _search(worth, room, sorts, mine, nodes)
        proven = proven and exact
        for sort in sorts:
            kits[sort] = least[sort] + found[sort]
    return Filled(tuple(kits), proven)


def _tightest(rows: Sequence[tuple[list[int], int]]) -> list[tuple[list[int], int]]:
    """Limits without those that another one makes needless: no sort takes a greater part of what is there."""
    kept: list[tuple[list[int], int]] = []
    for row, left in sorted(rows, key=lambda each: Fraction(sum(each[0]), max(each[1], 1)), reverse=True):
        if not any(all(a * there <= b * left for a, b in zip(row, other, strict=True)) for other, there in kept):
            kept.append((row, left))
    return kept


def _apart(rows: Sequence[Sequence[int]], sorts: int) -> list[list[int]]:
    """Sorts of kit that compete, in groups that share no limit; those that no limit touches are left out."""
    groups: list[set[int]] = []
    for row in rows:
        joined = {sort for sort in range(sorts) if row[sort]}
        for group in [group for group in groups if group & joined]:
            joined |= group
            groups.remove(group)
        groups.append(joined)
    return [sorted(group) for group in groups]


def _search(
    worth: Sequence[int], room: Sequence[int], sorts: Sequence[int], rows: Sequence[tuple[tuple[int, ...], int]],
    nodes: int,
) -> tuple[dict[int, int], bool]:  # fmt: skip
    """Depth first, cheapest kits first, most of them first; sorts that take the same are searched as one.

    A branch is left when no limit by itself, nor all of them weighed together, lets it beat the best.
    """
    alike: dict[tuple[int, ...], list[int]] = {}
    for place, sort in enumerate(sorts):
        alike.setdefault((worth[sort], *(row[place] for row, _ in rows)), []).append(sort)

    def cost(column: tuple[int, ...]) -> tuple[Fraction, int]:
        shares = [
            Fraction(each, left) if left else Fraction(each) for each, (_, left) in zip(column[1:], rows, strict=True)
        ]
        return max(shares) / max(column[0], 1), -column[0]

    columns = sorted(alike, key=cost)
    values = [column[0] for column in columns]
    upper = [sum(room[sort] for sort in alike[column]) for column in columns]
    takes = [[column[number + 1] for column in columns] for number in range(len(rows))]
    start = [left for _, left in rows]
    if len(rows) > 1:  # all limits weighed by what is there of each: one more limit that holds
        weights = [Fraction(1, left) if left else Fraction(1) for left in start]
        together = [
            sum((w * take[i] for w, take in zip(weights, takes, strict=True)), Fraction(0)) for i in range(len(columns))
        ]
        scale = lcm(*(each.denominator for each in together), *(weight.denominator for weight in weights))
        takes.append([int(each * scale) for each in together])
        start.append(int(sum((w * left for w, left in zip(weights, start, strict=True)), Fraction(0)) * scale))
    cheapest = [
        sorted(range(len(columns)), key=lambda i: Fraction(take[i], values[i]) if values[i] else Fraction(10**12))
        for take in takes
    ]
    best: list[int] = [0] * len(columns)
    best_value = -1
    steps = 0

    def bound(first: int, left: Sequence[int]) -> int:
        """The most that sorts from `first` on can still add, as each limit by itself allows."""
        lowest = sum(values[i] * upper[i] for i in range(first, len(columns)))
        for take, order, there in zip(takes, cheapest, left, strict=True):
            total, rest = 0, there
            for i in order:
                if i < first:
                    continue
                if take[i] * upper[i] <= rest:
                    total += values[i] * upper[i]
                    rest -= take[i] * upper[i]
                else:
                    total += values[i] * rest // take[i]
                    break
            lowest = min(lowest, total)
        return lowest

    def down(first: int, left: list[int], value: int, chosen: list[int]) -> None:
        nonlocal best, best_value, steps
        steps += 1
        if value > best_value:
            best, best_value = [*chosen, *[0] * (len(columns) - first)], value
        if first == len(columns) or steps > nodes or value + bound(first, left) <= best_value:
            return
        fits = min(
            (there // take[first] for take, there in zip(takes, left, strict=True) if take[first]), default=upper[first]
        )
        for number in range(min(fits, upper[first]), -1, -1):
            rest = [there - take[first] * number for take, there in zip(takes, left, strict=True)]
            down(first + 1, rest, value + values[first] * number, [*chosen, number])

    down(0, start, 0, [])
    found: dict[int, int] = {}
    for column, number in zip(columns, best, strict=True):
        for sort in alike[column]:
            found[sort] = min(number, room[sort])
            number -= found[sort]
    return found, steps <= nodes
