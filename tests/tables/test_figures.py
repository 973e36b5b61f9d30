"""The table that says which figures a run rests on, and which of them are the built-in catalogue's.

Sources: USDA nutrient database SR28: rolled oats 08120, 81 g a cup; onion 11282, 10 % refuse.
"""

import datetime as dt

from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.tables.orders.figures import MARK, figures

MONDAY = dt.date(2027, 1, 4)
SHEETS = {
    "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-01-14 | r",
    "Enrolment": "Participant | Group | Needs\np1 | g1 | none",
    "Recipes": (
        "Recipe | Servings | Ingredient | Amount | Unit\nr | 4 | rolled oats | 1 | cup\nr | | onion | 100 | g\n"
        "r | | green lentil mix | 1 | cup\nr | | mystery mix | 1 | cup"
    ),
    "Stock": "Ingredient | Amount | Unit",
    "Ingredients": (
        "Ingredient | Grams per cup | Contains | Keeps\nrolled oats | | oats; milk | 200\n"
        "green lentil mix | 190 | none | 1"
    ),
}


def rows() -> dict[str, tuple[object, ...]]:
    read_rows, _ = read(term(SHEETS), MONDAY)
    programme = build_programme(read_rows, MONDAY)
    plan, _ = plan_food(programme)
    return {str(row.cells[0]): row.cells[1:] for row in figures(programme, plan).rows}


def test_a_catalogue_figure_is_marked_and_sourced() -> None:
    weights, trimmed, keeps, contains, sources = rows()["rolled oats"]
    assert weights == f"1 US cup = 81 g {MARK}"
    assert trimmed == ""
    assert keeps == f"200 days sealed; 180 days open {MARK}"
    assert contains == "gluten, milk"
    assert sources == "weights: USDA SR28 08120; keeps open: FoodKeeper 375"


def test_what_is_trimmed_off_is_said() -> None:
    assert rows()["onion"][:2] == ("", f"90% {MARK}")
    assert "share: USDA SR28 11282 refuse 10%" in str(rows()["onion"][-1])


def test_the_workbooks_figures_are_its_own() -> None:
    assert rows()["green lentil mix"] == ("1 cup = 190 g", "", "1 day sealed", "nothing listed", "")


def test_an_unknown_food_is_not_said_to_hold_nothing() -> None:
    assert rows()["mystery mix"] == ("", "", "", "not known", "")
