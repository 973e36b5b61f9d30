"""What a supplier's fee is, and packs beyond need that save it."""

import dataclasses
import datetime as dt
from fractions import Fraction
from itertools import product

import pytest
from plan.buying.test_deliveries import PACKS, RECIPE, SUPPLIERS, plan, sessions
from plan.buying.test_options import BAG, NET, options
from plan.buying.test_prices import supplier

from opsreport.money import Money
from opsreport.plan.buying.options import Way
from opsreport.plan.buying.topping_up import goods_of, least_fills, order_fee, topped_up, whole_cost

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
    """Bags at 3.00 and nets at 2.00, a fee of 7.50: with 4.01 lacking 5.00 is the least, and 7.00 the most; where nets
    are sold by twos, 6.00 is the least."""
    food = options(f"{BAG}\n{NET.replace('farm', 'shop')}", ("2027-01-12", 300))
    fills = least_fills(("shop", dt.date(2027, 1, 11)), 750, {"pearl onion": food})
    assert len(fills) == 750
    assert [fills[lacking] for lacking in (0, 1, 200, 201, 401, 700, 701)] == [0, 200, 200, 300, 500, 700, 750]
    by_twos = options(f"{BAG}\n{NET.replace('farm', 'shop')} | 2", ("2027-01-12", 300))
    fills = least_fills(("shop", dt.date(2027, 1, 11)), 750, {"pearl onion": by_twos})
    assert [fills[lacking] for lacking in (1, 300, 301, 400, 401, 601, 701)] == [300, 300, 400, 400, 600, 700, 750]
    assert least_fills(("shop", dt.date(2027, 1, 4)), 750, {"pearl onion": food})[1] == 750


@pytest.mark.parametrize(("sold_by", "fee"), [(1, 750), (2, 750), (2, 1_850)])
def test_what_is_filled_is_the_least_of_all_numbers_of_packs(sold_by: int, fee: int) -> None:
    """Bags at 3.00, nets at 2.00, one by one or by twos, beside a bag that is bought anyway; fees of 7.50 or 18.50."""
    food = options(f"{BAG}\n{NET.replace('farm', 'shop')} | {sold_by}", ("2027-01-12", 300))
    (bag, net), day = (0, 1), ("shop", dt.date(2027, 1, 11))
    assert [option.offer.price for option in food.options] == [300, 200]
    way = Way(((bag, 1),), ((day, 300),), 300, (Fraction(0), 0, 0, 0), 0, 0)
    for lacking in range(1, fee + 10, 7):
        terms = dataclasses.replace(supplier(0, 300 + lacking), delivery_fee=Money(fee))
        extra, saved = topped_up({"shop": terms}, {"onion": food}, {"onion": way})
        tried = [
            bags * 300 + nets * 200
            for bags, nets in product(range(8), range(0, 11, sold_by))
            if lacking <= bags * 300 + nets * 200 < fee
        ]
        if not tried:
            assert (extra, saved) == ({}, 0)
            continue
        counts = dict(extra["onion"])
        cost = counts.get(bag, 0) * 300 + counts.get(net, 0) * 200
        assert (cost, saved) == (min(tried), fee - cost)
    assert topped_up({"shop": supplier(0, 300)}, {"onion": food}, {"onion": way}) == ({}, 0), "free as it is"
    assert topped_up({"shop": supplier()}, {"onion": food}, {"onion": way}) == ({}, 0), "never free"


def test_an_order_that_packs_for_free_delivery_make_needless_is_not_placed() -> None:
    """w gives a pack of 4 away, so that of v only the thing at 4.50 is bought. Four of the other at 1.00 make v's
    delivery free, which costs 5.00, and the two that are needed come out of these."""
    food = plan(
        Sessions=sessions([2]),
        Suppliers=SUPPLIERS + "v | 0 | Wed | Wed | 5.00 | 0 | 8.50\nw | 0 | Wed | Wed | 0 | 0",
        Packs=PACKS + "v | thing | 2 | each | 4.50\nv | other | 1 | each | 1.00\nw | other | 4 | each | 0.00",
    )
    assert [(order.supplier, order.total) for order in food.orders] == [("v", 850)]
    assert [(row.food, row.packs, row.left_over) for row in food.purchases] == [("other", 4, 2), ("thing", 1, 0)]
