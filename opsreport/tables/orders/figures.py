"""The figures that amounts, dates and allergens of a run rest on, and which of them are the built-in catalogue's."""

from collections import defaultdict
from typing import Final

from opsreport.foods import Food
from opsreport.plan.model import FigureUsed, FoodPlan
from opsreport.programme import Programme
from opsreport.shown import decimal_words, share_words
from opsreport.tables.table import Column, Row, Table

_COLUMNS: Final = (
    Column("Ingredient", width=24),
    Column("Turned into grams by", width=34),
    Column("Left after trimming", width=14),
    Column("Keeps", width=22),
    Column("Contains", width=20),
    Column("Sources of the catalogue's figures", width=50),
)
MARK: Final = "†"
"""Stands behind a figure of the catalogue."""
_WITH: Final = {
    "weights": {"Grams per cup", "Grams per tbsp", "Grams per tsp", "Grams each"},
    "share": {"Edible share"},
    "keeps": {"Keeps"},
    "keeps open": {"Keeps open"},
    "classes": {"Contains"},
}
"""Which headings each part of a catalogue entry's sources speaks for."""


def figures(programme: Programme, food: FoodPlan) -> Table:
    """One row a needed ingredient: what its amounts went through, what is trimmed, how long it keeps, what is in it."""
    used: dict[str, list[FigureUsed]] = defaultdict(list)
    for figure in food.figures:
        used[figure.food].append(figure)
    names = sorted({need.food for need in food.needs}, key=lambda name: (name.casefold(), name))
    rows = tuple(_row(programme.foods.by_name[name], used[name]) for name in names)
    return Table(
        "Figures",
        "Figures behind the amounts",
        _COLUMNS,
        rows,
        intro=(
            f"{MARK} is a figure of the built-in catalogue; the others are the workbook's own. A figure typed on the "
            "Ingredients sheet takes the catalogue's place.",
        ),
        notes=(
            "Contains is what is usually in a food, and nothing listed promises nothing: the label of what you buy "
            "decides.",
        ),
        empty="No session still to come needs any food.",
    )


def _row(food: Food, used: list[FigureUsed]) -> Row:
    shown: set[str] = set()

    def marked(words: str, *headings: str) -> str:
        """The words with the mark where any of these headings is the catalogue's."""
        taken = {heading for heading in headings if heading in food.from_catalogue}
        shown.update(taken)
        return f"{words} {MARK}" if taken else words

    weights = []
    for figure in used:
        shown.update(_WITH["weights"] if figure.catalogue else ())
        grams = decimal_words(figure.grams, 1)
        equals = "" if grams.startswith("≈") else "= "
        weights.append(f"{_one(food, figure)} {equals}{grams} g" + (f" {MARK}" if figure.catalogue else ""))
    keeps = [
        marked(f"{days} {'day' if days == 1 else 'days'} {state}", heading)
        for days, state, heading in ((food.keeps, "sealed", "Keeps"), (food.keeps_open, "open", "Keeps open"))
        if days is not None
    ]
    trimmed = marked(share_words(food.edible_share), "Edible share") if food.edible_share != 1 else ""
    contains = marked(", ".join(food.contains), "Contains") if food.contains else "nothing listed"
    if not food.listed:
        contains = "not known"
    sources = [part for part in food.sources if shown & _WITH.get(part.partition(":")[0], set())]
    return Row((food.name, "; ".join(weights), trimmed, "; ".join(keeps), contains, "; ".join(sources)))


def _one(food: Food, figure: FigureUsed) -> str:
    """What the figure weighs: `1 US cup`, `1 tbsp`, `1 piece (medium)`."""
    if figure.measure != "each":
        return f"1 {'US ' if figure.catalogue else ''}{figure.measure}"
    return f"1 piece ({food.each_is})" if food.each_is not in ("", "piece") else "1 piece"
