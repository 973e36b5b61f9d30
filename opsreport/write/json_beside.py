"""The keys of plan.json beside the documented ones: prices, room, money, traces, and what changed."""

import datetime as dt
from collections.abc import Iterable
from fractions import Fraction
from typing import Any

from opsreport.money import Currency, Money
from opsreport.plan.model import BudgetPlan, Changes, FoodPlan, Order, PackedSession, Trace

Json = dict[str, Any]


def beside(food: FoodPlan | None, currency: Currency) -> Json:
    """Prices, mends, room, money against the cap, what is on order for nobody, where every line comes from, and orders
    placed together with other workbooks."""
    if food is None:
        keys = ("prices", "mends", "conflicts", "room", "budget", "surplus", "trace", "shared_orders")
        return {key: {} if key == "budget" else [] for key in keys}
    return {
        "prices": [
            {
                "supplier": price.supplier,
                "ingredient": price.food,
                "item": price.item,
                "pack_amount": str(price.size.amount),
                "pack_unit": price.size.unit,
                "price": currency.plain(price.price),
                "priced": _day(price.priced),
            }
            for price in food.prices
        ],
        "mends": [
            {
                "ingredient": mend.food,
                "session": mend.session,
                "kind": mend.kind,
                "day": _day(mend.day),
                "order_by": _day(mend.order_by),
                "supplier": mend.supplier,
                "instead": mend.instead,
                "days": mend.days,
                "amount": str(mend.amount),
                "unit": mend.unit,
            }
            for mend in food.mends
        ],
        "conflicts": [
            {
                "ingredient": conflict.food,
                "session": conflict.session,
                "supplier": conflict.supplier,
                "arrives": _day(conflict.arrives),
                "good_through": _day(conflict.through),
                "use_by_at_least": _day(conflict.use_by),
                "closed": [_day(day) for day in conflict.closed],
            }
            for conflict in food.conflicts
        ],
        "room": [
            {"session": room.session, "variant": room.variant, "kits": room.kits, "runs_out": list(room.runs_out)}
            for room in food.room
        ],
        "budget": _budget(food.budget, currency),
        "surplus": [
            {
                "order": row.order,
                "supplier": row.supplier,
                "ingredient": row.food,
                "item": row.item,
                "due": _day(row.due),
                "packs": row.packs,
                "all": row.all,
                "cell": row.cell,
            }
            for row in food.surplus
        ],
        "trace": [_trace(trace) for trace in food.traces],
        "shared_orders": [order_figures(order, currency) for order in food.shared],
    }


def order_figures(order: Order, currency: Currency) -> Json:
    """An order, or what one workbook of several pays of it."""
    return {
        "order": order.order,
        "supplier": order.supplier,
        "order_by": order.order_by.isoformat(),
        "arrives": order.arrives.isoformat(),
        "urgent": order.urgent,
        "goods": currency.plain(order.goods),
        "fee": currency.plain(order.fee),
        "tax": currency.plain(order.tax),
        "total": currency.plain(order.total),
        "below_minimum": order.below_minimum,
    }


def _day(day: dt.date | None) -> str | None:
    return None if day is None else day.isoformat()


def _budget(budget: BudgetPlan, currency: Currency) -> Json:
    def money(sum_: Money | None) -> str | None:
        return _money(sum_, currency)

    return {
        "cap": money(budget.cap),
        "spent": money(budget.spent),
        "committed": money(budget.committed),
        "planned": money(budget.planned),
        "left": money(budget.left),
        "weeks": [
            {
                "week": week.monday.isoformat(),
                "committed": money(week.committed),
                "planned": money(week.planned),
                "left": money(week.left),
            }
            for week in budget.weeks
        ],
        "on_hold": list(budget.on_hold),
        "levers": [
            {
                "kind": lever.kind,
                "ingredient": lever.food,
                "instead": lever.instead,
                "supplier": lever.supplier,
                "kits": lever.kits,
                "saves": money(lever.saves),
            }
            for lever in budget.levers
        ],
        "in_kind": [
            {
                "ingredient": lot.food,
                "lot": lot.lot,
                "used": str(lot.used),
                "unit": lot.unit,
                "value": money(lot.value),
            }
            for lot in budget.in_kind
        ],
    }


def _trace(trace: Trace) -> Json:
    """One food's way from kits to packs, which stand in `purchases`; price_cells: of these, in the same order."""
    return {
        "ingredient": trace.food,
        "unit": trace.unit,
        "needed": str(trace.needed),
        "needs": [
            {
                "parts": [
                    {
                        "recipe": part.recipe,
                        "cell": part.cell,
                        "amount": str(part.quantity.amount),
                        "unit": part.quantity.unit,
                        "edible_share": str(part.edible_share),
                        "as_bought": str(part.base),
                    }
                    for part in need.parts
                ],
                "per_kit": str(need.per_kit),
                "whole": need.whole,
                "loss": str(need.loss),
                "instead_of": list(need.instead_of),
                "takers": [
                    {"session": kits.session, "kit": kits.kit, "kits": kits.kits, "needed": str(kits.needed)}
                    for kits in need.takers
                ],
            }
            for need in trace.needs
        ],
        "uses": [
            {
                "source": use.source,
                "lot": use.lot,
                "cell": use.cell,
                "session": use.session,
                "amount": str(use.amount),
            }
            for use in trace.uses
        ],
        "price_cells": [packs.cell for packs in trace.packs],
        "short": _amounts(trace.short),
        "to_shop": _amounts(trace.to_shop),
    }


def _amounts(amounts: Iterable[tuple[str, Fraction]]) -> list[Json]:
    return [{"session": session, "amount": str(amount)} for session, amount in amounts]


def _money(sum_: Money | None, currency: Currency) -> str | None:
    return None if sum_ is None else currency.plain(sum_)


def since(changes: Changes | None, currency: Currency) -> Json:
    """What changed since an earlier run; `packed` is what the next run must look at once more."""
    if changes is None:
        return {"packed": [], "changes": None}
    return {"packed": [_packed(session) for session in changes.packed], "changes": _changes(changes, currency)}


def _packed(session: PackedSession) -> Json:
    return {
        "session": session.session,
        "date": session.day.isoformat(),
        "packing_day": session.packing_day.isoformat(),
        "variants": [
            {
                "variant": variant.letter,
                "kits": variant.kits,
                "holders": list(variant.holders),
                "lines": [
                    {"ingredient": food, "base_amount": str(amount)} for food, amount in sorted(variant.contents)
                ],
            }
            for variant in session.variants
        ],
    }


def _changes(changes: Changes, currency: Currency) -> Json:
    return {
        "since": changes.since.isoformat(),
        "pull": [
            {
                "kit": pulled.kit,
                "session": pulled.session,
                "date": _day(pulled.day),
                "packing_day": _day(pulled.packed),
                "holder": pulled.holder,
                "swaps": [
                    {"ingredient": food, "instead": instead}
                    for food, instead in zip(pulled.foods, pulled.instead, strict=True)
                ],
            }
            for pulled in changes.pull
        ],
        "kits": [
            {
                "session": kit.session,
                "what": kit.what,
                "before": kit.before,
                "now": kit.now,
                "differs": list(kit.differs),
            }
            for kit in changes.kits
        ],
        "needs": [
            {"ingredient": need.food, "unit": need.unit, "before": str(need.before), "now": str(need.now)}
            for need in changes.needs
        ],
        "orders": [
            {
                "what": row.what,
                "order": row.order,
                "supplier": row.supplier,
                "arrives": _day(row.arrives),
                "ingredient": row.food,
                "item": row.item,
                "pack": row.pack,
                "before": row.before,
                "now": row.now,
                "cost": currency.plain(row.cost),
                "placed": row.placed,
            }
            for row in changes.orders
        ],
        "prices": [
            {
                "supplier": move.supplier,
                "ingredient": move.food,
                "item": move.item,
                "pack": move.pack,
                "before": currency.plain(move.before),
                "now": currency.plain(move.now),
                "packs": move.packs,
            }
            for move in changes.prices
        ],
        "cost_before": _money(changes.cost_before, currency),
        "cost_now": _money(changes.cost_now, currency),
        "all_before": _money(changes.all_before, currency),
        "all_now": _money(changes.all_now, currency),
    }
