"""Each session bought for on its own, as the orders of all are: the same fees, free delivery and minimum orders.

What nobody would do is no measure, so one who buys for a session alone also leaves out a small order where the others
can bring its food for less, or where the supplier would not take it.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence

from opsreport.money import Money
from opsreport.plan.buying.market import Delivery, Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.options import BoughtFor, FoodOptions, Way
from opsreport.plan.buying.topping_up import below_and_cost, goods_of, topped_up
from opsreport.programme import Programme, Supplier


def alone_way(options: FoodOptions) -> Way:
    """The cheapest way of a food on its own."""
    way = options.cheapest()
    if way is None:
        raise RuntimeError(f"no packs cover the needs of {options.food}, though each can be covered by itself")
    return way


def session_by_session(
    programme: Programme, still_open: Sequence[Open]
) -> tuple[Money, dict[str, list[BoughtFor]]]:  # fmt: skip
    """Goods and fees of all sessions, each bought for on its own with nothing carried over, and by food what this
    buys."""
    by_session: dict[tuple[dt.date, str], dict[str, list[Open]]] = defaultdict(lambda: defaultdict(list))
    for lacking in still_open:
        by_session[lacking.need.packing_day, lacking.need.session][lacking.need.food].append(lacking)
    markets = {day: Market(programme, {day}) for day in {day for day, _ in by_session}}
    total = 0
    bought: dict[str, list[BoughtFor]] = defaultdict(list)
    for (day, _), its in by_session.items():
        foods = {food: FoodOptions(markets[day], food, its_open) for food, its_open in its.items()}
        ways = _session_alone(programme.suppliers, foods)
        _, cost = below_and_cost(programme.suppliers, goods_of(ways))
        total += cost - topped_up(programme.suppliers, foods, ways)[1]
        for food, way in ways.items():
            bought[food] += foods[food].bought_for(way)
    return Money(total), bought


def _session_alone(suppliers: Mapping[str, Supplier], foods: Mapping[str, FoodOptions]) -> dict[str, Way]:
    """By food, what is bought: the cheapest of each, or all from one supplier, and then orders left out one by one, the
    smallest first, while that is better: fewer orders below their minimum, or as many at less cost."""
    every = frozenset(delivery for options in foods.values() for delivery in options.deliveries)
    cheapest = {food: alone_way(options) for food, options in foods.items()}
    starts = [cheapest]
    if any(suppliers[name].asks_by_order for name, _ in goods_of(cheapest)):
        starts += _from_one(foods, every)
    found = [_with_fewer_orders(suppliers, foods, every, ways) for ways in starts]
    return min(found, key=lambda ways: below_and_cost(suppliers, goods_of(ways)))


def _with_fewer_orders(
    suppliers: Mapping[str, Supplier],
    foods: Mapping[str, FoodOptions],
    every: frozenset[Delivery],
    ways: dict[str, Way],
) -> dict[str, Way]:
    improved = True
    while improved:
        improved = False
        goods = goods_of(ways)
        for small in sorted(goods, key=lambda delivery: (goods[delivery], delivery)):
            for closed in (every - (goods.keys() - {small}), frozenset({small})):
                otherwise = _without(foods, ways, small, closed)
                if otherwise and below_and_cost(suppliers, goods_of(otherwise)) < below_and_cost(suppliers, goods):
                    ways, improved = otherwise, True
                    break
            if improved:
                break
    return ways


def _from_one(foods: Mapping[str, FoodOptions], every: frozenset[Delivery]) -> list[dict[str, Way]]:
    """By supplier that has all of the foods, what they cost there."""
    found = []
    for name in sorted({supplier for supplier, _ in every}):
        others = frozenset(delivery for delivery in every if delivery[0] != name)
        ways = {food: way for food, options in foods.items() if (way := options.cheapest(others)) is not None}
        if len(ways) == len(foods):
            found.append(ways)
    return found


def _without(
    foods: Mapping[str, FoodOptions], ways: Mapping[str, Way], small: Delivery, closed: frozenset[Delivery]
) -> dict[str, Way] | None:
    """The same with the foods of one delivery bought where it and others are closed; None where one cannot be."""
    found = dict(ways)
    for food, way in ways.items():
        if any(delivery == small for delivery, _ in way.goods):
            other = foods[food].cheapest(closed)
            if other is None:
                return None
            found[food] = other
    return found
