"""The proof, and the last cents: every plan that could still be cheaper is looked at, where they are few.

At prices of deliveries a plan costs what those prices prove as a bound, and more by what each food's way is
dearer than the cheapest at them (its reduced cost). So a cheaper plan is made of ways whose reduced costs
stay together below the gap between cost and bound. Plans are alike that bring the same goods to the deliveries
at which goods decide; of these the cheapest is looked at. Nothing here is a float, and nothing rests on a solver: it
may be believed as it stands.

Source: the variable fixing of Lagrangian relaxation, as Geoffrion, Mathematical Programming Study 2 (1974) 82-114.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, NamedTuple

from opsreport.plan.buying.asking import Sums
from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.moving import moved_deliveries
from opsreport.plan.buying.options import WHOLE, FoodOptions, Way
from opsreport.plan.buying.packs import NEVER
from opsreport.plan.buying.prices import ANY, DualPrices, State, States, bound_in_parts
from opsreport.plan.buying.topping_up import least_fills, whole_cost
from opsreport.programme import Supplier

if TYPE_CHECKING:
    import numpy as np

_MOST_STEPS: Final = 3_000
"""States opened in listing one food's ways."""

_MOST_PLANS: Final = 500_000
"""Plans put together, food by food, before the proof is given up."""

_FEW_WATCHED: Final = 4
"""Deliveries whose goods are told apart; with more, a plan takes more room, and fewer are put together."""

_PLANS_IN_A_STEP: Final = 1_000
"""Plans put together in the time of a state opened."""

_MOST_JUDGED: Final = 100
"""Plans worked out to the last pack."""


@dataclass(frozen=True, slots=True)
class Proven:
    """bound: no plan costs less. ways: by food, of a plan that costs so much; none where none is cheaper than the plan
    known."""

    bound: int
    ways: Mapping[str, Way] | None


class _Listed(NamedTuple):
    """A way of a food. dearer: its reduced cost [parts of a minor unit]. sums: its goods at the deliveries watched."""

    dearer: int
    sums: Sums
    way: Way


@dataclass(frozen=True, slots=True)
class _Plans:
    """Of every sum of goods that can be made up, the plan with the least goods.

    goods: cost of all, by plan. sums: of each, by delivery watched. steps: of every food with several ways (its place;
    by plan, the plan before it and the index of its way).
    """

    goods: Sequence[int]
    sums: Sequence[Sequence[int]]
    steps: Sequence[tuple[int, "np.ndarray", "np.ndarray"]]

    def chosen(self, plan: int) -> dict[int, int]:
        """The index of the way of every food that has several, by the food's place."""
        found = {}
        for food, before, ways in reversed(self.steps):
            found[food] = int(ways[plan])
            plan = int(before[plan])
        return found


@dataclass(frozen=True, slots=True)
class _Terms:
    """What a delivery may be and cost [minor units]. fills: by what goods lack to free delivery, what packs cost that
    reach it. watched: up to how much its goods are told apart; 0: not at all, as they decide nothing. grant: the part
    of its goods that prices grant [of WHOLE]; then all goods of a food are told apart."""

    states: State
    fee: int
    free_from: int | None
    minimum: int
    fills: Sequence[int]
    watched: int
    grant: int

    @property
    def needed(self) -> int:
        """Goods without which it cannot be."""
        if State.UNUSED in self.states:
            return 0
        if State.PAID in self.states or self.free_from is None:
            return self.minimum
        fillable = [lacking for lacking, cost in enumerate(self.fills) if cost < max(self.fee, 1)]
        return max(self.free_from - max(fillable, default=0), self.minimum)

    def least(self, goods: int) -> int | None:
        """What it costs at the least beside its goods; None where it cannot be."""
        costs = []
        if State.UNUSED in self.states and not goods:
            costs.append(0)
        if goods >= self.minimum and (goods or State.UNUSED not in self.states):
            if State.PAID in self.states:
                costs.append(self.fee)
            if State.FREE in self.states and self.free_from is not None:
                lacking = max(self.free_from - goods, 0)
                if lacking < len(self.fills) and self.fills[lacking] < max(self.fee, 1):
                    costs.append(self.fills[lacking])
        return min(costs, default=None)


class _Proof:
    """best: cost of the best plan [minor units]."""

    def __init__(
        self, suppliers: Mapping[str, Supplier], foods: Mapping[str, FoodOptions], terms: Mapping[Delivery, _Terms],
        bound: int, best: int,
    ) -> None:  # fmt: skip
        """bound: what the cheapest ways at prices prove [parts of a minor unit]."""
        self.suppliers = suppliers
        self.foods = foods
        self.watched = [each for each in terms.values() if each.watched]
        self.fixed = sum(each.fee for each in terms.values() if not each.watched and each.states == State.PAID)
        self.bound = bound
        self.best = best
        self.ways: Mapping[str, Way] | None = None
        self.begun = 0

    def together(self, listed: Sequence[Sequence[_Listed]], most_plans: int) -> _Plans | None:
        """The plans that may be cheaper than the best; None where there are too many.

        Food by food, in whole numbers of 64 bits. A plan is left out once a delivery cannot get the goods it needs, or
        once its reduced costs reach the gap: with them counts what is granted on goods beyond free delivery, and what
        packs beyond need cost more than was granted where a delivery that is to be free lacks goods.
        """
        import numpy as np

        most = (self.best - 1) * WHOLE - self.bound
        if most < 0 or not all(listed):
            return _Plans((), (), ())
        limits = np.array([each.watched for each in self.watched], dtype=np.int64)
        needed = np.array([each.needed for each in self.watched], dtype=np.int64)
        grants = np.array([each.grant for each in self.watched], dtype=np.int64)
        free = np.array([each.watched * (each.states == State.FREE) for each in self.watched], dtype=np.int64)
        sums_of = [np.array([its.sums for its in ways], dtype=np.int64).reshape(len(ways), -1) for ways in listed]
        dearer, goods, sums = np.zeros(1, dtype=np.int64), np.zeros(1, dtype=np.int64), 0 * limits[None, :]
        several = [food for food, ways in enumerate(listed) if len(ways) > 1]
        for ways, its_sums in zip(listed, sums_of, strict=True):
            if len(ways) == 1:
                dearer, goods = dearer + ways[0].dearer, goods + ways[0].way.cost
                sums = np.minimum(sums + its_sums, limits)
        least = sum((sums_of[food].min(axis=0) for food in several), 0 * limits)
        more = sum((sums_of[food].max(axis=0) for food in several), 0 * limits)
        if dearer[0] > most:
            return _Plans((), (), ())
        steps = []
        for food in several:
            ways, its_sums = listed[food], sums_of[food]
            least, more = least - its_sums.min(axis=0), more - its_sums.max(axis=0)
            its_dearer = np.array([its.dearer for its in ways], dtype=np.int64)
            its_goods = np.array([its.way.cost for its in ways], dtype=np.int64)
            counts = np.searchsorted(its_dearer, most - dearer, side="right")
            self.begun += int(counts.sum())
            if self.begun > most_plans:
                return None
            plan = np.repeat(np.arange(len(counts)), counts)
            way = np.arange(len(plan)) - np.repeat(np.cumsum(counts) - counts, counts)
            now = np.minimum(sums[plan] + its_sums[way], limits)
            cost = dearer[plan] + its_dearer[way]
            beyond = np.maximum(now + least - np.maximum(limits, needed), 0) @ grants
            lacking = np.maximum(free - now - more, 0) @ (WHOLE - grants)
            kept = (cost + beyond + lacking <= most) & (now + more >= needed).all(axis=1)
            plan, way, now, cost = plan[kept], way[kept], now[kept], cost[kept]
            its = goods[plan] + its_goods[way]
            order = np.lexsort((cost, its, *now.T))
            now = now[order]
            first = np.ones(len(order), dtype=bool)
            first[1:] = (now[1:] != now[:-1]).any(axis=1) if len(limits) else False
            order, sums = order[first], now[first]
            dearer, goods = cost[order], its[order]
            steps.append((food, plan[order], way[order]))
        return _Plans(goods.tolist(), sums.tolist(), steps)

    def judge(self, plans: _Plans, listed: Mapping[str, Sequence[_Listed]]) -> int:
        """The best plan taken; the bound that is left, which is below its cost where a plan is not what it seemed."""
        bound = self.best
        for judged, (cost, plan) in enumerate(sorted(self._seeming(plans))):
            if cost >= self.best or judged == _MOST_JUDGED:
                bound = min(bound, cost)
                break
            chosen = plans.chosen(plan)
            ways = {food: its[chosen.get(place, 0)].way for place, (food, its) in enumerate(listed.items())}
            true = whole_cost(self.suppliers, self.foods, ways)
            if true is not None and any(self.foods[food].has_spare(way.packs) for food, way in ways.items()):
                true = None
            if true is not None and true < self.best and moved_deliveries(self.foods, ways) is None:
                true = None
            if true is None or true > cost:
                bound = min(bound, cost)
            if true is not None and true < self.best:
                self.best, self.ways = true, ways
        return min(bound, self.best)

    def _seeming(self, plans: _Plans) -> Iterator[tuple[int, int]]:
        """(what a plan costs at the least, its index), of plans that can be and are cheaper than the best."""
        for plan, (goods, sums) in enumerate(zip(plans.goods, plans.sums, strict=True)):
            cost = goods + self.fixed
            for each, its in zip(self.watched, sums, strict=True):
                least = each.least(its)
                if least is None:
                    break
                cost += least
            else:
                if cost < self.best:
                    yield cost, plan


def _range(ways: Sequence[_Listed]) -> int:
    """How far a food's goods at one delivery can be apart: with the foods first that move most, it is soon known which
    plans cannot reach what a delivery needs."""
    return max((max(goods) - min(goods) for goods in zip(*(its.sums for its in ways), strict=True)), default=0)


def prove(
    suppliers: Mapping[str, Supplier],
    foods: Mapping[str, FoodOptions],
    prices: DualPrices,
    cheapest: Mapping[str, Way],
    cost: int,
    most_steps: int,
    states: States,
    *,
    strictly: bool,
    any_order: bool = False,
    patience: int = 1,
) -> tuple[Proven | None, int]:
    """The cheapest plan in which every order reaches its minimum, or that none is cheaper than `cost`.

    Args:
        cheapest: by food, the way found at these prices.
        states: what deliveries may be in the plans meant; the rest is as it comes.
        cost: of the best plan known, goods and fees [minor units].
        most_steps: work after which it is given up.
        strictly: whether goods are told apart wherever there is a threshold, and ways with a pack to spare left out,
            so that more work leaves less open.
        any_order: of use, as in `FoodOptions.cheapest`.
        patience: times the usual work.
    Returns:
        What is proven (None: given up), and the steps taken.
    """
    bound = bound_in_parts(prices, cheapest, suppliers, states, minimums=True)
    closed = frozenset(delivery for delivery, its in states.items() if its == State.UNUSED)
    every = sorted({option.delivery for options in foods.values() for option in options.options} - closed)
    terms = {
        each: _terms(
            each, suppliers[each[0]], foods, states.get(each, ANY), prices.grant.get(each, 0), strictly=strictly
        )
        for each in every
    }
    watched = {each: NEVER if its.grant else its.watched for each, its in terms.items() if its.watched}
    steps = 0
    listed: list[tuple[str, list[_Listed]]] = []
    for food, options in foods.items():
        least = cheapest[food].bound
        most = least + (cost - 1) * WHOLE - bound
        its_steps = max(min(patience * _MOST_STEPS, most_steps - steps), 0)
        found = options.every_way(
            prices.of(food), most, its_steps, closed, watched, spare=not strictly, any_order=any_order
        )  # fmt: skip
        if found is None:
            return None, steps + its_steps
        steps += found[1]
        listed.append((food, [_Listed(way.bound - least, sums, way) for sums, way in found[0] if way.bound >= least]))
    listed.sort(key=lambda each: -_range(each[1]))
    proof = _Proof(suppliers, foods, terms, bound, cost)
    most_plans = patience * _MOST_PLANS * _FEW_WATCHED // max(len(watched), _FEW_WATCHED)
    plans = proof.together([ways for _, ways in listed], most_plans)
    steps += proof.begun // _PLANS_IN_A_STEP
    if plans is None:
        return None, steps
    left = proof.judge(plans, dict(listed))
    return Proven(left, proof.ways), steps


def _terms(
    delivery: Delivery, supplier: Supplier, foods: Mapping[str, FoodOptions], states: State, grant: int, *,
    strictly: bool,
) -> _Terms:  # fmt: skip
    """Where the state is known and nothing is granted, goods decide only whether the state can be: unless told to
    look strictly, they are let be, so that more plans are meant than there are, and what is proven of them holds."""
    free_from, minimum, fee = supplier.free_from, int(supplier.minimum_order), int(supplier.delivery_fee)
    if free_from is None:
        states &= ~State.FREE
    watched = max(free_from or 0, minimum, 1)
    if not grant and ((states in (State.PAID, State.FREE) and not strictly) or not (fee or minimum)):
        watched = 0
    fills = least_fills(delivery, fee, foods) if watched and State.FREE in states else ()
    return _Terms(states, fee, free_from, minimum, fills, watched, grant)
