"""Amounts as a kitchen writes them: `2/3 cup`, `1 1/2 tsp`, `3 tbsp + 1 tsp`, `1 lb 4 oz`, never 0.667.

Only the words are rounded, never what is planned or bought; words that are not all of the amount say `≈` and by
how much.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import Final

from opsreport.measures.units import MeasureSet, Quantity, factors, mixed, plural, up_to_whole
from opsreport.shown import decimal_words

Terms = tuple[tuple[Fraction, str], ...]
"""Amounts to be taken together, larger unit first: 3 tbsp and 1 tsp."""

OUNCES_USED: Final[frozenset[MeasureSet]] = frozenset({"US", "label"})
"""The measures beside which people weigh in pounds and ounces."""

_PARTS: Final = (1, 2, 3, 4, 6, 8)
"""Parts of a piece or a measure that a kitchen knows."""
_CUP_PARTS: Final = (1, 2, 3, 4)
_TBSP_PARTS: Final = (1, 2)
_OUNCE_PARTS: Final = (1, 2, 4)
_SPOON_PARTS: Final = (1, 2, 4, 8)
_SMALLEST: Final = Fraction(1, 8)
"""Of a teaspoon: below it there are only the pinch and the smidgen."""
_SPOONED: Final = frozenset({"cup", "tbsp", "tsp", "dash", "pinch", "smidgen"})
_LARGER: Final = {"g": "kg", "mL": "L"}
_NEAR: Final = Fraction(1, 50)
"""A way this near is near enough; a simpler one then goes before a nearer one."""


@lru_cache(maxsize=10_000)
def kitchen_words(quantity: Quantity, measures: MeasureSet | None = None) -> str:
    """An amount for a cook: `2/3 cup`, `3 tbsp + 1 tsp`, `3 cloves`, `1.25 kg`, `≈ 2/3 cup (1.4% over)`.

    Args:
        measures: how large the cups and spoons are. Given, an amount moves to the measure that suits its size: 24 tsp
            is `1/2 cup`, 1/16 cup is `1 tbsp`. Without it the unit stays.
    """
    sizes = factors(measures or "US")
    terms = _terms(quantity, measures)
    words = " + ".join(f"{_number(amount, unit)} {plural(unit, amount)}" for amount, unit in terms)
    words = words.removesuffix(" each").replace(" lb + ", " lb ")
    least, unit = terms[-1]
    if quantity.amount and not least:
        smallest = 1 if unit == "smidgen" else _SMALLEST
        return f"less than {smallest} {unit}".removesuffix(" each")
    written = sum((amount * sizes[unit] for amount, unit in terms), Fraction(0))
    exact = quantity.amount * sizes[quantity.unit]
    if written == exact:
        return words
    return f"≈ {words} ({percent_off(written / exact - 1)} {'over' if written > exact else 'under'})"


def percent_off(error: Fraction) -> str:
    """The size of a relative error: `2.3%`, `less than 0.1%`."""
    percent = decimal_words(abs(error) * 100, 1).removeprefix("≈ ")
    return f"{'less than 0.1' if percent == '0' else percent}%"


def _number(amount: Fraction, unit: str) -> str:
    return decimal_words(amount) if unit in ("g", "kg", "mL", "L") else mixed(amount)


def _terms(quantity: Quantity, measures: MeasureSet | None) -> Terms:
    amount, unit = quantity.amount, quantity.unit
    if unit in ("g", "kg", "mL", "L"):
        return _metric(amount, unit)
    if unit in ("oz", "lb"):
        return _weight(quantity, moves=measures is not None)
    if unit in _SPOONED and measures is not None and amount:
        return _spoons(quantity, measures)
    return ((_nearest(amount, _PARTS), unit),)


def _nearest(amount: Fraction, parts: Sequence[int]) -> Fraction:
    """The nearest amount in such parts; of two equally near the one in fewer parts."""
    if amount.denominator in parts:
        return amount
    return min((Fraction(round(amount * part), part) for part in parts), key=lambda near: abs(near - amount))


def _metric(amount: Fraction, unit: str) -> Terms:
    """Decimals: to a tenth below 10, whole from there on, kg and L from 1000 to the gram; exact ones as they are."""
    if unit in _LARGER and amount >= 1000:
        return ((Fraction(round(amount), 1000), _LARGER[unit]),)
    if unit in ("kg", "L"):
        return ((Fraction(round(amount * 1000), 1000), unit),)
    if (amount * (100 if amount < 10 else 10)).denominator == 1:
        return ((amount, unit),)
    return ((Fraction(round(amount * 10), 10) if amount < 10 else Fraction(round(amount)), unit),)


def _weight(quantity: Quantity, *, moves: bool) -> Terms:
    """Pounds or ounces as they stand where a kitchen knows their part; else whole pounds and quarters of an ounce."""
    amount, unit = quantity.amount, quantity.unit
    if amount.denominator in _PARTS or not moves:
        return ((_nearest(amount, _PARTS), unit),)
    ounces = _nearest(amount * (16 if unit == "lb" else 1), _OUNCE_PARTS)
    pounds, rest = divmod(ounces, 16)
    if not pounds:
        return ((ounces, "oz"),)
    return ((Fraction(pounds), "lb"), (rest, "oz")) if rest else ((Fraction(pounds), "lb"),)


def _spoons(quantity: Quantity, measures: MeasureSet) -> Terms:
    """Cups from a quarter on, tablespoons up to half a cup, teaspoons below one tablespoon; else two of them together.

    The first exact way, one measure before two and larger ones first; else the first that is near enough; else the
    nearest.
    """
    sizes = factors(measures)
    volume = quantity.in_base(measures)
    if quantity.unit in ("dash", "pinch", "smidgen") and quantity.amount <= 1:
        return ((_nearest(quantity.amount, _PARTS), quantity.unit),)
    if volume < sizes["tsp"] * _SMALLEST:
        return _pinches(volume, measures)
    ways = [*_single(volume, measures), *_pairs(volume, measures)]

    def off(terms: Terms) -> Fraction:
        return abs(sum((amount * sizes[unit] for amount, unit in terms), Fraction(0)) / volume - 1)

    exact = next((terms for terms in ways if not off(terms)), None)
    near = next((terms for terms in ways if off(terms) <= _NEAR), None)
    return exact or near or min(ways, key=off)


def _single(volume: Fraction, measures: MeasureSet) -> Iterable[Terms]:
    sizes = factors(measures)
    if volume >= sizes["cup"] / 4:
        yield ((_nearest(volume / sizes["cup"], _CUP_PARTS), "cup"),)
    if sizes["tbsp"] <= volume <= sizes["cup"] / 2:
        yield ((_nearest(volume / sizes["tbsp"], _TBSP_PARTS), "tbsp"),)
    if volume < sizes["tbsp"]:
        spoons = volume / sizes["tsp"]
        yield ((spoons if spoons.denominator in _PARTS else _nearest(spoons, _SPOON_PARTS), "tsp"),)


def _pairs(volume: Fraction, measures: MeasureSet) -> Iterable[Terms]:
    """A cup's part and spoons of what is left, tablespoons and teaspoons; none where one measure would do."""
    sizes = factors(measures)
    if volume > sizes["cup"] / 4:
        cups = volume / sizes["cup"]
        for filled in sorted({Fraction(cups * part // 1, part) for part in (3, 4)}, reverse=True):
            rest = volume - filled * sizes["cup"]
            yield from _paired((filled, "cup"), rest, "tbsp", _TBSP_PARTS, sizes["cup"] / 4, sizes)
            yield from _paired((filled, "cup"), rest, "tsp", _OUNCE_PARTS, sizes["tbsp"], sizes)
    if sizes["tbsp"] < volume <= sizes["cup"] / 2:
        filled = Fraction(volume // sizes["tbsp"])
        for parts in (_OUNCE_PARTS, _SPOON_PARTS):
            yield from _paired((filled, "tbsp"), volume - filled * sizes["tbsp"], "tsp", parts, sizes["tbsp"], sizes)
    if volume < sizes["tsp"] / 2:
        filled = _SMALLEST * (volume // (sizes["tsp"] * _SMALLEST))
        yield from _paired((filled, "tsp"), volume - filled * sizes["tsp"], "pinch", (1,), sizes["dash"], sizes)


def _paired(
    first: tuple[Fraction, str], rest: Fraction, unit: str, parts: Sequence[int], less_than: Fraction,
    sizes: Mapping[str, Fraction],
) -> Iterable[Terms]:  # fmt: skip
    """A measure and the rest [mL] in a smaller one, as long as that is not as much as the next larger measure."""
    near = _nearest(rest / sizes[unit], parts)
    if near and near * sizes[unit] < less_than:
        yield (first, (near, unit))


def _pinches(volume: Fraction, measures: MeasureSet) -> Terms:
    """Below 1/8 tsp: a pinch, a smidgen or both, whichever is nearest; none where even a smidgen is twice too much."""
    sizes = factors(measures)
    if volume * 2 < sizes["smidgen"]:
        return ((Fraction(0), "smidgen"),)
    pinch, smidgen = (Fraction(1), "pinch"), (Fraction(1), "smidgen")
    known: tuple[Terms, ...] = (((_SMALLEST, "tsp"),), (pinch,), (smidgen,), (pinch, smidgen))
    return min(known, key=lambda terms: abs(sum(amount * sizes[unit] for amount, unit in terms) - volume))


def enough_words(volume: Fraction, measures: MeasureSet) -> str:
    """A volume [mL] in quarter cups, whole tablespoons or quarter teaspoons, rounded up so that it is enough."""
    sizes = factors(measures)
    for unit, steps in (("cup", 4), ("tbsp", 1), ("tsp", 4)):
        if volume >= sizes[unit] / steps or unit == "tsp":
            amount = up_to_whole(volume / sizes[unit] * steps) / steps
            return f"{mixed(amount)} {plural(unit, amount)}"
    raise AssertionError("the smallest unit takes any volume")


# --- on the scale ---


def scale_words(grams: Fraction, measures: MeasureSet) -> str:
    """A weight as a kitchen scale shows it: to 1 g below 100 g, to 5 g from there on, `≈` where that rounds;
    with ounces where they are used: `≈ 125 g (≈ 4.4 oz)`."""
    step = 1 if grams < 100 else 5
    shown = (2 * grams + step) // (2 * step) * step  # half up
    words = f"{'' if shown == grams else '≈ '}{shown:,} g" if shown else "less than 1 g"
    ounces = pounds_words(grams, measures) if measures in OUNCES_USED else ""
    return f"{words} ({ounces})" if ounces else words


def pounds_words(grams: Fraction, measures: MeasureSet) -> str:
    """`≈ 2 lb 3 oz`; below a pound ounces with a decimal, below a tenth of an ounce nothing."""
    sizes = factors(measures)
    if grams < sizes["lb"]:
        tenths = round(grams / sizes["oz"] * 10)
        return f"≈ {decimal_words(Fraction(tenths, 10), 1)} oz" if tenths else ""
    pounds, ounces = divmod(round(grams / sizes["oz"]), 16)
    return f"≈ {pounds:,} lb {ounces} oz" if ounces else f"≈ {pounds:,} lb"
