"""calendar.ics: all-day entries for any calendar program (RFC 5545)."""

import datetime as dt
from collections.abc import Sequence

from opsreport.tables.calendar_entries import CalendarEntry
from opsreport.write import clean


def calendar_bytes(entries: Sequence[CalendarEntry], as_of: dt.date) -> bytes:
    """The entries as one calendar, in the order given, stamped with the planning date.

    An entry that was moved keeps its uid, so a calendar program that reads the file again moves it.

    Raises:
        ValueError: two entries share a uid: our mistake.
    Source: RFC 5545: 3.6 and 3.7 for the frame, 3.6.1 for all-day entries, whose end is exclusive.
    """
    import icalendar  # 0.16 s, not wanted by a run that only checks

    if len({entry.uid for entry in entries}) != len(entries):
        raise ValueError("two calendar entries share a uid")
    calendar = icalendar.Calendar()
    calendar.add("prodid", "-//opsreport//calendar//EN")
    calendar.add("version", "2.0")
    calendar.add("calscale", "GREGORIAN")
    stamp = dt.datetime.combine(as_of, dt.time(), dt.UTC)
    for entry in entries:
        event = icalendar.Event()
        event.add("uid", entry.uid)
        event.add("dtstamp", stamp)
        event.add("dtstart", entry.day)
        event.add("dtend", entry.day + dt.timedelta(days=1))
        event.add("summary", clean(entry.summary))
        if entry.description:
            event.add("description", clean(entry.description))
        event.add("transp", "TRANSPARENT")
        calendar.add_component(event)
    return bytes(calendar.to_ical())
