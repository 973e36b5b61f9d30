"""Which packs to buy, from whom and when: every need covered in time by food that is still good."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from opsreport.money import Money, half_up
from opsreport.plan.buying.alone import alone_way, session_by_session
from opsreport.plan.buying.deliveries import choose_deliveries
from opsreport.plan.buying.effort import USUAL, Effort
from opsreport.plan.buying.food_buying import FoodBuying, order_id
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.options import FoodOptions
from opsreport.plan.buying.topping_up import order_fee
from opsreport.plan.dates import order_by
from opsreport.plan.model import Buying, KitLine, NeedOf, Order, PlannedSession, Purchase, Shortage, ToShop
from opsreport.programme import Programme


@dataclass(frozen=True, slots=True)
class BuyingPlan:
    """What is bought, what nothing covers, what nobody offers, how good the answer is, and the work it took [steps]."""

    purchases: tuple[Purchase, ...]
    orders: tuple[Order, ...]
    uncovered: tuple[Open, ...]
    shopping: tuple[ToShop, ...]
    buying: Buying
    steps: int


def buy(programme: Programme, still_open: Sequence[Open], effort: Effort = USUAL) -> BuyingPlan:
    """Packs for every food, from as few deliveries as pay, gathered into one order a supplier and delivery day."""
    by_food: dict[str, list[Open]] = defaultdict(list)
    for lacking in still_open:
        by_food[lacking.need.food].append(lacking)
    market = Market(programme, {lacking.need.packing_day for lacking in still_open})
    foods = {food: FoodOptions(market, food, by_food[food]) for food in sorted(by_food)}
    each_alone = {food: alone_way(options) for food, options in foods.items()}
    alone, bought_alone = session_by_session(programme, still_open)
    chosen = choose_deliveries(market, foods, each_alone, bought_alone, effort)
    rows = [
        row
        for food, options in foods.items()
        for row in FoodBuying(
            options, chosen.ways[food], chosen.extra.get(food, ()), chosen.moved.get(food, {})
        ).purchases()
    ]
    used = {row.order for row in rows if row.used}
    purchases = [
        row for row in rows if row.order in used
    ]  # what makes another delivery free may do in place of an order
    shopping = [ToShop(food, o.need.session, o.amount, o.need.unit) for food, b in foods.items() for o in b.unoffered]
    orders = _orders(programme, purchases)
    goods_and_fees = sum(order.goods + order.fee for order in orders)
    return BuyingPlan(
        tuple(sorted(purchases, key=lambda row: (row.arrives, row.supplier, row.food, row.item, row.size.amount))),
        tuple(orders),
        tuple(lacking for options in foods.values() for lacking in options.uncovered),
        tuple(shopping),
        Buying(Money(goods_and_fees), Money(min(chosen.bound, goods_and_fees)), alone),
        chosen.steps,
    )


def shortages(
    programme: Programme, sessions: Sequence[PlannedSession], uncovered: Sequence[Open]
) -> tuple[Shortage, ...]:
    """What nothing covers, with how many kits can be filled all the same. sessions: at least those concerned."""
    by_name = {session.session: session for session in sessions}
    return tuple(
        Shortage(
            lacking.need.food,
            lacking.need.session,
            lacking.amount,
            lacking.need.unit,
            full_kits(programme, by_name[lacking.need.session], lacking.need, lacking.need.amount - lacking.amount),
        )
        for lacking in uncovered
    )


def full_kits(programme: Programme, session: PlannedSession, need: NeedOf, there: Fraction) -> int:
    """How many of a session's kits can be filled with what is there of one food, smallest amounts first."""
    loss = 1 + programme.settings.packing_loss
    once = sum((_inflated(line, loss) for line in session.once if line.food == need.food), Fraction(0))
    there = max(there - once, Fraction(0))
    amounts = sorted(
        (
            sum((_inflated(line, loss) for line in variant.lines if line.food == need.food), Fraction(0)),
            variant.kits,
        )
        for variant in session.variants
    )
    possible = 0
    for amount, kits in amounts:
        fits = kits if not amount else min(kits, there // amount)
        possible += fits
        there -= amount * fits
        if fits < kits:
            break
    return possible


def _inflated(line: KitLine, loss: Fraction) -> Fraction:
    return line.base if line.whole else line.base * loss


def _orders(programme: Programme, purchases: Iterable[Purchase]) -> list[Order]:
    """One order a supplier and delivery day, the urgent ones first, then by order-by day."""
    goods_of: dict[tuple[str, dt.date], int] = defaultdict(int)
    for row in purchases:
        goods_of[row.supplier, row.arrives] += row.cost
    orders = []
    for (name, arrives), goods in goods_of.items():
        supplier = programme.suppliers[name]
        by = order_by(arrives, supplier, programme.calendar)
        fee = order_fee(supplier, goods)
        tax = half_up(goods * supplier.tax)
        orders.append(
            Order(
                order=order_id(name, arrives),
                supplier=name,
                order_by=by,
                arrives=arrives,
                urgent=by < programme.as_of,
                goods=Money(goods),
                fee=fee,
                tax=tax,
                total=Money(goods + fee + tax),
                below_minimum=goods < supplier.minimum_order,
            )
        )
    return sorted(orders, key=lambda order: (not order.urgent, order.order_by, order.arrives, order.supplier))
