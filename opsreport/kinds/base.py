"""What a kind of cell is, how it is read, and the words that all kinds share."""

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, Generic, Literal, TypeVar

from opsreport.measures.numerals import exact
from opsreport.measures.units import MeasureSet, mixed
from opsreport.money import Currency
from opsreport.words import clean, visible

T = TypeVar("T")
CellValue = str | int | float | bool | dt.date | dt.datetime | dt.time | dt.timedelta | None
DateOrder = Literal["refuse", "day first", "month first"]


class Unreadable(Exception):  # noqa: N818 - becomes a finding at the cell, never a failure
    """A cell that is not of its kind."""

    def __init__(self, code: str, **details: str) -> None:
        super().__init__(code)
        self.code = code
        self.details = details


@dataclass(slots=True)
class How:
    """What reading a cell depends on besides the cell.

    number_format: the cell's own number format, asked only where it matters ('' where unknown).
    measures: how large cups and spoons are, where one cell names two of them (`1 cup 2 tbsp`).
    x_is_present: how a bare `x` in Attendance reads.
    unsaid: codes of what is refused for want of a setting that cannot be read itself, which is said of the setting.
    notes: (code, details) of what was read with a note.
    """

    date_order: DateOrder = "refuse"
    decimal_comma: bool = False
    currency: Currency = field(default_factory=Currency)
    measures: MeasureSet = "US"
    x_is_present: bool = True
    unsaid: frozenset[str] = frozenset()
    number_format: Callable[[], str] = lambda: ""
    notes: list[tuple[str, dict[str, str]]] = field(default_factory=list)

    def note(self, code: str, **details: str) -> None:
        self.notes.append((code, details))

    def read_as(self, read: str) -> None:
        """Say what a cell was read as, where it is not in one of its kind's own forms."""
        self.note("read-as", read=read)


@dataclass(frozen=True)
class Kind(Generic[T]):
    """One sort of cell.

    name: as the documentation calls it ("date"). meaning: one sentence for the person typing.
    example: a cell of this kind. choices: offered as a drop-down where the values are a short list.
    number_format: for the starter workbook's cells.
    """

    name: str
    meaning: str
    example: str
    read: Callable[[CellValue, How], T]
    choices: tuple[str, ...] = ()
    number_format: str = "General"


def text_of(cell: CellValue, how: How) -> str:
    """A cell as text, the way the spreadsheet shows it."""
    if isinstance(cell, str):
        return clean(cell)
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, int | float):
        return _numbered(cell, how.number_format()) or mixed_or_decimal(exact(cell))
    if isinstance(cell, dt.datetime):
        return cell.isoformat(" ", "minutes") if cell.time() != dt.time() else cell.date().isoformat()
    if isinstance(cell, dt.date):
        return cell.isoformat()
    if isinstance(cell, dt.time):
        return cell.isoformat("minutes")
    return "" if cell is None else str(cell)


def mixed_or_decimal(value: Fraction) -> str:
    """A number as people read it: `0.25` and `12` where decimals show it whole, else `2 1/3`."""
    if value < 0:
        return "-" + mixed_or_decimal(-value)
    if value.denominator == 1:
        return str(value.numerator)
    for places in range(1, 7):
        if (value * 10**places).denominator == 1:
            whole, rest = divmod((value * 10**places).numerator, 10**places)
            return f"{whole}.{rest:0{places}d}"
    return mixed(value)


_ZEROS: Final = re.compile(r'(?:"([^"]*)"|\\(.))?(0{2,})(?:;.*)?')


def _numbered(value: float, number_format: str) -> str:
    """A whole number under a format such as `000` or `"P"000` as it shows; '' under any other format."""
    zeros = _ZEROS.fullmatch(number_format)
    if zeros is None or value < 0 or value != int(value):
        return ""
    return (zeros[1] or zeros[2] or "") + str(int(value)).zfill(len(zeros[3]))


_DECIMAL: Final = "\ue000"
"""Stands for a comma that parts decimals and no entries."""


def entries_of(cell: CellValue, how: How) -> list[str]:
    """The entries of a list cell, cleaned, without empty ones.

    Raises:
        Unreadable: `list-separator`, entries parted by something else than a semicolon.
    """
    if not isinstance(cell, str):
        return [text_of(cell, how)]
    text = visible(cell)
    if how.decimal_comma:
        text = re.sub("(?<=[0-9]),(?=[0-9])", _DECIMAL, text)
    parts = [part.strip() for part in text.split(";")]
    if any(sign in part for part in parts for sign in ",/\n\r|"):
        every = (clean(entry) for part in parts for entry in re.split(r"[,/|\n\r]+", part))
        raise Unreadable("list-separator", proposed="; ".join(filter(None, every)).replace(_DECIMAL, ","))
    return [entry.replace(_DECIMAL, ",") for entry in map(clean, parts) if entry]


def either(options: list[str]) -> str:
    return ", ".join(options[:-1]) + f" or {options[-1]}" if len(options) > 1 else options[0]
