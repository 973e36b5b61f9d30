"""Which deliveries to ask for: fees and minimum orders weighed against the cheapest packs of each food.

Starts from the cheapest packs of every food on its own, which may ask for a delivery a day, and closes
deliveries (or opens them again) one at a time while that makes the whole better: fewer orders below a
supplier's minimum first, then a lower total of goods and fees. No need is ever left to an urgent
delivery, or uncovered, for it. Not proven best: what only two changes at once would improve is missed.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from opsreport.money import Money
from opsreport.plan.food_buying import FoodBuying
from opsreport.plan.market import Delivery, Market
from opsreport.plan.netting import Open
from opsreport.programme import Supplier

MOST_TRIALS: Final = 3_000
"""Foods solved again before the search takes what it has; counted in work, so that the answer is the same
on every machine."""

_Score = tuple[int, int]
"""Orders below their minimum, goods and fees; less is better."""


def order_fee(supplier: Supplier, goods: int) -> Money:
    """What a supplier asks for one delivery of so much goods [minor units]."""
    free = supplier.free_from is not None and goods >= supplier.free_from
    return Money(0) if free else supplier.delivery_fee


def fewer_deliveries(
    market: Market, by_food: Mapping[str, Sequence[Open]], each_alone: Mapping[str, FoodBuying]
) -> dict[str, FoodBuying]:
    """What to buy of each food once fees and minimum orders count.

    Args:
        by_food: what is needed, by food.
        each_alone: the cheapest packs of every food on its own, by food.
    Returns:
        By food, in the same order; never worse than `each_alone`.
    """
    search = _Search(market, by_food, each_alone)
    improved = True
    while improved and search.trials < MOST_TRIALS:
        improved = False
        for delivery in search.smallest_first():
            improved |= search.try_closed(search.closed | {delivery})
        for delivery in sorted(search.closed):
            improved |= search.try_closed(search.closed - {delivery})
    return search.chosen


class _Search:
    """The best set of deliveries so far, and what each food buys with it."""

    def __init__(
        self, market: Market, by_food: Mapping[str, Sequence[Open]], each_alone: Mapping[str, FoodBuying]
    ) -> None:
        self.market = market
        self.by_food = by_food
        self.each_alone = each_alone
        self.chosen = dict(each_alone)
        self.closed: frozenset[Delivery] = frozenset()
        self.trials = 0
        self.goods = self._goods(self.chosen)
        self._solved: dict[tuple[str, frozenset[Delivery]], FoodBuying] = {}
        self._suppliers = {
            food: frozenset(offer.supplier for offer in market.offers[food]) for food in each_alone
        }

    @staticmethod
    def _goods(chosen: Mapping[str, FoodBuying]) -> dict[Delivery, int]:
        goods: dict[Delivery, int] = defaultdict(int)
        for lots in chosen.values():
            for delivery, cost in lots.goods().items():
                goods[delivery] += cost
        return goods

    def score(self, goods: Mapping[Delivery, int]) -> _Score:
        """Orders below their minimum, then goods and fees."""
        below, cost = 0, 0
        for (name, _), sum_of_goods in goods.items():
            if sum_of_goods:
                supplier = self.market.programme.suppliers[name]
                below += sum_of_goods < supplier.minimum_order
                cost += sum_of_goods + order_fee(supplier, sum_of_goods)
        return below, cost

    def smallest_first(self) -> list[Delivery]:
        """The deliveries in use that can still be ordered in time, the least goods first."""
        used = [(cost, delivery) for delivery, cost in self.goods.items() if cost]
        return [delivery for _, delivery in sorted(used) if self.market.is_regular(delivery)]

    def try_closed(self, closed: frozenset[Delivery]) -> bool:
        """Take a set of closed deliveries if it is better; whether it was taken."""
        changed = closed ^ self.closed
        if not changed:
            return False
        goods = dict(self.goods)
        again: dict[str, FoodBuying] = {}
        for food in self._affected(changed, closed):
            lots = self._solve(food, closed)
            if not lots.covers_as_well_as(self.each_alone[food]):
                return False
            for delivery, cost in self.chosen[food].goods().items():
                goods[delivery] -= cost
            for delivery, cost in lots.goods().items():
                goods[delivery] = goods.get(delivery, 0) + cost
            again[food] = lots
        if self.score(goods) >= self.score(self.goods):
            return False
        self.chosen |= again
        self.goods = goods
        self.closed = closed
        return True

    def _affected(self, changed: Iterable[Delivery], closed: frozenset[Delivery]) -> list[str]:
        """Foods that may buy otherwise: those that use a delivery now closed, or are sold by the supplier of
        one now open again."""
        opened = {name for name, day in changed if (name, day) not in closed}
        shut = {delivery for delivery in changed if delivery in closed}
        return [
            food for food, lots in self.chosen.items()
            if self._suppliers[food] & opened or any(delivery in shut for delivery in lots.goods())
        ]  # fmt: skip

    def _solve(self, food: str, closed: frozenset[Delivery]) -> FoodBuying:
        mine = frozenset(delivery for delivery in closed if delivery[0] in self._suppliers[food])
        if (food, mine) not in self._solved:
            self.trials += 1
            self._solved[food, mine] = FoodBuying.of(self.market.without(mine), food, self.by_food[food])
        return self._solved[food, mine]
