"""Most kits from limited food, held against trying everything."""

import itertools
import random
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsreport.plan.packing.filling import Limit, fill

amounts = st.fractions(min_value=0, max_value=4, max_denominator=6)


@st.composite
def cases(draw: st.DrawFn) -> tuple[list[int], list[int], list[int], list[Limit]]:
    sorts = draw(st.integers(1, 5))
    most = draw(st.lists(st.integers(0, 4), min_size=sorts, max_size=sorts))
    least = [draw(st.integers(0, min(number, 1))) for number in most]
    worth = draw(st.lists(st.integers(1, 4), min_size=sorts, max_size=sorts))
    limits = draw(
        st.lists(
            st.builds(
                Limit,
                st.lists(amounts, min_size=sorts, max_size=sorts).map(tuple),
                st.fractions(min_value=0, max_value=20, max_denominator=6),
            ),
            max_size=4,
        )
    )
    return worth, least, most, limits


def fits(kits: tuple[int, ...], limits: list[Limit]) -> bool:
    return all(
        sum((a * n for a, n in zip(limit.amounts, kits, strict=True)), Fraction(0)) <= limit.there for limit in limits
    )


@settings(deadline=None, max_examples=300)
@given(cases())
def test_nothing_tried_is_worth_more(case: tuple[list[int], list[int], list[int], list[Limit]]) -> None:
    worth, least, most, limits = case
    ways = itertools.product(*(range(low, high + 1) for low, high in zip(least, most, strict=True)))
    values = [sum(w * n for w, n in zip(worth, way, strict=True)) for way in ways if fits(way, limits)]
    found = fill(worth, least, most, limits)
    if not values:
        assert found is None
        return
    assert found is not None
    assert found.proven
    assert fits(found.kits, limits)
    assert all(low <= kits <= high for low, kits, high in zip(least, found.kits, most, strict=True))
    assert sum(w * n for w, n in zip(worth, found.kits, strict=True)) == max(values)


def test_the_last_gram_counts_and_one_too_few_does_not() -> None:
    third = Fraction(1, 3)
    assert fill([1], [0], [9], [Limit((third,), Fraction(2))]).kits == (6,)  # type: ignore[union-attr]
    assert fill([1], [0], [9], [Limit((third,), Fraction(2) - Fraction(1, 10**12))]).kits == (5,)  # type: ignore[union-attr]


def test_a_search_cut_short_says_so() -> None:
    limits = [
        Limit((Fraction(3), Fraction(5), Fraction(7)), Fraction(31)),
        Limit((Fraction(5), Fraction(4), Fraction(2)), Fraction(29)),
    ]
    found = fill([3, 4, 5], [0, 0, 0], [9, 9, 9], limits, nodes=1)
    assert found is not None
    assert not found.proven


@pytest.mark.parametrize(
    ("seed", "nodes"), [(5, 549), (19, 3_802), (20, 1_461), (30, 463), (33, 2_796), (37, 217), (38, 495), (47, 240)]
)
def test_hard_drawn_cases_are_proven_in_so_few_steps(seed: int, nodes: int) -> None:
    """What the bound, the order of kits and the limits left out are for: without one of them it takes more."""
    r = random.Random(seed)
    sorts = r.randint(4, 9)
    most, worth = [r.randint(2, 15) for _ in range(sorts)], [r.choice([1, 1, 1, 2, 3]) for _ in range(sorts)]
    limits = [
        Limit(
            tuple(Fraction(r.choice([0, 0, 1, 2, 3, 5, 7]), r.choice([1, 2])) for _ in range(sorts)),
            Fraction(r.randint(10, 90)),
        )
        for _ in range(r.randint(1, 4))
    ]
    found, whole = fill(worth, [0] * sorts, most, limits, nodes), fill(worth, [0] * sorts, most, limits)
    assert found is not None
    assert found.proven
    assert found == whole
