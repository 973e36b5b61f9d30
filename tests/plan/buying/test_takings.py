"""Every way of taking an amount, against trying all amounts."""

import random
from itertools import product

import pytest

from opsreport.plan.buying.takings import takings


@pytest.mark.parametrize("seed", range(20))
def test_every_way_in_which_at_most_one_portion_is_begun(seed: int) -> None:
    """Of all amounts up to what is there, those that add up and are whole units in all portions but one."""
    r = random.Random(seed)
    units = [r.randint(1, 4) for _ in range(3)]
    portions = [(unit * r.randint(1, 3), unit) for unit in units]
    need = r.randint(1, sum(amount for amount, _ in portions))
    every = {
        taken for taken in product(*(range(amount + 1) for amount, _ in portions))
        if sum(taken) == need and sum(its % unit > 0 for its, unit in zip(taken, units, strict=True)) <= 1
    }  # fmt: skip
    found = takings(portions, need, 10_000)
    assert found is not None
    assert len(found) == len(set(found))
    assert set(found) == every


def test_two_sizes_by_hand() -> None:
    """7 of two packs of 2 and two of 5: a small and a large one to the last, or one of them begun."""
    assert set(takings([(4, 2), (10, 5)], 7, 100) or ()) == {(4, 3), (2, 5), (0, 7)}


def test_nothing_is_taken_that_is_not_there_and_too_many_ways_are_none() -> None:
    assert takings([(4, 2), (5, 5)], 10, 100) == []
    assert takings([(4, 2), (10, 5)], 7, 2) is None
