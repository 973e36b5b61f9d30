"""Numbers, percentages, money."""

import datetime as dt
import re
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, NoReturn

from opsreport.kinds.base import CellValue, How, Kind, Unreadable, mixed_or_decimal
from opsreport.measures.numerals import NUMBER, Numeral, ascii_numerals, exact, number_or_range
from opsreport.measures.numerals import number as one_number
from opsreport.money import Currency, Money, known_currencies
from opsreport.words import clean


@dataclass(frozen=True, slots=True)
class Share:
    """A percentage (`of_all`, 0 to 1) or a plain number (`number`): spare kits, completion."""

    of_all: Fraction | None = None
    number: Fraction | None = None


def refuse(cell: CellValue, how: How, code: str = "number-unreadable") -> NoReturn:
    """Say why a cell is no number, with what was probably meant where that can be told."""
    if isinstance(cell, dt.date):
        if isinstance(cell, dt.datetime) and cell.year < 1901:
            raise Unreadable(code)
        low, high = sorted((cell.month, cell.day))
        raise Unreadable("number-is-date", likely=f"{low}/{high}")
    if isinstance(cell, str) and re.fullmatch(r"[0-9]+,[0-9]+", clean(cell)) and not how.decimal_comma:
        raise Unreadable("number-comma", proposed=clean(cell).replace(",", "."))
    raise Unreadable(code)


def numeral(cell: CellValue, how: How) -> Numeral | None:
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


def meant(value: Fraction, largest: int = LARGEST) -> Fraction:
    """The value, unless nobody can have meant so large or so small a number."""
    if abs(value) > largest:
        raise Unreadable("number-outside", large="large", range=f"up to {largest:,}")
    if 0 < abs(value) < _SMALLEST:
        raise Unreadable("number-outside", large="small", range=f"from {mixed_or_decimal(_SMALLEST)} up")
    return value


def _read_number(cell: CellValue, how: How) -> Fraction:
    found = numeral(cell, how)
    return refuse(cell, how) if found is None else meant(found.value)


def _whole_up_to(largest: int) -> Callable[[CellValue, How], int]:
    def read(cell: CellValue, how: How) -> int:
        value = meant(_read_number(cell, how), largest)
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
        value = meant(found.value)
        return (value / 100, True) if signed else (value, False)
    if isinstance(cell, bool) or not isinstance(cell, int | float):
        return None
    return meant(exact(cell)), "%" in how.number_format()


def _read_percent(cell: CellValue, how: How) -> Fraction:
    found = _percent(cell, how)
    if found is None:
        refuse(cell, how, "percent-unreadable")
    value, signed = found
    return value if signed else _bare_percent(value, how)


def _read_share(cell: CellValue, how: How) -> Share:
    found = _percent(cell, how)
    if found is None:
        refuse(cell, how, "share-unreadable")
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
        raise Unreadable("money-unreadable")
    else:
        shown = re.sub(r"\[\$([^\]-]*)[^\]]*\]", r"\1", how.number_format())
        if _names_another(shown if own.sign.isalpha() else shown.replace(own.sign, ""), own):
            raise Unreadable("money-other-currency", currency=own.code)
        amount = exact(cell)
    if amount < 0:
        raise Unreadable("money-negative")
    money = own.exact(meant(amount, _LARGEST_SUM))
    if money is None:
        raise Unreadable("money-decimals", decimals=str(own.decimals), currency=own.code)
    return money


def _names_another(text: str, own: Currency) -> bool:
    """Whether a sign or code of another currency than `own` stands in a text."""
    codes = set(re.findall(r"[A-Z]{3}", text)) - {own.code}
    return any(sign in text for sign in _MONEY_SIGNS) or any(code in known_currencies() for code in codes)


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
    for mark_ in own.marks:
        if bare.upper().startswith(mark_.upper()):
            bare = bare[len(mark_) :].strip()
            break
        if bare.upper().endswith(mark_.upper()):
            bare = bare[: -len(mark_)].strip()
            break
    found = one_number(bare, how.decimal_comma) if "/" not in bare else None
    if found is None:
        if _names_another(bare.upper(), own):
            raise Unreadable("money-other-currency", currency=own.code)
        refuse(bare, how, "money-unreadable")
    if negative:
        raise Unreadable("money-negative")
    if not found.plain:
        how.read_as(mixed_or_decimal(found.value))
    return found.value


money: Final = Kind[Money]("money", "A sum in the currency of Settings.", "4.50", _read_money, number_format="#,##0.00")
