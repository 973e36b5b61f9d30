"""Lists of the trade: dishes, needs, allergens, pieces, who pays."""

import datetime as dt
import re
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from opsreport.kinds.base import CellValue, How, Kind, Unreadable, entries_of
from opsreport.kinds.numbers import meant
from opsreport.kinds.words import read_id
from opsreport.measures.numerals import NUMBER, ascii_numerals
from opsreport.measures.numerals import number as one_number
from opsreport.measures.units import DIMENSION, unit_named
from opsreport.words import allergen_words, allergens_contained, clean, fold, nearest, visible


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
class FunderShare:
    """A funder of a group and the part it pays, 0 to 1; None where no percentage stands."""

    funder: str
    part: Fraction | None


_DISH: Final = re.compile(rf"(.*\S) [xX×] ?({NUMBER})")


def _dish(entry: str, how: How) -> Dish:
    parts = _DISH.fullmatch(entry) or _DISH.fullmatch(ascii_numerals(entry))
    if parts is None:
        return Dish(entry)
    times = one_number(parts[2], how.decimal_comma)
    if times is None or times.value <= 0:
        raise Unreadable("dish-times", entry=entry)
    return Dish(parts[1], meant(times.value))


def _read_dishes(cell: CellValue, how: How) -> tuple[Dish, ...]:
    # A fraction such as `x1/2` holds a slash that parts nothing.
    if isinstance(cell, dt.date | dt.time | dt.timedelta):
        raise Unreadable("id-is-date")
    if isinstance(cell, str):
        hidden = re.sub(r"( [xX×] ?(?:[0-9]+[ -] ?)?[0-9]+) ?/ ?([0-9]+)", "\\1\u2044\\2", visible(cell))
        return tuple(_dish(entry.replace("\u2044", "/"), how) for entry in entries_of(hidden, how))
    return (Dish(read_id(cell, how)),)


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
    entries = entries_of(cell, how)
    needs_ = tuple(entry for entry in entries if fold(entry) != "none")
    if needs_ and len(needs_) < len(entries):
        raise Unreadable("none-beside-need", needs="; ".join(needs_))
    return NeedAnswer(asked=bool(entries), needs=needs_)


def _read_served_needs(cell: CellValue, how: How) -> tuple[str, ...]:
    if not isinstance(cell, str):
        raise Unreadable("need-unreadable")
    return tuple(entries_of(cell, how))


def _read_instead(cell: CellValue, how: How) -> str | None:
    shown = read_id(cell, how)
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
    entries = entries_of(cell, how)
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
    for entry in entries_of(cell, how):
        parts = re.fullmatch(r"([^0-9=]+?) ?=? ?([0-9][0-9 /.,]*) ?(?:g|grams?)", entry, re.IGNORECASE)
        word = None if parts is None else unit_named(parts[1])
        weight = None if parts is None else one_number(ascii_numerals(parts[2].strip()), how.decimal_comma)
        if word is None or DIMENSION[word] != "count" or weight is None or not weight.plain or weight.value <= 0:
            raise Unreadable("piece-unreadable", entry=entry)
        found[word] = meant(weight.value)
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
    return tuple(_funder_share(entry.replace("\u2044", "/"), how) for entry in entries_of(typed, how))


def _funder_share(entry: str, how: How) -> FunderShare:
    parts = re.fullmatch(r"([^%]*?)[ :]+([0-9][0-9 /.,]*) ?%", entry)
    if parts is None:
        if "%" in entry:
            raise Unreadable("funder-share-unreadable", entry=entry)
        return FunderShare(entry, None)
    part = one_number(ascii_numerals(parts[2].strip()), how.decimal_comma)
    if part is None or not part.plain or not parts[1]:
        raise Unreadable("funder-share-unreadable", entry=entry)
    return FunderShare(parts[1], meant(part.value) / 100)


funder_shares: Final = Kind[tuple[FunderShare, ...]](
    "list of funders", "Who pays; several with shares that total 100%.", "Larkmere 60%; Brackenlow 40%",
    _read_funder_shares,
)  # fmt: skip
