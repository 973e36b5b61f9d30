"""Which deliveries to ask for, and what each food buys from them: goods, fees and minimum orders together.

Three things in turn, until none improves the plan: prices of deliveries under which foods show the ways worth
knowing (master.py), the best choice among the ways known, and single deliveries given up or asked for, each
food then buying what is cheapest for it. Fewer orders below a supplier's minimum come first, then the
lower total of goods and fees, then the tie rules. The plan is proven best where its cost is the bound.

The limits are counted in work, so that the same effort gives the same plan on every machine.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from opsreport.plan.buying.components import components
from opsreport.plan.buying.effort import Effort
from opsreport.plan.buying.exchange import Exchange, more_than_any
from opsreport.plan.buying.market import Delivery, Market
from opsreport.plan.buying.master import Master
from opsreport.plan.buying.moving import Moved, moved_deliveries
from opsreport.plan.buying.options import WHOLE, BoughtFor, FoodOptions, Pack, Packs, Way, learn
from opsreport.plan.buying.prices import DualPrices, bound_in_parts
from opsreport.plan.buying.topping_up import below_and_cost, goods_of, topped_up, whole_cost
from opsreport.plan.buying.tree import Limits, Tree

_FEW_FOODS: Final = 2_500
"""One food gets the effort of so many needs, two foods half of it each, as long as they have fewer."""

_LEAST_AT_PRICES: Final = 400
"""States that one food may open at prices at the least."""

_TREE: Final = 2
"""The part of all work that branch and price may take again."""

_MOST_OPENED: Final = 12
"""Foods of which opened packs keep only days; with more, parting plans in any order of use would not come to an end."""

_MOST_PACKS_LEFT_OUT: Final = 8
"""Packs of a food left out one after another, in search of a dearer way that an order's minimum allows."""

_FAR: Final = Fraction(5, 4)
"""Times its bound that a plan costs where dearer packs at deliveries below their minimum are tried too."""

Score = tuple[int, int, Fraction, int, int, int]
"""Orders below their minimum, goods and fees, then the tie rules; less is better."""


@dataclass(frozen=True, slots=True)
class Chosen:
    """ways: by food. bound: what no plan costs less than [minor units]. extra: packs beyond need, by food. moved: by
    food, deliveries that come on another day. steps: the work that it took."""

    ways: Mapping[str, Way]
    bound: int
    extra: Mapping[str, Packs]
    moved: Mapping[str, Moved]
    steps: int


def choose_deliveries(
    market: Market,
    foods: Mapping[str, FoodOptions],
    alone: Mapping[str, Way],
    session_by_session: Mapping[str, Iterable[BoughtFor]],
    effort: Effort,
) -> Chosen:
    """What to buy of each food once fees and minimum orders count.

    Args:
        alone: the cheapest way of every food on its own.
        session_by_session: by food, what buying for each session on its own buys.
    Returns:
        Never worse than `alone`, nor than `session_by_session` where that does together.
    """
    parts = [
        _choose_together(
            market, {food: foods[food] for food in group}, {food: alone[food] for food in group},
            {food: session_by_session.get(food, ()) for food in group}, effort,
        )
        for group in components(market.programme.suppliers, foods)
    ]  # fmt: skip
    return Chosen(
        dict(alone) | dict(pair for part in parts for pair in part.ways.items()),
        sum(part.bound for part in parts),
        dict(pair for part in parts for pair in part.extra.items()),
        dict(pair for part in parts for pair in part.moved.items()),
        sum(part.steps for part in parts),
    )


def _choose_together(
    market: Market,
    foods: Mapping[str, FoodOptions],
    alone: Mapping[str, Way],
    session_by_session: Mapping[str, Iterable[BoughtFor]],
    effort: Effort,
) -> Chosen:
    """The same for foods that may share deliveries."""
    search = _Search(market, foods, alone, effort)
    if search.is_simple():
        search.allow_any_order()
        search.keep_to(session_by_session)
        return search.chosen()
    search.start(frozenset(option.delivery for its in session_by_session.values() for option, _, _ in its))
    for _ in range(effort.turns):
        before = search.score
        search.ask_at_prices(minimums=True)
        if search.is_proven():
            break
        search.choose_among_known()
        if not search.score[0] and search.parted is None:
            search.part_plans_in_any_order()
            if not search.is_proven():
                search.part_plans()
            if search.is_proven():
                break
        search.flip_deliveries()
        search.ask_for_other_packs()
        if search.score == before or search.is_proven():
            break
    if search.score[0]:
        search.part_plans()
    if search.score[1] > _FAR * search.bound:
        search.reach_minimums()
    search.settle_ties()
    if search.score[0]:
        search.start_bounds()
        search.ask_at_prices(minimums=False)
    search.allow_any_order()
    search.keep_to(session_by_session)
    return search.chosen()


class _Search:
    """The best plan so far, the bound so far, and the ways known."""

    def __init__(
        self, market: Market, foods: Mapping[str, FoodOptions], alone: Mapping[str, Way], effort: Effort
    ) -> None:
        self.suppliers = market.programme.suppliers
        self.alone = alone
        self.foods = {food: options for food, options in foods.items() if options.demands}
        self.ways = {food: alone[food] for food in foods}
        self.effort = effort
        needs = sum(len(options.demands) for options in self.foods.values())
        self.most = effort.steps * max(needs, _FEW_FOODS // max(len(self.foods), 1))
        self.steps = 0
        self.opened = [food for food, options in self.foods.items() if options.opened_matter]
        self.any_order = self.parted_in_any_order = False
        self.start_bounds()
        self.goods = goods_of(self.ways)
        self.score = self._score(self.goods, self.ways)
        self.parted: tuple[Mapping[str, Way], int] | None = None
        self.masters: dict[tuple[bool, bool], Master] = {}
        self.known: dict[str, list[Way]] = {food: [alone[food]] for food in self.foods}
        self.every = sorted({delivery for options in self.foods.values() for delivery in options.deliveries})
        self.users: dict[Delivery, list[str]] = {
            delivery: [food for food, options in self.foods.items() if delivery in options.deliveries]
            for delivery in self.every
        }

    def is_simple(self) -> bool:
        """Whether no delivery costs a fee or has a minimum."""
        names = {name for name, _ in (*self.every, *self.goods)}
        return not any(self.suppliers[name].asks_by_order for name in names)

    def start_bounds(self) -> None:
        """Every food alone, at the least: with the soonest expiring used first, and in any order."""
        in_order = sum(way.bound for way in self.alone.values())
        in_any = sum(options.least for options in self.foods.values()) if self.opened else in_order
        self.bounds = {False: in_order, True: in_any}

    @property
    def bound(self) -> int:
        """No plan costs less [minor units]; unless `any_order`, none in which the soonest expiring is used first and
        every delivery comes as late as it can."""
        return self.bounds[self.any_order]

    def raise_bound(self, bound: int) -> None:
        """What holds in any order holds for the soonest expiring first."""
        for any_order in {False, self.any_order}:
            self.bounds[any_order] = max(self.bounds[any_order], bound)
        if not self.opened:
            self.bounds[True] = self.bounds[False]

    def master(self, *, minimums: bool) -> Master:
        key = self.any_order, minimums
        if key not in self.masters:
            self.masters[key] = Master(self.suppliers, list(self.foods), more_than_any(self.ways), minimums=minimums)
        return self.masters[key]

    def is_proven(self) -> bool:
        return not self.score[0] and self.bound >= self._whole_cost()

    def _whole_cost(self) -> int:
        """Goods and fees, with packs beyond need where they save a fee."""
        return self.score[1] - topped_up(self.suppliers, self.foods, self.ways)[1]

    def start(self, session_by_session: frozenset[Delivery]) -> None:
        """From the better of two plans: foods alone, or what the deliveries of each session alone allow."""
        closed = frozenset(self.every) - session_by_session
        self._take({food: way for food in self.foods if (way := self._cheapest(food, closed)) is not None})
        self.give_up_small_orders()

    def _cheapest(self, food: str, closed: frozenset[Delivery]) -> Way | None:
        way = self.foods[food].cheapest(closed)
        if way is not None:
            self._know(food, way)
        return way

    def _know(self, food: str, way: Way) -> None:
        self.steps += learn(self.known[food], way)

    def _score(self, goods: Mapping[Delivery, int], ways: Mapping[str, Way]) -> Score:
        below, cost = below_and_cost(self.suppliers, goods)
        ties = [way.ties for way in ways.values()]
        return (
            below, cost, sum((each[0] for each in ties), Fraction(0)), sum(each[1] for each in ties),
            sum(each[2] for each in ties), sum(each[3] for each in ties),
        )  # fmt: skip

    def _take(self, changes: Mapping[str, Way]) -> bool:
        """Let some foods buy otherwise if the whole gets better; whether it did."""
        ways = {**self.ways, **changes}
        goods = goods_of(ways)
        if below_and_cost(self.suppliers, goods) > self.score[:2]:
            return False
        score = self._score(goods, ways)
        if score >= self.score or moved_deliveries(self.foods, ways) is None:
            return False
        self.ways, self.goods, self.score = ways, goods, score
        return True

    def ask_at_prices(self, *, minimums: bool) -> None:
        """Ways that prices of deliveries make worth knowing; the bound that those prices prove."""
        master = self.master(minimums=minimums)
        for _ in range(self.effort.rounds):
            if not master.add_all(self.known) or self.steps > self.most:
                break
            self._ask(master.dual_prices(), minimums=minimums)

    def _ask(self, prices: DualPrices, *, minimums: bool) -> None:
        """What every food buys at prices, and the bound that they prove."""
        found: dict[str, Way] = {}
        for food, options in self.foods.items():
            way = options.cheapest(prices=prices.of(food), most_steps=self._steps_at_prices(), any_order=self.any_order)
            assert way is not None, "every covered need has a way"
            self._know(food, way)
            found[food] = way
        bound = -(-bound_in_parts(prices, found, self.suppliers, minimums=minimums) // WHOLE)
        self.raise_bound(bound)

    def _steps_at_prices(self) -> int:
        """States that one food may open at prices."""
        return max(_LEAST_AT_PRICES, self.most // (2 * len(self.foods)))

    def give_up_small_orders(self) -> None:
        """Deliveries below their minimum given up one by one, the least goods first, where others can cover: those
        that reach their minimum before all others."""
        ways, goods = dict(self.ways), dict(self.goods)
        given_up: set[Delivery] = set()
        kept: set[Delivery] = set()
        while small := self._below(goods) - kept:
            delivery = min(small, key=lambda each: (goods[each], each))
            reaching = goods.keys() - self._below(goods)
            others = {
                food: way
                for food, its in ways.items()
                if any(each == delivery for each, _ in its.goods)
                for way in [
                    self._cheapest(food, frozenset(self.every) - reaching)
                    or self._cheapest(food, frozenset(given_up | {delivery}))
                ]
            }
            if None in others.values():
                kept.add(delivery)
                continue
            given_up.add(delivery)
            ways |= {food: way for food, way in others.items() if way is not None}
            goods = goods_of(ways)
            if delivery in self._below(goods):
                kept.add(delivery)
        self._take({food: ways[food] for food in self.foods})

    def reach_minimums(self) -> None:
        """Deliveries below their minimum given up one by one, from foods alone on, that first whose foods then cost
        least; at those that are left dearer packs are bought in place of cheaper ones, so that they reach it."""
        ways: Mapping[str, Way] = self.alone
        closed: frozenset[Delivery] = frozenset()
        most = self.steps + self.most // 2
        while True:
            self._take(self._with_dearer_packs(ways))
            plans = []
            for delivery in sorted(self._below(goods_of(ways)) - closed):
                others = {food: self._cheapest(food, closed | {delivery}) for food in self.foods}
                found = {food: way for food, way in others.items() if way is not None}
                if len(found) == len(others):
                    plans.append((below_and_cost(self.suppliers, goods_of(found))[1], delivery, found))
            if not plans or self.steps > most:
                break
            _, delivery, ways = min(plans, key=lambda plan: plan[:2])
            closed |= {delivery}

    def _with_dearer_packs(self, ways: Mapping[str, Way]) -> dict[str, Way]:
        """The same with dearer packs of one food at each delivery below its minimum, where that reaches it."""
        plan = {food: ways[food] for food in self.foods}
        for delivery in sorted(self._below(goods_of(plan))):
            goods = goods_of(plan)
            if delivery not in self._below(goods):
                continue  # what was bought dearer for another delivery has spared it, or made it up
            lacking = self.suppliers[delivery[0]].minimum_order - goods[delivery]
            found = [
                (dearer.cost - way.cost, food, dearer)
                for food, way in plan.items()
                if (its := dict(way.goods).get(delivery)) is not None
                and (dearer := self.foods[food].with_goods(way, delivery, its + lacking)) is not None
            ]
            for _, food, dearer in sorted(found, key=lambda each: each[:2])[:1]:
                plan[food] = dearer
        return plan

    def _below(self, goods: Mapping[Delivery, int]) -> set[Delivery]:
        """The deliveries asked for whose goods are below the supplier's minimum order."""
        return {each for each, its in goods.items() if its < self.suppliers[each[0]].minimum_order}

    def exchange(self, ways: Mapping[str, Way]) -> None:
        """Better choices among the ways known, by exchanges from a plan on."""
        plan, below = {food: ways[food] for food in self.foods}, more_than_any(self.ways)
        self._take(Exchange(self.suppliers, self.known, plan, below).improve())

    def choose_among_known(self) -> None:
        """The best choice among the ways known."""
        master = self.master(minimums=True)
        master.add_all(self.known)
        self.exchange(self.ways)
        self.give_up_small_orders()
        self.dive(master)
        if not self.effort.nodes:
            return
        start = {food: self.ways[food] for food in self.foods}
        found = master.best(self.effort.nodes, start, below=self.score[0] > 0)
        if found is not None:
            self._take(found)

    def dive(self, master: Master) -> None:
        """A plan from the relaxation: its deliveries taken for good, foods asked at the prices that follow, then ways
        taken for good."""
        if master.hold_states():
            for _ in range(self.effort.rounds_in_a_dive):
                self._ask(master.dual_prices(), minimums=True)
                if not master.add_all(self.known):
                    break
        ways = master.hold_ways()
        if ways:
            self.exchange(ways)

    def flip_deliveries(self) -> None:
        """Single deliveries given up or asked for, while that makes the whole better."""
        improved = True
        while improved and self.steps < self.most and not self.is_proven():
            improved = False
            for closed, changed in self._flips():
                ways: dict[str, Way] = {}
                for food in changed:
                    way = self._cheapest(food, closed)
                    if way is None:
                        break
                    ways[food] = way
                else:
                    improved |= self._take(ways)
                if self.steps > self.most:
                    break

    def _flips(self) -> Iterator[tuple[frozenset[Delivery], list[str]]]:
        """(deliveries closed, foods that may buy otherwise), made one by one from the best plan so far."""
        for delivery in sorted(self.every, key=lambda each: (self.goods.get(each, 0), each)):
            unused = frozenset(self.every).difference(self.goods)
            if delivery in self.goods:
                users = [food for food, way in self.ways.items() if any(each == delivery for each, _ in way.goods)]
                yield unused | {delivery}, users
                yield frozenset({delivery}), users
            else:
                yield unused - {delivery}, self.users[delivery]

    def ask_for_other_packs(self) -> None:
        """For orders below their minimum, ways without the packs that are bought there, pack after pack."""
        below = self._below(self.goods)
        users = [food for food, way in self.ways.items() if any(delivery in below for delivery, _ in way.goods)]
        for food in users:
            options, way, without = self.foods[food], self.ways[food], frozenset[Pack]()
            for _ in range(_MOST_PACKS_LEFT_OUT):
                packs = {options.options[number].pack for number, _ in way.packs}
                without |= packs
                found = options.cheapest(without=without)
                if found is None:
                    break
                self._know(food, found)
                way = found
        if users:
            self.exchange(self.ways)

    def part_plans(self) -> None:
        """Branch and price: the best plan in which every order reaches its minimum, if there is one, and its bound."""
        if not self.effort.parts:
            return
        none = more_than_any(self.ways)
        cost = none if self.score[0] else self._whole_cost()
        tree = Tree(
            self.suppliers, self.foods, self.master(minimums=True), self.known, self.ways, cost, self.bound,
            any_order=self.any_order,
        )  # fmt: skip
        tree.search(Limits(self.effort.parts, self._steps_at_prices(), _TREE * self.most))
        self.steps += tree.steps
        if tree.cost < none:
            self.raise_bound(tree.bound)
            self.parted = tree.ways, tree.cost
            self._keep(tree.ways)

    def _keep(self, ways: Mapping[str, Way]) -> None:
        self.ways |= ways
        self.goods = goods_of(self.ways)
        self.score = self._score(self.goods, self.ways)

    def settle_ties(self) -> None:
        """Food by food, what the tie rules prefer among the deliveries of the plan.

        Packs that reach free delivery count: a plan of branch and price may be cheaper by them than the best without.
        """
        if self.parted is not None and self.parted[1] < self._whole_cost():
            self._keep(self.parted[0])
        before, cost = (self.ways, self.goods, self.score), self._whole_cost()
        for food in self.foods:
            unused = frozenset(self.every).difference(self.goods)
            way = self.foods[food].cheapest(unused)
            if way is not None:
                self._take({food: way})
        if self.score[0] == before[2][0] and self._whole_cost() > cost:
            self.ways, self.goods, self.score = before

    def part_plans_in_any_order(self) -> None:
        """Branch and price over plans that use packs in any order, where few foods have opened packs that matter."""
        if not 0 < len(self.opened) <= _MOST_OPENED or not self.effort.parts or self.parted_in_any_order:
            return
        self.parted_in_any_order = self.any_order = True
        if not self.is_proven():
            self.ask_at_prices(minimums=True)
        if not self.is_proven():
            self.part_plans()
        self.any_order = False

    def allow_any_order(self) -> None:
        """Food by food, a cheaper way that uses packs in another order, as earlier deliveries may bring it about; from
        here on the bound is one for all such plans."""
        simple = self.is_simple()
        unused = frozenset() if simple else frozenset(self.every).difference(self.goods)
        for food in self.opened:
            way = self.foods[food].in_any_order(unused)
            if way is not None:
                self.steps += way.steps
                self._take({food: way})
        if self.opened and not simple:
            self.most += self.steps
            if not self.score[0]:
                self.part_plans_in_any_order()
        self.any_order = True
        if self.opened and not simple and not self.is_proven():
            self.ask_at_prices(minimums=not self.score[0])

    def keep_to(self, session_by_session: Mapping[str, Iterable[BoughtFor]]) -> None:
        """What is bought for each session alone, joined, where that costs less: of a food, or of all; without what is
        to spare then."""
        if self.is_proven():
            return
        found = {food: options.joined(session_by_session[food]) for food, options in self.foods.items()}
        joined = {food: way for food, way in found.items() if way is not None}
        for food, way in joined.items():
            self._take({food: way})
        ways = {**self.ways, **joined}
        cost = None if self.score[0] else whole_cost(self.suppliers, self.foods, ways)
        if cost is not None and cost < self._whole_cost() and moved_deliveries(self.foods, ways) is not None:
            self._keep(ways)
        for food, way in joined.items():
            if self.ways[food] is way:
                self._take({food: self.foods[food].without_spare(way)})

    def chosen(self) -> Chosen:
        moved = moved_deliveries(self.foods, self.ways)
        assert moved is not None, "no plan is taken whose packs do not do"
        extra, _ = topped_up(self.suppliers, self.foods, self.ways, moved)
        return Chosen(self.ways, self.bound, extra, moved, self.steps)
