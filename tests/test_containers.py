"""What a portion goes into, as station sheets say it; foods of which the catalogue has a name and no figure."""

import datetime as dt
from fractions import Fraction

import pytest
from plan.food_support import planned
from support import read, term

from opsreport.foods import catalogue_entry
from opsreport.tables.packing import packing_documents
from opsreport.tables.table import Table

MONDAY = dt.date(2027, 1, 4)


def heading(line: str, **ingredients: str) -> list[str]:
    """The facts that stand over a food on its station sheet."""
    sheets = {"Recipes": f"Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | {line}", **ingredients}
    programme, plan = planned(sheets)
    document = next(each for each in packing_documents(programme, plan) if each.path.endswith("stations"))
    food = line.partition(" |")[0]
    rows = [row for part in document.parts if isinstance(part, Table) for row in part.rows]
    return next(str(row.cells[0]).split(" · ") for row in rows if str(row.cells[0]).startswith(f"{food}: "))


CARTON = "Ingredient | Grams each | Container | Contains\nvegetable broth | 884 | lidded cup | celery"


@pytest.mark.parametrize(
    ("line", "words"),
    [
        ("vegetable broth | 1 | carton", "as it is, unopened"), ("vegetable broth | 1/2 | carton", "into lidded cup"),
        ("chickpeas | 1 | can", "as it is, unopened"), ("chickpeas | 1 | cup", "into lidded cup"),
        ("egg | 2 |", "bag by itself"), ("apple | 1 |", "no bag of its own"), ("apple | 1 | cup", "into bag"),
        ("own oats | 1 | cup", "into bag"), ("own syrup | 3 | tbsp", "into lidded cup"),
    ],
)  # fmt: skip
def test_the_container_suits_what_is_packed(line: str, words: str) -> None:
    own = f"{CARTON}\nown oats | | | none\nown syrup | | | none".replace("Contains", "Contains | State")
    own = own.replace("syrup | | | none", "syrup | | | none | liquid")
    facts = heading(line, Ingredients=own)
    assert facts[1] == words
    assert "bag by itself" not in facts[2:]


def test_seeds_of_which_spoons_disagree_are_not_trimmed() -> None:
    """USDA SR28 02013: 1.8 g a teaspoon, 5 g a tablespoon, so 1 tbsp and 1 tsp are 6.8 g and 4 tsp are 7.2 g."""
    lines = "coriander seed | 1 | tbsp\n| | coriander seed | 1 | tsp"
    sheets = {"Recipes": f"Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | {lines}"}
    programme, plan = planned(sheets)
    assert plan.sessions[0].variants[0].lines[0].base == Fraction("6.8")
    documents = packing_documents(programme, plan)
    stations = next(each for each in documents if each.path.endswith("stations"))
    said = " ".join(
        str(cell) for part in stations.parts if isinstance(part, Table) for row in part.rows for cell in row.cells
    )
    assert "coriander seed" in said
    assert "trimmed" not in said


@pytest.mark.parametrize(
    "name",
    [
        "golden syrup", "runner beans", "broad beans", "fava beans", "gammon", "fromage frais", "crème fraîche",
        "creme fraiche", "mixed herbs", "coriander leaf", "fresh coriander", "rocket", "baby spinach",
    ],
)  # fmt: skip
def test_everyday_names_are_known(name: str) -> None:
    assert catalogue_entry(name) is not None


@pytest.mark.parametrize(("name", "contains"), [("crème fraîche", ("milk",)), ("fromage frais", ("milk",))])
def test_what_they_hold_is_known_too(name: str, contains: tuple[str, ...]) -> None:
    entry = catalogue_entry(name)
    assert entry is not None
    assert entry.contains == contains
    gammon = catalogue_entry("gammon")
    assert gammon is not None
    assert {"meat", "pork"} <= set(gammon.tags)


def test_bare_coriander_is_leaf_or_seed() -> None:
    recipes = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | coriander | 1 | tsp"
    _, findings = read(term({"Recipes": recipes}))
    (unknown,) = [finding for finding in findings if finding.code == "ingredient-unknown"]
    assert "coriander leaf" in unknown.message + unknown.fix
    assert "coriander seed" in unknown.message + unknown.fix


def test_bagged_leaves_are_eaten_whole() -> None:
    """USDA SR28 refuse: arugula 40 %, spinach 28 %, both of bunches."""
    shares = {
        name: entry.edible_share for name in ("rocket", "baby spinach", "spinach") if (entry := catalogue_entry(name))
    }
    assert shares == {"rocket": None, "baby spinach": None, "spinach": Fraction("0.72")}
