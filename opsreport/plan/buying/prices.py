"""Prices of deliveries, and the bound on every plan that they prove."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import Flag, auto
from typing import Final

from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import WHOLE, Prices, Way
from opsreport.programme import Supplier


class State(Flag):
    """What becomes of a delivery: nothing comes, its fee is paid, or its goods reach free delivery."""

    UNUSED = auto()
    PAID = auto()
    FREE = auto()


ANY: Final = State.UNUSED | State.PAID | State.FREE
States = Mapping[Delivery, State]
"""The states that deliveries may have; any where none is named."""


@dataclass(frozen=True, slots=True)
class DualPrices:
    """setup: by food, what each delivery costs it. grant: by delivery, the part of a price that is granted.

    Both in parts of a minor unit, WHOLE to one.
    """

    setup: Mapping[str, Mapping[Delivery, int]]
    grant: Mapping[Delivery, int]

    def of(self, food: str) -> Prices:
        return Prices(self.setup.get(food, {}), {each: WHOLE - part for each, part in self.grant.items()})

    def where(self, states: States) -> "DualPrices":
        """The same where deliveries have only some states: one that is asked for anyhow costs no food anything."""
        setup = {
            food: {each: part for each, part in its.items() if State.UNUSED in states.get(each, ANY)}
            for food, its in self.setup.items()
        }
        return DualPrices(setup, self.grant)


def bound_in_parts(
    prices: DualPrices, ways: Mapping[str, Way], suppliers: Mapping[str, Supplier], states: States | None = None, *,
    minimums: bool,
) -> int:  # fmt: skip
    """A lower bound on goods and fees, from the cheapest way of every food at prices [WHOLE to a minor unit].

    states: what deliveries may be in the plans meant; of one that may not be used no way makes use. minimums: of plans
    in which every order reaches its supplier's minimum; else of all plans.
    """
    costs = state_costs(prices, suppliers, states or {}, minimums=minimums)
    return sum(way.bound for way in ways.values()) + sum(min(its.values()) for its in costs.values())


def state_costs(
    prices: DualPrices, suppliers: Mapping[str, Supplier], states: States, *, minimums: bool
) -> dict[Delivery, dict[State, int]]:  # fmt: skip
    """What each state that a delivery may have costs beside what foods pay [WHOLE to a minor unit].

    In each state foods pay together at most what the state costs and grants, and what they pay more comes off.
    """
    together: dict[Delivery, int] = {}
    for setups in prices.setup.values():
        for delivery, setup in setups.items():
            together[delivery] = together.get(delivery, 0) + setup
    found: dict[Delivery, dict[State, int]] = {}
    for delivery in {*together, *prices.grant, *states}:
        supplier, grant = suppliers[delivery[0]], prices.grant.get(delivery, 0)
        minimum = supplier.minimum_order if minimums else 0
        costs = {
            State.UNUSED: 0,
            State.PAID: supplier.delivery_fee * WHOLE + grant * minimum - together.get(delivery, 0),
        }
        if supplier.free_from is not None:
            costs[State.FREE] = grant * max(supplier.free_from, minimum) - together.get(delivery, 0)
        allowed = states.get(delivery, ANY)
        found[delivery] = {state: cost for state, cost in costs.items() if state in allowed}
    return found
