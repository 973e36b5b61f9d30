"""Deliveries for which something is ordered already: what is added to one pays no second fee, and both count together
towards the minimum order."""

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from opsreport.money import Money, half_up
from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.placed import price_of
from opsreport.plan.buying.topping_up import order_fee
from opsreport.programme import Programme, Supplier

_APART: Final = "\0"
"""Between a supplier's name and the day of one delivery; in no cell."""


@dataclass(frozen=True, slots=True)
class OpenDeliveries:
    """By delivery: the numbers on the Orders sheet, and the goods of those orders, received or not."""

    numbers: Mapping[Delivery, tuple[str, ...]]
    goods: Mapping[Delivery, Money]

    def fee(self, supplier: Supplier, arrives: dt.date, goods: int) -> Money:
        """What `goods` more are charged for delivery; nothing where the order placed pays it."""
        return Money(0) if (supplier.supplier, arrives) in self.goods else order_fee(supplier, goods)

    def is_enough(self, supplier: Supplier, arrives: dt.date, goods: int) -> bool:
        """Whether the delivery reaches the supplier's minimum order with `goods` more."""
        return goods + self.goods.get((supplier.supplier, arrives), 0) >= supplier.minimum_order


def open_deliveries(programme: Programme) -> OpenDeliveries:
    """The deliveries of the Orders sheet of which something is still to come."""
    numbers: dict[Delivery, set[str]] = defaultdict(set)
    for row in programme.on_order:
        if row.packs > 0 and row.supplier in programme.suppliers:
            numbers[row.supplier, row.due].add(row.order)
    goods: dict[Delivery, Fraction] = {}
    for (supplier, due), its in numbers.items():
        goods[supplier, due] = sum(
            (
                (price_of(programme, row) or 0) * (max(row.packs, Fraction(0)) + row.received)
                for row in programme.on_order
                if row.supplier == supplier and row.order in its
            ),
            Fraction(0),
        )
    return OpenDeliveries(
        {delivery: tuple(sorted(its)) for delivery, its in numbers.items()},
        {delivery: half_up(its) for delivery, its in goods.items()},
    )


def with_deliveries_apart(programme: Programme, placed: OpenDeliveries) -> Programme:
    """The programme in which each of these deliveries is a supplier's of its own, that asks no fee and only for the
    rest of the minimum order; so a choice between deliveries sees what each really costs."""
    suppliers = dict(programme.suppliers)
    offers = list(programme.offers)
    for (name, day), goods in placed.goods.items():
        own = suppliers[name]
        suppliers[name] = dataclasses.replace(own, not_on=own.not_on | {day})
        apart = f"{name}{_APART}{day}"
        minimum = Money(max(own.minimum_order - goods, 0))
        suppliers[apart] = dataclasses.replace(
            programme.suppliers[name], supplier=apart, only_on=day, minimum_order=minimum, delivery_fee=Money(0),
            free_from=None,
        )  # fmt: skip
        offers += [dataclasses.replace(offer, supplier=apart) for offer in programme.offers if offer.supplier == name]
    return dataclasses.replace(programme, suppliers=suppliers, offers=tuple(offers))


def supplier_of(name: str) -> str:
    """The supplier behind a name, be it one of those made for one delivery."""
    return name.partition(_APART)[0]
