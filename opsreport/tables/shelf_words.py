"""Amounts of food in words: what stands on a shelf, what to fetch from it, what was bought."""

from fractions import Fraction

from opsreport.measures.kitchen import OUNCES_USED, pounds_words
from opsreport.measures.units import MeasureSet
from opsreport.programme import Programme
from opsreport.shown import decimal_words


def rounded_words(amount: Fraction, unit: str) -> str:
    """An amount as a kitchen scale or jug shows it: kg and L from 1000, by 5 g or mL from 100, whole ones from 10, else
    a decimal; an exact whole amount stays as it is."""
    if unit in ("g", "mL") and amount >= 1000:
        return f"{decimal_words(amount / 1000, 2)} {'kg' if unit == 'g' else 'L'}"
    if unit == "each":
        return decimal_words(amount, 2)
    if amount < 10 or amount.denominator == 1:
        return f"{decimal_words(amount, 1)} {unit}"
    step = 1 if amount < 100 else 5
    return f"≈ {(2 * amount + step) // (2 * step) * step} {unit}"


def bought_words(amount: Fraction, unit: str, measures: MeasureSet) -> str:
    """A base amount for people: `1.2 kg (≈ 2 lb 10 oz)` with US measures, `1.2 kg` with others."""
    words = rounded_words(amount, unit)
    pounds = pounds_words(amount, measures) if unit == "g" and measures in OUNCES_USED else ""
    return f"{words} ({pounds})" if pounds else words


def to_take_words(programme: Programme, food_name: str, amount: Fraction) -> str:
    """A base amount for the shelf: first in whole pieces, as many as are enough, where the food comes in pieces."""
    unit = programme.base_units[food_name]
    words = bought_words(amount, unit, programme.measures)
    piece = programme.pieces.get(food_name)
    if piece is None:
        return words
    return piece.to_fetch(amount) if unit == "each" else f"{piece.to_fetch(amount)}, {words}"


def there_words(programme: Programme, food_name: str, amount: Fraction) -> str:
    """A base amount that stands on a shelf: `30 cans (12.3 kg)`, `≈ 7 pieces (1.5 kg)`, `2.3 kg (≈ 5 lb)`."""
    unit = programme.base_units[food_name]
    piece = programme.pieces.get(food_name)
    if piece is None or 0 < amount < piece.base:
        return bought_words(amount, unit, programme.measures)
    if not amount:
        return "0"
    return piece.there(amount) if unit == "each" else f"{piece.there(amount)} ({rounded_words(amount, unit)})"


def to_fetch_words(programme: Programme, food_name: str, amount: Fraction) -> str:
    """The same in few words, the exact grams standing beside it: `22 pieces, ≈ 8 lb 15 oz`."""
    pounds = pounds_words(amount, programme.measures) if programme.base_units[food_name] == "g" else ""
    if not pounds or programme.measures not in OUNCES_USED:
        return to_take_words(programme, food_name, amount)
    piece = programme.pieces.get(food_name)
    return pounds if piece is None else f"{piece.to_fetch(amount)}, {pounds}"
