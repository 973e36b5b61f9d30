"""Exchanges among known ways, on tables small enough to see through."""

import datetime as dt
from collections.abc import Iterable
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


TERMS = [(0, None), (700, None), (0, 850), (400, 850), (0, 0), (300, 0)]
"""Minimum and free delivery from [cents]; the fee is 5.00."""


def paid(ways: Iterable[Way], minimum: int, free_from: int | None) -> int:
    """Goods and fees of a plan, an order below its minimum for 100.00 more, read off the terms."""
    total = 0
    for day in DAYS:
        goods = sum(dict(its.goods).get(day, 0) for its in ways)
        fee = 0 if free_from is not None and goods >= free_from else 500
        total += goods and goods + fee + (10_000 if goods < minimum else 0)
    return total


@pytest.mark.parametrize(("minimum", "free_from"), TERMS)
def test_no_choice_of_known_ways_is_cheaper(minimum: int, free_from: int | None) -> None:
    first = {food: ways[0] for food, ways in KNOWN.items()}
    exchange = Exchange({"v": supplier(minimum, free_from)}, KNOWN, first, 10_000)
    assert exchange.cost() == paid(first.values(), minimum, free_from)
    found = exchange.improve()
    least = min(paid(ways, minimum, free_from) for ways in product(*KNOWN.values()))
    assert exchange.cost() == paid(found.values(), minimum, free_from) == least


def test_more_than_any_plan_is_more_than_twice_what_one_costs() -> None:
    assert more_than_any({food: ways[0] for food, ways in KNOWN.items()}) == 2 * (300 + 300 + 300) + 1
