"""Amounts in words for the packing tables: what to weigh, which cups and spoons to fill."""

from fractions import Fraction
from typing import Final

from opsreport.measures.kitchen import kitchen_words, percent_off, scale_words
from opsreport.measures.units import Quantity, factors, mixed
from opsreport.plan.model import Blend, KitLine, Scoop, ScoopPlan
from opsreport.programme import Programme
from opsreport.tables.packing.day import is_trimmed
from opsreport.tables.shelf_words import bought_words

MOST_ERROR: Final = Fraction(1, 20)
"""Past this a scoop plan is too far off: the table weighs instead."""

LEAST_PORTION: Final = 10
"""Below this a kitchen scale, which shows whole grams, is off by more than a spoon [g]."""


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
