"""Exact amounts: units, household measures and the figures that carry one food from volume to weight to pieces.

An amount is a `Fraction` times a cached factor; `measure_sizes.py` knows the factors.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache, lru_cache
from typing import Final, Literal

from opsreport.measures.measure_sizes import size

Dimension = Literal["weight", "volume", "count"]
BaseUnit = Literal["g", "mL", "each"]
MeasureSet = Literal["US", "label", "metric", "Australian"]

BASE_OF: Final[Mapping[Dimension, BaseUnit]] = {"weight": "g", "volume": "mL", "count": "each"}

_COUNT_WORDS: Final = (
    "clove", "bunch", "head", "can", "slice", "sprig", "stalk", "stick", "packet", "ear", "leaf", "carton", "jar",
)  # fmt: skip
SEALED_WORDS: Final = frozenset({"can", "packet", "carton", "jar"})
"""Count words for what a maker sealed one by one: a case of them may stand begun, none of them is opened by that."""

DIMENSION: Final[Mapping[str, Dimension]] = {
    **dict.fromkeys(("g", "kg", "oz", "lb"), "weight"),
    **dict.fromkeys(
        ("smidgen", "pinch", "dash", "tsp", "tbsp", "fl oz", "cup", "pt", "qt", "gal", "mL", "L"), "volume"
    ),
    **dict.fromkeys(("each", *_COUNT_WORDS), "count"),
}
"""Every unit a workbook may use, by its one written form."""

_SPELLINGS: Final[Mapping[str, tuple[str, ...]]] = {
    "g": ("gram", "gramme", "gm", "gr"),
    "kg": ("kilogram", "kilogramme", "kilo"),
    "oz": ("ounce",),
    "lb": ("#", "pound"),
    "tsp": ("ts", "tspn", "teaspoon"),
    "tbsp": ("tb", "tbs", "tblsp", "tablespoon"),
    "fl oz": ("floz", "fl. oz", "fluid ounce"),
    "cup": ("c",),
    "pt": ("pint",),
    "qt": ("quart",),
    "gal": ("gallon",),
    "mL": ("milliliter", "millilitre"),
    "L": ("l", "liter", "litre"),
    "each": ("ea", "piece", "pc", "pce"),
    "leaf": ("leaves",),
    "can": ("tin",),
    "pinch": ("pinches",),
    "dash": ("dashes",),
    "bunch": ("bunches",),
}


@cache
def _folded_spellings() -> Mapping[str, str]:
    folded: dict[str, str] = {}
    for unit in DIMENSION:
        for spelling in (unit, *_SPELLINGS.get(unit, ())):
            for form in (spelling, spelling + "s"):
                folded[form.casefold()] = unit
    return folded


@lru_cache(maxsize=1024)
def unit_named(text: str) -> str | None:
    """The unit's one written form, or None where `text` names no unit.

    Case, plural and a final dot do not matter, but a lone `T` is a tablespoon and a lone `t` a teaspoon.
    """
    bare = " ".join(text.split()).removesuffix(".")
    if bare in ("T", "t"):
        return "tbsp" if bare == "T" else "tsp"
    return _folded_spellings().get(bare.casefold())


def unit_spellings() -> list[str]:
    """Every accepted spelling, for suggestions, in a fixed order."""
    return [*DIMENSION, *(spelling for forms in _SPELLINGS.values() for spelling in forms)]


_VOLUME_NAMES: Final[Mapping[MeasureSet, Mapping[str, str]]] = {
    "US": {
        "cup": "us_cup", "tbsp": "us_tablespoon", "tsp": "us_teaspoon", "fl oz": "us_fluid_ounce",
        "pt": "us_pint", "qt": "us_quart", "gal": "us_gallon",
    },
    "label": {
        "cup": "label_cup", "tbsp": "label_tablespoon", "tsp": "label_teaspoon", "fl oz": "label_fluid_ounce",
        "pt": "label_pint", "qt": "label_quart", "gal": "label_gallon",
    },
    "metric": {
        "cup": "metric_cup", "tbsp": "metric_tablespoon", "tsp": "metric_teaspoon", "fl oz": "us_fluid_ounce",
        "pt": "us_pint", "qt": "us_quart", "gal": "us_gallon",
    },
    "Australian": {
        "cup": "metric_cup", "tbsp": "australian_tablespoon", "tsp": "metric_teaspoon",
        "fl oz": "us_fluid_ounce", "pt": "us_pint", "qt": "us_quart", "gal": "us_gallon",
    },
}  # fmt: skip
_SAME_EVERYWHERE: Final = {
    "mL": "milliliter", "L": "liter", "g": "gram", "kg": "kilogram", "oz": "ounce", "lb": "pound",
}  # fmt: skip
_SPOON_PARTS: Final = {"dash": Fraction(1, 8), "pinch": Fraction(1, 16), "smidgen": Fraction(1, 32)}
"""In teaspoons: common practice, no source."""


@cache
def factors(measures: MeasureSet) -> Mapping[str, Fraction]:
    """Size of one of each unit in its base unit [g, mL or each], exact, by unit.

    Source: NIST Handbook 44 App. C; 21 CFR 101.9(b)(5)(viii) for `label`; see data/measures.txt.
    """
    found = {unit: size(name) for unit, name in _VOLUME_NAMES[measures].items()}
    found |= {unit: part * found["tsp"] for unit, part in _SPOON_PARTS.items()}
    found |= {unit: size(name) for unit, name in _SAME_EVERYWHERE.items()}
    return found | dict.fromkeys(("each", *_COUNT_WORDS), Fraction(1))


@dataclass(frozen=True, slots=True)
class Quantity:
    """An exact amount and its unit (a key of DIMENSION)."""

    amount: Fraction
    unit: str

    @property
    def dimension(self) -> Dimension:
        return DIMENSION[self.unit]

    def times(self, factor: Fraction | int) -> "Quantity":
        return Quantity(self.amount * factor, self.unit)

    def in_base(self, measures: MeasureSet) -> Fraction:
        """The amount in the base unit of its own dimension: g, mL or each."""
        return self.amount * factors(measures)[self.unit]

    def __str__(self) -> str:
        return f"{mixed(self.amount)} {plural(self.unit, self.amount)}"


Figure = Literal["cup", "tbsp", "tsp"]


class NoBridge(Exception):  # noqa: N818 - said to the coordinator as a missing figure, not as a failure
    """A food lacks the figure that would carry it from one dimension to another."""


@dataclass(frozen=True, slots=True)
class Bridge:
    """What one food weighs.

    grams_per_ml: by the measure that the figure was given for [g/mL]; a spoon measures with its own
        figure where there is one, since published cups and spoons of one food need not agree.
    grams_each: one piece as bought [g].
    grams_by_word: one of what a count word names, as bought [g], where it is not the piece: a head of garlic.
    _grams_of: grams of one of a unit by unit and measures, as asked for so far.
    """

    grams_per_ml: Mapping[Figure, Fraction] = field(default_factory=dict)
    grams_each: Fraction | None = None
    grams_by_word: Mapping[str, Fraction] = field(default_factory=dict)
    _grams_of: dict[tuple[str, MeasureSet], Fraction] = field(
        default_factory=dict, init=False, compare=False, repr=False
    )

    def figure_for(self, unit: str) -> Figure | None:
        """Which measure's figure serves for a volume unit: its own, else the nearest there is."""
        order: tuple[Figure, ...]
        if unit in ("tsp", "dash", "pinch", "smidgen"):
            order = ("tsp", "tbsp", "cup")
        elif unit == "tbsp":
            order = ("tbsp", "tsp", "cup")
        else:
            order = ("cup", "tbsp", "tsp")
        return next((figure for figure in order if figure in self.grams_per_ml), None)

    def weighs(self) -> bool:
        """Whether any figure leads to grams."""
        return bool(self.grams_per_ml or self.grams_by_word) or self.grams_each is not None

    def counted(self, unit: str) -> Fraction | None:
        """What one of a count word weighs as bought [g]: its own figure, else that of a piece, None without one."""
        return self.grams_by_word.get(unit, self.grams_each)

    def convert(self, quantity: Quantity, base: BaseUnit, measures: MeasureSet) -> Fraction:
        """The amount in `base`, exact.

        Raises:
            NoBridge: no figure leads from the quantity's dimension to `base`.
        """
        if base == "g":
            key = (quantity.unit, measures)
            grams = self._grams_of.get(key)
            if grams is None:
                grams = self._grams_of[key] = self._grams_of_one(Quantity(Fraction(1), quantity.unit), measures)
            return quantity.amount * grams
        if BASE_OF[quantity.dimension] != base:
            raise NoBridge
        return quantity.in_base(measures)

    def _grams_of_one(self, one: Quantity, measures: MeasureSet) -> Fraction:
        own = one.in_base(measures)
        if one.dimension == "weight":
            return own
        if one.dimension == "count":
            factor = self.counted(one.unit)
        else:
            figure = self.figure_for(one.unit)
            factor = None if figure is None else self.grams_per_ml[figure]
        if factor is None:
            raise NoBridge
        return own * factor


def mixed(amount: Fraction) -> str:
    """`Fraction(7, 3)` as a kitchen writes it: `2 1/3`."""
    parts = amount.denominator
    whole, rest = divmod(amount.numerator, parts)
    if not rest:
        return str(whole)
    return f"{whole} {rest}/{parts}" if whole else f"{rest}/{parts}"


_PLURAL_UNITS: Final = {"cup", "smidgen", *(_COUNT_WORDS)} - {"leaf"}


def plural(unit: str, amount: Fraction) -> str:
    """The unit as it stands after `amount`: `2 cups`, `1/2 cup`, `3 tbsp`."""
    if amount.numerator <= amount.denominator:
        return unit
    if unit == "leaf":
        return "leaves"
    if unit in ("bunch", "pinch", "dash"):
        return unit + "es"
    return unit + "s" if unit in _PLURAL_UNITS else unit


def up_to_whole(amount: Fraction) -> Fraction:
    """Whole pieces that cover `amount`."""
    return Fraction(-(-amount.numerator // amount.denominator))


def to_buy(prepared: Fraction, edible_share: Fraction) -> Fraction:
    """Amount to buy so that the prepared amount is left after trimming, in the same unit.

    bought = prepared / edible_share, exact.

    Raises:
        ValueError: share outside 0 < share <= 1; a cell with such a share never gets here.
    Source: as purchased = edible portion / yield, common practice in food-service costing.
    """
    if not 0 < edible_share <= 1:
        raise ValueError(f"edible share {edible_share} is outside 0 to 1")
    return prepared / edible_share
