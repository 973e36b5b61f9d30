"""A small term about food, planned: one shop, one recipe, and what a test changes of it."""

import datetime as dt
from collections.abc import Mapping
from typing import Final

from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.rules import Severity

MONDAY: Final = dt.date(2027, 1, 4)
SHEETS: Final = {
    "Settings": "Setting | Value\nPacking lead | 0\nKeep margin | 0\nSpare kits | 0\nDemo kits | 0",
    "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-11 | stew\nw3 | g1 | @2027-01-18 | stew",
    "Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | none",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g",
    "Stock": "Ingredient | Amount | Unit",
    "Ingredients": "Ingredient | Storage | Contains\nbean mix | shelf | none",
    "Suppliers": "Supplier | Lead days\nshop | 1",
    "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | 2.00",
}
"""Two sessions of two kits with 100 g each, so 200 g a week, in packs of 250 g at 2.00."""


def settings(*rows: str) -> str:
    """The term's Settings with further rows."""
    return "\n".join([SHEETS["Settings"], *rows])


def programme_of(sheets: Mapping[str, str] | None = None, as_of: dt.date = MONDAY) -> Programme:
    rows, findings = read(term({**SHEETS, **(sheets or {})}), as_of)
    assert [finding.message for finding in findings if finding.severity is Severity.ERROR] == []
    return build_programme(rows, as_of)


def planned(sheets: Mapping[str, str] | None = None, as_of: dt.date = MONDAY) -> tuple[Programme, FoodPlan]:
    programme = programme_of(sheets, as_of)
    plan, _ = plan_food(programme)
    return programme, plan
