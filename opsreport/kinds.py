"""How one sort of cell is read, named, exemplified and offered; a kind never knows where its cell is.

A cell comes as the file library hands it over: str, int, float, bool, date, datetime, time, timedelta
or None. A kind returns the value, or raises `Unreadable` with a code of RULES; what it read but would
not swear to, it says through `How.note`.
"""

import datetime as dt
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import Final, Generic, Literal, NoReturn, TypeVar

from opsreport.measures.numerals import NUMBER, Numeral, ascii_numerals, exact, number_or_range
from opsreport.measures.numerals import number as one_number
from opsreport.measures.units import DIMENSION, MeasureSet, Quantity, factors, mixed, plural, unit_named, unit_spellings
from opsreport.measures.usual_amounts import usual_amount
from opsreport.money import Currency, Money, known_currencies
from opsreport.words import allergen_words, allergens_contained, clean, fold, nearest, visible

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
    notes: (code, details) of what was read with a note.
    """

    date_order: DateOrder = "refuse"
    decimal_comma: bool = False
    currency: Currency = field(default_factory=Currency)
    measures: MeasureSet = "US"
    x_is_present: bool = True
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


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount as written: its value (None: not bought, as `to taste`), the unit named beside it in the
    same cell (a key of units.DIMENSION, or None) and the words as typed, where they say more than the
    value (`3-4`, `to taste`), else ''."""

    value: Fraction | None
    unit: str | None = None
    words: str = ""


@dataclass(frozen=True, slots=True)
class Dish:
    """A recipe of a session and how often its batch is made (`recipe x2`)."""

    recipe: str
    times: Fraction = Fraction(1)


@dataclass(frozen=True, slots=True)
class NeedAnswer:
    """The answer to the question about needs.

    asked: False where the cell is blank or says nothing ('n/a', '?'). needs: as typed, cleaned, without
    'none'; what they cover is worked out in programme.py. written: what stands there instead of an answer.
    """

    asked: bool
    needs: tuple[str, ...] = ()
    written: str = ""


@dataclass(frozen=True, slots=True)
class Share:
    """A percentage (`of_all`, 0 to 1) or a plain number (`number`): spare kits, completion."""

    of_all: Fraction | None = None
    number: Fraction | None = None


@dataclass(frozen=True, slots=True)
class FunderShare:
    """A funder of a group and the part it pays, 0 to 1; None where no percentage stands."""

    funder: str
    part: Fraction | None


@dataclass(frozen=True, slots=True)
class Mark:
    """An attendance mark; kit_only: written as `kit only` (absent, the kit was collected)."""

    mark: Literal["present", "absent", "excused"]
    kit_only: bool = False


# --- words ---


def _shown(cell: CellValue, how: How) -> str:
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


def _read_id(cell: CellValue, how: How) -> str:
    if isinstance(cell, dt.date | dt.time | dt.timedelta):
        raise Unreadable("id-is-date")
    if isinstance(cell, bool):
        raise Unreadable("id-is-yes-no")
    if isinstance(cell, str) and ";" in cell:
        raise Unreadable("id-several")
    return _shown(cell, how)


def _read_person(cell: CellValue, how: How) -> str:
    if isinstance(cell, str) and "\n" in cell.strip():
        raise Unreadable("id-several")
    return _read_id(cell, how)


text: Final = Kind[str]("text", "Any text.", "Fennelbridge Hall", _shown)
id_text: Final = Kind[str]("id", "A code or name, compared without case and outer spaces.", "s1", _read_id)
person: Final = Kind[str]("id", "A code of one person, not a name.", "p1", _read_person)
answer: Final = Kind[str]("answer", "A number of the question's scale, yes or no, or a number.", "4", _shown)


def _entries(cell: CellValue, how: How) -> list[str]:
    """The entries of a list cell, cleaned, without empty ones.

    Raises:
        Unreadable: `list-separator`, entries parted by something else than a semicolon.
    """
    if not isinstance(cell, str):
        return [_shown(cell, how)]
    parts = [part.strip() for part in visible(cell).split(";")]
    if any(sign in part for part in parts for sign in ",/\n\r|"):
        every = (clean(entry) for part in parts for entry in re.split(r"[,/|\n\r]+", part))
        raise Unreadable("list-separator", proposed="; ".join(entry for entry in every if entry))
    return [entry for entry in map(clean, parts) if entry]


def _read_texts(cell: CellValue, how: How) -> tuple[str, ...]:
    return tuple(_entries(cell, how))


texts: Final = Kind[tuple[str, ...]]("list", "Entries parted by semicolons.", "beans; pulses", _read_texts)


def _choose(cell: CellValue, how: How, options: Mapping[str, T]) -> T:
    shown = _shown(cell, how)
    key = fold(shown)
    if key in options:
        return options[key]
    raise Unreadable("choice-unknown", choices=_either([str(option) for option in dict.fromkeys(options.values())]))


def _either(options: list[str]) -> str:
    return ", ".join(options[:-1]) + f" or {options[-1]}" if len(options) > 1 else options[0]


def _choice(meaning: str, options: tuple[T, ...], also: Mapping[str, T] | None = None) -> Kind[T]:
    words = tuple(str(option) for option in options)
    known = {fold(word): option for word, option in zip(words, options, strict=True)} | dict(also or {})
    return Kind(_either(list(words)), meaning, words[0], lambda cell, how: _choose(cell, how, known), choices=words)


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
    code = _shown(cell, how).upper()
    if code in known_currencies():
        return Currency(code)
    raise Unreadable("currency-unknown", near=nearest(code, known_currencies(), 60) or "USD")


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
    return fold(ascii_numerals(_shown(cell, how).translate(_TICKS)))


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
    if _HEALTH.search(word):
        how.note("mark-about-health", seen="a word about health")  # which word is nobody's business further on
        return Mark("absent")
    raise Unreadable("mark-unknown")


mark: Final[Kind[Mark | None]] = Kind(
    "mark", "Present, absent, excused or kit only.", "present", _read_mark,
    ("present", "absent", "excused", "kit only"),
)  # fmt: skip

# --- numbers ---


def _refuse(cell: CellValue, how: How, code: str = "number-unreadable") -> NoReturn:
    """Say why a cell is no number, with what was probably meant where that can be told."""
    if isinstance(cell, dt.date):
        if isinstance(cell, dt.datetime) and cell.year < 1901:
            raise Unreadable(code)
        low, high = sorted((cell.month, cell.day))
        raise Unreadable("number-is-date", likely=f"{low}/{high}")
    if isinstance(cell, str) and re.fullmatch(r"[0-9]+,[0-9]+", clean(cell)) and not how.decimal_comma:
        raise Unreadable("number-comma", proposed=clean(cell).replace(",", "."))
    raise Unreadable(code)


def _numeral(cell: CellValue, how: How) -> Numeral | None:
    """A number or a range of two, with a note where it is not in a plain form; None where it is neither."""
    if isinstance(cell, bool) or cell is None:
        return None
    if isinstance(cell, int | float):
        return Numeral(exact(cell))
    if not isinstance(cell, str):
        return None
    found = number_or_range(ascii_numerals(clean(cell)), how.decimal_comma)
    if found is not None and not found.plain:
        how.read_as(mixed_or_decimal(found.value))
    return found


LARGEST: Final = 10**9
"""Of any number: more is a slip, and would fill papers and days that nobody has."""
_LARGEST_SUM: Final = 10**12
_SMALLEST: Final = Fraction(1, 10**6)
_MOST_DAYS: Final = 36_500
"""A hundred years: longer than food keeps."""


def _meant(value: Fraction, largest: int = LARGEST) -> Fraction:
    """The value, unless nobody can have meant so large or so small a number."""
    if abs(value) > largest:
        raise Unreadable("number-outside", large="large", range=f"up to {largest:,}")
    if 0 < abs(value) < _SMALLEST:
        raise Unreadable("number-outside", large="small", range=f"from {mixed_or_decimal(_SMALLEST)} up")
    return value


def _read_number(cell: CellValue, how: How) -> Fraction:
    found = _numeral(cell, how)
    return _refuse(cell, how) if found is None else _meant(found.value)


def _whole_up_to(largest: int) -> Callable[[CellValue, How], int]:
    def read(cell: CellValue, how: How) -> int:
        value = _meant(_read_number(cell, how), largest)
        if value.denominator != 1:
            raise Unreadable("number-not-whole")
        return value.numerator

    return read


number: Final = Kind[Fraction]("number", "A number: 2, 0.5, 1/2, 1 1/2.", "1 1/2", _read_number)
whole: Final = Kind[int]("whole number", "A number without a fraction.", "12", _whole_up_to(LARGEST), number_format="0")
days: Final = Kind[int]("days", "A whole number of days.", "2", _whole_up_to(_MOST_DAYS), number_format="0")


def _bare_percent(value: Fraction, how: How) -> Fraction:
    """A number without %: up to 1 a share, above it percent points."""
    part = value if value <= 1 else value / 100
    if value > 0:
        how.read_as(_percent_shown(part))
    return part


def _percent_shown(part: Fraction) -> str:
    return f"{mixed_or_decimal(part * 100)}%"


def _percent(cell: CellValue, how: How) -> tuple[Fraction, bool] | None:
    """The number of a cell and whether it wears a percent sign; None where there is no number."""
    if isinstance(cell, str):
        shown = ascii_numerals(clean(cell))
        signed = shown.endswith("%")
        found = one_number(shown.removesuffix("%").rstrip(), how.decimal_comma)
        if found is None or not found.plain:
            return None
        value = _meant(found.value)
        return (value / 100, True) if signed else (value, False)
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        return None
    return _meant(exact(cell)), "%" in how.number_format()


def _read_percent(cell: CellValue, how: How) -> Fraction:
    found = _percent(cell, how)
    if found is None:
        _refuse(cell, how, "percent-unreadable")
    value, signed = found
    return value if signed else _bare_percent(value, how)


def _read_share(cell: CellValue, how: How) -> Share:
    found = _percent(cell, how)
    if found is None:
        _refuse(cell, how, "share-unreadable")
    value, signed = found
    if value < 0 or (signed and value > 1):
        raise Unreadable("share-unreadable")
    if signed:
        return Share(of_all=value)
    if 0 < value < 1:
        return Share(of_all=_bare_percent(value, how))
    if value.denominator != 1:
        raise Unreadable("number-not-whole")
    return Share(number=value)


percent: Final = Kind[Fraction]("percent", "A percentage.", "75%", _read_percent, number_format="0%")
share_or_number: Final = Kind[Share]("percent or number", "A percentage, or a whole number.", "5%", _read_share)

_MONEY_SIGNS: Final = "$€£¥₹₩₪₦₱฿₺₴₫"


def _read_money(cell: CellValue, how: How) -> Money:
    own = how.currency
    if isinstance(cell, str):
        amount = _money_typed(clean(cell), how)
    elif isinstance(cell, bool) or not isinstance(cell, int | float):
        _refuse(cell, how, "money-unreadable")
    else:
        shown = re.sub(r"\[\$([^\]-]*)[^\]]*\]", r"\1", how.number_format())
        if any(sign in shown and sign != own.sign for sign in _MONEY_SIGNS):
            raise Unreadable("money-other-currency", currency=own.code)
        amount = exact(cell)
    if amount < 0:
        raise Unreadable("money-negative")
    money = own.exact(_meant(amount, _LARGEST_SUM))
    if money is None:
        raise Unreadable("money-decimals", decimals=str(own.decimals), currency=own.code)
    return money


_FOR_SEVERAL: Final = re.compile(rf"([0-9]+) ?(?:for|/) ?([^0-9A-Za-z./]?) ?({NUMBER})", re.IGNORECASE)
_BY_UNIT: Final = re.compile(
    rf"[^0-9A-Za-z./]? ?({NUMBER}) ?(?:(?:/ ?|per |a |an )[A-Za-z].*|each|ea\.?)", re.IGNORECASE
)


def _refuse_other_price(bare: str, how: How) -> None:
    """Refuse the price of several (`2 for 5`) or of a unit (`$3.49/lb`) with what a price is."""
    if (several := _FOR_SEVERAL.fullmatch(bare)) is not None and (several[2] or "/" not in bare):
        count, price = int(several[1]), one_number(several[3], how.decimal_comma)
        each = how.currency.exact(price.value / count) if price is not None and count else None
        typed = "what one pack costs" if each is None else f"{how.currency.plain(each)}, the price of one pack"
        raise Unreadable("money-of-several", count=str(count), proposed=typed)
    if "%" not in bare and _BY_UNIT.fullmatch(bare) is not None:
        raise Unreadable("money-by-unit")


def _money_typed(shown: str, how: How) -> Fraction:
    own = how.currency
    bare = ascii_numerals(shown)
    _refuse_other_price(bare, how)
    if bare.startswith("(") and bare.endswith(")"):
        raise Unreadable("money-negative")
    negative = "-" in bare and any(sign.isdigit() for sign in bare)
    bare = bare.replace("-", "", 1).strip() if negative else bare
    for mark_ in (own.code, own.sign):
        if bare.upper().startswith(mark_.upper()):
            bare = bare[len(mark_) :].strip()
            break
        if bare.upper().endswith(mark_.upper()):
            bare = bare[: -len(mark_)].strip()
            break
    found = one_number(bare, how.decimal_comma) if "/" not in bare else None
    if found is None:
        others = {code for code in known_currencies() if code != own.code}
        if any(sign in bare for sign in _MONEY_SIGNS) or others & set(re.findall(r"[A-Z]{3}", bare.upper())):
            raise Unreadable("money-other-currency", currency=own.code)
        _refuse(bare, how, "money-unreadable")
    if negative:
        raise Unreadable("money-negative")
    if not found.plain:
        how.read_as(mixed_or_decimal(found.value))
    return found.value


money: Final = Kind[Money]("money", "A sum in the currency of Settings.", "4.50", _read_money, number_format="#,##0.00")

# --- amounts ---

_WORDS: Final = r"[A-Za-z#][A-Za-z. ]*"
_ONE_UNIT: Final = re.compile(rf"({NUMBER}) ?({_WORDS}|#)")
_RANGE_UNIT: Final = re.compile(rf"({NUMBER} ?(?:-| to | or ) ?{NUMBER}) ?({_WORDS}|#)")
_TWO_UNITS: Final = re.compile(rf"({NUMBER}) ?({_WORDS}?|#),? ?(?:and |\+ ?)?({NUMBER}) ?({_WORDS})")
_IN_PACKS: Final = re.compile(rf"({NUMBER}) ?\( ?({NUMBER}) ?-? ?({_WORDS}) ?\) ?{_WORDS}")
_TIMES: Final = re.compile(rf"({NUMBER}) ?[xX×*] ?({NUMBER}) ?-? ?({_WORDS}|#)")
Notes = tuple[tuple[str, dict[str, str]], ...]
"""Codes and details of what was read with a note."""
_ABOUT: Final = re.compile(r"^(?:[~≈]|(?:about|approx(?:imately)?|ca|circa)\b\.?) ?", re.IGNORECASE)
_DIVIDED: Final = re.compile(r",? ?(?:\(divided\)|divided)$", re.IGNORECASE)
_UNMEASURED: Final = ("to taste", "as needed", "to serve", "for serving", "as desired")


def _amount(cell: CellValue, how: How) -> Amount:
    """An amount, maybe with its unit, whatever its sign."""
    if not isinstance(cell, str):
        found = _numeral(cell, how)
        return _refuse(cell, how, "amount-unreadable") if found is None else Amount(_meant(found.value))
    typed, notes = _amount_typed(cell, how.decimal_comma, how.measures)
    if typed.value is not None:
        _meant(typed.value)
    how.notes += notes
    return typed


@lru_cache(maxsize=4096)
def _amount_typed(cell: str, decimal_comma: bool, measures: MeasureSet) -> tuple[Amount, Notes]:
    """An amount typed as text, and the notes on it; kept, since the same few hundred stand in every workbook."""
    usual = usual_amount(cell, decimal_comma)
    if usual is None:
        return _amount_typed_otherwise(cell, decimal_comma, measures)
    value, unit_ = usual
    return (Amount(value), ()) if unit_ is None else _with_unit(value, unit_, cell)


def _amount_typed_otherwise(cell: str, decimal_comma: bool, measures: MeasureSet) -> tuple[Amount, Notes]:
    """An amount typed in any way that is accepted, and the notes on it."""
    how = How(decimal_comma=decimal_comma, measures=measures)
    found = _numeral(cell, how)
    if found is not None:
        return Amount(found.value, None, "" if found.plain else _shown(cell, how)), tuple(how.notes)
    if len(cell) > 120:
        _refuse(cell, how, "amount-unreadable")
    shown = _DIVIDED.sub("", _ABOUT.sub("", ascii_numerals(clean(cell))))
    roughly = number_or_range(shown, how.decimal_comma)
    if roughly is not None:
        how.read_as(mixed_or_decimal(roughly.value))
        return Amount(roughly.value, None, clean(cell)), tuple(how.notes)
    measured_ = _amount_with_unit(shown, how)
    if measured_ is None:
        _refuse_words(shown, how)
        _refuse(cell, how, "amount-unreadable")
    value, unit_ = measured_
    return _with_unit(value, unit_, clean(cell))


def _with_unit(value: Fraction, unit_: str, words: str) -> tuple[Amount, Notes]:
    """An amount that stands in one cell with its unit, and the note that says so."""
    shown = mixed(value)
    note = {"read": f"{shown} {plural(unit_, value)}", "amount": shown, "unit": unit_}
    return Amount(value, unit_, words), (("amount-with-unit", note),)


def _refuse_words(shown: str, how: How) -> None:
    """Refuse an amount among other words with what to type, where it holds one number and one only."""
    counted = re.sub(r"^an? ", "1 ", shown, flags=re.IGNORECASE)
    held = list(re.finditer(rf"{NUMBER}(?: ?(?:-|to|or) ?{NUMBER})?", counted))
    found = number_or_range(held[0][0], how.decimal_comma) if len(held) == 1 else None
    if found is None or found.value <= 0 or (rest := counted[held[0].end() :].split()) == []:
        return
    unit_ = unit_named(" ".join(rest[:2]).rstrip(",.")) or unit_named(rest[0].rstrip(",."))
    beside = f"{unit_} in the unit's column" if unit_ else "leave the unit blank"
    raise Unreadable("amount-with-words", amount=mixed_or_decimal(found.value), beside=beside)


def _amount_with_unit(shown: str, how: How) -> tuple[Fraction, str] | None:
    """`1 1/2 cups`, `3-4 cups`, `1 lb 4 oz` (in the smaller unit), `2 (15 oz) cans` and `6 x 400 g` (their
    whole content)."""

    def value(text_: str) -> Fraction | None:
        found = number_or_range(text_.strip(), how.decimal_comma)
        return None if found is None else found.value

    for pattern in (_ONE_UNIT, _RANGE_UNIT):
        if (parts := pattern.fullmatch(shown)) is not None:
            amount_, unit_ = value(parts[1]), unit_named(parts[2])
            if amount_ is not None and unit_ is not None:
                return amount_, unit_
    for pattern in (_IN_PACKS, _TIMES):
        if (parts := pattern.fullmatch(shown)) is not None:
            count, amount_, unit_ = value(parts[1]), value(parts[2]), unit_named(parts[3])
            if count is not None and amount_ is not None and unit_ is not None:
                return count * amount_, unit_
    if (parts := _TWO_UNITS.fullmatch(shown)) is not None:
        large, small = unit_named(parts[2].strip()), unit_named(parts[4])
        first, second = value(parts[1]), value(parts[3])
        if large and small and first is not None and second is not None and DIMENSION[large] == DIMENSION[small]:
            ratio = factors(how.measures)[large] / factors(how.measures)[small]
            if ratio > 1 and second < ratio:
                return first * ratio + second, small
    return None


def unit_inside(words: str, decimal_comma: bool) -> Quantity | None:
    """What one of the things in a pack holds, where an amount was typed so: 400 g of `6 x 400 g`."""
    shown = ascii_numerals(clean(words))
    for pattern in (_IN_PACKS, _TIMES):
        if (parts := pattern.fullmatch(shown)) is not None:
            size, named = number_or_range(parts[2].strip(), decimal_comma), unit_named(parts[3])
            if size is not None and named is not None:
                return Quantity(size.value, named)
    return None


def _read_amount(cell: CellValue, how: How) -> Amount:
    found = _amount(cell, how)
    if found.value is None or found.value.numerator <= 0:
        raise Unreadable("amount-not-positive")
    return found


def _read_amount_or_taste(cell: CellValue, how: How) -> Amount:
    if isinstance(cell, str) and fold(clean(cell)).removesuffix(".") in _UNMEASURED:
        return Amount(None, None, clean(cell))
    return _read_amount(cell, how)


def _read_amount_or_none_left(cell: CellValue, how: How) -> Amount:
    found = _amount(cell, how)
    if found.value is None or found.value < 0:
        raise Unreadable("amount-negative")
    return found


amount: Final = Kind[Amount]("amount", "An exact amount above 0: 2, 0.5, 1/2, 1 1/2.", "1 1/2", _read_amount)
amount_or_taste: Final = Kind[Amount](
    "amount", "An exact amount above 0, or `to taste`: listed, not bought.", "1 1/2", _read_amount_or_taste
)
amount_or_none_left: Final = Kind[Amount](
    "amount", "An exact amount; 0 where nothing is left.", "12 1/2", _read_amount_or_none_left
)


_SIZES: Final = (
    "small", "sm", "medium", "med", "large", "lg", "lrg", "extra large", "extra-large", "xl", "jumbo", "big", "whole",
)  # fmt: skip


def _read_unit(cell: CellValue, how: How) -> str:
    shown = _shown(cell, how)
    found = unit_named(shown)
    if found is not None:
        return found
    if re.match(r"(?:imp(?:erial)?|uk|british)\b\.?", shown, re.IGNORECASE):
        raise Unreadable("unit-imperial")
    if fold(shown).removesuffix(".") in _SIZES:
        raise Unreadable("unit-is-size")
    if (sized := _amount_with_unit(ascii_numerals(shown), How(decimal_comma=how.decimal_comma))) is not None:
        raise Unreadable("unit-with-amount", amount=mixed_or_decimal(sized[0]), unit=sized[1])
    near = unit_named(nearest(shown, unit_spellings(), 60))
    raise Unreadable("unit-unknown", near=near or "cup, tbsp, oz, g or each")


unit: Final[Kind[str]] = Kind(
    "unit", "A unit of weight or volume, or a word that counts pieces.", "cup", _read_unit, tuple(DIMENSION)
)

# --- days and hours ---

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
    for entry in _entries(cell, how):
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

# --- lists of the trade ---

_DISH: Final = re.compile(rf"(.*\S) [xX×] ?({NUMBER})")


def _dish(entry: str, how: How) -> Dish:
    parts = _DISH.fullmatch(entry) or _DISH.fullmatch(ascii_numerals(entry))
    if parts is None:
        return Dish(entry)
    times = one_number(parts[2], how.decimal_comma)
    if times is None or times.value <= 0:
        raise Unreadable("dish-times", entry=entry)
    return Dish(parts[1], _meant(times.value))


def _read_dishes(cell: CellValue, how: How) -> tuple[Dish, ...]:
    # A fraction such as `x1/2` holds a slash that parts nothing.
    if isinstance(cell, dt.date | dt.time | dt.timedelta):
        raise Unreadable("id-is-date")
    if isinstance(cell, str):
        hidden = re.sub(r"( [xX×] ?(?:[0-9]+[ -] ?)?[0-9]+) ?/ ?([0-9]+)", "\\1\u2044\\2", visible(cell))
        return tuple(_dish(entry.replace("\u2044", "/"), how) for entry in _entries(hidden, how))
    return (Dish(_read_id(cell, how)),)


dishes: Final = Kind[tuple[Dish, ...]](
    "list of recipes", "Recipes parted by semicolons; `soup x2` makes it twice.", "bean soup; fruit cups",
    _read_dishes,
)  # fmt: skip

_NOT_ASKED: Final = ("n/a", "n.a.", "na", "-", "--", "?", "??", "no")


def _read_needs(cell: CellValue, how: How) -> NeedAnswer:
    if not isinstance(cell, str):
        raise Unreadable("need-unreadable")
    if ascii_numerals(fold(clean(cell))) in _NOT_ASKED:
        return NeedAnswer(asked=False, written=clean(cell))
    entries = _entries(cell, how)
    needs_ = tuple(entry for entry in entries if fold(entry) != "none")
    if needs_ and len(needs_) < len(entries):
        raise Unreadable("none-beside-need", needs="; ".join(needs_))
    return NeedAnswer(asked=bool(entries), needs=needs_)


def _read_served_needs(cell: CellValue, how: How) -> tuple[str, ...]:
    if not isinstance(cell, str):
        raise Unreadable("need-unreadable")
    return tuple(_entries(cell, how))


def _read_instead(cell: CellValue, how: How) -> str | None:
    shown = _read_id(cell, how)
    return None if fold(shown) in ("leave out", "leave-out") else shown


needs: Final = Kind[NeedAnswer](
    "list of needs", "`no` and an allergen, an ingredient or a tag; vegetarian; vegan; or none.",
    "no egg; no pork", _read_needs,
)  # fmt: skip
served_needs: Final = Kind[tuple[str, ...]](
    "list of needs", "A need, as in Enrolment; several where a food offends against them together.", "no egg",
    _read_served_needs,
)  # fmt: skip
instead: Final = Kind[str | None]("ingredient or `leave out`", "What the kit gets.", "leave out", _read_instead)


def _read_allergens(cell: CellValue, how: How) -> tuple[str, ...]:
    found: dict[str, None] = {}
    entries = _entries(cell, how)
    if [fold(entry) for entry in entries] in (["none"], ["-"]):
        return ()
    for entry in entries:
        named = allergens_contained(entry)
        if named is None:
            raise Unreadable("allergen-unknown", entry=entry, near=nearest(entry, allergen_words(), 55) or "milk")
        found |= dict.fromkeys(named)
    return tuple(found)


allergens: Final = Kind[tuple[str, ...]](
    "list of allergens", "Allergens in the food, parted by semicolons.", "milk; wheat", _read_allergens
)


def _read_pieces(cell: CellValue, how: How) -> tuple[tuple[str, Fraction], ...]:
    found: dict[str, Fraction] = {}
    for entry in _entries(cell, how):
        parts = re.fullmatch(r"([^0-9=]+?) ?=? ?([0-9][0-9 /.,]*) ?(?:g|grams?)", entry, re.IGNORECASE)
        word = None if parts is None else unit_named(parts[1])
        weight = None if parts is None else one_number(ascii_numerals(parts[2].strip()), how.decimal_comma)
        if word is None or DIMENSION[word] != "count" or weight is None or not weight.plain or weight.value <= 0:
            raise Unreadable("piece-unreadable", entry=entry)
        found[word] = _meant(weight.value)
    return tuple(found.items())


pieces: Final = Kind[tuple[tuple[str, Fraction], ...]](
    "list of pieces", "Count words, each with the grams of one as bought.", "head 60 g; bunch 40 g", _read_pieces
)


_SHARES_ALONE: Final = re.compile(r"[0-9.]+ ?%?(?: ?[/,:;-] ?[0-9.]+ ?%?)+")


def _read_funder_shares(cell: CellValue, how: How) -> tuple[FunderShare, ...]:
    # A share such as `33 1/3%` holds a slash that parts nothing.
    if isinstance(cell, str) and _SHARES_ALONE.fullmatch(clean(cell)):
        raise Unreadable("funder-share-unreadable", entry=clean(cell))
    typed = re.sub(r"([0-9]) ?/ ?([0-9]+ ?%)", "\\1\u2044\\2", visible(cell)) if isinstance(cell, str) else cell
    return tuple(_funder_share(entry.replace("\u2044", "/"), how) for entry in _entries(typed, how))


def _funder_share(entry: str, how: How) -> FunderShare:
    parts = re.fullmatch(r"([^%]*?)[ :]+([0-9][0-9 /.,]*) ?%", entry)
    if parts is None:
        if "%" in entry:
            raise Unreadable("funder-share-unreadable", entry=entry)
        return FunderShare(entry, None)
    part = one_number(ascii_numerals(parts[2].strip()), how.decimal_comma)
    if part is None or not part.plain or not parts[1]:
        raise Unreadable("funder-share-unreadable", entry=entry)
    return FunderShare(parts[1], _meant(part.value) / 100)


funder_shares: Final = Kind[tuple[FunderShare, ...]](
    "list of funders", "Who pays; several with shares that total 100%.", "Larkmere 60%; Brackenlow 40%",
    _read_funder_shares,
)  # fmt: skip


def all_kinds() -> Iterable[Kind[object]]:
    """Every kind, in the order of this file."""
    return [value for value in globals().values() if isinstance(value, Kind)]
