"""Deliveries that come earlier, so that their packs are used up before others.

Where opened packs keep only days, the order of use decides how many are needed, and a delivery on an earlier day of its
supplier, after the same packing day, may bring about a better order. What comes with a delivery that has a fee or a
minimum order comes on one day.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations, islice, product
from typing import Final

from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import FoodOptions, Way

Moved = dict[Delivery, dt.date]
"""By delivery, the day on which all of a food comes that comes with it."""

_MOST_MOVED: Final = 2
"""Deliveries moved together for one food that does not hold."""

_MOST_TRIED: Final = 100
"""Ways to choose the days of deliveries that are tried."""


def moved_deliveries(foods: Mapping[str, FoodOptions], ways: Mapping[str, Way]) -> dict[str, Moved] | None:
    """By food, the days of deliveries on which all ways hold, the soonest expiring used first.

    Returns:
        Foods of which no day is other than their way has it are left out; None where no days were found.
    """
    opened = [food for food in sorted(foods) if foods[food].opened_matter]
    for days in islice(_days_together(foods, ways, opened), _MOST_TRIED):
        moved: dict[str, Moved] | None = _spread(foods, ways, {}, days)
        assert moved is not None
        if all(food in opened or _holds(foods[food], ways[food], its) for food, its in moved.items()):
            for food in opened:
                if moved is not None and not _holds(foods[food], ways[food], moved.get(food, {})):
                    moved = _with_other_days(foods, ways, food, moved)
            if moved is not None:
                return moved
    return None


def _days_together(
    foods: Mapping[str, FoodOptions], ways: Mapping[str, Way], opened: Sequence[str]
) -> Iterator[Moved]:  # fmt: skip
    """One day for each delivery that comes as a whole, of those on which the ways of some foods have it."""
    wanted: dict[Delivery, set[dt.date]] = defaultdict(set)
    for food in opened:
        for number, _ in ways[food].packs:
            option = foods[food].options[number]
            if option.early and _comes_as_a_whole(foods[food], option.delivery):
                wanted[option.delivery].add(option.arrives)
    deliveries = sorted(wanted)
    for days in product(*(sorted({*wanted[delivery], delivery[1]}) for delivery in deliveries)):
        yield dict(zip(deliveries, days, strict=True))


def _with_other_days(
    foods: Mapping[str, FoodOptions], ways: Mapping[str, Way], food: str, moved: Mapping[str, Moved]
) -> dict[str, Moved] | None:
    """The same with some deliveries of one food on earlier days, so that it holds; None where none are found."""
    options, mine = foods[food], moved.get(food, {})
    stands_for = options.market.stands_for
    movable = [delivery for delivery, _ in ways[food].goods if delivery not in mine and stands_for.get(delivery)]
    changes = (
        dict(zip(deliveries, days, strict=True))
        for count in range(1, _MOST_MOVED + 1)
        for deliveries in combinations(movable, count)
        for days in product(*([day for day, _ in stands_for[delivery]] for delivery in deliveries))
    )
    for days in islice(changes, _MOST_TRIED):
        whole = {delivery: day for delivery, day in days.items() if _comes_as_a_whole(options, delivery)}
        found = _spread(foods, ways, {**moved, food: {**mine, **days}}, whole)
        if all(_holds(foods[each], ways[each], its) for each, its in found.items() if its != moved.get(each)):
            return found
    return None


def _comes_as_a_whole(options: FoodOptions, delivery: Delivery) -> bool:
    """Whether a second delivery would cost more."""
    return options.market.programme.suppliers[delivery[0]].asks_by_order


def _spread(
    foods: Mapping[str, FoodOptions], ways: Mapping[str, Way], moved: Mapping[str, Moved], days: Moved
) -> dict[str, Moved]:
    """The same with some deliveries on other days for every food that comes with them."""
    spread = {food: dict(its) for food, its in moved.items()}
    for food in foods:
        its_days = {delivery: days[delivery] for delivery, _ in ways[food].goods if delivery in days}
        if its_days:
            spread[food] = {**spread.get(food, {}), **its_days}
    return spread


def _holds(options: FoodOptions, way: Way, moved: Moved) -> bool:
    """Whether a food's packs are sold at the same price on other days of deliveries, and cover its needs."""
    for number, _ in way.packs:
        option = options.options[number]
        day = moved.get(option.delivery, option.arrives)
        if day != option.delivery[1] and day not in options.market.earlier_days(option.offer, option.delivery[1]):
            return False
    return options.covers(way.packs, moved)
