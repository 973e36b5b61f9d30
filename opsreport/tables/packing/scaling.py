"""What a cook should know where a recipe is made in more or less than one batch: notes, never changed amounts.

The wording and the limits are ours; where no published source stands behind one it says so in the note.
"""

import re
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final

from opsreport.foods import Foods, catalogue_entry
from opsreport.measures.kitchen import kitchen_words
from opsreport.measures.units import Quantity, mixed, up_to_whole
from opsreport.programme import Line, Recipe
from opsreport.shown import decimal_words

MANY: Final = 4
"""Batches above which salt and leavening are worth a thought."""
_RISES: Final = frozenset({"baking powder", "baking soda", "active dry yeast", "fresh yeast"})
_SALTS: Final = frozenset({"salt"})
"""Of the catalogue, by its own names."""
_PRACTICE: Final = "(common practice, no source)"
_PAN: Final = re.compile(r"\b(?:pans?|tins?|(?:baking|casserole) dish(?:es)?|trays?|mou?lds?)\b", re.IGNORECASE)
_SIDES: Final = re.compile(r"([0-9]{1,2}) ?(?:x|×|by) ?([0-9]{1,2})[ -]?(in(?:ch(?:es)?)?\b|\"|cm\b)", re.IGNORECASE)


def scaling_notes(recipe: Recipe, times: Fraction, foods: Foods, instead: dict[str, str]) -> list[str]:
    """What to mind in so many batches; nothing for one batch.

    Args:
        times: batches that one kit makes.
        instead: by food, what the kit has in its place; '' where it is left out.
    """
    if times == 1:
        return []
    lines = [line for line in recipe.lines if line.quantity is not None and not line.once_a_session]
    names = [(instead.get(line.food, line.food), line) for line in lines]
    return [*_pieces(names, times, foods), *_strong(names, times), *_pan(recipe, times)]


def _pieces(names: Sequence[tuple[str, Line]], times: Fraction, foods: Foods) -> Iterable[str]:
    """Pieces that do not come out even."""
    for name, line in names:
        if not name or name != line.food or line.quantity is None or line.quantity.dimension != "count":
            continue
        food = foods.by_name[name]
        part = line.quantity.times(times)
        if food.state != "whole" or part.amount.denominator == 1:
            continue
        whole = up_to_whole(part.amount)
        counted = kitchen_words(Quantity(part.amount, part.unit))
        if food.contains == ("egg",) and part.unit == "each":
            yield (
                f"{name}: these batches take {counted}. Beat {whole} and use {mixed(part.amount / whole)} of it; a "
                f"large egg without its shell is 50 g (USDA SR28 01123). Cook the rest the same day. {_PRACTICE}"
            )
        else:
            yield f"{name}: these batches take {counted} of {whole}; keep the rest cold and use it soon. {_PRACTICE}"


def _strong(names: Sequence[tuple[str, Line]], times: Fraction) -> Iterable[str]:
    """Salt and leavening in many batches."""
    if times <= MANY:
        return
    entries = {name: catalogue_entry(name) for name, _ in names if name}
    known = {name: entry.ingredient for name, entry in entries.items() if entry is not None}
    salts = [name for name, is_ in known.items() if is_ in _SALTS]
    rises = [name for name, is_ in known.items() if is_ in _RISES]
    if salts:
        yield (
            f"{', '.join(salts)}: shown {mixed(times)} times like the rest. In more than {MANY} batches add three "
            f"quarters first, taste, then the rest. {_PRACTICE}"
        )
    if rises:
        yield (
            f"{', '.join(rises)}: shown {mixed(times)} times like the rest. In more than {MANY} batches at once it may "
            f"rise too fast and fall: mix in bowls of up to {MANY} batches, or bake a trial first. {_PRACTICE}"
        )


def _pan(recipe: Recipe, times: Fraction) -> Iterable[str]:
    """A pan's area goes by the batch."""
    texts = [step.text for step in recipe.steps if _PAN.search(step.text)]
    if not texts:
        return
    sides = next((found for text in texts if (found := _SIDES.search(text)) is not None), None)
    area = ""
    if sides is not None:
        one = int(sides[1]) * int(sides[2])
        square = "cm²" if sides[3].casefold() == "cm" else "sq in"
        area = f" ({sides[1]} × {sides[2]} is {one} {square}; {decimal_words(one * times, 0)} {square} here)"
    yield (
        f"Pan: the steps are for one batch. For the same depth and about the same time take {mixed(times)} times the "
        f"area{area}; in a deeper pan it takes longer and the middle must be checked. {_PRACTICE}"
    )
