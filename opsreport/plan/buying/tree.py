"""Branch and price: plans parted by what becomes of single deliveries, each part with its own bound.

In a part some deliveries are not used, pay their fee or are free; the rest is as in master.py. The part with the lowest
bound is looked into first: foods are asked at its prices until they show nothing new. Then a delivery that its
relaxation takes in part is decided, or, where none is, every plan of the part that could still be cheaper is looked
at (proof.py). What a bound rests on is whole numbers; the solver only says which prices to try and where to part.

Source: Barnhart et al., Branch-and-price, Operations Research 46 (1998) 316-329.
"""

import dataclasses
import heapq
import itertools
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final

from opsreport.plan.buying.exchange import Exchange, more_than_any
from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.master import Master
from opsreport.plan.buying.moving import moved_deliveries
from opsreport.plan.buying.options import WHOLE, FoodOptions, Way, learn
from opsreport.plan.buying.prices import ANY, DualPrices, State, States, bound_in_parts, state_costs
from opsreport.plan.buying.proof import prove
from opsreport.plan.buying.topping_up import whole_cost
from opsreport.programme import Supplier

_HOPELESS: Final = 4_000
"""A gap above this part of the cost leaves too many plans to look at, with many foods."""

_MANY_FOODS: Final = 30

_ASKED: Final = 5
"""Times the steps of all work that foods may open states at prices: those that lead to no new way are not counted."""

_ASKED_AT_LEAST: Final = 100_000

_PATIENCE: Final = 5
"""Times the work that a proof may take where no delivery is left to be decided."""


@dataclass(frozen=True, slots=True)
class Limits:
    """parts: of all plans, looked into. at_prices: states that one food may open at prices. steps: of all work."""

    parts: int
    at_prices: int
    steps: int


@dataclass(frozen=True, slots=True)
class _Part:
    """Plans in which deliveries have some states. bound: no such plan costs less [minor units]."""

    bound: int
    states: States

    @property
    def closed(self) -> frozenset[Delivery]:
        return frozenset(delivery for delivery, state in self.states.items() if state == State.UNUSED)

    def parted(self, delivery: Delivery, state: State, bound: int) -> "tuple[_Part, _Part]":
        """The plans in which a delivery is in a state, and all others."""
        others = self.states.get(delivery, ANY) & ~state
        return _Part(bound, {**self.states, delivery: state}), _Part(bound, {**self.states, delivery: others})


class Tree:
    """The best plan so far and the parts still open; every order of a plan reaches its minimum.

    cost: of the best plan [minor units]. bound: no plan costs less. known: the ways known of every food; more are
    added. steps: the work done.
    """

    def __init__(
        self, suppliers: Mapping[str, Supplier], foods: Mapping[str, FoodOptions], master: Master,
        known: Mapping[str, list[Way]], ways: Mapping[str, Way], cost: int, bound: int,
        *, any_order: bool,
    ) -> None:  # fmt: skip
        """ways: a plan in which every order reaches its minimum. cost: its `whole_cost`. bound: no plan costs less.
        any_order: of use, as in `FoodOptions.cheapest`."""
        self.suppliers = suppliers
        self.foods = foods
        self.master = master
        self.known = known
        self.ways = {food: ways[food] for food in foods}
        self.cost = cost
        self.bound = bound
        self.any_order = any_order
        self.steps = self.most_asked = 0

    def search(self, limits: Limits) -> None:
        """Look into the parts, those that may hold the cheapest plan first, until none is left or the work is done."""
        self.most_asked = self._states_asked + max(_ASKED * limits.steps, _ASKED_AT_LEAST)
        made = itertools.count()
        waiting = [(self.bound, next(made), _Part(self.bound, {}))]
        left_open: list[tuple[int, _Part]] = []
        for _ in range(limits.parts):
            if not waiting or waiting[0][0] >= self.cost:
                # with a cheaper plan known, fewer plans could be cheaper still
                again = [part for cost, part in left_open if part.bound < self.cost < cost]
                left_open = [(cost, part) for cost, part in left_open if cost <= self.cost]
                waiting = [(part.bound, -number, part) for number, part in enumerate(again, 1)]
                heapq.heapify(waiting)
            if not waiting or self._is_tired(limits):
                break
            part = heapq.heappop(waiting)[2]
            cost = self.cost
            found = self._look_into(part, limits)
            if found is None:
                continue
            if isinstance(found, int):
                left_open.append((cost, dataclasses.replace(part, bound=found)))
                continue
            for half in found:
                heapq.heappush(waiting, (half.bound, next(made), half))
        self.master.allow({})
        self.bound = max(
            self.bound, min((self.cost, *(part.bound for _, part in left_open), *(bound for bound, _, _ in waiting)))
        )

    @property
    def _states_asked(self) -> int:
        return sum(options.asked for options in self.foods.values())

    def _is_tired(self, limits: Limits) -> bool:
        """Whether the work is done that may be done."""
        return self.steps > limits.steps or self._states_asked > self.most_asked

    def _look_into(self, part: _Part, limits: Limits) -> tuple[_Part, _Part] | int | None:
        """Two halves, the bound of a part left as it is, or None where it holds no cheaper plan than the best."""
        asked = self._asked(part, limits)
        if asked is None:
            return None
        bound, prices, ways = asked
        if bound >= self.cost:
            return None
        decision = self.master.undecided(part.states)
        if decision is not None:
            return part.parted(*decision, bound)
        self._round()
        narrowed = self._narrowed(part, prices, ways, limits)
        if narrowed is None:
            return None
        states, prices, ways = narrowed
        undecided = [
            (delivery, decided)
            for delivery, state in sorted(states.items())
            for decided in (State.UNUSED, State.FREE)
            if decided in state and decided != state
        ]
        hopeless = undecided and len(self.foods) > _MANY_FOODS and (self.cost - bound) * _HOPELESS > self.cost
        for strictly in () if hopeless else (False, True):
            most = limits.steps - self.steps
            proven, steps = prove(
                self.suppliers, self.foods, prices, ways, self.cost, most, states, strictly=strictly,
                any_order=self.any_order, patience=1 if undecided else _PATIENCE,
            )  # fmt: skip
            self.steps += steps
            if proven is None:
                break
            if proven.ways is not None:
                self._take(proven.ways)
            if proven.bound >= self.cost:
                return None
            bound = max(bound, proven.bound)
        return _Part(bound, states).parted(*undecided[0], bound) if undecided else bound

    def _narrowed(
        self, part: _Part, prices: DualPrices, ways: Mapping[str, Way], limits: Limits
    ) -> tuple[States, DualPrices, Mapping[str, Way]] | None:
        """The states that deliveries can have in a cheaper plan than the best, with prices and ways; None where there
        is no such plan."""
        closed = part.closed
        bound = bound_in_parts(prices, ways, self.suppliers, part.states, minimums=True)
        deliveries = {delivery for options in self.foods.values() for delivery in options.deliveries}
        every = {delivery: part.states.get(delivery, ANY) for delivery in deliveries}
        states: dict[Delivery, State] = {}
        for delivery, costs in sorted(state_costs(prices, self.suppliers, every, minimums=True).items()):
            states[delivery] = State(0)
            spare = (self.cost - 1) * WHOLE - bound + min(costs.values())
            for state, cost in costs.items():
                if cost > spare:
                    continue
                if state == State.UNUSED and delivery not in closed:
                    more = self._more_without(delivery, closed, prices, ways, limits)
                    if more is None or cost + more > spare:
                        continue
                states[delivery] |= state
            if not states[delivery]:
                return None
        prices = prices.where(states)
        closed = _Part(0, states).closed
        found: dict[str, Way] = {}
        for food in self.foods:
            way = self._cheapest(food, closed, prices, limits)
            if way is None:
                return None
            found[food] = way
        if bound_in_parts(prices, found, self.suppliers, states, minimums=True) > (self.cost - 1) * WHOLE:
            return None
        return states, prices, found

    def _more_without(
        self, delivery: Delivery, closed: frozenset[Delivery], prices: DualPrices, ways: Mapping[str, Way],
        limits: Limits,
    ) -> int | None:  # fmt: skip
        """What the foods pay more without a delivery [WHOLE to a minor unit]; None where they cannot do without."""
        more = 0
        for food, way in ways.items():
            if any(each == delivery for each, _ in way.goods):
                other = self._cheapest(food, closed | {delivery}, prices, limits)
                if other is None:
                    return None
                more += other.bound - way.bound
        return more

    def _asked(self, part: _Part, limits: Limits) -> tuple[int, DualPrices, Mapping[str, Way]] | None:
        """(bound of a part, the last prices, the ways at those of the tightest bound); None where nothing covers."""
        closed, best = part.closed, (part.bound, DualPrices({}, {}), dict[str, Way]())
        for food, known in self.known.items():
            if all(any(delivery in closed for delivery, _ in way.goods) for way in known):
                way = self.foods[food].cheapest(closed)
                if way is None:
                    return None
                self._know(food, way)
        while True:
            self._tell(part)
            prices = self.master.dual_prices().where(part.states)
            found: dict[str, Way] = {}
            new = False
            for food in self.foods:
                way = self._cheapest(food, closed, prices, limits)
                if way is None:
                    return None
                new |= self._know(food, way)
                found[food] = way
            bound = -(-bound_in_parts(prices, found, self.suppliers, part.states, minimums=True) // WHOLE)
            if bound >= best[0] or not best[2]:
                best = max(bound, best[0]), prices, found
            if best[0] >= self.cost or not new or self._is_tired(limits):
                return best

    def _cheapest(
        self, food: str, closed: frozenset[Delivery], prices: DualPrices, limits: Limits
    ) -> Way | None:  # fmt: skip
        return self.foods[food].cheapest(
            closed, prices.of(food), most_steps=limits.at_prices, any_order=self.any_order
        )  # fmt: skip

    def _know(self, food: str, way: Way) -> bool:
        work = learn(self.known[food], way)
        self.steps += work
        return work > 0

    def _tell(self, part: _Part) -> None:
        self.master.add_all(self.known)
        self.master.allow(part.states)

    def _round(self) -> None:
        """A plan out of the relaxation of a part."""
        ways = self.master.hold_ways()
        if ways:
            self._take(ways)
            self._take(Exchange(self.suppliers, self.known, ways, more_than_any(self.ways)).improve())

    def _take(self, ways: Mapping[str, Way]) -> None:
        cost = whole_cost(self.suppliers, self.foods, ways)
        if cost is not None and cost < self.cost and moved_deliveries(self.foods, ways) is not None:
            self.ways, self.cost = dict(ways), cost
