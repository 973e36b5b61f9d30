"""How days, shares and decimals are written for people: the same words in findings and documents."""

import datetime as dt
from fractions import Fraction


def day_words(day: dt.date) -> str:
    """`Tue 24 Nov 2026`: the same in every document and on every machine."""
    return f"{('Mon', 'Tue', 'Wed', 'Thu', 'Fri', 'Sat', 'Sun')[day.weekday()]} {short_day(day)}"


def short_day(day: dt.date) -> str:
    """`24 Nov 2026`."""
    months = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
    return f"{day.day} {months[day.month - 1]} {day.year}"


def share_words(share: Fraction | float) -> str:
    """`87%` of a share 0 to 1, whole percent, half up."""
    exact = Fraction(share) * 100
    return f"{(2 * exact.numerator + exact.denominator) // (2 * exact.denominator)}%"


def decimal_words(amount: Fraction, places: int = 3) -> str:
    """An exact amount with at most `places` decimals, `≈` before it where that is not all of it."""
    scaled, parts = amount.numerator * 10**places, amount.denominator  # whole numbers are faster than fractions
    rounded = (2 * scaled + parts) // (2 * parts)
    whole, rest = divmod(abs(rounded), 10**places)
    digits = f"{rest:0{places}d}".rstrip("0") if places else ""
    text = f"{'−' if rounded < 0 else ''}{whole:,}" + (f".{digits}" if digits else "")
    return f"≈ {text}" if scaled % parts else text


def usual_places(amount: Fraction) -> int:
    """Decimals with which an amount in a table is shown: four figures at least, none in thousands."""
    size, parts = abs(amount.numerator), amount.denominator  # whole numbers compare faster than fractions
    return next((places for limit, places in ((10, 3), (100, 2), (1000, 1)) if size < limit * parts), 0)


def amount_words(amount: Fraction, unit: str, places: int = 3) -> str:
    """An amount in its base unit: `250 g`, `3 each`."""
    return f"{decimal_words(amount, places)} {unit}"


def equals_words(amount: Fraction, unit: str) -> str:
    """`= 250 g`, and `≈ 137.1 g` where one decimal does not say it exactly: for a step of a sum."""
    words = amount_words(amount, unit, 1)
    return words if words.startswith("≈") else f"= {words}"
