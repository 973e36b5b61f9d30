"""What a supplier's fee is, and packs beyond need that save it."""

import datetime as dt

from plan.buying.test_deliveries import PACKS, RECIPE, SUPPLIERS, plan, sessions
from plan.buying.test_prices import supplier

from opsreport.plan.buying.topping_up import order_fee

PACK = PACKS + "v | thing | 1 | each | 1.00"


def goods(free_from: str, fee: str, packs: str = PACK) -> tuple[int, int]:
    """Goods and fee of the one order for four things."""
    suppliers = SUPPLIERS + f"v | 0 | Wed | Wed | {fee} | 0 | {free_from}"
    (order,) = plan(Sessions=sessions([4]), Recipes=RECIPE, Suppliers=suppliers, Packs=packs).orders
    assert order.arrives == dt.date(2027, 1, 6)
    return order.goods, order.fee


def test_the_fee_falls_away_from_its_limit_on() -> None:
    assert (order_fee(supplier(0, 850), 849), order_fee(supplier(0, 850), 850)) == (500, 0)


def test_only_where_it_is_cheaper_than_the_fee() -> None:
    assert goods("6.00", "3.00") == (600, 0)
    assert goods("6.00", "2.00") == (400, 200), "as dear: nothing is left over without"
    assert goods("8.00", "3.00") == (400, 300)


def test_the_cheapest_packs_that_reach_it() -> None:
    """1.70 is lacking: 0.90 twice is cheaper than 1.00 twice."""
    small = PACKS + "v | thing | 4 | each | 4.00\nv | thing | 1 | each | 1.05"
    assert goods("5.70", "3.00", small) == (610, 0)
