"""One food asked again and again at other prices of deliveries: the exact search of packs.py, its states remembered.

What an inventory may become does not depend on prices, so it is worked out once; a search at new prices adds up costs
along transitions that are known already. Ties are not settled here: a way found at prices is one to choose among.
"""

import dataclasses
import heapq
import itertools
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import NamedTuple

from opsreport.plan.buying.packs import (
    Bought,
    Choice,
    Demand,
    Front,
    Inventory,
    Problem,
    without_proof,
)


class _Buy(NamedTuple):
    """A purchase: packs more of a choice. wanted_from: the least `serves` of the choice for which it may help."""

    number: int
    packs: int
    wanted_from: int
    setup: bool
    again: bool
    target: "_Node"


class _Node:
    """A state without its past. there: what is there and good for the rest. buys, after: one decision on, worked out
    when first asked for. after: the demand packed, in every order of use that may help, with the parts of packs used;
    empty where it is not covered, None where there are too many orders."""

    __slots__ = ("after", "buys", "inventory", "k", "slot", "there")

    def __init__(self, k: int, slot: int, inventory: Inventory, there: int) -> None:
        self.k, self.slot, self.inventory, self.there = k, slot, inventory, there
        self.buys: list[_Buy] | None = None
        self.after: list[tuple[_Node, int]] | None = []


class _Step(NamedTuple):
    """How a state was reached: packs of a choice bought, or parts of packs used for a demand (no number); at first none
    of either."""

    before: "_Step | None" = None
    number: int | None = None
    amount: int = 0


class Watched(NamedTuple):
    """Goods that are told apart: of which place of a sum a choice adds to, and up to how much [minor units]."""

    place: int
    most: int


Sums = tuple[int, ...]
"""Goods by place [minor units]."""


class AskedFood:
    """The demands and choices of one food, at no prices yet."""

    def __init__(
        self, demands: Sequence[Demand], choices: Sequence[Choice], keeps_open: int | None, *, any_order: bool = False
    ) -> None:  # fmt: skip
        """choices: with the price of the goods alone, and each serving all demands from its own on. any_order: whether
        packs may be used in any order, not only the soonest expiring first."""
        self.keeps_open = keeps_open
        self.problem = Problem(demands, choices, keeps_open, any_order=any_order)
        self.nodes: dict[tuple[int, int, Inventory], _Node] = {}
        self.first = self._node(0, -1, ())

    def _node(self, k: int, slot: int, inventory: Inventory) -> _Node:
        key = (k, slot, inventory)
        node = self.nodes.get(key)
        if node is None:
            node = self.nodes[key] = _Node(k, slot, inventory, self.problem.there(k, inventory))
        return node

    def _buys(self, node: _Node) -> list[_Buy]:
        """What may be bought next; worked out with what comes after packing."""
        if node.buys is None:
            node.buys = self._expand(node)
        return node.buys

    def _expand(self, node: _Node) -> list[_Buy]:
        problem, k, inventory = self.problem, node.k, node.inventory
        numbers = problem.by_demand[k]
        last = problem.choices[numbers[node.slot]].delivery if node.slot >= 0 else None
        buys = []
        for slot in range(max(node.slot, 0), len(numbers)):
            number = numbers[slot]
            wanted_from = problem.wanted_from(k, number, inventory)
            if wanted_from > len(problem.demands):
                continue
            choice = problem.choices[number]
            again = slot == node.slot
            packs = choice.step if again else choice.least
            target = self._node(k, slot, problem.with_packs(k, inventory, number, packs))
            buys.append(_Buy(number, packs, wanted_from, choice.delivery != last, again, target))
        if problem.lacking(k, inventory) <= 0:
            packings = problem.packings(k, inventory)
            next_k = min(k + 1, len(problem.demands) - 1)
            node.after = None if packings is None else [
                (self._node(k + 1, -1, problem.aged(next_k, after)), shares) for after, shares in packings
            ]  # fmt: skip
        return buys

    def cheapest(self, numbers: Sequence[int], choices: Sequence[Choice], most_steps: int) -> Bought | None:
        """The cheapest packs of some choices at their prices, as indices of `choices`; None where no packs do.

        Args:
            numbers: which of the food's choices they are, ascending.
            most_steps: states opened before a plan is put together from parts, with its bound below its cost.
        """
        problem = self.problem
        if not problem.demands:
            return Bought((), 0, 0)
        priced = problem.at_prices(dict(zip(numbers, choices, strict=True)))
        found = self._search(priced, most_steps)
        if found is None:
            return None
        if isinstance(found, int):
            whole = without_proof(Problem(problem.demands, choices, self.keeps_open), found, most_steps)
            return None if whole is None else dataclasses.replace(whole, steps=2 * most_steps, settled=False)
        places = {number: place for place, number in enumerate(numbers)}
        return dataclasses.replace(found, packs=tuple((places[number], count) for number, count in found.packs))

    def every_sum(
        self, numbers: Sequence[int], choices: Sequence[Choice], watched: Mapping[int, Watched], places: int, most: int,
        most_steps: int,
    ) -> tuple[list[tuple[Sums, Bought]], int] | None:  # fmt: skip
        """Of every sum of goods watched, the cheapest packs that make it up, where these cost at most `most`.

        Args:
            numbers, choices: as in `cheapest`; each choice serves all demands from its own on.
            watched: by number of a choice. places: of a sum.
        Returns:
            (sum, packs), the cheapest first, and the steps taken; None beyond so many steps.
        """
        priced = self.problem.at_prices(dict(zip(numbers, choices, strict=True)))
        frontier: list[tuple[int, int, int, Sums, _Node, _Step]] = []
        settled: set[tuple[_Node, Sums]] = set()
        come: dict[_Node, int | None] = {}
        found: list[tuple[Sums, Bought]] = []
        pushed, steps, last = itertools.count(), 0, len(priced.demands)

        def push(cost: int, sums: Sums, node: _Node, step: _Step) -> None:
            if node not in come:
                come[node] = priced.to_come(node.k, node.there)
            more = come[node]
            if more is not None and cost + more <= most:
                heapq.heappush(frontier, (cost + more, next(pushed), cost, sums, node, step))

        push(0, (0,) * places, self.first, _Step())
        while frontier:
            _, _, cost, sums, node, step = heapq.heappop(frontier)
            if (node, sums) in settled:
                continue
            settled.add((node, sums))
            if node.k == last:
                found.append((sums, self._bought(cost, step, steps)))
                continue
            steps += 1
            if steps > most_steps:
                return None
            for number, packs, wanted_from, new, again, target in self._buys(node):
                choice = priced.priced.get(number)
                if choice is None or choice.serves < wanted_from:
                    continue
                before, count = (step.before, step.amount + packs) if again else (step, packs)
                more = packs * choice.price + (choice.setup if new else 0)
                its = sums
                if number in watched:
                    place, limit = watched[number]
                    goods = min(sums[place] + packs * self.problem.choices[number].price, limit)
                    its = (*sums[:place], goods, *sums[place + 1 :])
                push(cost + more, its, target, _Step(before, number, count))
            if node.after is None:
                return None
            for packed, shares in node.after:
                push(cost, sums, packed, _Step(step, None, shares))
        return found, steps

    def _bought(self, cost: int, last: _Step, steps: int) -> Bought:
        """The plan that led to a state, with what the tie rules say of it."""
        problem, packs, left_over = self.problem, [], 0
        step: _Step | None = last
        while step is not None:
            if step.number is None:
                left_over -= step.amount
            else:
                packs.append((step.number, step.amount))
                left_over += step.amount * problem.size_parts
            step = step.before
        bought = [(problem.choices[number], count) for number, count in packs]
        ties = (
            Fraction(left_over, problem.size_parts),
            -sum(count for choice, count in bought if choice.preferred),
            sum(count for _, count in bought),
            -sum(count * choice.arrives for choice, count in bought),
        )
        return Bought(tuple(reversed(packs)), cost, cost, steps, ties)

    def _search(self, priced: Problem, most_steps: int) -> Bought | int | None:
        """The cheapest plan; None where there is none; the bound reached where the steps ran out before one."""
        front = Front(rests_matter=priced.keeps_open is not None)
        frontier: list[tuple[int, int, int, int, _Node, _Step]] = []
        pushed, steps, last = itertools.count(), 0, len(priced.demands)
        come: dict[_Node, int | None] = {}
        least: dict[_Node, int] = {}

        def push(cost: int, node: _Node, step: _Step) -> None:
            if node in least and least[node] <= cost:
                return
            if node not in come:
                come[node] = priced.to_come(node.k, node.there)
            more = come[node]
            if more is not None:
                least[node] = cost
                heapq.heappush(frontier, (cost + more, -node.k, next(pushed), cost, node, step))

        push(0, self.first, _Step())
        while frontier:
            total, _, _, cost, node, step = heapq.heappop(frontier)
            if cost > least[node]:
                continue
            if node.k == last:
                return self._bought(cost, step, steps)
            if node.slot < 0:
                if front.beats(cost, node.k, node.inventory):
                    continue
                front.keep(cost, node.k, node.inventory)
            steps += 1
            if steps > most_steps:
                return total
            for number, packs, wanted_from, new, again, target in self._buys(node):
                choice = priced.priced.get(number)
                if choice is None or choice.serves < wanted_from:
                    continue
                before, count = (step.before, step.amount + packs) if again else (step, packs)
                limit = priced.most_packs[number]
                if limit is not None and count > limit:
                    continue
                setup = choice.setup if new else 0
                push(cost + packs * choice.price + setup, target, _Step(before, number, count))
            if node.after is None:
                return total
            for packed, shares in node.after:
                push(cost, packed, _Step(step, None, shares))
        return None
