"""Foods parted into groups that share no delivery with a fee or a minimum order: each can be bought for by itself."""

from collections.abc import Mapping

from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import FoodOptions
from opsreport.programme import Supplier


def components(suppliers: Mapping[str, Supplier], foods: Mapping[str, FoodOptions]) -> list[list[str]]:
    """Groups of foods in the order of their first food; together all foods.

    Two foods are in one group where some delivery that asks a fee or a least sum may serve both, or both share one
    with a third. Between groups no cost depends on both, so costs and bounds of groups add up.
    """
    leader: dict[str, str] = {food: food for food in foods}

    def found(food: str) -> str:
        while leader[food] != food:
            leader[food] = food = leader[leader[food]]
        return food

    first: dict[Delivery, str] = {}
    for food, options in foods.items():
        for delivery in {option.delivery: None for option in options.options}:
            if suppliers[delivery[0]].asks_by_order:
                leader[found(food)] = found(first.setdefault(delivery, food))
    groups: dict[str, list[str]] = {}
    for food in foods:
        groups.setdefault(found(food), []).append(food)
    return list(groups.values())
