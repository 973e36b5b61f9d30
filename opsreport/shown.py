"""How days, shares and amounts are written for people: the same words in findings and documents."""

import datetime as dt
from fractions import Fraction
from functools import lru_cache
from typing import Final

from opsreport.units import MeasureSet, Quantity, factors, mixed, plural


def day_words(day: dt.date) -> str:
    """`Tue 24 Nov 2026`: the same in every document and on every machine."""
    names = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    return f"{names[day.weekday()]} {day.day} {months[day.month - 1]} {day.year}"


def share_words(share: Fraction | float) -> str:
    """`87%` of a share 0 to 1, whole percent, half up."""
    exact = Fraction(share) * 100
    return f"{(2 * exact.numerator + exact.denominator) // (2 * exact.denominator)}%"


def decimal_words(amount: Fraction, places: int = 3) -> str:
    """An exact amount with at most `places` decimals, `≈` before it where that is not all of it."""
    scaled = amount * 10**places
    rounded = (2 * scaled.numerator + scaled.denominator) // (2 * scaled.denominator)
    whole, rest = divmod(abs(rounded), 10**places)
    digits = f"{rest:0{places}d}".rstrip("0") if places else ""
    text = f"{'-' if rounded < 0 else ''}{whole:,}" + (f".{digits}" if digits else "")
    return text if scaled.denominator == 1 else f"≈ {text}"


_KITCHEN_PARTS: Final = (1, 2, 3, 4, 6, 8)
"""Parts of a cup or spoon that a kitchen measures."""


@lru_cache(maxsize=10_000)
def kitchen_words(quantity: Quantity, measures: MeasureSet | None = None) -> str:
    """An amount as a kitchen writes it: `2/3 cup`, `1 1/2 tsp`, `3 cloves`, `1.25 kg`, `≈ 3/8 cup`.

    Halves, thirds, quarters, sixths and eighths are written exactly, anything else is the nearest of
    them with `≈`. Metric amounts are decimals, kg and L from 1000 on.

    Args:
        measures: how large the cups and spoons are. Given, an amount may move to a cup or spoon that
            holds it better: 24 tsp is `1/2 cup`, 1/16 cup is `1 tbsp`.
    """
    amount, unit = quantity.amount, quantity.unit
    if unit in _METRIC:
        return _metric_words(amount, unit)
    if unit == "each":
        return _parts_words(amount, "")
    if measures is not None:
        amount, unit = _best_measure(quantity, measures)
    return _parts_words(amount, unit)


_METRIC: Final = {"g": "kg", "mL": "L", "kg": "", "L": ""}
"""Metric units and the larger one that takes over from 1000."""
_SPOONS: Final[tuple[tuple[str, Fraction, tuple[int, ...]], ...]] = (
    ("cup", Fraction(1, 4), (1, 2, 3, 4)),
    ("tbsp", Fraction(1), (1, 2)),
    ("tsp", Fraction(0), _KITCHEN_PARTS),
)
"""Measures from the largest: its name, the least amount written in it, the parts it is filled to."""


def _metric_words(amount: Fraction, unit: str) -> str:
    larger = _METRIC[unit]
    if larger and amount >= 1000:
        return f"{decimal_words(amount / 1000)} {larger}"
    return f"{decimal_words(amount)} {unit}"


def _nearest_part(amount: Fraction, parts: tuple[int, ...] = _KITCHEN_PARTS) -> Fraction:
    """The nearest amount in such parts; of two equally near the one in fewer parts."""
    if amount.denominator in parts:
        return amount
    return min((Fraction(round(amount * part), part) for part in parts), key=lambda near: abs(near - amount))


def _parts_words(amount: Fraction, unit: str) -> str:
    near = _nearest_part(amount)
    if not near and amount > 0:
        return f"less than 1/8 {unit}".rstrip()
    words = f"{mixed(near)} {plural(unit, near) if unit else ''}".rstrip()
    return words if near == amount else f"≈ {words}"


def _best_measure(quantity: Quantity, measures: MeasureSet) -> tuple[Fraction, str]:
    """Cup, tablespoon or teaspoon: the largest that holds the amount exactly (its own in any part); else the
    largest whose nearest part is within a fiftieth; else the one that comes nearest."""
    sizes = factors(measures)
    if quantity.unit not in {unit for unit, _, _ in _SPOONS}:
        return quantity.amount, quantity.unit
    volume = quantity.in_base(measures)
    filled = [(volume / sizes[unit], unit, least, parts) for unit, least, parts in _SPOONS]
    ways = [(amount, unit, parts) for amount, unit, least, parts in filled if amount >= least]
    for amount, unit, parts in ways:
        if _nearest_part(amount, _KITCHEN_PARTS if unit == quantity.unit else parts) == amount:
            return amount, unit
    errors = [(abs(_nearest_part(amount) - amount) / amount, amount, unit) for amount, unit, _ in ways if amount]
    for error, amount, unit in errors:
        if error <= Fraction(1, 50):
            return amount, unit
    return min(errors)[1:] if errors else (quantity.amount, quantity.unit)
