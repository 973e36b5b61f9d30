"""What the sheets Stock and Orders come to at the end of a day on which all went as planned.

What stands in Orders as due by then is taken to have come, and every session packed by then to have taken its food in
the order of use, as far as there is any. What was bought besides was used up.
"""

import datetime as dt
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction

from opsreport.measures.units import Quantity
from opsreport.money import Money, half_up
from opsreport.plan.buying.netting import held_and_coming, in_order_of_use, use_up
from opsreport.plan.buying.placed import enough
from opsreport.plan.buying.shelf import FOREVER, Holding, Rest
from opsreport.plan.model import FoodPlan, NeedOf
from opsreport.plan.needs.sealed import with_sealed_units
from opsreport.programme import Lot, OnOrder, Programme


@dataclass(frozen=True, slots=True)
class OnShelf:
    """A row of Stock. packs: equal sealed ones that it stands in. changed: whether it is another than stood there."""

    food: str
    quantity: Quantity
    lot: str
    best_before: dt.date | None
    opened: dt.date | None
    location: str = ""
    donated: bool = False
    value: Money | None = None
    hold: bool = False
    packs: int = 1
    changed: bool = True


@dataclass(frozen=True, slots=True)
class Placed:
    """A row of Orders. packs: all that were ordered; received: of these. changed: as in OnShelf."""

    order: str
    supplier: str
    food: str
    item: str
    packs: Fraction
    size: Quantity
    due: dt.date
    received: Fraction
    best_before: dt.date | None
    price: Money | None
    changed: bool = True


@dataclass(frozen=True, slots=True)
class Closing:
    """Both sheets at the end of a day. packed: sessions whose kits were packed by then, in order of packing."""

    day: dt.date
    stock: tuple[OnShelf, ...]
    orders: tuple[Placed, ...]
    packed: tuple[str, ...]


def closing(programme: Programme, kits: FoodPlan, day: dt.date) -> Closing:
    """Both sheets at the end of a day, from the planning date on.

    Args:
        kits: what sessions need, as of the programme's planning date.
    """
    programme = with_sealed_units(programme, kits.sessions)
    foods = {row.food for rows in (programme.lots, programme.on_order) for row in rows}
    packed = [each for each in kits.sessions if each.packing_day <= day]
    needs = [need for need in kits.needs if need.packing_day <= day]
    return Closing(
        day,
        tuple(row for food in sorted(foods) for row in _shelf(programme, food, needs, day)),
        tuple(_orders(programme, day)),
        tuple(each.session for each in sorted(packed, key=lambda each: (each.packing_day, each.session))),
    )


# --- Stock ---


def _shelf(programme: Programme, food: str, needs: Sequence[NeedOf], day: dt.date) -> Iterator[OnShelf]:
    """A food's rows: lots in the order of the sheet, then what came, opened packs before sealed ones."""
    lots, ordered = held_and_coming(programme, food)
    for need in in_order_of_use([need for need in needs if need.food == food]):
        use_up(need, [holding for _, holding in lots], [holding for _, holding in ordered])
    usable = {id(lot): holding for lot, holding in lots}
    for lot in programme.lots:
        if lot.food == food and lot.base:
            yield from _of_lot(programme, lot, usable.get(id(lot)))
    for order, holding in ordered:
        if order.due <= day:
            yield from _of_delivery(programme, order, holding)


def _of_lot(programme: Programme, lot: Lot, holding: Holding | None) -> Iterator[OnShelf]:
    """What is left of a lot; as it stands where nothing was used. holding: None where it may not be used."""

    def row(quantity: Quantity, opened: dt.date | None, left: Fraction, packs: int, *, changed: bool = True) -> OnShelf:
        value = None if lot.value is None else half_up(lot.value * left / lot.base)
        return OnShelf(
            lot.food, quantity, lot.lot, lot.best_before, opened, lot.location, lot.donated, value, lot.hold, packs,
            changed,
        )  # fmt: skip

    if holding is None or holding.left == lot.base:
        yield row(lot.quantity, lot.opened, lot.base, lot.packs, changed=False)
        return
    for rest in holding.rests:
        yield row(enough(programme, lot.food, rest.amount), _opened(programme, lot.food, rest), rest.amount, 1)
    if holding.sealed:
        left = Quantity(lot.quantity.amount * holding.sealed / lot.packs, lot.quantity.unit)
        yield row(left, None, holding.sealed * holding.size, int(holding.sealed))


def _of_delivery(programme: Programme, order: OnOrder, holding: Holding) -> Iterator[OnShelf]:
    """What is left of packs that came."""
    through = None if holding.sealed_through == FOREVER else holding.sealed_through
    for rest in holding.rests:
        left = enough(programme, order.food, rest.amount)
        yield OnShelf(order.food, left, order.order, through, _opened(programme, order.food, rest))
    if holding.sealed:
        left = Quantity(order.size.amount * holding.sealed, order.size.unit)
        yield OnShelf(order.food, left, order.order, through, None, packs=max(int(holding.sealed), 1))


def _opened(programme: Programme, food: str, rest: Rest) -> dt.date | None:
    """The day of opening, where it matters."""
    return None if programme.foods.by_name[food].keeps_begun is None else rest.opened


# --- Orders ---


def _orders(programme: Programme, day: dt.date) -> Iterator[Placed]:
    """The rows of the sheet; what was due from the planning date to the day has come."""
    for row in programme.on_order:
        came = row.packs if programme.as_of <= row.due <= day else Fraction(0)
        yield Placed(
            row.order, row.supplier, row.food, row.item, row.packs + row.received, row.size, row.due,
            row.received + came, row.best_before, row.price, bool(came),
        )  # fmt: skip
