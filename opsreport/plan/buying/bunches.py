"""Packs of one food as they are bought, and the order in which they are used: the soonest expiring first.

Of packs with the same date none is to be used before the others, so the plan chooses: packs of a size that comes out
even may spare one.
"""

import dataclasses
import datetime as dt
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import chain, product
from math import lcm
from typing import Final, NamedTuple

from opsreport.plan.buying.market import DAY, Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.shelf import Holding, Rest, use
from opsreport.plan.buying.takings import takings
from opsreport.programme import Offer

_MOST_WAYS: Final = 100
"""Ways to take of packs with the same date for one need; where there are more, no order is looked for."""

_MOST_LOOKS: Final = 100
"""Needs gone through in search of an order of use."""


@dataclass(frozen=True, slots=True)
class Bunch:
    """Packs of one offer that arrive on one day. turn: of packs with the same date the lowest is used first."""

    offer: Offer
    arrives: dt.date
    packs: int
    turn: int = 0


def holdings_of(market: Market, keeps_open: int | None, bunches: Sequence[Bunch]) -> list[Holding]:
    """What stands on the shelf, of packs with the same date those first that stand first in `bunches`."""
    lead = market.programme.settings.receive_lead * DAY
    return [
        Holding(
            f"{place:06d}", bunch.arrives + lead, market.through(bunch.offer, bunch.arrives), keeps_open,
            bunch.offer.base, Fraction(bunch.packs),
        )
        for place, bunch in enumerate(bunches)
    ]  # fmt: skip


def in_order_of_use(
    market: Market, keeps_open: int | None, bunches: Sequence[Bunch], needs: Sequence[Open], *, choose: bool
) -> list[Bunch] | None:
    """The bunches in an order in which they cover all needs; None where none was found.

    Args:
        needs: in order of use.
        choose: whether the order of packs with the same date may matter.
    """
    usual = sorted(
        bunches,
        key=lambda bunch: (
            market.through(bunch.offer, bunch.arrives), bunch.turn, bunch.offer.base, bunch.arrives,
            bunch.offer.supplier, bunch.offer.item, bunch.offer.place.row,
        ),
    )  # fmt: skip
    if _cover(holdings_of(market, keeps_open, usual), needs):
        return usual
    order = _NeedByNeed(holdings_of(market, keeps_open, usual), needs).order() if choose else None
    parts = [dataclasses.replace(usual[place], packs=packs) for place, packs in order or ()]
    return parts if order and _cover(holdings_of(market, keeps_open, parts), needs) else None


class _Shelf(NamedTuple):
    """What is there before a need. sealed: packs, by place of their holding. rests: by holding, what is left of a pack
    of it. begun: (place of a holding, packs), in order of use so far."""

    sealed: tuple[int, ...]
    rests: tuple[tuple[int, Rest], ...] = ()
    begun: tuple[tuple[int, int], ...] = ()


class _NeedByNeed:
    """A search for an order of use: of packs with the same date each need begins those of which least is left over, or
    where that does not cover later needs, others. What stands in `holdings` stays as it is."""

    def __init__(self, holdings: Sequence[Holding], needs: Sequence[Open]) -> None:
        self.holdings, self.needs, self.looks = holdings, needs, 0

    def order(self) -> tuple[tuple[int, int], ...] | None:
        """(place of a holding, packs), all of every holding; None where no order was found."""
        last = self._from(0, _Shelf(tuple(int(holding.sealed) for holding in self.holdings)))
        left = enumerate(last.sealed) if last else ()
        return last and (*last.begun, *((place, packs) for place, packs in left if packs))

    def _from(self, at: int, shelf: _Shelf) -> _Shelf | None:
        """What is there after all needs, if those from one on are covered."""
        if at == len(self.needs):
            return shelf
        self.looks += 1
        afters = self._after(self.needs[at], shelf) if self.looks <= _MOST_LOOKS else []
        return next((last for after in afters if (last := self._from(at + 1, after)) is not None), None)

    def _after(self, lacking: Open, shelf: _Shelf) -> list[_Shelf]:
        """What may be there after a need, the least left over first; nothing where it is not covered."""
        day, amount = lacking.need.packing_day, lacking.amount
        left = [rest.amount for _, rest in shelf.rests]
        choices: list[list[list[tuple[int, Fraction]]]] = []
        for through, sealed, place in self._portions(shelf, day):
            if through < lacking.need.use_by_at_least or not amount:
                continue
            if sealed:
                its = [
                    (number, packs * holding.size, holding.size)
                    for number, (holding, packs) in enumerate(zip(self.holdings, shelf.sealed, strict=True))
                    if packs and holding.sealed_through == through and holding.there <= day
                ]
                if not its:
                    continue
                taken = min(amount, sum((there for _, there, _ in its), Fraction(0)))
                whole = lcm(taken.denominator, *(size.denominator for _, _, size in its))
                portions = [(int(there * whole), int(size * whole)) for _, there, size in its]
                ways = takings(portions, int(taken * whole), _MOST_WAYS) or ()
                choices.append(
                    [[(each[0], Fraction(part, whole)) for each, part in zip(its, way, strict=True)] for way in ways]
                )
            else:
                taken = min(amount, left[place])
                left[place] -= taken
            amount -= taken
        rests = [(number, Rest(rest.opened, more))
                 for (number, rest), more in zip(shelf.rests, left, strict=True) if more]  # fmt: skip
        found = [] if amount else [self._begin(shelf, rests, chain(*parts), day) for parts in product(*choices)]
        return sorted(found, key=lambda after: sum(rest.amount for _, rest in after.rests))

    def _portions(self, shelf: _Shelf, day: dt.date) -> list[tuple[dt.date, bool, int]]:
        """Last good day, whether sealed, and the place of a rest, in order of use: each rest, and all sealed packs of
        one date together."""
        rests = [(self.holdings[number].through(rest, day), False, place)
                 for place, (number, rest) in enumerate(shelf.rests)]  # fmt: skip
        dates = {its.sealed_through for its, packs in zip(self.holdings, shelf.sealed, strict=True) if packs}
        return sorted([*rests, *((date, True, 0) for date in dates)])

    def _begin(
        self, shelf: _Shelf, rests: Sequence[tuple[int, Rest]], taken: Iterable[tuple[int, Fraction]], day: dt.date
    ) -> _Shelf:
        """The shelf once so much of some holdings is taken, last what is not used up."""
        sealed, all_rests, begun = [*shelf.sealed], [*rests], [*shelf.begun]
        for place, amount in sorted(taken, key=lambda each: each[1] % self.holdings[each[0]].size != 0):
            size = self.holdings[place].size
            packs = int(-(-amount // size))
            sealed[place] -= packs
            begun += [(place, packs)] if packs else []
            if over := packs * size - amount:
                all_rests.append((place, Rest(day, over)))
        return _Shelf(tuple(sealed), tuple(all_rests), tuple(begun))


def _cover(holdings: Sequence[Holding], needs: Sequence[Open]) -> bool:
    for lacking in needs:
        used = use(holdings, lacking.amount, lacking.need.packing_day, lacking.need.use_by_at_least)
        if sum(part for _, part in used) != lacking.amount:
            return False
    return True
