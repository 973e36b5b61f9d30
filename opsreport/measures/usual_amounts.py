"""The usual ways of writing an amount, read in one step: `2`, `0.5`, `1 1/2 cups`, `¾ tsp`, `400g`.

A short cut and nothing else: what it reads, the longer way of `kinds/` reads alike (a test holds the two together),
and what it does not know, or would have to judge, it leaves to that.
"""

import re
from fractions import Fraction
from typing import Final

from opsreport.measures.units import unit_named

_VULGAR: Final = {
    "½": (1, 2), "⅓": (1, 3), "⅔": (2, 3), "¼": (1, 4), "¾": (3, 4), "⅕": (1, 5), "⅖": (2, 5), "⅗": (3, 5),
    "⅘": (4, 5), "⅙": (1, 6), "⅚": (5, 6), "⅛": (1, 8), "⅜": (3, 8), "⅝": (5, 8), "⅞": (7, 8),
}  # fmt: skip
_TENS: Final = tuple(10**places for places in range(7))
_UNIT: Final = r"(?: ?([A-Za-z#]+\.?(?: [A-Za-z]+\.?)*))?"
_DECIMAL: Final = re.compile(rf"([0-9]{{1,9}})(?:\.([0-9]{{1,6}}))?{_UNIT}")
_FRACTION: Final = re.compile(rf"(?:([0-9]{{1,9}})[ -])?([0-9]{{1,3}})/([0-9]{{1,3}}){_UNIT}")
_SIGNED: Final = re.compile(rf"(?:([0-9]{{1,9}}) ?)?([{''.join(_VULGAR)}]){_UNIT}")


def usual_amount(cell: str, decimal_comma: bool) -> tuple[Fraction, str | None] | None:
    """The number and the unit (a key of units.DIMENSION, None where none stands there), or None: read it the long way.

    Args:
        cell: as typed. Only text without a space too many is read here.
        decimal_comma: a point may then part thousands, so a number with one is left alone.
    """
    found = _decimal(cell, decimal_comma) if cell.isascii() and "/" not in cell else _fraction(cell)
    if found is None:
        return None
    value, named = found
    if named is None:
        return value, None
    unit = unit_named(named)
    return None if unit is None else (value, unit)


def _decimal(cell: str, decimal_comma: bool) -> tuple[Fraction, str | None] | None:
    parts = _DECIMAL.fullmatch(cell)
    if parts is None:
        return None
    whole, decimals, named = parts.groups()
    if decimals is None:
        return Fraction(int(whole)), named
    return None if decimal_comma else (Fraction(int(whole + decimals), _TENS[len(decimals)]), named)


def _fraction(cell: str) -> tuple[Fraction, str | None] | None:
    parts = _FRACTION.fullmatch(cell)
    if parts is not None:
        whole, above, below, named = parts.groups()
        top, bottom = int(above), int(below)
    else:
        parts = _SIGNED.fullmatch(cell)
        if parts is None:
            return None
        whole, sign, named = parts.groups()
        top, bottom = _VULGAR[sign]
    if not bottom or (whole is not None and top >= bottom):
        return None
    return Fraction(int(whole or 0) * bottom + top, bottom), named
