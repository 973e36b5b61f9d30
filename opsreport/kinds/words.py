"""Ids, texts, choices among few words, marks."""

import datetime as dt
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Final, Literal

from opsreport.kinds.base import CellValue, DateOrder, How, Kind, T, Unreadable, either, entries_of, text_of
from opsreport.measures.numerals import ascii_numerals
from opsreport.measures.units import MeasureSet
from opsreport.money import Currency, known_currencies
from opsreport.words import fold, nearest


@dataclass(frozen=True, slots=True)
class Mark:
    """An attendance mark; kit_only: written as `kit only` (absent, the kit was collected)."""

    mark: Literal["present", "absent", "excused"]
    kit_only: bool = False


def read_id(cell: CellValue, how: How) -> str:
    if isinstance(cell, dt.date | dt.time | dt.timedelta):
        raise Unreadable("id-is-date")
    if isinstance(cell, bool):
        raise Unreadable("id-is-yes-no")
    if isinstance(cell, str) and ";" in cell:
        raise Unreadable("id-several")
    return text_of(cell, how)


def _read_person(cell: CellValue, how: How) -> str:
    if isinstance(cell, str) and "\n" in cell.strip():
        raise Unreadable("id-several")
    return read_id(cell, how)


text: Final = Kind[str]("text", "Any text.", "Fennelbridge Hall", text_of)
id_text: Final = Kind[str]("id", "A code or name, compared without case and outer spaces.", "s1", read_id)
person: Final = Kind[str]("id", "A code of one person, not a name.", "p1", _read_person)
answer: Final = Kind[str]("answer", "A number of the question's scale, yes or no, or a number.", "4", text_of)


def _read_texts(cell: CellValue, how: How) -> tuple[str, ...]:
    return tuple(entries_of(cell, how))


texts: Final = Kind[tuple[str, ...]]("list", "Entries parted by semicolons.", "beans; pulses", _read_texts)


def _choose(cell: CellValue, how: How, options: Mapping[str, T]) -> T:
    shown = text_of(cell, how)
    key = fold(shown)
    if key in options:
        return options[key]
    raise Unreadable("choice-unknown", choices=either([str(option) for option in dict.fromkeys(options.values())]))


def _choice(meaning: str, options: tuple[T, ...], also: Mapping[str, T] | None = None) -> Kind[T]:
    words = tuple(str(option) for option in options)
    known = {fold(word): option for word, option in zip(words, options, strict=True)} | dict(also or {})
    return Kind(either(list(words)), meaning, words[0], lambda cell, how: _choose(cell, how, known), choices=words)


paper: Final[Kind[Literal["Letter", "A4"]]] = _choice("The size of paper.", ("Letter", "A4"))
measure_set: Final[Kind[MeasureSet]] = _choice(
    "Whose cups and spoons are meant.", ("US", "label", "metric", "Australian")
)
date_order: Final[Kind[DateOrder]] = _choice("How 3/4/2026 reads.", ("refuse", "day first", "month first"))
x_means: Final[Kind[Literal["present", "absent"]]] = _choice("What an x in Attendance means.", ("present", "absent"))
warning_or_error: Final[Kind[Literal["warning", "error"]]] = _choice("How much it matters.", ("warning", "error"))
group_format: Final[Kind[Literal["kits", "table"]]] = _choice(
    "Kits are carried home; at a table people cook together.", ("kits", "table")
)
kit_for: Final[Kind[Literal["household", "participant"]]] = _choice(
    "Who gets a kit of their own.", ("household", "participant")
)
session_status: Final[Kind[Literal["planned", "delivered", "cancelled"]]] = _choice(
    "Where a session stands.", ("planned", "delivered", "cancelled"), {"canceled": "cancelled"}
)
member_status: Final[Kind[Literal["active", "waiting", "withdrawn"]]] = _choice(
    "Where a member stands.", ("active", "waiting", "withdrawn")
)
scale: Final[Kind[Literal["batch", "session"]]] = _choice("What an amount grows with.", ("batch", "session"))
supplied: Final[Kind[Literal["packed", "home"]]] = _choice("Who supplies it.", ("packed", "home"))
measured: Final[Kind[Literal["prepared", "as bought", ""]]] = _choice(
    "Whether an amount is after trimming.", ("prepared", "as bought")
)
state: Final[Kind[Literal["dry", "liquid", "whole"]]] = _choice("How a food is measured.", ("dry", "liquid", "whole"))
storage: Final[Kind[Literal["shelf", "cool", "chill", "freeze"]]] = _choice(
    "Where a food is kept.", ("shelf", "cool", "chill", "freeze")
)
per_kit: Final[Kind[Literal["measure", "whole"]]] = _choice("Whether each kit gets whole pieces.", ("measure", "whole"))
stock_source: Final[Kind[Literal["bought", "donated"]]] = _choice("Where a lot came from.", ("bought", "donated"))
tool_for: Final[Kind[Literal["dry", "liquid", "both"]]] = _choice("What a tool measures.", ("dry", "liquid", "both"))
closure: Final[Kind[Literal["deliveries", "packing", "all"]]] = _choice(
    "What cannot be done.", ("deliveries", "packing", "all")
)
kit_fate: Final[Kind[Literal["collected", "left", "passed on", "discarded", "short"]]] = _choice(
    "What became of a kit.", ("collected", "left", "passed on", "discarded", "short")
)
question_kind: Final[Kind[Literal["scale", "yes-no", "number"]]] = _choice(
    "How a question is answered.", ("scale", "yes-no", "number"), {"yes/no": "yes-no"}
)
better: Final[Kind[Literal["higher", "lower"]]] = _choice("Which way is improvement.", ("higher", "lower"))
before_after: Final[Kind[Literal["before", "after"]]] = _choice("When it was asked.", ("before", "after"))


def _read_currency(cell: CellValue, how: How) -> Currency:
    code = text_of(cell, how).upper()
    if code in known_currencies():
        return Currency(code)
    raise Unreadable("currency-unknown", near=nearest(code, known_currencies()) or "USD")


currency: Final = Kind[Currency]("currency", "An ISO 4217 code.", "USD", _read_currency)

_YES: Final = ("y", "yes", "x", "✓", "1", "true")
_NO: Final = ("n", "no", "0", "false")


def _read_yes_no(cell: CellValue, how: How) -> bool:
    word = _sign_or_word(cell, how)
    if word in _YES:
        return True
    if word in _NO:
        return False
    raise Unreadable("yes-no-unreadable")


_TICKS: Final = str.maketrans({"✔": "✓", "☑": "✓", "✅": "✓", "🗸": "✓", "🗹": "✓", "\ufe0f": None, "\ufe0e": None})
"""Every kind of tick as one, without the invisible sign that asks for a coloured one. A cross stays what it is: it
may say yes or no."""


def _sign_or_word(cell: CellValue, how: How) -> str:
    """What stands in a cell of marks, folded, in plain letters and with one kind of tick."""
    return fold(ascii_numerals(text_of(cell, how).translate(_TICKS)))


yes_no: Final = Kind[bool]("yes/no", "yes or no; blank: no answer.", "yes", _read_yes_no, ("yes", "no"))
yes_no_blank: Final = Kind[bool]("yes/no", "yes or no; blank: not recorded.", "yes", _read_yes_no, ("yes", "no"))

_MARKS: Final[Mapping[str, Mark]] = {
    **dict.fromkeys(("y", "yes", "✓", "1", "true", "p", "present", "late", "l", "here"), Mark("present")),
    **dict.fromkeys(("n", "no", "0", "false", "a", "absent"), Mark("absent")),
    "kit only": Mark("absent", kit_only=True),
    **dict.fromkeys(("e", "exc", "excused"), Mark("excused")),
}
_X_PRESENT: Final = Mark("present")
_X_ABSENT: Final = Mark("absent")


_HEALTH: Final = re.compile(
    r"\b(?:sick\w*|ill|illness|unwell|flu|influenza|cold|cough|fever|covid\S*|migraine|headache|asthma|injur\w+|surgery"
    r"|hospital\w*|clinic|doctor|dr|dentist|medical|health|pregnan\w+|birth|depress\w+|anxiety|allerg\w+)\b"
)


def _read_mark(cell: CellValue, how: How) -> Mark:
    word = _sign_or_word(cell, how)
    if word == "x":
        return _X_PRESENT if how.x_is_present else _X_ABSENT
    if word in _MARKS:
        return _MARKS[word]
    raise Unreadable("mark-about-health" if _HEALTH.search(word) else "mark-unknown")


mark: Final[Kind[Mark | None]] = Kind(
    "mark", "Present, absent, excused or kit only.", "present", _read_mark,
    ("present", "absent", "excused", "kit only"),
)  # fmt: skip
