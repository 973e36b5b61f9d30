"""Intervals and tests of change, exact where that can be: what chance alone would do.

Closed forms of handbooks rather than a library of statistics, which takes longer to load than the rest of a run; the
tests hold every one of them against such a library.
"""

import math
from collections.abc import Sequence
from fractions import Fraction
from typing import Final

_Z: Final = 1.959963984540054
"""The standard normal's 97.5% point."""
MOST_EXACT: Final = 1000
"""Changed pairs up to which the signed-rank p is exact; beyond, the normal curve is as good."""


def student(degrees: int) -> float:
    """The 97.5% point of Student's t with so many whole degrees of freedom, at least 1.

    Newton's steps from the normal point; the chance of lying nearer to zero is a concave function of t, so they come
    up to the root from below and never pass it.
    Source: Abramowitz and Stegun, Handbook of Mathematical Functions (1964), 26.7.3 and 26.7.4.
    """
    t, density = _Z, math.exp(math.lgamma((degrees + 1) / 2) - math.lgamma(degrees / 2)) / math.sqrt(degrees * math.pi)
    for _ in range(100):
        slope = 2 * density * (1 + t * t / degrees) ** (-(degrees + 1) / 2)
        step = (0.95 - _within(t, degrees)) / slope
        t += step
        if abs(step) <= 1e-14 * t:
            break
    return t


def _within(t: float, degrees: int) -> float:
    """The chance that Student's t lies between -t and t."""
    angle = math.atan2(t, math.sqrt(degrees))
    sine, cosine = math.sin(angle), math.cos(angle)
    odd = degrees % 2
    term = cosine if odd else 1.0
    total = 0.0
    for power in range(3 if odd else 2, degrees + 1, 2):
        total += term
        term *= cosine * cosine * (power - 1) / power
    return 2 / math.pi * (angle + sine * total) if odd else sine * total


def holm(chances: Sequence[float], tested: int) -> list[float]:
    """p adjusted for `tested` tests, of which these are the ones with the smallest p.

    Those of which nothing is shown count as larger than all of these, which can only make the adjusted ones greater.
    Source: Holm, Scandinavian Journal of Statistics 6 (1979) 65-70.
    """
    adjusted = [0.0] * len(chances)
    so_far = 0.0
    for place, at in enumerate(sorted(range(len(chances)), key=chances.__getitem__)):
        so_far = max(so_far, min(1.0, (tested - place) * chances[at]))
        adjusted[at] = so_far
    return adjusted


def wilson(yes: int, n: int) -> tuple[float, float]:
    """Wilson's 95% interval of a share.

    Source: Wilson, Journal of the American Statistical Association 22 (1927) 209-212.
    """
    share, square = yes / n, _Z * _Z
    centre = share + square / (2 * n)
    half = _Z * math.sqrt(share * (1 - share) / n + square / (4 * n * n))
    low, high = (centre - half) / (1 + square / n), (centre + half) / (1 + square / n)
    return (0.0 if yes == 0 else low), (1.0 if yes == n else high)


def mcnemar_p(up: int, down: int) -> float | None:
    """Exact two-sided p of the pairs that changed: the lesser binomial tail, doubled, at most 1.

    None where none changed.
    """
    changed = up + down
    if not changed:
        return None
    term = tail = 1
    for lesser in range(min(up, down)):
        term = term * (changed - lesser) // (lesser + 1)
        tail += term
    return min(1.0, float(Fraction(2 * tail, 2**changed)))


def signed_rank_p(changes: Sequence[int]) -> tuple[float | None, bool]:
    """Wilcoxon's exact two-sided signed-rank p, and whether it is an approximation after all.

    Zeros are dropped, equal sizes share the middle of their ranks. Under no effect each rank is up or down
    with equal chance: the share of all 2^n signings whose lesser rank sum is no greater than the one seen.
    Sums are built up rank by rank over doubled (so whole) ranks.
    """
    import numpy as np

    changed = [change for change in changes if change]
    n = len(changed)
    if not n:
        return None, False
    doubled = doubled_ranks([abs(change) for change in changed])
    up = sum(rank for rank, change in zip(doubled, changed, strict=True) if change > 0)
    lesser = min(up, n * (n + 1) - up)
    if n > MOST_EXACT:
        variance = sum(rank * rank for rank in doubled) / 4
        away = max(n * (n + 1) / 2 - lesser - 1, 0) / math.sqrt(variance)
        return min(1.0, math.erfc(away / math.sqrt(2))), True
    chances = np.zeros(lesser + 1)
    chances[0] = 1.0
    reached = 0
    for rank in sorted(doubled):
        reached = min(reached + rank, lesser)
        moved = chances[: max(reached - rank + 1, 0)] / 2
        chances[: reached + 1] /= 2
        chances[rank : rank + len(moved)] += moved
    return min(1.0, 2 * float(chances.sum())), False


def doubled_ranks(sizes: Sequence[int]) -> list[int]:
    """Twice the rank of each, from the smallest; equal ones share the mean of their ranks."""
    order = sorted(range(len(sizes)), key=sizes.__getitem__)
    ranks = [0] * len(sizes)
    start = 0
    while start < len(order):
        stop = start
        while stop < len(order) and sizes[order[stop]] == sizes[order[start]]:
            stop += 1
        for place in range(start, stop):
            ranks[order[place]] = start + 1 + stop
        start = stop
    return ranks
