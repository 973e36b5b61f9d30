"""The cheapest packs for one food over a term: an exact search over what is bought when.

Sets: demands in order of use, each with a packing day and a day through which food must be good;
choices, each one pack at one delivery, tied to the demand before whose packing it comes last.
Variables: whole packs of every choice, a multiple of its sale, none or at least its minimum.
Objective: least cost; ties by least left over (in shares of packs), preferred packs, fewer packs, later
delivery, then the choices' order.
Constraints: every demand is met from what is there by then and still good, sealed packs by their own
date, an opened rest also by the days it keeps once opened; the soonest expiring is used first, or, where asked for,
packs are used in whatever order is best: what no plan in any order of use undercuts is a bound for every plan.

The search is best-first with a bound on the cost to come that no plan can beat, so the first plan it
settles is optimal. All numbers are whole (amounts over a common denominator, money in minor units);
nothing here is a float.
"""

import dataclasses
import heapq
import itertools
from bisect import bisect_left, bisect_right
from collections import defaultdict
from collections.abc import Iterable, Sequence
from copy import copy
from dataclasses import dataclass
from fractions import Fraction
from math import gcd, lcm
from typing import Final, NamedTuple

from opsreport.plan.buying.takings import takings

NEVER: Final = 10**9
"""A day after every other."""

MOST_STEPS: Final = 4_000
"""States opened before the search gives the best plan it can complete, with its bound; a food of a term
usually takes a few hundred."""

_MOST_TIE_STEPS: Final = 2_000
"""States of equal cost opened after a cheapest plan is known, in search of one that the tie rules prefer."""

_MOST_KEPT: Final = 40
"""States before one demand that later ones are compared with; giving up fewer states only costs steps."""

_MOST_CELLS: Final = 1_500
"""Most cells of the table behind the bound; above it amounts are rounded in the bound's favour."""


MOST_ORDERS: Final = 500
"""Orders of use in which one demand may be packed, beyond which a search ends with the bound it has."""

Ties = tuple[Fraction, int, int, int]
"""Left over in shares of packs, packs not preferred, packs, earliness [days × packs]."""


@dataclass(frozen=True, slots=True)
class Demand:
    """What one packing needs. day: of packing; use_by: through which the food must be good [ordinals]."""

    amount: Fraction
    day: int
    use_by: int


@dataclass(frozen=True, slots=True)
class Choice:
    """One pack at one delivery.

    demand: index of the demand before whose packing it comes last. size: of one pack. price: of one
    pack. least: packs in the smallest purchase. step: packs by which more is bought. through: last good
    day while sealed. arrives: ordinal day. serves: index after the last demand for which it must be bought
    now: from `serves` on the same pack can be bought again, later and no dearer. delivery: choices of one
    delivery stand together. setup: paid once where anything comes with the delivery. urgent: bought only as long as
    its demand lacks something.
    """

    demand: int
    size: Fraction
    price: int
    least: int
    step: int
    through: int
    arrives: int
    serves: int
    preferred: bool = False
    delivery: int = -1
    setup: int = 0
    urgent: bool = False


@dataclass(frozen=True, slots=True)
class Bought:
    """packs: (index of the choice, packs), in order. cost: of all. bound: no plan costs less. steps: the
    work that it took. ties: what decides between plans of equal cost, less being better.
    settled: whether the search ended; else the plan is put together from parts, and the bound is below its cost."""

    packs: tuple[tuple[int, int], ...]
    cost: int
    bound: int
    steps: int = 0
    ties: "Ties" = (Fraction(0), 0, 0, 0)
    settled: bool = True


class _Entry(NamedTuple):
    """Part of an inventory; sorts in order of use. opened: the day, while that day is today, else 0."""

    through: int
    sealed: bool
    size: int
    opened: int
    amount: int


Inventory = tuple[_Entry, ...]
_Packs = tuple[tuple[int, int], ...]
_Rank = tuple[int, int, int, int, int, tuple[int, ...]]
"""What a plan is judged by, lower being better: cost; left over, in parts of a pack; less preferred packs; packs;
earlier arrival; the choices' order."""


class _State(NamedTuple):
    """Before packing demand `k`, after a purchase of the choice at `slot` of it; -1: none bought for it yet."""

    rank: _Rank
    k: int
    slot: int
    inventory: Inventory
    bought: _Packs


def opened_matter(demands: Sequence[Demand], keeps_open: int | None) -> bool:
    """Whether what is left of a pack opened for a demand may be too old for a later one."""
    if keeps_open is None or not demands:
        return False
    first, last_use_by = demands[0].day, max(demand.use_by for demand in demands)
    return first + keeps_open - 1 < last_use_by and any(demand.day != first for demand in demands)


class Problem:
    """Demands and choices over whole numbers, with what the bound needs worked out once."""

    def __init__(
        self, demands: Sequence[Demand], choices: Sequence[Choice], keeps_open: int | None, *, any_order: bool = False
    ) -> None:  # fmt: skip
        amounts = (*(demand.amount for demand in demands), *(choice.size for choice in choices))
        scale = lcm(*(amount.denominator for amount in amounts))
        if not opened_matter(demands, keeps_open):
            keeps_open = None
        self.demands = demands
        self.keeps_open = keeps_open
        self.any_order = any_order and keeps_open is not None
        self.amounts = [int(demand.amount * scale) for demand in demands]
        self.choices = choices
        self.sizes = [int(choice.size * scale) for choice in choices]
        self.through = [choice.through for choice in choices]
        self.use_bys = (0, *sorted({demand.use_by for demand in demands}))
        if keeps_open is None or self.any_order:
            # where dates do not set the order of use, all is alike that outlasts the same demands
            self.through = [self.outlasts(choice.through) for choice in choices]
        self.by_demand: list[list[int]] = [[] for _ in demands]
        for number, choice in enumerate(choices):
            self.by_demand[choice.demand].append(number)
        for numbers in self.by_demand:
            numbers.sort(key=self._largest_urgent_first)
        self.starts = range(len(demands) + 1)
        self.still_needed = [sum(self.amounts[k:]) for k in self.starts]
        self.least_use_by = [min((d.use_by for d in demands[k:]), default=NEVER) for k in self.starts]
        self.size_parts = lcm(*self.sizes)
        self.parts = [self.size_parts // size for size in self.sizes]
        self.wanted_through = [
            {day: sum(a for a, d in zip(self.amounts[k:], demands[k:], strict=True) if d.use_by <= day)
             for day in set(self.through)}
            for k in self.starts
        ]  # fmt: skip
        self.cell = max(gcd(*self.sizes), -(-sum(self.amounts) // _MOST_CELLS), 1)
        self.cells_fit = all(size % self.cell == 0 for size in self.sizes)
        self.multiples = self._multiples()
        self.priced = dict(enumerate(choices))
        self._price()

    def _largest_urgent_first(self, number: int) -> tuple[bool, int]:
        """Sorts the urgent choices of a demand behind the others, the largest first: as each is bought for what those
        before leave lacking, none is there for later demands alone."""
        choice = self.choices[number]
        return choice.urgent, -choice.step * self.sizes[number] if choice.urgent else 0

    def outlasts(self, through: int) -> int:
        """The last use-by day of a demand that is not after a day; 0 where there is none."""
        return self.use_bys[bisect_right(self.use_bys, through) - 1]

    def _price(self) -> None:
        """What depends on prices."""
        self.most_packs = self._limits()
        self.bounds = self._bounds()
        self.dearest_first = self._dearest_first()

    def at_prices(self, priced: dict[int, Choice]) -> "Problem":
        """The same with only some of its choices, at other prices, setups and `serves`."""
        other = copy(self)
        other.priced = priced
        other._price()
        return other

    def _limits(self) -> list[int | None]:
        """Packs of a choice from which another choice of the same delivery does better, None where none does.

        Of a pack whose multiple is on sale beside it, no dearer and no shorter-lived, fewer than make
        up that multiple are bought. Only plain sales, and only where a pack's size makes no difference
        once it is opened.
        """
        limits: list[int | None] = [None] * len(self.choices)
        for small, large, times in self.multiples:
            a, b = self.priced.get(small), self.priced.get(large)
            if a is not None and b is not None and b.price < times * a.price and b.serves <= a.serves:
                limits[small] = min(limits[small] or times - 1, times - 1)
        return limits

    def _multiples(self) -> list[tuple[int, int, int]]:
        """(a choice, another of the same delivery that is a multiple of it, how many times), for `_limits`."""
        found: list[tuple[int, int, int]] = []
        if self.keeps_open is not None:
            return found
        for numbers in self.by_demand:
            for small in numbers:
                for large in numbers:
                    a, b = self.choices[small], self.choices[large]
                    times, over = divmod(self.sizes[large], self.sizes[small])
                    plain = a.step == a.least == b.step == b.least == 1 and a.delivery == b.delivery
                    if plain and not over and times > 1 and self.through[large] >= self.through[small]:
                        found.append((small, large, times))
        return found

    def _bounds(self) -> list[list[int | None]]:
        """By demand: the least cost of so many cells of food bought from that demand on, dates ignored."""
        tables: list[list[int | None]] = []
        goods: dict[int, int] = {}
        for k in range(len(self.demands) - 1, -1, -1):
            new = False
            for number in self.by_demand[k]:
                choice = self.priced.get(number)
                if choice is None:
                    continue
                cells = -(-self.sizes[number] * choice.step // self.cell)
                price = choice.price * choice.step
                if cells not in goods or price < goods[cells]:
                    goods[cells] = price
                    new = True
            if tables and not new:
                tables.append(tables[-1])
            else:
                tables.append(_least_costs(goods, -(-sum(self.amounts) // self.cell)))
        return tables[::-1]

    def _dearest_first(self) -> list[list[tuple[int, int]]]:
        """By demand: the demands from it on as (least price of one unit that serves it, amount), dearest first.

        Prices of a unit are whole, in parts of a minor unit: `size_parts` of them make one.
        """
        priced: list[tuple[int, int]] = []
        for k, demand in enumerate(self.demands):
            serving = (
                choice.price * (self.parts[number])
                for number, choice in self.priced.items()
                if choice.demand <= k and choice.through >= demand.use_by
            )
            priced.append((min(serving, default=0), self.amounts[k]))
        return [sorted(priced[k:], reverse=True) for k in self.starts]

    def there(self, k: int, inventory: Inventory) -> int:
        """What is there and good for some demand from `k` on."""
        worst = self.least_use_by[k]
        return sum(entry.amount for entry in inventory if entry.through >= worst)

    def to_come(self, k: int, there: int) -> int | None:
        """A bound on what must still be paid; None where nothing can cover the rest."""
        lacking = self.still_needed[k] - there
        if lacking <= 0:
            return 0
        by_packs = self._by_packs(k, lacking)
        return None if by_packs is None else max(by_packs, self._by_demand(k, there))

    def _by_demand(self, k: int, there: int) -> int:
        """What the demands from `k` on cost at the least price that serves each, those dearest covered by
        what is there."""
        cost = 0
        for price, amount in self.dearest_first[k]:
            covered = min(amount, there)
            cost += price * (amount - covered)
            there -= covered
        return -(-cost // self.size_parts)

    def _by_packs(self, k: int, lacking: int) -> int | None:
        """What whole packs for `lacking` cost, bought from demand `k` on, dates ignored."""
        # with cells that divide every pack a part of one is a whole one; with rounded ones it may be none
        return self.bounds[k][-(-lacking // self.cell) if self.cells_fit else lacking // self.cell]

    def aged(self, k: int, inventory: Inventory) -> Inventory:
        """The inventory on the day of demand `k`: rests opened earlier have only their own days left, and those that no
        demand from it on can use are gone."""
        if self.keeps_open is None:
            return inventory
        day, worst = self.demands[k].day, self.least_use_by[k]
        today = []
        for entry in inventory:
            if entry.opened and entry.opened != day:
                through = min(entry.through, entry.opened + self.keeps_open - 1)
                through = self.outlasts(through) if self.any_order else through
                entry = _Entry(through, False, entry.size, 0, entry.amount)
            if entry.through >= worst:
                today.append(entry)
        return _pooled(today)

    def lacking(self, k: int, inventory: Inventory) -> int:
        """How much demand `k` lacks with this inventory."""
        use_by = self.demands[k].use_by
        return self.amounts[k] - sum(entry.amount for entry in inventory if entry.through >= use_by)

    def packed(self, k: int, inventory: Inventory) -> tuple[Inventory, int]:
        """Use demand `k`'s amount, soonest expiring first; the inventory after it and the parts of packs used.

        What no later demand can use is dropped, so that equal futures are one state.
        """
        need, use_by = self.amounts[k], self.demands[k].use_by
        taken = []
        for entry in inventory:
            taken.append(0 if entry.through < use_by else min(need, entry.amount))
            need -= taken[-1]
        return self._left(k, inventory, taken)

    def packings(self, k: int, inventory: Inventory) -> list[tuple[Inventory, int]] | None:
        """The same in every order of use that may help, the soonest expiring first; None where there are too many.

        What never helps: to leave a rest for a sealed pack that keeps as long; to take, of packs of one size, the
        longer-lived first; to begin two packs for one demand, as what both have left over may as well be left in the
        longer-lived; to have less left of everything than in another order.
        """
        first = self.packed(k, inventory)
        if not self.any_order:
            return [first]
        need, use_by = self.amounts[k], self.demands[k].use_by
        good = [place for place, entry in enumerate(inventory) if entry.through >= use_by]
        first_sealed = min((inventory[place].through for place in good if inventory[place].sealed), default=NEVER)
        taken = [0] * len(inventory)
        portions: dict[tuple[bool, int], list[int]] = defaultdict(list)
        for place in good:
            entry = inventory[place]
            if entry.sealed:
                portions[True, entry.size].append(place)
            elif entry.through <= first_sealed:
                taken[place] = min(need, entry.amount)
                need -= taken[place]
            else:
                portions[False, place].append(place)
        if not need or len(portions) < 2:
            return [first]
        amounts = [sum(inventory[place].amount for place in its) for its in portions.values()]
        units = [size if sealed else amount for (sealed, size), amount in zip(portions, amounts, strict=True)]
        ways = takings(list(zip(amounts, units, strict=True)), need, MOST_ORDERS)
        if ways is None:
            return None
        found = dict([first])
        for way in ways:
            now = taken.copy()
            for amount, places in zip(way, portions.values(), strict=True):
                for place in places:
                    now[place] = min(amount, inventory[place].amount)
                    amount -= now[place]
            after, shares = self._left(k, inventory, now)
            found.setdefault(after, shares)
        return [
            (after, shares)
            for after, shares in found.items()
            if not any(_holds(other, after, by_sort=True) and not _holds(after, other, by_sort=True) for other in found)
        ]

    def _left(self, k: int, inventory: Inventory, taken: Sequence[int]) -> tuple[Inventory, int]:
        """What is left of an inventory when demand `k` takes so much of each entry, and the parts of packs used."""
        day = self.demands[k].day
        after: list[_Entry] = []
        shares = 0
        for entry, amount in zip(inventory, taken, strict=True):
            if not amount:
                after.append(entry)
                continue
            shares += amount * (self.size_parts // entry.size)
            left = entry.amount - amount
            if not entry.sealed:
                after.append(_Entry(entry.through, False, entry.size, entry.opened, left))
                continue
            rest = left % entry.size
            after.append(_Entry(entry.through, True, entry.size, 0, left - rest))
            after.append(_Entry(entry.through, False, entry.size, day if self.keeps_open else 0, rest))
        worst = self.least_use_by[k + 1]
        there = _pooled(entry for entry in after if entry.amount and entry.through >= worst)
        return self._capped(k + 1, there), shares

    def ranked(self, state: _State, number: int, packs: int) -> _Rank:
        """A state's rank with so many packs of a choice more."""
        cost, left_over, not_preferred, count, earliness, order = state.rank
        choice = self.choices[number]
        if choice.setup and not (state.slot >= 0 and self.choices[state.bought[-1][0]].delivery == choice.delivery):
            cost += choice.setup
        return (
            cost + packs * choice.price,
            left_over + packs * self.size_parts,
            not_preferred - (packs if choice.preferred else 0),
            count + packs,
            earliness - packs * choice.arrives,
            (*order, number),
        )

    def with_packs(self, k: int, inventory: Inventory, number: int, packs: int) -> Inventory:
        """The inventory with packs of a choice."""
        size = self.sizes[number]
        bought = _Entry(self.through[number], self.keeps_open is not None, size, 0, packs * size)
        return self._capped(k, _with_entry(inventory, bought))

    def _capped(self, k: int, inventory: Inventory) -> Inventory:
        """Without what no demand from `k` on can use, where only the dates of packs decide."""
        if self.keeps_open is not None:
            return inventory
        wanted, there = self.wanted_through[k], 0
        capped = []
        for entry in inventory:
            amount = min(entry.amount, wanted[entry.through] - there)
            if amount > 0:
                there += amount
                capped.append(entry if amount == entry.amount else entry._replace(amount=amount))
        return tuple(capped)

    def wants(self, k: int, number: int, inventory: Inventory, serves: int) -> bool:
        """Whether more of a choice may help: some of it would be used for demand `k`, or for demands that
        come before the same pack can be bought again, at index `serves`, and that it is good for.

        What goes bad no later than the pack is used before it, so only that counts as there already: a
        short-lived pack may be worth buying to spare a long-lived one.
        """
        if self.choices[number].urgent:
            return self.lacking(k, inventory) > 0
        demand, through = self.demands[k], self.through[number]
        sooner = [entry for entry in inventory if entry.through <= through]
        if demand.use_by <= through and self.amounts[k] > sum(
            entry.amount for entry in sooner if entry.through >= demand.use_by
        ):
            return True
        if serves <= k + 1:
            return False
        if self.keeps_open is None and self.wanted_through[k][through] <= sum(entry.amount for entry in sooner):
            return False
        served = [index for index in range(k, serves) if self.demands[index].use_by <= through]
        use_by = max((self.demands[index].use_by for index in served), default=NEVER)
        lasting = [entry for entry in sooner if entry.through >= use_by]
        at_most = sum(self.amounts[index] for index in served)
        if self.keeps_open is not None:
            # a rest may not last: every demand may open a pack of its own and lose what is left of it
            lasting = [entry for entry in lasting if entry.sealed]
            at_most += len(served) * max([self.sizes[number], *(entry.size for entry in lasting)])
        return at_most > sum(entry.amount for entry in lasting)

    def wanted_from(self, k: int, number: int, inventory: Inventory) -> int:
        """The least `serves` for which more of a choice may help; `NEVER` where none is.

        Where packs are used in any order, those of its size that go bad no later are used before it: demands have to
        begin more packs than there are of these.
        """
        if not self.any_order or self.choices[number].urgent:
            every = range(k + 1, len(self.demands) + 1)
            return next((serves for serves in every if self.wants(k, number, inventory, serves)), NEVER)
        through, size = self.through[number], self.sizes[number]
        sooner = [entry for entry in inventory if entry.sealed and entry.size == size and entry.through <= through]
        use_by = begun = 0
        for index in range(k, len(self.demands)):
            demand = self.demands[index]
            if demand.use_by <= through:
                use_by = max(use_by, demand.use_by)
                begun += -(-self.amounts[index] // size) * size
                if begun > sum(entry.amount for entry in sooner if entry.through >= use_by):
                    return index + 1
        return NEVER


def _least_costs(goods: dict[int, int], cells: int) -> list[int | None]:
    """Least cost of at least so many cells from goods of whole cells; None where there are no goods."""
    if not goods:
        return [0] + [None] * cells
    sizes = list(goods.items())
    costs = [0] * (cells + 1)
    for needed in range(1, cells + 1):
        costs[needed] = min(costs[max(needed - size, 0)] + price for size, price in sizes)
    return list(costs)


def _with_entry(inventory: Inventory, entry: _Entry) -> Inventory:
    """An inventory with one entry more, made one with an equal one."""
    place = bisect_left(inventory, entry[:4])
    if place < len(inventory) and inventory[place][:4] == entry[:4]:
        more = entry._replace(amount=entry.amount + inventory[place].amount)
        return (*inventory[:place], more, *inventory[place + 1 :])
    return (*inventory[:place], entry, *inventory[place:])


def _pooled(entries: Iterable[_Entry]) -> Inventory:
    """Entries in order of use, equal ones made one."""
    pooled: dict[tuple[int, bool, int, int], int] = defaultdict(int)
    for entry in entries:
        pooled[entry.through, entry.sealed, entry.size, entry.opened] += entry.amount
    return tuple(_Entry(*key, amount) for key, amount in sorted(pooled.items()))


class Front:
    """The cheapest states reached before each demand: one that costs more and holds no more is given up."""

    def __init__(self, *, rests_matter: bool) -> None:
        self.rests_matter = rests_matter
        self.states: dict[int, list[tuple[int, int, Inventory]]] = defaultdict(list)

    def beats(self, cost: int, k: int, inventory: Inventory) -> bool:
        """Whether a state already kept is cheaper and holds at least as much for at least as long."""
        held = sum(entry.amount for entry in inventory)
        return any(
            other < cost and more >= held and _holds(its, inventory, by_sort=self.rests_matter)
            for other, more, its in self.states[k]
        )

    def keep(self, cost: int, k: int, inventory: Inventory) -> None:
        """Remember a state; those that it beats need no remembering."""
        held = sum(entry.amount for entry in inventory)
        kept = self.states[k]
        kept[:] = [
            other for other in kept
            if not (
                cost <= other[0] and held >= other[1] and _holds(inventory, other[2], by_sort=self.rests_matter)
            )
        ]  # fmt: skip
        kept.append((cost, held, inventory))
        del kept[:-_MOST_KEPT]


def _holds(more: Inventory, less: Inventory, *, by_sort: bool) -> bool:
    """Whether `more` has, for every day, at least what `less` has that is good through it; by sort: packs of each size,
    and rests by the day of opening, on their own."""
    spare: dict[int, int] = {}
    place = len(more) - 1
    for wanted in reversed(less):
        while place >= 0 and more[place].through >= wanted.through:
            sort = _sort(more[place]) if by_sort else 0
            spare[sort] = spare.get(sort, 0) + more[place].amount
            place -= 1
        sort = _sort(wanted) if by_sort else 0
        spare[sort] = spare.get(sort, 0) - wanted.amount
        if spare[sort] < 0:
            return False
    return True


def _sort(entry: _Entry) -> int:
    return entry.size if entry.sealed else -1 - entry.opened


def cheapest(
    demands: Sequence[Demand], choices: Sequence[Choice], keeps_open: int | None, most_steps: int = MOST_STEPS
) -> Bought | None:  # fmt: skip
    """The cheapest packs that meet every demand; None where no packs do.

    Args:
        demands: amounts > 0, in order of use.
        choices: by demand, in the order that breaks the last tie; sizes > 0.
        keeps_open: days an opened pack keeps, the day of opening being day 1; None: as long as sealed.
        most_steps: work after which the search completes its best plan, with `bound` below `cost`.
    """
    if not demands:
        return Bought((), 0, 0)
    problem = Problem(demands, choices, keeps_open)
    searched = _search(problem, most_steps)
    if isinstance(searched, int):
        found = without_proof(problem, searched, most_steps)
        return None if found is None else dataclasses.replace(found, steps=2 * most_steps, settled=False)
    return searched


def _search(problem: Problem, most_steps: int) -> Bought | int | None:
    """The cheapest plan; None where there is none; the bound reached where the steps ran out before one."""
    front = Front(rests_matter=problem.keeps_open is not None)
    frontier: list[tuple[int, int, _Rank, int, _State]] = []
    pushed = itertools.count()

    def push(state: _State) -> None:
        come = problem.to_come(state.k, problem.there(state.k, state.inventory))
        if come is not None:
            heapq.heappush(frontier, (state.rank[0] + come, -state.k, state.rank, next(pushed), state))

    push(_State((0, 0, 0, 0, 0, ()), 0, -1, (), ()))
    settled: dict[tuple[int, int, Inventory], _Rank] = {}
    best: _State | None = None
    steps = 0
    while frontier:
        total, _, _, _, state = heapq.heappop(frontier)
        if best is not None and (total > best.rank[0] or steps > most_steps):
            break
        key = state[1:4]
        if key in settled and settled[key] <= state.rank:
            continue
        settled[key] = state.rank
        if state.k == len(problem.demands):
            if best is None or state.rank < best.rank:
                best = state
                most_steps = min(most_steps, steps + _MOST_TIE_STEPS)
            continue
        if state.slot < 0:
            if front.beats(state.rank[0], state.k, state.inventory):
                continue
            front.keep(state.rank[0], state.k, state.inventory)
        steps += 1
        if steps > most_steps and best is None:
            return total
        for successor in _successors(problem, state):
            push(successor)
    if best is None:
        return None
    return Bought(
        best.bought, best.rank[0], best.rank[0], steps, (Fraction(best.rank[1], problem.size_parts), *best.rank[2:5])
    )


def without_proof(problem: Problem, bound: int, most_steps: int) -> Bought | None:
    """A good plan where the search ran out of steps: demands in blocks, each solved on its own.

    The largest blocks that half the steps can settle are used: what is left over between blocks is not
    counted on, so a block's plan holds whatever the others are. Of a single demand, at the worst, one
    choice covers it all.
    """
    size = len(problem.demands)
    while size > 1:
        size = -(-size // 2)
        firsts = range(0, len(problem.demands), size)
        parts = []
        for first in firsts:
            part = _block(problem, first, size, most_steps // (2 * len(firsts)))
            if part is None and size == 1:
                part = _by_one_choice(problem, first)
            if part is None:
                break
            parts.append(part)
        if len(parts) == len(firsts):
            packs = tuple(sorted(pair for part in parts for pair in part.packs))
            return Bought(_added_up(packs), sum(part.cost for part in parts), bound)
    found = _by_one_choice(problem, 0)
    return None if found is None else dataclasses.replace(found, bound=bound)


def _added_up(packs: _Packs) -> _Packs:
    """One entry a choice."""
    counts: dict[int, int] = defaultdict(int)
    for number, count in packs:
        counts[number] += count
    return tuple(counts.items())


def _block(problem: Problem, first: int, size: int, most_steps: int) -> Bought | None:
    """Some consecutive demands on their own, with what can be bought for them by then."""
    demands = problem.demands[first : first + size]
    numbers: dict[int, Choice] = {}
    for number, choice in enumerate(problem.choices):
        if choice.demand < first + size and choice.serves > first:
            inside = max(choice.demand - first, 0)
            numbers[number] = dataclasses.replace(choice, demand=inside, serves=choice.serves - first)
    in_order = sorted(numbers, key=lambda number: numbers[number].demand)
    choices = [dataclasses.replace(numbers[n], serves=min(numbers[n].serves, len(demands))) for n in in_order]
    found = _search(Problem(demands, choices, problem.keeps_open), most_steps)
    if found is None or isinstance(found, int):
        return None
    return Bought(tuple((in_order[inside], count) for inside, count in found.packs), found.cost, found.bound)


def _by_one_choice(problem: Problem, k: int) -> Bought | None:
    """The cheapest way to cover one demand with packs of one choice; None where no choice is good for it."""
    ways = []
    for number, choice in enumerate(problem.choices):
        if choice.demand <= k < choice.serves and choice.through >= problem.demands[k].use_by:
            wanted = -(-problem.amounts[k] // problem.sizes[number])
            packs = max(choice.least, -(-wanted // choice.step) * choice.step)
            ways.append((packs * choice.price + choice.setup, -choice.arrives, number, packs))
    if not ways:
        return None
    cost, _, number, packs = min(ways)
    return Bought(((number, packs),), cost, 0)


def _successors(problem: Problem, state: _State) -> list[_State]:
    """States one decision on: the least of a choice, a step more of the last one, or pack the demand."""
    found: list[_State] = []
    k, inventory, bought = state.k, state.inventory, state.bought
    numbers = problem.by_demand[k]
    for slot in range(max(state.slot, 0), len(numbers)):
        number = numbers[slot]
        if not problem.wants(k, number, inventory, problem.choices[number].serves):
            continue
        choice = problem.choices[number]
        again = slot == state.slot
        packs = choice.step if again else choice.least
        count = bought[-1][1] + packs if again else packs
        limit = problem.most_packs[number]
        if limit is not None and count > limit:
            continue
        now = (*(bought[:-1] if again else bought), (number, count))
        rank = problem.ranked(state, number, packs)
        found.append(_State(rank, k, slot, problem.with_packs(k, inventory, number, packs), now))
    if problem.lacking(k, inventory) <= 0:
        after, shares = problem.packed(k, inventory)
        if k + 1 < len(problem.demands):
            after = problem.aged(k + 1, after)
        rank = (state.rank[0], state.rank[1] - shares, *state.rank[2:])
        found.append(_State(rank, k + 1, -1, after, bought))
    return found
