"""Amounts in words for the packing tables: what to weigh, which cups and spoons to fill."""

from fractions import Fraction
from typing import Final

from opsreport.measures.kitchen import OUNCES_USED, kitchen_words, percent_off, pounds_words, scale_words
from opsreport.measures.units import MeasureSet, Quantity, factors, mixed
from opsreport.plan.model import Blend, KitLine, Scoop, ScoopPlan
from opsreport.programme import Programme
from opsreport.shown import decimal_words
from opsreport.tables.packing.day import is_trimmed

MOST_ERROR: Final = Fraction(1, 20)
"""Past this a scoop plan is too far off: the table weighs instead."""

LEAST_PORTION: Final = 10
"""Below this a kitchen scale, which shows whole grams, is off by more than a spoon [g]."""


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


def scoop_words(scoops: ScoopPlan) -> str:
    """`2 × 1/3 cup + 1 tbsp`, `half of a 1/4 tsp`; with its error where there is one."""
    words = " + ".join(_fills(scoop) for scoop in scoops.scoops)
    return f"{words} ({error_words(scoops.error)})" if scoops.error else words


def _fills(scoop: Scoop) -> str:
    if scoop.times == Fraction(1, 2):
        return f"half of a {scoop.tool}"
    return scoop.tool if scoop.times == 1 else f"{mixed(scoop.times)} × {scoop.tool}"


def error_words(error: Fraction) -> str:
    """A plan's relative error: `≈ 2.3% too much`."""
    return f"≈ {percent_off(error)} too {'much' if error > 0 else 'little'}"


def measuring_words(programme: Programme, line: KitLine) -> str:
    """How one kit's amount of one food is measured at the table."""
    measures = programme.measures
    weigh = f"measure {bought_words(line.base, line.base_unit, measures)}"
    if line.base_unit == "g":
        weigh = f"weigh {scale_words(line.base, measures)}"
    if line.whole or line.shown.dimension == "count":
        pieces = _pieces(programme, line)
        each_is = programme.foods.by_name[line.food].each_is if pieces.unit == "each" else ""
        return f"count {kitchen_words(pieces)}" + (f" (one is: {each_is})" if each_is not in ("", "piece") else "")
    if _is_trimmed_in_part(line):
        return f"{weigh} untrimmed: enough for {kit_words(programme, line)}"
    if is_trimmed(programme, line):
        return f"{weigh} untrimmed; trimmed it gives {kitchen_words(line.shown, measures)}"
    if line.shown.dimension == "weight":
        return weigh
    if line.scoops.scoops and abs(line.scoops.error) <= MOST_ERROR:
        return scoop_words(line.scoops)
    if line.scoops.scoops:
        return f"{weigh}: cups and spoons would give {error_words(line.scoops.error)}"
    return weigh


def blend_portion_words(programme: Programme, blend: Blend) -> tuple[str, str]:
    """One kit's portion of a blend: how much, and how to measure it out."""
    measures = programme.measures
    how, grams = [], blend.grams
    if blend.volume is not None and blend.scoops.scoops and abs(blend.scoops.error) <= MOST_ERROR:
        how.append(scoop_words(blend.scoops))
    if grams is not None and grams >= LEAST_PORTION:
        how.append(f"weigh {scale_words(grams, measures)}")
    if not how:
        return "", "divide evenly"
    if blend.volume is None:
        return bought_words(grams, "g", measures) if grams is not None else "", " or ".join(how)
    cups = Quantity(blend.volume / factors(measures)["cup"], "cup")
    return kitchen_words(cups, measures), " or ".join(how)


def kit_words(programme: Programme, line: KitLine) -> str:
    """What one kit gets, as a kitchen writes it: `2 cartons`, `1 1/2 cups`, `1 + 8 oz`."""
    if _is_trimmed_in_part(line):
        return " + ".join(kitchen_words(quantity, programme.measures) for quantity in _as_measured(line))
    return kitchen_words(_pieces(programme, line), programme.measures)


def _pieces(programme: Programme, line: KitLine) -> Quantity:
    """A line as the recipes measure it; whole pieces by the word that the workbook has for them."""
    piece = programme.pieces.get(line.food)
    if line.whole and line.shown.unit == "each" and piece and line.base == piece.base * line.shown.amount:
        return Quantity(line.shown.amount, piece.word)
    return line.shown


def _is_trimmed_in_part(line: KitLine) -> bool:
    """Whether some recipe lines measure it as bought and others trimmed, so that it has no one amount of either."""
    return not line.whole and len({part.edible_share for part in line.parts}) > 1


def _as_measured(line: KitLine) -> list[Quantity]:
    """The recipe lines' amounts, those of one unit as a sum."""
    found: dict[str, Fraction] = {}
    for part in line.parts:
        found[part.quantity.unit] = found.get(part.quantity.unit, Fraction(0)) + part.quantity.amount
    return [Quantity(amount, unit) for unit, amount in found.items()]


def blend_name(mix: str) -> str:
    """A blend's words without its recipe: `Chili: spice blend` is `spice blend (Chili)`."""
    name, recipe = blend_parts(mix)
    return f"{name} ({recipe})" if recipe else name


def blend_parts(mix: str) -> tuple[str, str]:
    """A blend's words and its recipe: `Chili: spice blend` is `spice blend` and `Chili`."""
    recipe, _, name = mix.partition(": ")
    return (name, recipe) if name else (mix, "")
