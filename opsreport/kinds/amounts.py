"""Amounts and units as recipes and price lists write them."""

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Final

from opsreport.kinds.base import CellValue, How, Kind, Unreadable, mixed_or_decimal, text_of
from opsreport.kinds.numbers import meant, numeral, refuse
from opsreport.measures.numerals import NUMBER, ascii_numerals, number_or_range
from opsreport.measures.units import DIMENSION, MeasureSet, Quantity, factors, mixed, plural, unit_named, unit_spellings
from opsreport.measures.usual_amounts import usual_amount
from opsreport.words import clean, fold, nearest


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount as written: its value (None: not bought, as `to taste`), the unit named beside it in the
    same cell (a key of units.DIMENSION, or None) and the words as typed, where they say more than the
    value (`3-4`, `to taste`), else ''."""

    value: Fraction | None
    unit: str | None = None
    words: str = ""


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
        found = numeral(cell, how)
        return refuse(cell, how, "amount-unreadable") if found is None else Amount(meant(found.value))
    typed, notes = amount_typed(cell, how.decimal_comma, how.measures)
    if typed.value is not None:
        meant(typed.value)
    how.notes += notes
    return typed


@lru_cache(maxsize=4096)
def amount_typed(cell: str, decimal_comma: bool, measures: MeasureSet) -> tuple[Amount, Notes]:
    """An amount typed as text, and the notes on it; kept, since the same few hundred stand in every workbook."""
    usual = usual_amount(cell, decimal_comma)
    if usual is None:
        return amount_typed_otherwise(cell, decimal_comma, measures)
    value, unit_ = usual
    return (Amount(value), ()) if unit_ is None else _with_unit(value, unit_, cell)


def amount_typed_otherwise(cell: str, decimal_comma: bool, measures: MeasureSet) -> tuple[Amount, Notes]:
    """An amount typed in any way that is accepted, and the notes on it."""
    how = How(decimal_comma=decimal_comma, measures=measures)
    found = numeral(cell, how)
    if found is not None:
        return Amount(found.value, None, "" if found.plain else text_of(cell, how)), tuple(how.notes)
    if len(cell) > 120:
        refuse(cell, how, "amount-unreadable")
    shown = _DIVIDED.sub("", _ABOUT.sub("", ascii_numerals(clean(cell))))
    roughly = number_or_range(shown, how.decimal_comma)
    if roughly is not None:
        how.read_as(mixed_or_decimal(roughly.value))
        return Amount(roughly.value, None, clean(cell)), tuple(how.notes)
    measured_ = _amount_with_unit(shown, how)
    if measured_ is None:
        _refuse_words(shown, how)
        refuse(cell, how, "amount-unreadable")
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
    shown = text_of(cell, how)
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
