"""What the pantry and the open orders cover, food by food and packing day by packing day."""

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from opsreport.plan.buying.shelf import FOREVER, Holding, Rest, use
from opsreport.plan.dates import lot_good_through, on_order_good_through
from opsreport.plan.model import LotLeft, NeedOf, StockUse
from opsreport.programme import Lot, OnOrder, Programme


@dataclass(frozen=True, slots=True)
class Open:
    """What a need still lacks after stock and open orders."""

    need: NeedOf
    amount: Fraction


@dataclass(frozen=True, slots=True)
class Netted:
    """The outcome of netting. still_open: in order of packing day, date and session, per food together."""

    uses: tuple[StockUse, ...]
    still_open: tuple[Open, ...]
    lots: tuple[LotLeft, ...]


def in_order_of_use(needs: Sequence[NeedOf]) -> list[NeedOf]:
    """By packing day, then session date, then session id."""
    return sorted(needs, key=lambda need: (need.packing_day, need.use_by_at_least, need.session))


def net(programme: Programme, needs: Sequence[NeedOf]) -> Netted:
    """Subtract stock lots, then what is already ordered, from every need.

    Lots on hold, expired, or chilled and without any date are never used; an order is usable from its
    Due plus Receive lead, and not at all where it was due before the planning date.
    """
    lots_of: dict[str, list[Lot]] = defaultdict(list)
    orders_of: dict[str, list[OnOrder]] = defaultdict(list)
    for lot in programme.lots:
        lots_of[lot.food].append(lot)
    for order in programme.on_order:
        orders_of[order.food].append(order)
    needs_by_food: dict[str, list[NeedOf]] = defaultdict(list)
    for need in needs:
        needs_by_food[need.food].append(need)

    last = max((programme.sessions[need.session].day for need in needs), default=programme.as_of)
    uses: list[StockUse] = []
    still_open: list[Open] = []
    left: list[LotLeft] = []
    for food in sorted({*needs_by_food, *lots_of, *orders_of}):
        shelf = [(lot, _lot_holding(programme, lot)) for lot in lots_of[food]]
        usable = [holding for lot, holding in shelf if _is_usable(programme, lot)]
        coming = [(order, _order_holding(programme, order)) for order in _expected(programme, orders_of[food])]
        rows = {id(holding): lot.place.row for lot, holding in shelf}
        rows |= {id(holding): order.place.row for order, holding in coming}
        for need in in_order_of_use(needs_by_food[food]):
            used = use_up(need, usable, [holding for _, holding in coming])
            uses += [_stock_use(need, source, holding, part, rows[id(holding)]) for source, holding, part in used]
            if open_amount := need.amount - sum((part for _, _, part in used), Fraction(0)):
                still_open.append(Open(need, open_amount))
        left += [_lot_left(programme, lot, holding, last) for lot, holding in shelf]
    return Netted(tuple(uses), tuple(still_open), tuple(left))


def use_up(
    need: NeedOf, lots: Sequence[Holding], ordered: Sequence[Holding]
) -> list[tuple[Literal["stock", "ordered"], Holding, Fraction]]:
    """Take what a need wants from lots, then from what is on order, as far as it reaches: (source, holding, amount)."""
    day, use_by = need.packing_day, need.use_by_at_least
    found: list[tuple[Literal["stock", "ordered"], Holding, Fraction]] = [
        ("stock", holding, amount) for holding, amount in use(lots, need.amount, day, use_by)
    ]
    lacking = need.amount - sum((amount for _, _, amount in found), Fraction(0))
    found += [("ordered", holding, amount) for holding, amount in use(ordered, lacking, day, use_by, as_listed=True)]
    return found


def _stock_use(
    need: NeedOf, source: Literal["stock", "ordered"], holding: Holding, amount: Fraction, row: int
) -> StockUse:  # fmt: skip
    return StockUse(need.food, source, holding.name, need.session, amount, need.unit, row)


def _lot_holding(programme: Programme, lot: Lot) -> Holding:
    food = programme.foods.by_name[lot.food]
    through = lot_good_through(lot, food.keeps_open) or FOREVER
    size = lot.base / lot.packs or Fraction(1)
    holding = Holding(lot.lot, dt.date.min, through, food.keeps_begun, size, Fraction(0))
    if lot.opened is not None:
        # its limit is in `through` already, counted from the day it was opened
        holding.keeps_open = None
        holding.rests = [Rest(lot.opened, lot.base)] if lot.base else []
    elif lot.base:
        holding.sealed = Fraction(lot.packs)
    return holding


def _is_undated(programme: Programme, lot: Lot) -> bool:
    food = programme.foods.by_name[lot.food]
    return food.storage == "chill" and lot_good_through(lot, food.keeps_open) is None


def _is_expired(programme: Programme, lot: Lot) -> bool:
    through = lot_good_through(lot, programme.foods.by_name[lot.food].keeps_open)
    return through is not None and through < programme.as_of


def _is_usable(programme: Programme, lot: Lot) -> bool:
    return not lot.hold and not _is_expired(programme, lot) and not _is_undated(programme, lot)


def _expected(programme: Programme, orders: Sequence[OnOrder]) -> list[OnOrder]:
    """Open orders that can still be counted on, by due date; of one date the soonest expiring first, then by order."""
    return sorted(
        (order for order in orders if order.due >= programme.as_of and order.packs > 0),
        key=lambda order: (order.due, _last_good_day(programme, order), order.order, order.place.row),
    )


def _last_good_day(programme: Programme, order: OnOrder) -> dt.date:
    return on_order_good_through(order, programme.foods.by_name[order.food].keeps) or FOREVER


def _order_holding(programme: Programme, order: OnOrder) -> Holding:
    food = programme.foods.by_name[order.food]
    there = order.due + dt.timedelta(days=programme.settings.receive_lead)
    return Holding(order.order, there, _last_good_day(programme, order), food.keeps_begun, order.base, order.packs)


def held_and_coming(programme: Programme, food: str) -> tuple[list[tuple[Lot, Holding]], list[tuple[OnOrder, Holding]]]:
    """A food's usable lots, and its open orders by due date, as they stand before anything is used."""
    lots = [lot for lot in programme.lots if lot.food == food and _is_usable(programme, lot)]
    orders = _expected(programme, [order for order in programme.on_order if order.food == food])
    return (
        [(lot, _lot_holding(programme, lot)) for lot in lots],
        [(order, _order_holding(programme, order)) for order in orders],
    )


def _lot_left(programme: Programme, lot: Lot, holding: Holding, last: dt.date) -> LotLeft:
    """last: the day of the last session; what goes out of date later is nobody's waste yet."""
    through = lot_good_through(lot, programme.foods.by_name[lot.food].keeps_open)
    wasted = holding.left and _is_usable(programme, lot) and through is not None and through <= last
    return LotLeft(
        food=lot.food,
        lot=lot.lot,
        location=lot.location,
        on_hand=lot.base,
        used=lot.base - holding.left,
        left=holding.left,
        unit=programme.base_units[lot.food],
        good_through=through,
        held=lot.hold,
        expired=_is_expired(programme, lot),
        undated=_is_undated(programme, lot),
        row=lot.place.row,
        unused_by=through if wasted else None,
    )
