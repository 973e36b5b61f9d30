"""The term's money against its cap: spent, committed, planned, by week; what must wait, and gifts in kind."""

import datetime as dt
from collections import defaultdict
from collections.abc import Sequence
from fractions import Fraction

from opsreport.money import Money, half_up
from opsreport.plan.buying.placed import PlacedRow, placed_orders, price_of
from opsreport.plan.model import BudgetPlan, BudgetWeek, FoodPlan, InKind, Lever, Order, Surplus
from opsreport.programme import Programme


def budget(programme: Programme, plan: FoodPlan, levers: tuple[Lever, ...] = ()) -> BudgetPlan:
    """The cap of Settings against what was paid, what is on order and what the plan orders. levers: known of it.

    Orders are held against the cap in the order in which they are placed, after all that is promised already;
    from the first that no longer fits, every one waits, and none is cut.
    """
    placed = placed_orders(programme)
    spent = Money((programme.settings.spent or 0) + sum(row.came for order in placed for row in order))
    committed = Money(sum(row.coming for order in placed for row in order))
    cap = programme.settings.budget
    return BudgetPlan(
        cap=cap,
        spent=spent,
        committed=committed,
        planned=Money(sum(order.total for order in plan.paid)),
        weeks=_weeks(programme, plan.paid, placed, None if cap is None else Money(cap - spent - committed)),
        on_hold=_on_hold(plan.paid, None if cap is None else cap - spent - committed),
        levers=levers,
        in_kind=_in_kind(programme, plan),
        unpriced=tuple(str(row.place) for row in programme.on_order if price_of(programme, row) is None),
    )


def _monday(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


def _weeks(
    programme: Programme, orders: Sequence[Order], placed: Sequence[tuple[PlacedRow, ...]], left: Money | None
) -> tuple[BudgetWeek, ...]:  # fmt: skip
    """Weeks with money in them, in order; what is past counts in the week of the planning date."""
    committed: dict[dt.date, int] = defaultdict(int)
    planned: dict[dt.date, int] = defaultdict(int)
    for rows in placed:
        if coming := sum(row.coming for row in rows):
            committed[_monday(max(programme.as_of, *(row.row.due for row in rows)))] += coming
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
