"""The proof, and the last cents: every plan that could still be cheaper is looked at, where they are few.

At prices of deliveries a plan costs what those prices prove as a bound, and more by what each food's way is
dearer than the cheapest at them (its reduced cost). So a cheaper plan is made of ways whose reduced costs
stay together below the gap between cost and bound; all of these are listed, food by food, and tried. Nothing here
is a float, and nothing rests on a solver: it may be believed as it stands.

Source: the variable fixing of Lagrangian relaxation, as Geoffrion, Mathematical Programming Study 2 (1974) 82-114.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import WHOLE, FoodOptions, Packs, Way
from opsreport.plan.buying.prices import DualPrices, bound_in_parts
from opsreport.plan.buying.topping_up import order_fee, topped_up
from opsreport.programme import Supplier

_MOST_STEPS: Final = 3_000
"""States opened in listing one food's ways."""

_MOST_PLANS: Final = 20_000
"""Plans begun before the proof is given up."""


@dataclass(frozen=True, slots=True)
class Proven:
    """The cheapest plan of all. ways, extra: by food; none where the plan known is the cheapest."""

    ways: Mapping[str, Way] | None
    extra: Mapping[str, Packs]


class _Proof:
    """listed: by food, its ways with their reduced costs, ascending. best: cost of the best plan [minor units]."""

    def __init__(
        self,
        suppliers: Mapping[str, Supplier],
        foods: Mapping[str, FoodOptions],
        listed: list[tuple[str, list[tuple[int, Way]]]],
        best: int,
    ) -> None:
        self.suppliers = suppliers
        self.foods = foods
        self.listed = listed
        self.best = best
        self.found: Proven | None = None
        self.begun = 0
        self.goods: dict[Delivery, int] = {}
        self.ways: dict[str, Way] = {}

    def look(self, place: int, spare: int) -> bool:
        """Try every way of the foods from a place on; False where there are too many."""
        self.begun += 1
        if self.begun > _MOST_PLANS:
            return False
        if place == len(self.listed):
            self._judge()
            return True
        food, ways = self.listed[place]
        for more, way in ways:
            if more > spare:
                break
            for delivery, cost in way.goods:
                self.goods[delivery] = self.goods.get(delivery, 0) + cost
            self.ways[food] = way
            done = self.look(place + 1, spare - more)
            for delivery, cost in way.goods:
                self.goods[delivery] -= cost
            if not done:
                return False
        return True

    def _judge(self) -> None:
        least, cost = 0, 0
        for (name, _), goods in self.goods.items():
            if not goods:
                continue
            supplier = self.suppliers[name]
            if goods < supplier.minimum_order:
                return
            fee = order_fee(supplier, goods)
            cost += goods + fee
            least += min(goods + fee, goods + fee if supplier.free_from is None else max(goods, supplier.free_from))
        extra: Mapping[str, Packs] = {}
        if least < min(cost, self.best):
            extra, saved = topped_up(self.suppliers, self.foods, self.ways)
            cost -= saved
        if cost < self.best:
            self.best = cost
            self.found = Proven(dict(self.ways), extra)


def prove(
    suppliers: Mapping[str, Supplier],
    foods: Mapping[str, FoodOptions],
    prices: DualPrices,
    cheapest: Mapping[str, Way],
    cost: int,
    most_steps: int,
) -> tuple[Proven | None, int]:
    """The cheapest plan in which every order reaches its minimum, or that none is cheaper than `cost`.

    Args:
        cheapest: by food, the way found at these prices.
        cost: of the best plan known, goods and fees [minor units].
        most_steps: work after which it is given up.
    Returns:
        What is proven (None: given up), and the steps taken.
    """
    spare = cost * WHOLE - bound_in_parts(prices, cheapest, suppliers, minimums=True) - 1
    steps = 0
    listed: list[tuple[str, list[tuple[int, Way]]]] = []
    for food, options in foods.items():
        its = prices.of(food)
        found = options.every_way(
            its, cheapest[food].bound + spare, min(max(_MOST_STEPS, most_steps // (2 * len(foods))), most_steps - steps)
        )
        if found is None:
            return None, steps + _MOST_STEPS
        steps += found[1]
        ranked = sorted(
            ((options.at_prices(way, its) - cheapest[food].bound, way) for way in found[0]),
            key=lambda each: (each[0], each[1].packs),
        )
        listed.append((food, ranked))
    listed.sort(key=lambda each: len(each[1]))
    proof = _Proof(suppliers, foods, listed, cost)
    if not proof.look(0, spare):
        return None, steps + proof.begun
    return proof.found or Proven(None, {}), steps + proof.begun
