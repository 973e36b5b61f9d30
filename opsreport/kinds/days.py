"""Dates, times of day, weekdays."""

import datetime as dt
import re
from collections.abc import Iterable
from fractions import Fraction
from typing import Final, NoReturn

from opsreport.kinds.base import CellValue, How, Kind, Unreadable, entries_of
from opsreport.measures.numerals import ascii_numerals
from opsreport.words import clean, fold, nearest

WEEKDAYS: Final = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
MONTHS: Final = (
    "January", "February", "March", "April", "May", "June", "July", "August", "September", "October",
    "November", "December",
)  # fmt: skip
_DAY_WORDS: Final = {
    **{form.casefold(): day for day, name in enumerate(WEEKDAYS) for form in (name, name[:3], name[:2])},
    "tues": 1, "weds": 2, "thur": 3, "thurs": 3,
}  # fmt: skip
_MONTH_WORDS: Final = {
    **{form.casefold(): month for month, name in enumerate(MONTHS, 1) for form in (name, name[:3])},
    "sept": 9,
}  # fmt: skip
_WEEKDAY: Final = re.compile(r"([A-Za-z]+)\.?,? (.*[0-9].*)")
_YEAR_FIRST: Final = re.compile(r"([0-9]{4})([/.])([0-9]{1,2})\2([0-9]{1,2})")
_ISO: Final = re.compile(r"([0-9]{4})-([0-9]{1,2})-([0-9]{1,2})(?:[T ]([0-9:.]+)Z?)?")
_THREE: Final = re.compile(r"([0-9]{1,2}) ?([/.-]) ?([0-9]{1,2}) ?\2 ?([0-9]{4}|[0-9]{2})")
_DAY_MONTH: Final = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th)?[ -]([A-Za-z]+)\.?,?[ -]([0-9]{4})")
_MONTH_DAY: Final = re.compile(r"([A-Za-z]+)\.? ([0-9]{1,2})(?:st|nd|rd|th)?,? ([0-9]{4})")
_SERIALS: Final = range(20000, 80000)  # 1954 to 2119
YEARS: Final = range(1900, 2200)
"""In which a day may lie: what is counted on from one still has a date."""


def day_shown(day: dt.date) -> str:
    """`3 April 2026`."""
    return f"{day.day} {MONTHS[day.month - 1]} {day.year}"


def _read_date(cell: CellValue, how: How) -> dt.date:
    day = _any_date(cell, how)
    if day.year not in YEARS:
        raise Unreadable("date-outside", first=str(YEARS[0]), last=str(YEARS[-1]))
    return day


def _any_date(cell: CellValue, how: How) -> dt.date:
    if isinstance(cell, dt.datetime):
        if cell.time() != dt.time():
            how.read_as(cell.date().isoformat())
        return cell.date()
    if isinstance(cell, dt.date):
        return cell
    if isinstance(cell, bool) or not isinstance(cell, str | int | float):
        raise Unreadable("date-unreadable")
    if not isinstance(cell, str):
        if int(cell) in _SERIALS:
            likely = dt.date(1899, 12, 30) + dt.timedelta(days=int(cell))
            raise Unreadable("date-is-number", likely=likely.isoformat())
        raise Unreadable("date-unreadable")
    shown = ascii_numerals(clean(cell))
    weekday = None
    if (parts := _WEEKDAY.fullmatch(shown)) is not None and parts[1].casefold() in _DAY_WORDS:
        weekday, shown = _DAY_WORDS[parts[1].casefold()], parts[2]
    day = _date_typed(shown, how)
    if weekday is not None and day.weekday() != weekday:
        raise Unreadable("date-weekday", day=day_shown(day), weekday=WEEKDAYS[day.weekday()])
    return day


def _date_typed(shown: str, how: How) -> dt.date:
    if (iso := _ISO.fullmatch(shown)) is not None:
        if iso[4] and iso[4].strip("0:."):
            how.read_as(_real(int(iso[1]), int(iso[2]), int(iso[3])).isoformat())
        return _real(int(iso[1]), int(iso[2]), int(iso[3]))
    if (year_first := _YEAR_FIRST.fullmatch(shown)) is not None:
        day_ = _real(int(year_first[1]), int(year_first[3]), int(year_first[4]))
        how.read_as(day_.isoformat())
        return day_
    if (three := _THREE.fullmatch(shown)) is not None:
        first, second, year = int(three[1]), int(three[3]), int(three[4])
        year += 2000 if len(three[4]) == 2 else 0
        if how.date_order == "day first":
            return _real(year, second, first)
        if how.date_order == "month first":
            return _real(year, first, second)
        _refuse_order(first, second, year)
    for pattern, places in ((_DAY_MONTH, (3, 2, 1)), (_MONTH_DAY, (3, 1, 2))):
        if (parts := pattern.fullmatch(shown)) is not None:
            year_, month, day = (parts[place] for place in places)
            if month.casefold() in _MONTH_WORDS:
                return _real(int(year_), _MONTH_WORDS[month.casefold()], int(day))
    raise Unreadable("date-unreadable")


def _real(year: int, month: int, day: int) -> dt.date:
    try:
        return dt.date(year, month, day)
    except ValueError:
        raise Unreadable("date-not-real") from None


def _refuse_order(first: int, second: int, year: int) -> NoReturn:
    """Say which days a text such as 3/4/2026 may mean."""
    days_: dict[dt.date, None] = {}
    for month, day in ((second, first), (first, second)):
        try:
            days_[dt.date(year, month, day)] = None
        except ValueError:
            continue
    found = list(days_)
    if not found:
        raise Unreadable("date-not-real")
    if len(found) == 1:
        raise Unreadable("date-order", day=day_shown(found[0]), proposed=found[0].isoformat())
    raise Unreadable(
        "date-ambiguous",
        first=day_shown(found[0]),
        second=day_shown(found[1]),
        proposed=found[0].isoformat(),
        other=found[1].isoformat(),
    )


date: Final = Kind[dt.date]("date", "A real date, or text as 2027-03-04.", "2027-03-04", _read_date,
                            number_format="yyyy-mm-dd")  # fmt: skip

_CLOCK: Final = re.compile(r"([0-9]{1,2})(?:[:.]([0-9]{2}))?(?::[0-9]{2})? ?([ap])?\.?(?:m\.?)?", re.IGNORECASE)


def _read_time(cell: CellValue, how: How) -> str:
    if isinstance(cell, dt.datetime):
        if cell.year > 1900:
            raise Unreadable("time-unreadable")
        return cell.strftime("%H:%M")
    if isinstance(cell, dt.time):
        return cell.strftime("%H:%M")
    if isinstance(cell, dt.timedelta):
        return _minutes_shown(Fraction(round(cell.total_seconds()), 60))
    if isinstance(cell, bool | dt.date) or cell is None:
        raise Unreadable("time-unreadable")
    if not isinstance(cell, str):
        if not 0 <= cell < 1:
            raise Unreadable("time-unreadable")
        return _minutes_shown(Fraction(cell) * 1440)
    shown = clean(cell)
    clock = _CLOCK.fullmatch(ascii_numerals(shown))
    if clock is None or not (clock[2] or clock[3]):
        return shown
    hour, minute = int(clock[1]), int(clock[2] or 0)
    if clock[3] and not 1 <= hour <= 12:
        raise Unreadable("time-unreadable")
    if clock[3]:
        hour = hour % 12 + (12 if clock[3].casefold() == "p" else 0)
    if hour > 23 or minute > 59:
        raise Unreadable("time-unreadable")
    return f"{hour:02d}:{minute:02d}"


def _minutes_shown(minutes: Fraction) -> str:
    whole_minutes = round(minutes)
    if not 0 <= whole_minutes < 1440:
        raise Unreadable("time-unreadable")
    return f"{whole_minutes // 60:02d}:{whole_minutes % 60:02d}"


time_text: Final = Kind[str]("time", "A time of day.", "17:30", _read_time, number_format="hh:mm")


def weekday_words(days_: Iterable[int]) -> str:
    """Days of the week as a cell has them: `Mon; Wed; Fri`."""
    return "; ".join(WEEKDAYS[day][:3] for day in days_)


def _read_weekdays(cell: CellValue, how: How) -> tuple[int, ...]:
    found: set[int] = set()
    for entry in entries_of(cell, how):
        first, dash, last = ascii_numerals(entry).partition("-")
        start, end = (_DAY_WORDS.get(fold(word).removesuffix(".")) for word in (first, last or first))
        if start is None or end is None:
            near = nearest(entry, WEEKDAYS)
            raise Unreadable("weekday-unknown", entry=entry, near=f" Did you mean {near}?" if near else "")
        span = range(start, end + 1) if start <= end else (*range(start, 7), *range(end + 1))
        found |= set(span)
        if dash:
            how.read_as(weekday_words(span))
    return tuple(sorted(found))


weekdays: Final = Kind[tuple[int, ...]](
    "list of weekdays", "Mon to Sun, parted by semicolons.", "Mon; Wed; Fri", _read_weekdays
)
