"""What a supplier's fee is, and packs beyond need that save it."""

import datetime as dt
from fractions import Fraction

from plan.buying.test_deliveries import PACKS, RECIPE, SUPPLIERS, plan, sessions
from plan.buying.test_options import BAG, NET, options
from plan.buying.test_prices import supplier

from opsreport.plan.buying.options import Way
from opsreport.plan.buying.topping_up import goods_of, least_fills, order_fee, whole_cost

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
    assert goods("6.00", "2.01") == (600, 0), "by a cent"
    assert goods("6.00", "2.00") == (400, 200), "as dear: nothing is left over without"
    assert goods("8.00", "3.00") == (400, 300)


def test_the_cheapest_packs_that_reach_it() -> None:
    """1.70 is lacking: 0.90 twice is cheaper than 1.00 twice."""
    small = PACKS + "v | thing | 4 | each | 4.00\nv | thing | 1 | each | 1.05"
    assert goods("5.70", "3.00", small) == (610, 0)


def test_the_whole_cost_of_ways_that_share_a_delivery() -> None:
    day, ties = ("v", dt.date(2027, 1, 6)), (Fraction(0), 0, 0, 0)
    ways = {food: Way((), ((day, cost),), cost, ties, 0, 0) for food, cost in (("a", 400), ("b", 300))}
    assert goods_of(ways) == {day: 700}
    assert whole_cost({"v": supplier(700)}, {}, ways) == 1200
    assert whole_cost({"v": supplier(700, 700)}, {}, ways) == 700
    assert whole_cost({"v": supplier(701)}, {}, ways) is None


def test_the_least_that_fills_what_is_lacking() -> None:
    """Bags at 3.00 and nets at 2.00, a fee of 7.50: with 4.01 lacking 5.00 is the least, and 7.00 the most."""
    food = options(f"{BAG}\n{NET.replace('farm', 'shop')}", ("2027-01-12", 300))
    fills = least_fills(("shop", dt.date(2027, 1, 11)), 750, {"pearl onion": food})
    assert len(fills) == 750
    assert [fills[lacking] for lacking in (0, 1, 200, 201, 401, 700, 701)] == [0, 200, 200, 300, 500, 700, 750]
    assert least_fills(("shop", dt.date(2027, 1, 4)), 750, {"pearl onion": food})[1] == 750
