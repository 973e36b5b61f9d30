"""What a coordinator must know about the plan itself: said as findings, at the cell behind each where there is one."""

from collections.abc import Iterable

from opsreport.findings import NOWHERE, Finding
from opsreport.plan.kits import members_on
from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.shown import day_words, decimal_words


def notices(programme: Programme, plan: FoodPlan) -> list[Finding]:
    """Warnings and notes on a food plan.

    Findings: session-without-members, packing-day-closed, shortage, no-pack-on-offer, order-urgent,
    order-below-minimum, chilled-without-keeps.
    """
    return [
        *_empty_sessions(programme),
        *_closed_packing_days(programme, plan),
        *_shortages(programme, plan),
        *_shopping(programme, plan),
        *_orders(programme, plan),
        *_chilled_without_keeps(programme, plan),
    ]


def _empty_sessions(programme: Programme) -> Iterable[Finding]:
    for session in programme.sessions.values():
        planned = session.status == "planned" and session.day >= programme.as_of
        if planned and not members_on(programme, session):
            details = {"group": session.group, "day": day_words(session.day)}
            yield Finding(session.place, "session-without-members", session.session, details)


def _closed_packing_days(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for planned in plan.sessions:
        session = programme.sessions[planned.session]
        if not programme.calendar.can_pack(planned.packing_day):
            details = {"session": session.session}
            yield Finding(session.place, "packing-day-closed", day_words(planned.packing_day), details)


def _shortages(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for short in plan.shortages:
        details = {
            "ingredient": short.food, "session": short.session, "unit": short.unit,
            "kits": str(short.full_kits_possible),
        }  # fmt: skip
        yield Finding(programme.sessions[short.session].place, "shortage", decimal_words(short.amount), details)


def _shopping(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for food in sorted({row.food for row in plan.shopping}):
        sessions = [row.session for row in plan.shopping if row.food == food]
        yield Finding(NOWHERE, "no-pack-on-offer", food, {"sessions": ", ".join(sessions)})


def _orders(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for order in plan.orders:
        details = {
            "supplier": order.supplier, "arrives": day_words(order.arrives), "order_by": day_words(order.order_by),
            "goods": programme.currency.shown(order.goods),
            "minimum": programme.currency.shown(programme.suppliers[order.supplier].minimum_order),
        }  # fmt: skip
        if order.urgent:
            yield Finding(NOWHERE, "order-urgent", order.order, details)
        if order.below_minimum:
            yield Finding(NOWHERE, "order-below-minimum", order.order, details)


def _chilled_without_keeps(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for food in sorted({row.food for row in plan.purchases if row.good_through is None}):
        if programme.foods.by_name[food].storage == "chill":
            yield Finding(NOWHERE, "chilled-without-keeps", food, {})
