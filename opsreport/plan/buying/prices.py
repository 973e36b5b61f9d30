"""Prices of deliveries, and the bound on every plan that they prove."""

from collections.abc import Mapping
from dataclasses import dataclass

from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import WHOLE, Prices, Way
from opsreport.programme import Supplier


@dataclass(frozen=True, slots=True)
class DualPrices:
    """setup: by food, what each delivery costs it. grant: by delivery, the part of a price that is granted.

    Both in parts of a minor unit, WHOLE to one.
    """

    setup: Mapping[str, Mapping[Delivery, int]]
    grant: Mapping[Delivery, int]

    def of(self, food: str) -> Prices:
        return Prices(self.setup.get(food, {}), {each: WHOLE - part for each, part in self.grant.items()})


def bound_in_parts(
    prices: DualPrices, ways: Mapping[str, Way], suppliers: Mapping[str, Supplier], *, minimums: bool
) -> int:  # fmt: skip
    """A lower bound on goods and fees, from the cheapest way of every food at prices [WHOLE to a minor unit].

    minimums: of plans in which every order reaches its supplier's minimum; else of all plans. A delivery is not
    asked for, or pays its fee, or reaches free delivery; in each state foods pay together at most what the state
    costs and grants, and what they pay more comes off.
    """
    together: dict[Delivery, int] = {}
    for setups in prices.setup.values():
        for delivery, setup in setups.items():
            together[delivery] = together.get(delivery, 0) + setup
    total = sum(way.bound for way in ways.values())
    for delivery in {*together, *prices.grant}:
        supplier, grant = suppliers[delivery[0]], prices.grant.get(delivery, 0)
        minimum = supplier.minimum_order if minimums else 0
        states = [supplier.delivery_fee * WHOLE + grant * minimum]
        if supplier.free_from is not None:
            states.append(grant * max(supplier.free_from, minimum))
        total += min(0, min(states) - together.get(delivery, 0))
    return total
