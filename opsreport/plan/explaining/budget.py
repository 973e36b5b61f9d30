"""The term's money against its cap: spent, committed, planned, by week; what must wait, and gifts in kind."""

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction

from opsreport.money import Money, half_up, split
from opsreport.plan.buying.placed import price_of
from opsreport.plan.buying.topping_up import order_fee
from opsreport.plan.explaining.levers import levers
from opsreport.plan.explaining.replay import Replay
from opsreport.plan.model import BudgetPlan, BudgetWeek, FoodPlan, InKind, Order, Surplus
from opsreport.programme import OnOrder, Programme, Supplier


def budget(programme: Programme, plan: FoodPlan, replays: Mapping[str, Replay]) -> BudgetPlan:
    """The cap of Settings against what was paid, what is on order and what the plan orders.

    Orders are held against the cap in the order in which they are placed, after all that is promised already;
    from the first that no longer fits, every one waits, and none is cut.
    """
    open_orders = _open_orders(programme)
    spent = Money((programme.settings.spent or 0) + sum(came for _, came, _ in open_orders))
    committed = Money(sum(coming for _, _, coming in open_orders))
    cap = programme.settings.budget
    return BudgetPlan(
        cap=cap,
        spent=spent,
        committed=committed,
        planned=Money(sum(order.total for order in plan.orders)),
        weeks=_weeks(programme, plan.orders, open_orders, None if cap is None else Money(cap - spent - committed)),
        on_hold=_on_hold(plan.orders, None if cap is None else cap - spent - committed),
        levers=levers(programme, plan, replays),
        in_kind=_in_kind(programme, plan),
        unpriced=tuple(str(row.place) for row in programme.on_order if price_of(programme, row) is None),
    )


def _open_orders(programme: Programme) -> list[tuple[dt.date, Money, Money]]:
    """Each delivery of the Orders sheet: when it is due, what of it came, what is still to come, fee and tax with it.

    Orders of one supplier that come on one day are one delivery. Its fee and its tax are for the whole of it, split
    over what came and what is coming.
    """
    rows: dict[tuple[str, str], list[OnOrder]] = defaultdict(list)
    for row in programme.on_order:
        rows[row.order, row.supplier].append(row)
    deliveries: dict[tuple[str, dt.date], list[OnOrder]] = defaultdict(list)
    for (_, name), its_rows in rows.items():
        deliveries[name, max(row.due for row in its_rows)] += its_rows
    found = []
    for (name, due), its_rows in deliveries.items():
        came = coming = Fraction(0)
        for row in its_rows:
            price = price_of(programme, row) or 0
            came += price * row.received
            coming += price * max(row.packs, Fraction(0))
        supplier = programme.suppliers.get(name) or Supplier(name)  # one that is only in Orders has no terms
        goods = came + coming
        if not goods:
            continue
        total = Money(half_up(goods) + order_fee(supplier, half_up(goods)) + half_up(goods * supplier.tax))
        of_came, of_coming = split(total, [came, coming])
        found.append((due, of_came, of_coming))
    return found


def _monday(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


def _weeks(
    programme: Programme, orders: Sequence[Order], open_orders: Sequence[tuple[dt.date, Money, Money]],
    left: Money | None,
) -> tuple[BudgetWeek, ...]:  # fmt: skip
    """Weeks with money in them, in order; what is past counts in the week of the planning date."""
    committed: dict[dt.date, int] = defaultdict(int)
    planned: dict[dt.date, int] = defaultdict(int)
    for due, _, coming in open_orders:
        if coming:
            committed[_monday(max(due, programme.as_of))] += coming
    for order in orders:
        planned[_monday(max(order.order_by, programme.as_of))] += order.total
    weeks = []
    for monday in sorted({*committed, *planned}):
        if left is not None:
            left = Money(left - planned[monday])
        weeks.append(BudgetWeek(monday, Money(committed[monday]), Money(planned[monday]), left))
    return tuple(weeks)


def _on_hold(orders: Sequence[Order], left: int | None) -> tuple[str, ...]:
    """Orders from the first on that no longer fits into what is left."""
    if left is None:
        return ()
    for number, order in enumerate(orders):
        left -= order.total
        if left < 0:
            return tuple(later.order for later in orders[number:])
    return ()


def _in_kind(programme: Programme, plan: FoodPlan) -> tuple[InKind, ...]:
    """Donated lots that are used, each with the value of the part used, rounded half up."""
    used = {lot.row: lot for lot in plan.lots if lot.used}
    return tuple(
        InKind(
            lot.food, lot.lot, used[lot.place.row].used, used[lot.place.row].unit,
            None if lot.value is None else half_up(lot.value * used[lot.place.row].used / lot.base),
        )
        for lot in programme.lots
        if lot.donated and lot.place.row in used
    )  # fmt: skip


def surplus(programme: Programme, plan: FoodPlan) -> tuple[Surplus, ...]:
    """Whole packs on order that nobody needs: only ever a question to the supplier, never taken for granted."""
    used: dict[int, Fraction] = defaultdict(Fraction)
    for use in plan.stock_use:
        if use.source == "ordered":
            used[use.row] += use.amount
    found = []
    for row in programme.on_order:
        if row.packs > 0 and row.due >= programme.as_of:
            spare = int(row.packs - used[row.place.row] / row.base)
            if spare > 0:
                all_of_it = spare == row.packs and not row.received
                found.append(
                    Surplus(
                        row.order, row.supplier, row.food, row.item, row.due, spare, all_of_it,
                        str(row.place),
                    )
                )  # fmt: skip
    return tuple(found)
