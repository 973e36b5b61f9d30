"""Pull list: what to fetch from which shelf and lot, and what should remain there."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from opsreport.plan.dates import on_order_good_through
from opsreport.plan.model import Purchase
from opsreport.programme import OnOrder
from opsreport.shown import short_day
from opsreport.tables.packing.cautions import DEFER, cold_caution
from opsreport.tables.packing.counts import Shelved, count_sheet
from opsreport.tables.packing.day import PackingDay, counted
from opsreport.tables.shelf_words import there_words, to_fetch_words, to_take_words
from opsreport.tables.table import Column, Document, Part, Prose, Row, Table

_PLACES: Final = {
    "shelf": ("Shelf", "From the shelf"),
    "cool": ("Cool", "From the cool place"),
    "chill": ("Fridge", "From the fridge (last)"),
    "freeze": ("Freezer", "From the freezer (last)"),
}
_COLUMNS: Final = (
    Column("Food", width=19),
    Column("Lot or order", width=24),
    Column("Where", "code", 12),
    Column("Take", width=24),
    Column("As bought", "amount", 8),
    Column("Unit", width=4),
    Column("Should remain", width=23),
    Column("Counted", "write-in", 8),
    Column("Taken", "boxes", 4),
)


@dataclass(frozen=True, slots=True)
class _Pull:
    """One lot's part of the day. left None: nothing to count."""

    food: str
    source: str
    where: str
    amount: Fraction
    left: Fraction | None
    warning: bool = False
    shelved: Shelved | None = None


def pull_list(day: PackingDay) -> Document:
    """What leaves which shelf on a packing day, lots in the order in which they must be used.

    A table's first heading says the storage place, so that every page of it does.

    What is taken, what is short and what is still to be shopped for add up to the day's needs.
    """
    pulls = [*_from_stock(day), *_from_open_orders(day), *_from_purchases(day), *_not_here(day)]
    kept = {name: day.programme.foods.by_name[name].place_kept for name in {pull.food for pull in pulls}}
    parts: list[Part] = [*_short(day)]
    first = next((place for place in _PLACES if place in kept.values()), "")
    for place, (sheet, title) in _PLACES.items():
        there = [pull for pull in pulls if kept[pull.food] == place]
        if not there:
            continue
        cold = (cold_caution(day.programme),) if place in ("chill", "freeze") else ()
        parts.append(
            Table(
                sheet,
                title,
                (replace(_COLUMNS[0], heading=f"Food, {sheet.lower()}"), *_COLUMNS[1:]),
                tuple(_rows(day, there)),
                intro=(
                    "Take the lots of one food in the order printed: first out of date goes first. Dates are the last "
                    "good day.",
                    *((DEFER,) if place == first else ()),
                    *cold,
                ),
                notes=(
                    "Amounts are as bought and include the packing loss. Count what remains; "
                    "where it differs, write what you counted and tell the coordinator.",
                ),
                page_break=True,
            )
        )
    if not pulls:
        parts.append(Table("Pull list", "Pull list", _COLUMNS, ()))
    parts.append(count_sheet(day, [pull.shelved for pull in pulls if pull.shelved]))
    return day.document("pull-list", "Pull list", "whoever fetches the food", parts, landscape=True)


def _rows(day: PackingDay, pulls: list[_Pull]) -> Iterable[Row]:
    """By food, and within a food in order of use: stock, then what was ordered first."""
    programme = day.programme
    for pull in sorted(pulls, key=lambda pull: pull.food.casefold()):
        unit = programme.base_units[pull.food]
        left = "" if pull.left is None else there_words(programme, pull.food, pull.left)
        yield Row(
            (
                pull.food,
                pull.source,
                pull.where,
                to_fetch_words(programme, pull.food, pull.amount),
                pull.amount,
                unit,
                left or "—",
                None,
                1,
            ),
            "warning" if pull.warning else "",
        )


def _from_stock(day: PackingDay) -> Iterable[_Pull]:
    lots = {(lot.food, lot.row): lot for lot in day.food.lots}
    for food, row, amount, used in _uses(day, "stock"):
        lot = lots.get((food, row))
        name = _lot_words(lot.lot) if lot else "stock"
        through = f", {short_day(lot.good_through)}" if lot and lot.good_through else ""
        left = lot.on_hand - used if lot else None
        place, there = (lot.location, lot.on_hand - used + amount) if lot else ("", amount)
        shelved = Shelved(food, lot.lot if lot else "", place, lot.good_through if lot else None, there)
        yield _Pull(food, f"{name}{through}", place, amount, left, shelved=shelved)


def _lot_words(lot: str) -> str:
    return f"lot {lot}" if lot else "lot"


def _from_open_orders(day: PackingDay) -> Iterable[_Pull]:
    orders: dict[tuple[str, int], OnOrder] = {(order.food, order.place.row): order for order in day.programme.on_order}
    for food, row, amount, used in _uses(day, "ordered"):
        order = orders.get((food, row))
        if order is None:
            yield _Pull(food, "already ordered", "delivery", amount, None)
            continue
        source, where, left = (
            order.order,
            _where(day, order.due),
            order.packs * order.base - used,
        )
        through = on_order_good_through(order, day.programme.foods.by_name[food].keeps)
        yield _Pull(
            food, source, where, amount, left, shelved=Shelved(food, order.order, where, through, left + amount)
        )


def _uses(day: PackingDay, source: str) -> Iterable[tuple[str, int, Fraction, Fraction]]:
    """(food, row, taken this day, taken up to and with this day), in the plan's order of use."""
    today: dict[tuple[str, int], Fraction] = {}
    so_far: dict[tuple[str, int], Fraction] = {}
    for use in day.food.stock_use:
        if use.source != source:
            continue
        key = (use.food, use.row)
        if use.session in day.session_ids:
            today[key] = today.get(key, Fraction(0)) + use.amount
        if use.session in day.up_to_here:
            so_far[key] = so_far.get(key, Fraction(0)) + use.amount
    for (food, row), amount in today.items():
        yield food, row, amount, so_far[food, row]


def _from_purchases(day: PackingDay) -> Iterable[_Pull]:
    for purchase in sorted(day.food.purchases, key=lambda purchase: purchase.arrives):
        amount = _used(purchase, day.session_ids)
        if amount:
            left = purchase.base - _used(purchase, day.up_to_here)
            source, where = purchase.order, _where(day, purchase.arrives)
            shelved = Shelved(purchase.food, purchase.order, where, purchase.good_through, left + amount)
            yield _Pull(purchase.food, source, where, amount, left, shelved=shelved)


def _used(purchase: Purchase, sessions: frozenset[str]) -> Fraction:
    return sum((amount for session, amount in purchase.used if session in sessions), Fraction(0))


def _where(day: PackingDay, came: dt.date) -> str:
    return "COMES TODAY" if came == day.day else "delivery"


def _not_here(day: PackingDay) -> Iterable[_Pull]:
    """What must be shopped for, or is short: its row waits for someone to bring it."""
    missing = (("SHOPPING LIST: bought by hand", day.food.shopping), ("SHORT: ask first", day.food.shortages))
    for what, amounts in missing:
        total: dict[str, Fraction] = {}
        for each in amounts:
            if each.session in day.session_ids:
                total[each.food] = total.get(each.food, Fraction(0)) + each.amount
        for food, amount in total.items():
            yield _Pull(food, what, "", amount, None, warning=True)


def _short(day: PackingDay) -> Iterable[Prose]:
    short = [shortage for shortage in day.food.shortages if shortage.session in day.session_ids]
    if short:
        yield Prose(
            tuple(
                f"{each.food} for session {each.session}: "
                f"{to_take_words(day.programme, each.food, each.amount)} missing; "
                f"as far as it goes, {counted(each.full_kits_possible, 'full kit')} can be packed."
                for each in short
            ),
            "Short today: ask the coordinator before you pack",
            "warning",
        )
