"""The plan of one food gone through again with other amounts: would stock and orders still cover everything?"""

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from fractions import Fraction

from opsreport.plan.buying.netting import holdings_of, in_order_of_use
from opsreport.plan.buying.shelf import FOREVER, Holding, use
from opsreport.plan.model import FoodPlan, NeedOf, Purchase
from opsreport.programme import Programme

ZERO = Fraction(0)


class Replay:
    """One food: its needs, and all that stands or comes for them, used as the plan uses it.

    A planned need that nothing covers (short, or to be shopped for) may stay as uncovered as it is, no more.
    """

    def __init__(self, programme: Programme, food: str, needs: Sequence[NeedOf], purchases: Sequence[Purchase]) -> None:
        self.purchases = tuple(purchases)
        self._needs = in_order_of_use(needs)
        self._lots, self._ordered = holdings_of(programme, food)
        self._keeps_open = programme.foods.by_name[food].keeps_begun
        self._lead = dt.timedelta(days=programme.settings.receive_lead)
        self._uncovered, self.left = self._run({}, {})

    def covers(self, more: Mapping[str, Fraction], fewer_packs: Mapping[int, int] | None = None) -> bool:
        """Whether everything is still covered with `more` (below 0: less) for some sessions, and with fewer
        packs of some of the purchases, by their place in `purchases`."""
        uncovered, _ = self._run(more, fewer_packs or {})
        return all(uncovered[session] <= self._uncovered[session] for session in uncovered)

    def _run(
        self, more: Mapping[str, Fraction], fewer_packs: Mapping[int, int]
    ) -> tuple[dict[str, Fraction], Fraction]:
        """What each session lacks, and what is left in the end, good or not."""
        lots = [dataclasses.replace(lot, rests=[dataclasses.replace(rest) for rest in lot.rests]) for lot in self._lots]
        ordered = [dataclasses.replace(order, rests=[]) for order in self._ordered]
        bought = [self._holding(number, fewer_packs.get(number, 0)) for number in range(len(self.purchases))]
        lacking: dict[str, Fraction] = {}
        for need in self._needs:
            amount = max(need.amount + more.get(need.session, ZERO), ZERO)
            for holdings, as_listed in ((lots, False), (ordered, True), (bought, False)):
                if amount:
                    taken = use(holdings, amount, need.packing_day, need.use_by_at_least, as_listed=as_listed)
                    amount -= sum((part for _, part in taken), ZERO)
            lacking[need.session] = amount
        return lacking, sum((holding.left for holding in (*lots, *ordered, *bought)), ZERO)

    def _holding(self, number: int, fewer: int) -> Holding:
        row = self.purchases[number]
        size = row.base / row.packs
        through = row.good_through or FOREVER
        return Holding(
            f"{number:06d}", row.arrives + self._lead, through, self._keeps_open, size, Fraction(row.packs - fewer)
        )  # fmt: skip


def most_that(fits: Callable[[int], bool], most: int) -> int:
    """The largest number up to `most` that fits, by halving; 0 is taken to fit, and what is less than one that does."""
    if most <= 0 or fits(most):
        return max(most, 0)
    low, high = 0, most
    while high - low > 1:
        middle = (low + high) // 2
        if fits(middle):
            low = middle
        else:
            high = middle
    return low


def replays(programme: Programme, plan: FoodPlan) -> dict[str, Replay]:
    """Every food that some session needs, by name; purchases in the order in which a plan uses them."""
    needs: dict[str, list[NeedOf]] = defaultdict(list)
    for need in plan.needs:
        needs[need.food].append(need)
    rows: dict[str, list[Purchase]] = defaultdict(list)
    for row in plan.purchases:
        rows[row.food].append(row)
    for its_rows in rows.values():
        its_rows.sort(key=lambda row: (row.base / row.packs, row.arrives, row.supplier, row.item))
    return {food: Replay(programme, food, its_needs, rows[food]) for food, its_needs in needs.items()}
