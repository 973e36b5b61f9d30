"""Foods shared out to the stations of a packing table, so that every station has about as much to measure."""

from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from itertools import accumulate
from math import lcm

from opsreport.plan.model import KitLine


def motions(line: KitLine, kits: int) -> Fraction:
    """How often a hand reaches for one food: fills of its tools, or pieces counted, or one weighing a kit.

    Args:
        line: what is measured kit by kit; what goes into a blend is measured once for all kits.
    """
    if line.whole or line.shown.dimension == "count":
        each = line.shown.amount
    elif line.scoops.scoops:
        each = sum((max(scoop.times, Fraction(1)) for scoop in line.scoops.scoops), Fraction(0))
    else:
        each = Fraction(1)
    return each * kits


def shared_between(first: Sequence[Fraction], second: Sequence[Fraction], stations: int) -> tuple[list[int], list[int]]:
    """Two kinds of food that share no station, each shared out as `shared_out` does it; the busiest has least to do.

    Ties: fewer stations for the second kind.

    Args:
        first, second: motions by food, in packing order.
        stations: at most that many in all, but at least one for each kind that has any food.
    """
    most = max(stations - bool(first), 1) if second else 0
    ways = [
        (shared_out(first, max(stations - number, 1)), shared_out(second, number))
        for number in range(min(most, 1), most + 1)
    ]
    return min(ways, key=lambda way: max([*_sums(first, way[0]), *_sums(second, way[1])], default=Fraction(0)))


def _sums(work: Sequence[Fraction], counts: Sequence[int]) -> list[Fraction]:
    """Each station's motions."""
    ends = list(accumulate(counts))
    return [sum(work[end - count : end], Fraction(0)) for count, end in zip(counts, ends, strict=True)]


def shared_out(work: Sequence[Fraction], stations: int) -> list[int]:
    """Consecutive foods to each station, so that the busiest has least to do.

    Sets: foods in packing order, stations. Variables: where each station ends. Objective: the least greatest
    sum of work of a station. Constraints: the order stays, no station is empty. Ties: earlier stations
    have fewer foods.

    Args:
        work: motions by food, in packing order.
        stations: at most that many; fewer where there are fewer foods.
    Returns:
        How many foods each station has; they add up to all foods.
    """
    parts = lcm(*(each.denominator for each in work))  # whole numbers of parts are faster than fractions
    before = [0, *accumulate(each.numerator * (parts // each.denominator) for each in work)]

    @cache
    def best(first: int, left: int) -> tuple[int, tuple[int, ...]]:
        """The least greatest sum of the foods from `first` on at `left` stations, and how many foods each has."""
        if left == 1:
            return before[len(work)] - before[first], (len(work) - first,)
        found = []
        for count in range(1, len(work) - first - left + 2):
            worst, others = best(first + count, left - 1)
            found.append((max(worst, before[first + count] - before[first]), (count, *others)))
        return min(found)

    return list(best(0, min(stations, len(work)))[1]) if work else []
