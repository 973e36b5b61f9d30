"""The figures that a plan's amounts went through.

Sources: USDA nutrient database SR28, WEIGHT: rolled oats 08120 (81 g a cup), table salt 02047 (6 g a teaspoon), onion
11282 (110 g edible of 122 g as bought).
"""

import datetime as dt
from fractions import Fraction

from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import FigureUsed

F = Fraction
MONDAY = dt.date(2027, 1, 4)


def used(lines: str, **sheets: str) -> list[tuple[str, str, Fraction, bool]]:
    given = {
        "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-01-14 | r",
        "Enrolment": "Participant | Group | Servings | Needs\np1 | g1 | 4 | none\np2 | g1 | 4 | no milk",
        "Recipes": f"Recipe | Servings | Ingredient | Amount | Unit\n{lines}",
        "Stock": "Ingredient | Amount | Unit",
        **sheets,
    }
    rows, _ = read(term(given), MONDAY)
    plan, _ = plan_food(build_programme(rows, MONDAY))
    assert all(isinstance(figure, FigureUsed) for figure in plan.figures)
    return [(figure.food, figure.measure, figure.grams, figure.catalogue) for figure in plan.figures]


def test_the_catalogues_figure_is_named_with_its_measure() -> None:
    assert used("r | 4 | rolled oats | 1 | cup\nr | | table salt | 1/4 | tsp") == [
        ("rolled oats", "cup", F(81), True), ("table salt", "tsp", F(6), True),
    ]  # fmt: skip


def test_the_workbooks_own_figure_is_not_the_catalogues() -> None:
    """Grams per cup is of a cup of the Measures setting."""
    own = "Ingredient | Grams per cup | Grams each\nrolled oats | 90 |\nonion | | 150"
    found = used(
        "r | 4 | rolled oats | 1 | cup\nr | | onion | 1 | each", Ingredients=own,
        Settings="Setting | Value\nMeasures | metric",
    )  # fmt: skip
    assert found == [("onion", "each", F(150), False), ("rolled oats", "cup", F(90), False)]


def test_what_is_weighed_needs_no_figure() -> None:
    assert used("r | 4 | rolled oats | 100 | g") == []


def test_packs_lots_and_substitutes_count_too() -> None:
    found = used(
        "r | 4 | rolled oats | 100 | g\nr | | whole milk | 100 | g",
        Stock="Ingredient | Amount | Unit\nrolled oats | 2 | cup",
        Swaps="Ingredient | Need | Use instead | Ratio | Unit\nwhole milk | no milk | table salt | 1/100 | tsp",
    )
    assert found == [("rolled oats", "cup", F(81), True), ("table salt", "tsp", F(6), True)]
