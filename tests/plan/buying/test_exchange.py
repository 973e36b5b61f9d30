"""Exchanges among known ways, on tables small enough to see through."""

import datetime as dt
from fractions import Fraction
from itertools import product

import pytest
from plan.buying.test_prices import supplier

from opsreport.plan.buying.exchange import Exchange, more_than_any
from opsreport.plan.buying.options import Way

DAYS = [("v", dt.date(2027, 1, 6 + 7 * week)) for week in range(3)]


def way(*goods: int) -> Way:
    """A way with so much goods from each delivery."""
    its = tuple((day, cost) for day, cost in zip(DAYS, goods, strict=True) if cost)
    return Way((), its, sum(goods), (Fraction(0), 0, 0, 0), 0, 0)


KNOWN = {
    "a": [way(300, 0, 0), way(0, 280, 0), way(0, 0, 270)],
    "b": [way(0, 300, 0), way(310, 0, 0), way(0, 0, 290)],
    "c": [way(0, 0, 300), way(0, 300, 0), way(150, 0, 160)],
}


@pytest.mark.parametrize(("minimum", "free_from"), [(0, None), (700, None), (0, 850), (400, 850)])
def test_no_choice_of_known_ways_is_cheaper(minimum: int, free_from: int | None) -> None:
    suppliers = {"v": supplier(minimum, free_from)}
    exchange = Exchange(suppliers, KNOWN, {food: ways[0] for food, ways in KNOWN.items()}, 10_000)
    exchange.improve()
    costs = [
        Exchange(suppliers, KNOWN, dict(zip(KNOWN, ways, strict=True)), 10_000).cost()
        for ways in product(*KNOWN.values())
    ]
    assert exchange.cost() == min(costs)


def test_more_than_any_plan_is_more_than_twice_what_one_costs() -> None:
    assert more_than_any({food: ways[0] for food, ways in KNOWN.items()}) == 2 * (300 + 300 + 300) + 1
