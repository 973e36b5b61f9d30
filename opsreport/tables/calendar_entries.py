"""The days worth a calendar entry: last day to order, delivery, packing, sessions."""

import datetime as dt
import hashlib
from dataclasses import dataclass

from opsreport.plan.model import FoodPlan, Order, Plan, PlannedSession


@dataclass(frozen=True, slots=True)
class CalendarEntry:
    """One all-day entry. uid: the same in every run for the same order, packing day or session."""

    uid: str
    day: dt.date
    summary: str
    description: str = ""


def calendar_entries(plan: Plan, programme: str) -> tuple[CalendarEntry, ...]:
    """Entries by day; on one day orders first, then deliveries, packing, sessions.

    Args:
        plan: a stopped food family gives no entries.
        programme: words that tell this programme and term from others; they go into each uid.
    """
    if plan.food is None:
        return ()
    entries = [
        *(_order_by(order, plan.food, programme, plan.as_of) for order in plan.food.orders),
        *(_delivery(order, programme) for order in plan.food.paid),
        *_packing_days(plan.food.sessions, programme),
        *(_session(session, programme) for session in plan.food.sessions),
    ]
    return tuple(sorted(entries, key=lambda entry: entry.day))


def _uid(kind: str, name: str, programme: str) -> str:
    """Unlike for unlike entries of any programme, alike from run to run."""
    digest = hashlib.sha256("\x1f".join((kind, name, programme)).encode("utf-8", "replace")).hexdigest()
    return f"{kind}-{digest[:24]}@opsreport"


def _order_by(order: Order, food: FoodPlan, programme: str, as_of: dt.date) -> CalendarEntry:
    """On the last day to order; where that is past, on the planning date, as nobody is reminded in the past."""
    lines = sum(purchase.order == order.order for purchase in food.purchases)
    urgent = "URGENT: " if order.urgent else ""
    late = order.order_by < as_of
    placed = [name for each in food.additions if each.order == order.order for name in each.to]
    last = f"was due {order.order_by.isoformat()}" if late else "last day to send it"
    return CalendarEntry(
        _uid("order", order.order, programme),
        as_of if late else order.order_by,
        f"{urgent}Order from {order.supplier} ({order.order})"
        + (f", in addition to {', '.join(placed)}" if placed else ""),
        f"Order {order.order}: {last}; {lines} {'line' if lines == 1 else 'lines'}; it arrives "
        f"{order.arrives.isoformat()}.",
    )


def _delivery(order: Order, programme: str) -> CalendarEntry:
    return CalendarEntry(
        _uid("delivery", order.order, programme),
        order.arrives,
        f"Delivery from {order.supplier} ({order.order})",
        f"Check the delivery against order {order.order}.",
    )


def _packing_days(sessions: tuple[PlannedSession, ...], programme: str) -> list[CalendarEntry]:
    """One entry a packing day, whatever the number of sessions packed for."""
    by_day: dict[dt.date, list[PlannedSession]] = {}
    for session in sessions:
        by_day.setdefault(session.packing_day, []).append(session)
    return [
        CalendarEntry(
            _uid("packing", day.isoformat(), programme),
            day,
            f"Pack {_kits(sum(session.kits for session in packed))}",
            "\n".join(f"{session.session} ({session.group}): {_kits(session.kits)}" for session in packed),
        )
        for day, packed in by_day.items()
    ]


def _session(session: PlannedSession, programme: str) -> CalendarEntry:
    return CalendarEntry(
        _uid("session", session.session, programme),
        session.day,
        f"Session {session.session}, {session.group}",
        _kits(session.kits),
    )


def _kits(number: int) -> str:
    return "1 kit" if number == 1 else f"{number} kits"
