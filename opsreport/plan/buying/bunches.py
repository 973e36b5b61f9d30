"""Packs of one food as they are bought, and the order in which they are used: the soonest expiring first.

Of packs with the same date none is to be used before the others, so the plan chooses: packs of a size that comes out
even may spare one.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby, islice, permutations
from typing import Final

from opsreport.plan.buying.market import DAY, Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.shelf import Holding, use
from opsreport.programme import Offer

_MOST_ORDERS: Final = 24
"""Orders of packs with the same date that are tried."""


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
    for order in islice(_orders(market, usual), _MOST_ORDERS if choose else 1):
        if _cover(holdings_of(market, keeps_open, order), needs):
            return order
    return None


def _orders(market: Market, bunches: Sequence[Bunch]) -> Iterator[list[Bunch]]:
    """Every order of the bunches that go bad on the same day, the given one first; made one by one, as many bunches
    have far too many."""
    same_date = [list(its) for _, its in groupby(bunches, key=lambda each: market.through(each.offer, each.arrives))]

    def orders(first: int) -> Iterator[list[Bunch]]:
        if first == len(same_date):
            yield []
            return
        for its in permutations(same_date[first]):
            for others in orders(first + 1):
                yield [*its, *others]

    yield from orders(0)


def _cover(holdings: Sequence[Holding], needs: Sequence[Open]) -> bool:
    for lacking in needs:
        used = use(holdings, lacking.amount, lacking.need.packing_day, lacking.need.use_by_at_least)
        if sum(part for _, part in used) != lacking.amount:
            return False
    return True
