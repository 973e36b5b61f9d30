"""Which deliveries to ask for: fees and minimum orders weighed against the cheapest packs of each food.

Starts from the cheapest packs of every food on its own, which may ask for a delivery a day, and again
from the deliveries that buying each session on its own would ask for. From there deliveries are closed
(one, all since the supplier's one before, or the whole supplier) or opened again while that makes the
whole better: fewer orders below a supplier's minimum first, then a lower total of goods and fees. No need
is ever left to an urgent delivery, or uncovered, for it. Not proven best: what only two such changes at
once would improve is missed.
"""

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Final

from opsreport.money import Money
from opsreport.plan.food_buying import FoodBuying
from opsreport.plan.market import Delivery, Market
from opsreport.plan.netting import Open
from opsreport.programme import Supplier

MOST_STEPS: Final = 60_000
"""States opened in solving foods again before the search takes what it has; counted in work, so that the
answer is the same on every machine."""

MOST_STEPS_FOR_TWO: Final = 6_000
"""Work up to which the search is made a second time, from other deliveries; larger terms leave it little to find."""

MOST_REOPENED: Final = 12
"""Closed deliveries up to which opening one again is tried: it asks many foods again, and seldom pays."""

_Score = tuple[int, int]
"""Orders below their minimum, goods and fees; less is better."""


def order_fee(supplier: Supplier, goods: int) -> Money:
    """What a supplier asks for one delivery of so much goods [minor units]."""
    free = supplier.free_from is not None and goods >= supplier.free_from
    return Money(0) if free else supplier.delivery_fee


def fewer_deliveries(
    market: Market,
    by_food: Mapping[str, Sequence[Open]],
    each_alone: Mapping[str, FoodBuying],
    session_by_session: Iterable[Delivery] = (),
) -> dict[str, FoodBuying]:
    """What to buy of each food once fees and minimum orders count.

    Args:
        by_food: what is needed, by food.
        each_alone: the cheapest packs of every food on its own, by food.
        session_by_session: deliveries that buying each session on its own asks for.
    Returns:
        By food, in the same order; never worse than `each_alone`.
    """
    search = _Search(market, by_food, each_alone)
    search.improve()
    if search.steps > MOST_STEPS_FOR_TWO:
        return search.chosen
    again = _Search(market, by_food, each_alone, search)
    if again.try_closed(again.all_but(session_by_session), even_if_worse=True):
        again.improve()
    return again.chosen if again.score(again.goods) < search.score(search.goods) else search.chosen


class _Search:
    """The best set of deliveries so far, and what each food buys with it."""

    def __init__(
        self,
        market: Market,
        by_food: Mapping[str, Sequence[Open]],
        each_alone: Mapping[str, FoodBuying],
        before: "_Search | None" = None,
    ) -> None:
        self.market = market
        self.by_food = by_food
        self.each_alone = each_alone
        self.chosen = dict(each_alone)
        self.closed: frozenset[Delivery] = frozenset()
        self.steps: int = before.steps if before is not None else 0
        self.goods = self._goods(self.chosen)
        self._solved: dict[tuple[str, frozenset[Delivery]], FoodBuying] = before._solved if before is not None else {}
        self._suppliers = {food: frozenset(offer.supplier for offer in market.offers[food]) for food in each_alone}

    def improve(self) -> None:
        """Change the set of deliveries while some change makes it better: the small changes first."""
        improved = True
        while improved and self.steps < MOST_STEPS:
            improved = any(self._took_some(changes()) for changes in (self._single, self._several, self._reopened))

    def _took_some(self, changes: Iterable[frozenset[Delivery]]) -> bool:
        """Try every set of closed deliveries, made one by one from the best so far; whether any was taken."""
        taken = False
        for closed in changes:
            taken |= self.try_closed(closed)
        return taken

    def _single(self) -> Iterator[frozenset[Delivery]]:
        """One delivery given up, the least goods first."""
        for delivery in self.smallest_first():
            yield self.closed | {delivery}

    def _several(self) -> Iterator[frozenset[Delivery]]:
        """With a delivery all since the supplier's one before that is used, or the whole supplier, given up."""
        for name, day in self.smallest_first():
            used = [
                other for (supplier, other), cost in self.goods.items() if cost and supplier == name and other < day
            ]
            before = max(used, default=None)
            yield self.closed | {
                each for each in self._all(name) if each[1] <= day and (before is None or each[1] > before)
            }
            yield self.closed | self._all(name)

    def _reopened(self) -> Iterator[frozenset[Delivery]]:
        """One delivery asked for again."""
        for delivery in sorted(self.closed):
            if len(self.closed) <= MOST_REOPENED:
                yield self.closed - {delivery}

    def _all(self, name: str) -> frozenset[Delivery]:
        """A supplier's deliveries that can still be ordered in time."""
        return frozenset((name, day) for day, by in self.market.days[name] if by >= self.market.as_of)

    def all_but(self, wanted: Iterable[Delivery]) -> frozenset[Delivery]:
        """Every delivery that can still be ordered in time, without those wanted."""
        every = (delivery for name in self.market.days for delivery in self._all(name))
        return frozenset(every) - frozenset(wanted)

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

    def try_closed(self, closed: frozenset[Delivery], *, even_if_worse: bool = False) -> bool:
        """Take a set of closed deliveries if it covers as much and is better; whether it was taken."""
        changed = closed ^ self.closed
        if not changed or self.steps >= MOST_STEPS:
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
        if not even_if_worse and self.score(goods) >= self.score(self.goods):
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
            lots = FoodBuying.of(self.market.without(mine), food, self.by_food[food])
            self.steps += lots.bought.steps + 1
            self._solved[food, mine] = lots
        return self._solved[food, mine]
