"""Stations with about as much to measure, against trying every way to part the foods."""

import itertools
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsreport.measures.units import Quantity
from opsreport.plan.model import KitLine, Scoop, ScoopPlan
from opsreport.plan.packing.stations import motions, shared_between, shared_out


@given(st.lists(st.integers(0, 30), min_size=1, max_size=9), st.integers(1, 5))
def test_no_way_to_part_them_has_a_less_busy_station(work: list[int], stations: int) -> None:
    parts = min(stations, len(work))
    found = shared_out([Fraction(each) for each in work], stations)
    assert len(found) == parts
    assert sum(found) == len(work)
    assert min(found) >= 1

    def busiest(ends: tuple[int, ...]) -> int:
        places = (0, *ends, len(work))
        return max(sum(work[a:b]) for a, b in itertools.pairwise(places))

    ends = tuple(itertools.accumulate(found))[:-1]
    assert busiest(ends) == min(busiest(way) for way in itertools.combinations(range(1, len(work)), parts - 1))


def test_no_foods_no_stations() -> None:
    assert shared_out([], 4) == []
    assert shared_between([], [], 4) == ([], [])


@given(st.lists(st.integers(0, 30), max_size=6), st.lists(st.integers(0, 30), max_size=6), st.integers(1, 5))
def test_two_kinds_share_no_station_and_no_split_is_better(warm: list[int], cold: list[int], stations: int) -> None:
    found = shared_between([Fraction(each) for each in warm], [Fraction(each) for each in cold], stations)
    assert [sum(part) for part in found] == [len(warm), len(cold)]
    assert len(found[0]) + len(found[1]) <= max(stations, bool(warm) + bool(cold))

    def least(work: list[int], parts: int) -> int:
        ways = [way for way in itertools.product(range(parts), repeat=len(work)) if list(way) == sorted(way)]
        return min(max(sum(itertools.compress(work, [p == at for p in way])) for at in range(parts)) for way in ways)

    def busiest(work: list[int], counts: list[int]) -> int:
        places = (0, *itertools.accumulate(counts))
        return max((sum(work[a:b]) for a, b in itertools.pairwise(places)), default=0)

    total = max(stations, 2)
    best = min(max(least(warm, number), least(cold, total - number)) for number in range(1, total))
    if warm and cold:
        assert max(busiest(warm, found[0]), busiest(cold, found[1])) == best


CUPS = ScoopPlan((Scoop("1/3 cup", Fraction(2)),))
HALF = ScoopPlan((Scoop("1/4 tsp", Fraction(1, 2)),))


@pytest.mark.parametrize(
    ("line", "each"),
    [
        (KitLine("rice", Quantity(Fraction(2, 3), "cup"), Fraction(120), "g", CUPS), 2),
        (KitLine("salt", Quantity(Fraction(1, 8), "tsp"), Fraction(1), "g", HALF), 1),
        (KitLine("onion", Quantity(Fraction(3), "each"), Fraction(330), "g", ScoopPlan(), whole=True), 3),
        (KitLine("egg", Quantity(Fraction(2), "each"), Fraction(100), "g", ScoopPlan()), 2),
        (KitLine("cheese", Quantity(Fraction(4), "oz"), Fraction(113), "g", ScoopPlan(), whole=True), 4),
        (KitLine("beef", Quantity(Fraction(1), "lb"), Fraction(454), "g", ScoopPlan()), 1),
    ],
)
def test_a_motion_is_a_fill_a_piece_or_a_weighing(line: KitLine, each: int) -> None:
    assert motions(line, 5) == 5 * each
