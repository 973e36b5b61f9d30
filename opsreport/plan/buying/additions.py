"""Orders beside what is ordered already: numbers told apart, additions to a delivery, what could come earlier."""

import dataclasses
from collections.abc import Collection, Iterable, Sequence
from fractions import Fraction

from opsreport.money import Money, half_up
from opsreport.plan.buying.market import price_holds
from opsreport.plan.buying.orders import BuyingPlan
from opsreport.plan.buying.placed import worth
from opsreport.plan.buying.topping_up import order_fee
from opsreport.plan.model import Addition, FoodPlan, Forward, Order, Purchase
from opsreport.programme import Programme
from opsreport.words import fold


def numbered_apart(placed: Iterable[str], bought: BuyingPlan) -> BuyingPlan:
    """The same purchases and orders, none under a number that is placed already: `-2` is added, or `-3`."""
    taken = {fold(order) for order in placed}
    numbers = {order.order: _free(order.order, taken) for order in bought.orders}
    if all(number == name for name, number in numbers.items()):
        return bought
    return dataclasses.replace(
        bought,
        purchases=tuple(dataclasses.replace(row, order=numbers[row.order]) for row in bought.purchases),
        orders=tuple(dataclasses.replace(order, order=numbers[order.order]) for order in bought.orders),
    )


def _free(number: str, taken: Collection[str]) -> str:
    name, times = number, 1
    while fold(name) in taken:
        times += 1
        name = f"{number}-{times}"
    return name


def additions(programme: Programme, orders: Sequence[Order]) -> tuple[Addition, ...]:
    """Orders for a delivery for which something is ordered already and still to come.

    The plan counts fee and minimum of each order by itself; what both would be together stands beside.
    """
    found = []
    for order in orders:
        numbers = {
            row.order
            for row in programme.on_order
            if (row.supplier, row.due) == (order.supplier, order.arrives) and row.packs > 0
        }
        if not numbers:
            continue
        placed = sum(
            (
                sum(worth(programme, row), Fraction(0))
                for row in programme.on_order
                if row.supplier == order.supplier and row.order in numbers
            ),
            Fraction(0),
        )
        supplier, goods = programme.suppliers[order.supplier], half_up(placed)
        apart = order_fee(supplier, goods) + order.fee
        found.append(
            Addition(
                order.order,
                tuple(sorted(numbers)),
                goods,
                fee_saved=Money(apart - order_fee(supplier, goods + order.goods)),
                below_minimum=goods + order.goods < supplier.minimum_order,
            )
        )
    return tuple(found)


def forwards(programme: Programme, plan: FoodPlan) -> tuple[Forward, ...]:
    """For every order below its minimum what the supplier's next delivery could send with it; nothing is moved here.

    Whole rows of the next order only, at a price that holds for this one, and only what then still keeps to the last
    session that it is for.
    """
    apart = {each.order for each in plan.additions if not each.below_minimum}
    return tuple(
        _forward(programme, plan, order) for order in plan.orders if order.below_minimum and order.order not in apart
    )


def _forward(programme: Programme, plan: FoodPlan, order: Order) -> Forward:
    later = [each for each in plan.orders if each.supplier == order.supplier and each.arrives > order.arrives]
    if not later:
        return Forward(order.order)
    following = min(later, key=lambda each: each.arrives)
    rows = [row for row in plan.purchases if row.order == following.order and _may_come(programme, plan, row, order)]
    if not rows:
        return Forward(order.order, following.order)
    supplier, moved = programme.suppliers[order.supplier], sum(row.cost for row in rows)
    rest = following.goods - moved
    fees = order_fee(supplier, order.goods + moved) + (order_fee(supplier, rest) if rest else 0)
    return Forward(
        order.order,
        following.order,
        tuple(dict.fromkeys(row.food for row in rows)),
        Money(moved),
        Money(order.fee + following.fee - fees),
        enough=order.goods + moved >= supplier.minimum_order,
        rest_too_small=0 < rest < supplier.minimum_order,
    )


def _may_come(programme: Programme, plan: FoodPlan, row: Purchase, order: Order) -> bool:
    """A row of a later order could come with this one and keep."""
    offer = next((offer for offer in programme.offers if offer.place == row.place), None)
    if offer is None or not price_holds(offer, order.order_by):
        return False
    if row.good_through is None:
        return True
    sessions = {session for session, _ in row.used}
    last = max((n.use_by_at_least for n in plan.needs if n.food == row.food and n.session in sessions), default=None)
    return last is None or order.arrives + (row.good_through - row.arrives) >= last


def forward_words(forward: Forward, programme: Programme) -> str:
    """What could be brought forward, as a sentence's part: `bring forward … from …`."""
    if not forward.later:
        return "nothing can be brought forward: no later order goes to this supplier"
    if not forward.foods:
        return f"nothing of {forward.later}, the next order, can be brought forward: it would not keep, or costs more"
    shown = programme.currency.shown
    words = f"bring forward {', '.join(forward.foods)} ({shown(forward.goods)} of goods) from {forward.later}"
    words += ", which is then enough" if forward.enough else ", which is still not enough"
    if forward.saves > 0:
        words += f" and saves {shown(forward.saves)} of delivery"
    return words + ("; what is left of it is then below the minimum itself" if forward.rest_too_small else "")
