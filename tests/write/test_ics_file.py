"""calendar.ics held against RFC 5545 and read back with another reader's eyes."""

import datetime as dt
import re

import icalendar
import pytest

from opsreport.money import Money
from opsreport.plan.model import FoodPlan, Order, Plan, PlannedSession, Variant
from opsreport.tables.calendar_entries import CalendarEntry, calendar_entries
from opsreport.write.ics_file import calendar_bytes

AS_OF = dt.date(2026, 2, 20)
NOUGHT = Money(0)


def order(name: str, order_by: dt.date, arrives: dt.date, urgent: bool = False) -> Order:
    return Order(name, "Bright Grocer", order_by, arrives, urgent, NOUGHT, NOUGHT, NOUGHT, NOUGHT, False)


def session(name: str, day: dt.date, packing_day: dt.date, kits: int) -> PlannedSession:
    variant = Variant("A", kits, (), 0, 0, {}, (), (), ())
    return PlannedSession(name, "Tuesdays", day, packing_day, (variant,))


PLAN = Plan(
    AS_OF,
    "USD",
    FoodPlan(
        sessions=(
            session("s1", dt.date(2026, 3, 10), dt.date(2026, 3, 9), 14),
            session("s2", dt.date(2026, 3, 11), dt.date(2026, 3, 9), 1),
        ),
        orders=(order("PO-1", dt.date(2026, 3, 2), dt.date(2026, 3, 5), urgent=True),),
    ),
    None,
)


def one(summary: str = "Order", description: str = "") -> bytes:
    return calendar_bytes([CalendarEntry("u@opsreport", dt.date(2026, 3, 2), summary, description)], AS_OF)


def test_frame() -> None:
    """RFC 5545, 3.6, 3.7.3, 3.7.4: one PRODID, one VERSION:2.0, at least one component."""
    text = one().decode()
    assert text.startswith("BEGIN:VCALENDAR\r\n")
    assert text.count("PRODID:") == text.count("VERSION:2.0\r\n") == text.count("BEGIN:VEVENT") == 1
    assert "METHOD" not in text


def test_each_event_has_its_uid_and_stamp_once() -> None:
    """RFC 5545, 3.6.1 and 3.8.4.7; that uids hold from run to run is common sense."""
    text = calendar_bytes(calendar_entries(PLAN, "Fennelbridge"), AS_OF).decode()
    events = text.split("BEGIN:VEVENT")[1:]
    for event in events:
        assert event.count("\r\nUID:") == event.count("\r\nDTSTAMP:20260220T000000Z\r\n") == 1
        assert event.count("\r\nDTSTART;VALUE=DATE:") == 1
    uids = re.findall(r"UID:(\S+)", text.replace("\r\n ", ""))
    assert len(set(uids)) == len(events) == 5
    assert calendar_bytes(calendar_entries(PLAN, "Fennelbridge"), AS_OF).decode() == text


def test_lines_fold_between_characters() -> None:
    """RFC 5545, 3.1: CRLF, at most 75 octets a line, no character split."""
    summary = "é" * 80
    data = one(summary)
    assert data.count(b"\n") == data.count(b"\r\n")
    lines = data.split(b"\r\n")
    assert max(map(len, lines)) <= 75
    for line in lines:
        line.decode("utf-8")
    assert f"SUMMARY:{summary}\r\n" in data.decode().replace("\r\n ", "")


def test_text_is_escaped() -> None:
    """RFC 5545, 3.3.11; that a colon is left alone is from memory."""
    text = one("flour; oats, salt", "a\\b\nc: d\x00").decode()
    assert "SUMMARY:flour\\; oats\\, salt\r\n" in text
    assert "DESCRIPTION:a\\\\b\\nc: d\r\n" in text


def test_all_day_end_is_exclusive() -> None:
    """RFC 5545, 3.6.1: a deadline on 2 March ends on the 3rd."""
    text = one().decode()
    assert "DTSTART;VALUE=DATE:20260302\r\n" in text
    assert "DTEND;VALUE=DATE:20260303\r\n" in text


def test_reads_back() -> None:
    """By the icalendar library: number, dates and summaries of the plan."""
    calendar = icalendar.Calendar.from_ical(calendar_bytes(calendar_entries(PLAN, "x"), AS_OF))
    assert [(event["DTSTART"].dt, str(event["SUMMARY"])) for event in calendar.walk("VEVENT")] == [
        (dt.date(2026, 3, 2), "URGENT: Order from Bright Grocer (PO-1)"),
        (dt.date(2026, 3, 5), "Delivery from Bright Grocer (PO-1)"),
        (dt.date(2026, 3, 9), "Pack 15 kits"),
        (dt.date(2026, 3, 10), "Session s1, Tuesdays"),
        (dt.date(2026, 3, 11), "Session s2, Tuesdays"),
    ]


def test_shared_uid_is_refused() -> None:
    entry = CalendarEntry("u", AS_OF, "a")
    with pytest.raises(ValueError, match="uid"):
        calendar_bytes([entry, entry], AS_OF)
