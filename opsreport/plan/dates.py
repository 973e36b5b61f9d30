"""When: packing days, order-by days, and through which day food is good."""

import datetime as dt

from opsreport.programme import Calendar, Group, Lot, OnOrder, Session, Supplier

_DAY = dt.timedelta(days=1)
_FARTHEST_BACK = 400
"""Days looked back for an open day before giving up: more than a year of closures is no calendar."""


def packing_day(session: Session, group: Group, calendar: Calendar) -> dt.date:
    """The day a session's kits are packed.

    The Packing date where one is given, as given; else the session's date less the packing lead, moved
    earlier to an open day that is not closed for packing.
    """
    if session.packing_date is not None:
        return session.packing_date
    first = session.day - group.packing_lead * _DAY
    day = first
    for _ in range(_FARTHEST_BACK):
        if calendar.can_pack(day):
            return day
        day -= _DAY
    return first


def order_by(arrives: dt.date, supplier: Supplier, calendar: Calendar) -> dt.date:
    """The last day to order for a delivery: counted back by Lead days over the supplier's order days
    that are not closed for deliveries. Lead 0: the delivery day itself. Never moved later."""
    day = arrives
    left = supplier.lead_days
    steps = 0
    while left and steps < _FARTHEST_BACK * 10:
        day -= _DAY
        steps += 1
        if day.weekday() in supplier.order_days and day not in calendar.closed_for_deliveries:
            left -= 1
    return day


def delivery_days(
    supplier: Supplier, calendar: Calendar, first: dt.date, last: dt.date
) -> list[dt.date]:  # fmt: skip
    """The supplier's delivery days from `first` to `last`, both included, on which food can be taken in."""
    count = (last - first).days + 1
    days = (first + number * _DAY for number in range(max(count, 0)))
    return [day for day in days if supplier.comes_on(day) and calendar.can_receive(day)]


def _earliest(*days: dt.date | None) -> dt.date | None:
    given = [day for day in days if day is not None]
    return min(given) if given else None


def opened_limit(opened: dt.date, keeps_open: int | None) -> dt.date | None:
    """Last good day of what was opened: the day of opening is day 1.

    Source: FDA Food Code 3-501.17 counts the day of preparation as day 1.
    """
    return None if keeps_open is None else opened + (keeps_open - 1) * _DAY


def lot_good_through(lot: Lot, keeps_open: int | None) -> dt.date | None:
    """Last day on which a lot is good; None: no date says so."""
    limit = opened_limit(lot.opened, keeps_open) if lot.opened is not None else None
    return _earliest(lot.best_before, limit)


def on_order_good_through(order: OnOrder, keeps: int | None) -> dt.date | None:
    """Last good day of what is on order: its best before, else Due and the days it keeps."""
    if order.best_before is not None:
        return order.best_before
    return None if keeps is None else order.due + keeps * _DAY
