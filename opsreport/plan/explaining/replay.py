"""The plan of one food gone through again with other amounts: would stock and orders still cover everything?"""

import dataclasses
import datetime as dt
import math
from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import cast

from opsreport.plan.buying.netting import held_and_coming, in_order_of_use
from opsreport.plan.buying.shelf import FOREVER, Holding, Rest, use
from opsreport.plan.model import FoodPlan, NeedOf, Purchase
from opsreport.programme import Programme

ZERO = Fraction(0)


class Replay:
    """One food: its needs, and all that stands or comes for them, used as the plan uses it.

    A planned need that nothing covers (short, or to be shopped for) may stay as uncovered as it is, no more. Inside,
    amounts are counted in the largest part of a base unit of which all of them are whole numbers: as exact as
    fractions, and many times as fast.
    """

    def __init__(self, programme: Programme, food: str, needs: Sequence[NeedOf], purchases: Sequence[Purchase]) -> None:
        self.purchases = tuple(purchases)
        keeps_open = programme.foods.by_name[food].keeps_begun
        lead = dt.timedelta(days=programme.settings.receive_lead)
        lots, ordered = ([holding for _, holding in rows] for rows in held_and_coming(programme, food))
        parts = sorted((turn, packs, number) for number, row in enumerate(self.purchases) for turn, packs in row.turns)
        self._row_of_part = [number for _, _, number in parts]
        bought = [_holding(turn, packs, self.purchases[number], keeps_open, lead) for turn, packs, number in parts]
        rests = [rest.amount for lot in lots for rest in lot.rests]
        sizes = [holding.size for holding in (*lots, *ordered, *bought)]
        amounts = [need.amount for need in needs]
        self._parts = math.lcm(*(amount.denominator for amount in (*rests, *sizes, *amounts)))
        self._lots, self._ordered, self._bought = ([self._in_parts(each) for each in held]
                                                   for held in (lots, ordered, bought))  # fmt: skip
        self._needs = [(need, self._whole(need.amount)) for need in in_order_of_use(needs)]
        holdings = self._holdings({})
        self._uncovered = dict(self._lacking(holdings, {}))
        self.left = sum((holding.left for held in holdings for holding in held), ZERO) / self._parts

    def covers(self, more: Mapping[str, Fraction], fewer_packs: Mapping[int, int] | None = None) -> bool:
        """Whether everything is still covered with `more` (below 0: less) for some sessions, and with fewer
        packs of some of the purchases, by their place in `purchases`."""
        changed = {session: self._whole(amount) for session, amount in more.items()}
        lacking = self._lacking(self._holdings(fewer_packs or {}), changed)
        return all(amount <= self._uncovered[session] for session, amount in lacking)

    def _lacking(
        self, holdings: tuple[list[Holding], ...], more: Mapping[str, Fraction]
    ) -> Iterator[tuple[str, Fraction]]:  # fmt: skip
        """What each session lacks [parts], in order of use; the holdings are used up meanwhile."""
        lots, ordered, bought = holdings
        for need, planned in self._needs:
            amount = max(planned + more[need.session], ZERO) if need.session in more else planned
            for held, as_listed in ((lots, False), (ordered, True), (bought, False)):
                if amount and held:
                    taken = use(held, amount, need.packing_day, need.use_by_at_least, as_listed=as_listed)
                    amount -= sum(part for _, part in taken)
            yield need.session, amount

    def _holdings(self, fewer_packs: Mapping[int, int]) -> tuple[list[Holding], ...]:
        """Lots, open orders and purchases as they stand before anything is used."""
        lots = [dataclasses.replace(lot, rests=[dataclasses.replace(rest) for rest in lot.rests]) for lot in self._lots]
        ordered = [dataclasses.replace(order, rests=[]) for order in self._ordered]
        bought = [dataclasses.replace(part, rests=[]) for part in self._bought]
        off = dict(fewer_packs)
        for number, part in zip(reversed(self._row_of_part), reversed(bought), strict=True):
            if number in off:
                less = min(int(part.sealed), off[number])
                part.sealed -= less
                off[number] -= less
        return lots, ordered, bought

    def _whole(self, amount: Fraction) -> Fraction:
        """An amount in parts, as a whole number where it is one."""
        return _as_whole(amount * self._parts)

    def _in_parts(self, holding: Holding) -> Holding:
        rests = [Rest(rest.opened, self._whole(rest.amount)) for rest in holding.rests]
        return dataclasses.replace(
            holding, size=self._whole(holding.size), sealed=_as_whole(holding.sealed), rests=rests
        )


def _as_whole(number: Fraction) -> Fraction:
    """The same number; as an `int`, which counts faster and stands for a fraction wherever one may stand."""
    return cast(Fraction, number.numerator) if number.denominator == 1 else number


def _holding(turn: int, packs: int, row: Purchase, keeps_open: int | None, lead: dt.timedelta) -> Holding:
    """Packs of one purchase. turn: their place in the food's order of use."""
    size = row.base / row.packs
    through = row.good_through or FOREVER
    return Holding(f"{turn:06d}", row.arrives + lead, through, keeps_open, size, Fraction(packs))


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
        its_rows.sort(key=lambda row: row.turns)
    return {food: Replay(programme, food, its_needs, rows[food]) for food, its_needs in needs.items()}
