"""Amounts as people read them at a desk, in a shop and in a kitchen; the exact amount stands beside each."""

from fractions import Fraction
from typing import Final

from opsreport.foods import Food
from opsreport.measures.kitchen import OUNCES_USED, enough_words
from opsreport.measures.units import MeasureSet, Quantity, factors, plural, up_to_whole
from opsreport.shown import amount_words as amount_words
from opsreport.shown import decimal_words

MOST_PIECES: Final = 100
"""More of a thing than this nobody counts in a shop: sprigs, peas."""
_FRACTIONS_READ_BEST: Final = frozenset({"cup", "tbsp", "tsp", "pt", "qt", "gal"})


def pack_words(size: Quantity, words: str = "") -> str:
    """A pack's size: `5 lb`, `14.5 oz`, `1/2 gal`, `1 bunch`; `words`, as typed, where they say more."""
    if words:
        return words
    exact_in_decimals = (size.amount * 1000).denominator == 1
    if size.unit in _FRACTIONS_READ_BEST or not exact_in_decimals:
        return str(size)
    return f"{decimal_words(size.amount)} {plural(size.unit, size.amount)}"


def larger_words(amount: Fraction, unit: str, measures: MeasureSet) -> str:
    """A large amount over again: `1.25 kg (≈ 2.76 lb)`; '' for what reads well in its base unit."""
    if unit not in ("g", "mL") or amount < 1000:
        return ""
    metric, pounds = ("kg", "lb") if unit == "g" else ("L", "qt")
    words = f"{decimal_words(amount / 1000, 2)} {metric}"
    if measures in OUNCES_USED:
        words += f" ({decimal_words(amount / factors(measures)[pounds], 2)} {pounds})"
    return words


def shop_words(amount: Fraction, unit: str, measures: MeasureSet) -> str:
    """An amount as shops write it, rounded up so that it is enough: `2.8 lb`, `1.25 kg`, `6 each`."""
    if unit == "each":
        return f"{up_to_whole(amount)} each"
    sizes = factors(measures)
    if measures in OUNCES_USED:
        large, small = ("lb", "oz") if unit == "g" else ("qt", "fl oz")
        if amount >= sizes[large]:
            return f"{_up(amount / sizes[large], 10)} {large}"
        return f"{_up(amount / sizes[small], 2)} {small}"
    if amount >= 1000:
        return f"{_up(amount / 1000, 100)} {'kg' if unit == 'g' else 'L'}"
    return f"{_up(amount, 1)} {unit}"


def in_kitchen_words(food: Food, amount: Fraction, unit: str, measures: MeasureSet) -> str:
    """About how many pieces or cups an amount as bought is, rounded up; '' where no figure says so.

    A weight becomes cups only where nothing is trimmed off: a cup's weight is of what is prepared.
    """
    if unit == "each":
        return ""
    grams_each = food.bridge.grams_each
    if unit == "g" and grams_each and (food.state == "whole" or not food.bridge.grams_per_ml):
        pieces = up_to_whole(amount / grams_each)
        size = f", each: {food.each_is}" if food.each_is else ""
        if pieces <= MOST_PIECES:
            return f"about {pieces} {'piece' if pieces == 1 else 'pieces'}{size}"
    if unit == "mL":
        return enough_words(amount, measures)
    figure = food.bridge.figure_for("cup")
    if figure is None or food.edible_share != 1:
        return ""
    return f"about {enough_words(amount / food.bridge.grams_per_ml[figure], measures)}"


def _up(amount: Fraction, parts: int) -> str:
    """Rounded up to a multiple of 1/parts, with a point."""
    return decimal_words(up_to_whole(amount * parts) / parts)
