"""Packs beyond need, bought where they reach free delivery for less than the fee."""

import datetime as dt
from collections.abc import Mapping
from typing import Final

from opsreport.money import Money
from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import NOT_MOVED, FoodOptions, Packs, Way
from opsreport.programme import Supplier

_MOST_CENTS: Final = 20_000
"""Fees above this are left alone: no delivery costs so much, and the table has a cell for each minor unit."""


def order_fee(supplier: Supplier, goods: int) -> Money:
    """What a supplier asks for one delivery of so much goods [minor units]."""
    free = supplier.free_from is not None and goods >= supplier.free_from
    return Money(0) if free else supplier.delivery_fee


def whole_cost(
    suppliers: Mapping[str, Supplier], foods: Mapping[str, FoodOptions], ways: Mapping[str, Way]
) -> int | None:  # fmt: skip
    """Goods and fees, with packs beyond need where they save a fee; None where an order is below its minimum."""
    below, cost = below_and_cost(suppliers, goods_of(ways))
    return None if below else cost - topped_up(suppliers, foods, ways)[1]


def below_and_cost(suppliers: Mapping[str, Supplier], goods: Mapping[Delivery, int]) -> tuple[int, int]:
    """Orders below their minimum; goods and fees [minor units]. goods: of the deliveries asked for, even where all that
    comes has no price."""
    below, cost = 0, 0
    for (name, _), its in goods.items():
        below += its < suppliers[name].minimum_order
        cost += its + order_fee(suppliers[name], its)
    return below, cost


def goods_of(ways: Mapping[str, Way]) -> dict[Delivery, int]:
    """Goods by delivery that is asked for [minor units]."""
    goods: dict[Delivery, int] = {}
    for way in ways.values():
        for delivery, cost in way.goods:
            goods[delivery] = goods.get(delivery, 0) + cost
    return goods


def topped_up(
    suppliers: Mapping[str, Supplier], foods: Mapping[str, FoodOptions], ways: Mapping[str, Way],
    moved: Mapping[str, Mapping[Delivery, dt.date]] | None = None,
) -> tuple[dict[str, Packs], int]:  # fmt: skip
    """By food, the extra packs (index of the option, packs), only of foods that are needed anyway; what is saved.

    moved: by food, deliveries that come on another day.
    """
    moved = moved or {}
    goods = goods_of(ways)
    extra: dict[str, Packs] = {}
    saved = 0
    for delivery in sorted(goods):
        supplier = suppliers[delivery[0]]
        fee = int(supplier.delivery_fee)
        if supplier.free_from is None or not 0 < supplier.free_from - goods[delivery] < fee <= _MOST_CENTS:
            continue
        fill = _cheapest_fill(supplier.free_from - goods[delivery], fee, delivery, foods, ways)
        for food, packs in fill.items():
            extra[food] = (*extra.get(food, ()), *packs)
            for number, count in packs:
                saved -= count * foods[food].options[number].offer.price
        saved += fee if fill else 0
    safe = all(
        foods[food].covers(_added(ways[food].packs, packs), moved.get(food, NOT_MOVED)) for food, packs in extra.items()
    )
    return (extra, saved) if safe else ({}, 0)


def least_fills(delivery: Delivery, fee: int, foods: Mapping[str, FoodOptions]) -> list[int]:
    """By what an order lacks to free delivery, the least that packs on offer for it cost together, below the fee; the
    fee where none do [minor units]."""
    if fee > _MOST_CENTS:
        return [0]
    reached = [True] + [False] * max(fee - 1, 0)
    for options in foods.values():
        for option in options.options:
            price = option.offer.price * option.offer.sold_by
            if option.delivery == delivery and not option.urgent and not option.early and price:
                for cost in range(price, len(reached)):
                    reached[cost] = reached[cost] or reached[cost - price]
    fills, least = [], fee
    for cost in range(len(reached) - 1, -1, -1):
        least = cost if reached[cost] else least
        fills.append(least)
    return fills[::-1]


def _cheapest_fill(
    gap: int, fee: int, delivery: Delivery, foods: Mapping[str, FoodOptions], ways: Mapping[str, Way]
) -> dict[str, Packs]:  # fmt: skip
    """Packs of one delivery that cost at least `gap` and least, below the fee; none where there are none.

    Money over whole minor units: for each sum, the fewest purchases that make it up (a change-making table).
    """
    import numpy as np

    fewest = np.full(fee, fee, dtype=np.int64)
    """By sum; as many as the fee where it is not made up, which no sum below it takes."""
    fewest[0] = 0
    choices: list[tuple[str, int, int, np.ndarray]] = []
    for food, options in foods.items():
        bought = dict(ways[food].packs)
        for number, option in enumerate(options.options):
            price = option.offer.price
            if option.delivery != delivery or option.urgent or option.early or not price:
                continue
            before, packs_for = fewest.copy(), np.zeros(fee, dtype=np.int64)
            first = option.offer.sold_by if number in bought else option.least
            for packs in range(first, -(-fee // price), option.offer.sold_by):
                if not options.covers(_with(ways[food].packs, number, packs)):
                    break
                cost = packs * price
                more = before[: fee - cost] + 1
                fewer = more < fewest[cost:]
                fewest[cost:][fewer], packs_for[cost:][fewer] = more[fewer], packs
            choices.append((food, number, price, packs_for))
    reached = np.flatnonzero(fewest[gap:] < fee)
    if not len(reached):
        return {}
    total, fill = gap + int(reached[0]), dict[str, Packs]()
    for food, number, price, packs_for in reversed(choices):
        if packs := int(packs_for[total]):
            fill[food] = ((number, packs), *fill.get(food, ()))
            total -= packs * price
    return fill


def _with(packs: Packs, number: int, count: int) -> Packs:
    return _added(packs, ((number, count),))


def _added(packs: Packs, more: Packs) -> Packs:
    counts = dict(packs)
    for number, count in more:
        counts[number] = counts.get(number, 0) + count
    return tuple(sorted(counts.items()))
