"""What a coordinator must know about the plan itself: said as findings, at the cell behind each where there is one."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable
from typing import Final

from opsreport.findings import NOWHERE, Finding
from opsreport.money import Money
from opsreport.plan.buying.additions import forward_words
from opsreport.plan.dates import packing_day
from opsreport.plan.explaining.beyond_kits import beyond_kits
from opsreport.plan.explaining.levers import lever_words
from opsreport.plan.explaining.mending import mend_words
from opsreport.plan.model import Changes, FoodPlan, Purchase
from opsreport.plan.needs.kits import LEAVE_OUT, members_on
from opsreport.programme import Offer, Programme
from opsreport.shown import day_words, decimal_words

OLD_PRICE: Final = dt.timedelta(days=60)
"""A price asked for longer ago than this may not hold any more."""
_NO_MEND: Final = "Buy it in person and enter it in Stock, or change the recipe"


def notices(programme: Programme, plan: FoodPlan) -> list[Finding]:
    """Warnings and notes on a food plan; those of `beyond_kits` too.

    Findings: session-without-members, packing-day-past, packing-day-closed, shortage, delivery-conflict,
    no-pack-on-offer, order-urgent, order-below-minimum, chilled-without-keeps, prices-old, budget-broken,
    order-without-price.
    """
    return [
        *_empty_sessions(programme),
        *_never_packed(programme),
        *beyond_kits(programme, plan.sessions),
        *_closed_packing_days(programme, plan),
        *_shortages(programme, plan),
        *_conflicts(programme, plan),
        *_shopping(programme, plan),
        *order_notices(programme, plan),
        *_chilled_without_keeps(programme, plan),
        *_old_prices(programme, plan),
        *_budget(programme, plan),
    ]


def change_notices(programme: Programme, changes: Changes) -> list[Finding]:
    """What an earlier run beside this one has to say.

    Findings: packed-kit-against-need, price-moved.
    """
    return [*_packed_kits(changes), *_moved_prices(programme, changes)]


def _empty_sessions(programme: Programme) -> Iterable[Finding]:
    for session in programme.sessions.values():
        planned = session.status == "planned" and session.day >= programme.as_of
        if planned and not members_on(programme, session):
            details = {"group": session.group, "day": day_words(session.day)}
            yield Finding(session.place, "session-without-members", session.session, details)


def _never_packed(programme: Programme) -> Iterable[Finding]:
    """Sessions to come that closures push out of the plan: on their usual day they would still be packed."""
    for session in programme.sessions.values():
        group = programme.groups[session.group]
        usual = session.day - dt.timedelta(days=group.packing_lead)
        counted = session.status == "planned" and session.packing_date is None and usual >= programme.as_of
        if counted and packing_day(session, group, programme.calendar) < programme.as_of:
            details = {"session": session.session}
            yield Finding(session.place, "packing-day-past", day_words(session.day), details)


def _closed_packing_days(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for planned in plan.sessions:
        session = programme.sessions[planned.session]
        if not programme.calendar.can_pack(planned.packing_day):
            details = {"session": session.session}
            yield Finding(session.packed_at, "packing-day-closed", day_words(planned.packing_day), details)


def _shortages(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for short in plan.shortages:
        details = {
            "ingredient": short.food, "session": short.session, "unit": short.unit,
            "kits": "1 full kit is" if short.full_kits_possible == 1 else f"{short.full_kits_possible} full kits are",
            "mend": _choices(plan, short.food, short.session) or _NO_MEND,
        }  # fmt: skip
        yield Finding(programme.sessions[short.session].place, "shortage", decimal_words(short.amount), details)


def _choices(plan: FoodPlan, food: str, session: str) -> str:
    words = "; or ".join(mend_words(mend) for mend in plan.mends if (mend.food, mend.session) == (food, session))
    return words[:1].upper() + words[1:]


def _conflicts(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for conflict in plan.conflicts:
        closed = ", ".join(day_words(day) for day in conflict.closed)
        details = {
            "session": conflict.session, "use_by": day_words(conflict.use_by), "supplier": conflict.supplier,
            "arrives": day_words(conflict.arrives), "through": day_words(conflict.through),
            "closed": f"; no delivery is taken in on {closed}" if closed else "",
            "choices": _choices(plan, conflict.food, conflict.session),
        }  # fmt: skip
        yield Finding(programme.sessions[conflict.session].place, "delivery-conflict", conflict.food, details)


def _shopping(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for food in sorted({row.food for row in plan.shopping}):
        sessions = [row.session for row in plan.shopping if row.food == food]
        yield Finding(NOWHERE, "no-pack-on-offer", food, {"sessions": ", ".join(sessions)})


def order_notices(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    """What stands against single orders.

    Findings: order-urgent, order-below-minimum.
    """
    forwards = {each.order: forward_words(each, programme) for each in plan.forwards}
    for order in plan.orders:
        details = {
            "supplier": order.supplier, "arrives": day_words(order.arrives), "order_by": day_words(order.order_by),
            "goods": programme.currency.shown(order.goods),
            "minimum": programme.currency.shown(programme.suppliers[order.supplier].minimum_order),
        }  # fmt: skip
        if order.urgent:
            yield Finding(NOWHERE, "order-urgent", order.order, details)
        if order.order in forwards:  # below its minimum, with what is ordered already for that delivery
            details = {**details, "forward": forwards[order.order]}
            yield Finding(NOWHERE, "order-below-minimum", order.order, details)


def _chilled_without_keeps(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    for food in sorted({row.food for row in plan.purchases if row.good_through is None}):
        if programme.foods.by_name[food].storage == "chill":
            yield Finding(NOWHERE, "chilled-without-keeps", food, {})


def _old_prices(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    """One finding a supplier, at the oldest of the prices that the orders rest on."""
    offers = {offer.place: offer for offer in programme.offers}
    old: dict[str, list[tuple[Offer, Purchase]]] = defaultdict(list)
    for row in plan.purchases:
        offer = offers.get(row.place)
        if offer is not None and offer.priced is not None and programme.as_of - offer.priced > OLD_PRICE:
            old[row.supplier].append((offer, row))
    shown = programme.currency.shown
    for supplier, rows in sorted(old.items()):
        oldest = min((offer for offer, _ in rows), key=lambda offer: (offer.priced or dt.date.min, offer.place))
        details = {
            "supplier": supplier, "count": str(len({offer.place for offer, _ in rows})), "days": str(OLD_PRICE.days),
            "goods": shown(Money(sum(row.cost for _, row in rows))),
            "total": shown(Money(sum(row.cost for row in plan.purchases))),
        }  # fmt: skip
        yield Finding(oldest.place, "prices-old", day_words(oldest.priced) if oldest.priced else "", details)


def _budget(programme: Programme, plan: FoodPlan) -> Iterable[Finding]:
    budget, shown = plan.budget, programme.currency.shown
    if budget.cap is None:
        return
    for cell in budget.unpriced:
        yield Finding(NOWHERE, "order-without-price", cell, {})
    if budget.on_hold:
        total = Money(budget.spent + budget.committed + budget.planned)
        others = len(budget.on_hold) - 1
        waits = {0: "it waits", 1: "it and the order after it wait"}.get(others, f"it and the {others} after it wait")
        levers = "; ".join(lever_words(lever, programme.currency) for lever in budget.levers)
        details = {
            "cap": shown(budget.cap), "total": shown(total), "over": shown(Money(total - budget.cap)), "waits": waits,
            "levers": f", or spend less: {levers}" if levers else "",
        }  # fmt: skip
        yield Finding(NOWHERE, "budget-broken", budget.on_hold[0], details)


def _packed_kits(changes: Changes) -> Iterable[Finding]:
    for pulled in changes.pull:
        instead = "; ".join(
            f"{food}: {'leave it out' if swap == LEAVE_OUT else swap or 'no swap is known, leave it out'}"
            for food, swap in zip(pulled.foods, pulled.instead, strict=True)
        )
        details = {
            "kit": pulled.kit, "packed": day_words(pulled.packed), "day": day_words(pulled.day),
            "foods": ", ".join(pulled.foods), "instead": instead,
            "whom": f"household {pulled.holder}" if pulled.holder else "someone at that table",
        }  # fmt: skip
        yield Finding(pulled.place, "packed-kit-against-need", "; ".join(pulled.needs), details)


def _moved_prices(programme: Programme, changes: Changes) -> Iterable[Finding]:
    shown = programme.currency.shown
    for move in changes.prices:
        details = {
            "supplier": move.supplier, "ingredient": move.food, "pack": move.pack, "before": shown(move.before),
            "since": day_words(changes.since), "packs": str(move.packs),
            "total_before": shown(Money(move.before * move.packs)), "total_now": shown(Money(move.now * move.packs)),
        }  # fmt: skip
        yield Finding(move.place, "price-moved", shown(move.now), details)
