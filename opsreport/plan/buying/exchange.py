"""Better choices among the ways known: foods change their way one by one, and by delivery.

A local search over tables alone, so that thousands of exchanges cost less than solving one food again. What a
delivery costs is its goods, its fee and, below the supplier's minimum, more than any plan.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import Way
from opsreport.programme import Supplier

_MOST_ROUNDS: Final = 20
"""Rounds over all foods and deliveries; each must have made the plan cheaper."""

_PARTS: Final = 1_000
"""Parts of a minor unit in which goods are counted: what comes for nothing counts as one, and so pays its fee."""

_SHARES: Final = (None, 100, 90, 70, 0)
"""What is tried with every delivery: to give it up, or to draw goods to it, without its fee and at so much of their
price [percent]."""


def more_than_any(ways: Mapping[str, Way]) -> int:
    """More than any plan worth having costs, from what one plan's ways cost [minor units]."""
    return 1 + 2 * sum(way.cost for way in ways.values())


class Exchange:
    """A plan being improved, of ways that do with the soonest expiring used first. below: what an order below its
    minimum counts as [minor units]."""

    def __init__(
        self, suppliers: Mapping[str, Supplier], known: Mapping[str, Sequence[Way]], ways: Mapping[str, Way], below: int
    ) -> None:
        self.terms = {
            name: (
                supplier.delivery_fee * _PARTS,
                None if supplier.free_from is None else supplier.free_from * _PARTS,
                supplier.minimum_order * _PARTS,
            )
            for name, supplier in suppliers.items()
        }
        self.known = {food: [way for way in its if way.in_order] for food, its in known.items()}
        self.below = below * _PARTS
        self.ways = {food: way if way.in_order else way.instead or way for food, way in ways.items()}
        self.goods: dict[Delivery, int] = defaultdict(int)
        for way in self.ways.values():
            self._add(way, 1)
        self.users: dict[Delivery, list[str]] = {}
        for food, its in self.known.items():
            for delivery in sorted({delivery for way in its for delivery, _ in way.goods}):
                self.users.setdefault(delivery, []).append(food)

    def improve(self) -> dict[str, Way]:
        """Exchange until nothing gets better; the ways of every food."""
        for _ in range(_MOST_ROUNDS):
            before = self.cost()
            self._each_food(self.ways)
            for delivery in sorted(self.users, key=lambda each: (self.goods[each], each)):
                for share in _SHARES:
                    self._with(delivery, share)
            if self.cost() == before:
                break
        return self.ways

    def cost(self) -> int:
        """Of the whole plan [minor units]."""
        return sum(self._paid(delivery, goods) for delivery, goods in self.goods.items()) // _PARTS

    def _paid(self, delivery: Delivery, goods: int) -> int:
        if not goods:
            return 0
        fee, free_from, minimum = self.terms[delivery[0]]
        paid = goods if free_from is not None and goods >= free_from else goods + fee
        return paid + self.below if goods < minimum else paid

    def _add(self, way: Way, times: int) -> None:
        for delivery, cost in way.goods:
            self.goods[delivery] += times * (cost * _PARTS or 1)

    def _each_food(self, foods: Iterable[str], drawn: Delivery | None = None, share: int | None = None) -> None:
        """Every food's cheapest way, the others' standing.

        drawn: a delivery that may not be used, or, with a share, that for now costs that part of its goods alone.
        """
        for food in foods:
            mine = self.ways[food]
            self._add(mine, -1)
            best, least = mine, None
            for way in (mine, *self.known[food]):
                more = 0
                for delivery, its in way.goods:
                    cost = its * _PARTS or 1
                    if delivery != drawn:
                        there = self.goods[delivery]
                        more += self._paid(delivery, there + cost) - self._paid(delivery, there)
                    elif share is not None:
                        more += cost * share // 100
                    else:
                        break
                else:
                    if least is None or more < least:
                        best, least = way, more
            self._add(best, 1)
            self.ways[food] = best

    def _with(self, delivery: Delivery, share: int | None) -> None:
        """Give a delivery up (no share), or draw more to it, where that is cheaper."""
        ways, goods, cost = self.ways.copy(), self.goods.copy(), self.cost()
        self._each_food(self.users[delivery], delivery, share)
        self._each_food(self.users[delivery])
        if self.cost() >= cost:
            self.ways, self.goods = ways, goods
