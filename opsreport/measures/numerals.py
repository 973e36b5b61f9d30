"""Numbers as people write them in cells, read exactly: `1 1/2`, `½`, `1,200`, `3-4`; what a float means."""

import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

LARGEST_DENOMINATOR: Final = 96
"""Of a fraction that a long decimal may stand for: thirds and sixteenths of a kitchen, and their halves."""
_LONG: Final = 13  # significant digits from which a decimal may be the result of a division
_LONGEST: Final = 40  # characters of one number

_DECIMAL: Final = re.compile(r"[0-9]+(?:\.[0-9]+)?|\.[0-9]+")
_COMMA: Final = re.compile(r"([0-9]+),([0-9]+)")
_FRACTION: Final = re.compile(r"([0-9]+)/([0-9]+)")
_MIXED: Final = re.compile(r"([0-9]+)(?: |- ?)([0-9]+)/([0-9]+)")
_GROUPED: Final = re.compile(r"[1-9][0-9]{0,2}(?:,[0-9]{3})+(?:\.[0-9]+)?")
_GROUPED_BY_POINT: Final = re.compile(r"[1-9][0-9]{0,2}(?:\.[0-9]{3})+(?:,[0-9]+)?")
NUMBER: Final = r"(?:[0-9]+(?: |- ?)[0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:,[0-9]+)*(?:\.[0-9]+)?|\.[0-9]+)"
"""The look of one number inside a longer text; `number` says what it is."""
_RANGE: Final = re.compile(rf"({NUMBER}) ?(?:-| to | or ) ?({NUMBER})")


@dataclass(frozen=True, slots=True)
class Numeral:
    """A number read from text; plain: in one of the forms that need no note."""

    value: Fraction
    plain: bool = True


def exact(value: float) -> Fraction:
    """What a cell's binary number stands for: its 15 significant digits, or the fraction that they cut off.

    A result of =1/3 comes as 0.333333333333333: that is 1/3 where a denominator up to 96 gives the same
    number to double precision.
    """
    if isinstance(value, int):
        return Fraction(value)
    shown = format(value, ".15g")
    digits = shown.partition("e")[0].replace(".", "").replace("-", "").lstrip("0")
    if len(digits) >= _LONG:
        near = Fraction(value).limit_denominator(LARGEST_DENOMINATOR)
        if near and format(float(near), ".15g") == shown:
            return near
    return Fraction(shown)


def ascii_numerals(text: str) -> str:
    """The text with every script's digits, vulgar fractions, dashes and slashes in their plain form."""
    if text.isascii():
        return text
    plain: list[str] = []
    for sign in text:
        if sign.isascii():
            plain.append(sign)
        elif (digit := unicodedata.decimal(sign, None)) is not None:
            plain.append(str(digit))
        elif unicodedata.decomposition(sign).startswith("<fraction>"):
            plain.append(" " + unicodedata.normalize("NFKC", sign).replace("⁄", "/") + " ")
        elif sign in "⁄∕":
            plain.append("/")
        elif sign in "‐‑‒–—−":
            plain.append("-")
        elif "！" <= sign <= "～":
            plain.append(chr(ord(sign) - 0xFEE0))
        else:
            plain.append(sign)
    return " ".join("".join(plain).split())


def number(text: str, decimal_comma: bool) -> Numeral | None:
    """One number, or None where the text is none. The text is cleaned and in plain signs."""
    if len(text) > _LONGEST:
        return None
    bare = re.sub(r" ?/ ?", "/", text)
    sign = -1 if bare.startswith("-") else 1
    if sign < 0:
        bare = bare[1:].lstrip()
    found = _unsigned(bare, decimal_comma)
    return None if found is None else Numeral(sign * found.value, found.plain)


def _unsigned(bare: str, decimal_comma: bool) -> Numeral | None:
    if decimal_comma:
        if _GROUPED_BY_POINT.fullmatch(bare) and "," in bare:
            return Numeral(Fraction(bare.replace(".", "").replace(",", ".")), plain=False)
        if _GROUPED_BY_POINT.fullmatch(bare):
            return None  # 1.200: a thousand and more, or 1.2?
        if (comma := _COMMA.fullmatch(bare)) is not None:
            looks_grouped = _GROUPED.fullmatch(bare) is not None
            return Numeral(Fraction(f"{comma[1]}.{comma[2]}"), plain=not looks_grouped)
    if _DECIMAL.fullmatch(bare):
        return Numeral(Fraction(bare))
    if (parts := _FRACTION.fullmatch(bare)) is not None and int(parts[2]):
        return Numeral(Fraction(int(parts[1]), int(parts[2])))
    if (parts := _MIXED.fullmatch(bare)) is not None and int(parts[2]) < int(parts[3]):
        return Numeral(int(parts[1]) + Fraction(int(parts[2]), int(parts[3])))
    if _GROUPED.fullmatch(bare) and not decimal_comma:
        return Numeral(Fraction(bare.replace(",", "")), plain=False)
    return None


def number_or_range(text: str, decimal_comma: bool) -> Numeral | None:
    """One number, or the upper of two: `3-4`, `3 to 4`."""
    one = number(text, decimal_comma)
    if one is not None or len(text) > 2 * _LONGEST:
        return one
    two = _RANGE.fullmatch(re.sub(r" ?/ ?", "/", text))
    if two is None:
        return None
    low, high = number(two[1], decimal_comma), number(two[2], decimal_comma)
    if low is None or high is None or low.value >= high.value:
        return None
    return Numeral(high.value, plain=False)


def holds_range(text: str) -> bool:
    """Whether a range of two numbers stands in a text: `3-4 cloves`; a mixed number such as `1-1/2` is none."""
    written = ascii_numerals(text)
    return any(
        (found := number_or_range(match[0], decimal_comma)) is not None and not found.plain
        for match in _RANGE.finditer(written)
        for decimal_comma in (False, True)
    )
