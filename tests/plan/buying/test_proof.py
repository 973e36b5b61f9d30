"""The proof beside brute force: fees, free delivery and minimum orders on a few foods and weeks."""

import random

import pytest
from plan.buying.test_deliveries import PACKS, SUPPLIERS, plan, sessions


@pytest.mark.parametrize("seed", range(12))
def test_a_small_term_is_proven_and_costs_no_more_than_any_day_by_day_plan(seed: int) -> None:
    """Two foods of packs of one, three weeks: in every choice of weeks with a delivery, each week's food comes with the
    latest delivery before it, as no week is cheaper than another; the least of these is the optimum."""
    r = random.Random(seed)
    kits = [r.randint(1, 6) for _ in range(3)]
    fee, minimum = r.randint(0, 8), r.choice([0, 0, 6, 12])
    free_from = r.choice([None, 10, 16])
    packs = PACKS + "v | thing | 1 | each | 1.00\nv | other | 1 | each | 1.00"
    limit = "" if free_from is None else str(free_from)
    food = plan(
        Sessions=sessions(kits), Suppliers=SUPPLIERS + f"v | 0 | Wed | Wed | {fee} | {minimum} | {limit}", Packs=packs
    )
    costs = []
    for weeks in ([0], [0, 1], [0, 2], [0, 1, 2]):
        orders = [2 * sum(kits[at:end]) for at, end in zip(weeks, [*weeks[1:], 3], strict=True)]
        if all(order >= minimum for order in orders):
            costs.append(sum(_paid(order, fee, free_from) for order in orders))
    if costs:
        assert food.buying.cost <= 100 * min(costs)
        assert food.buying.lower_bound == food.buying.cost
        if free_from is None:
            assert food.buying.cost == 100 * min(costs)
    else:
        assert any(order.below_minimum for order in food.orders)


def _paid(goods: int, fee: int, free_from: int | None) -> int:
    """Goods and fee, or what reaches free delivery where that is cheaper."""
    return goods + fee if free_from is None else min(goods + fee, max(goods, free_from))
