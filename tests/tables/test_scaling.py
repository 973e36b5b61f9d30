"""What a cook is told where a recipe is made in more or less than one batch.

USDA nutrient database SR28: a large egg without its shell, 01123, is 50 g. The rest is common practice, no source.
"""

import datetime as dt
from fractions import Fraction

import pytest
from support import read, term

from opsreport.foods import catalogue_entry
from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.programme import Programme
from opsreport.tables.packing import packing_documents, scaling
from opsreport.tables.packing.scaling import scaling_notes
from opsreport.tables.table import Table

MONDAY = dt.date(2027, 1, 4)
SHEETS = {
    "Settings": "Setting | Value\nKit step | 1/2\nSpare kits | 0\nDemo kits | 0",
    "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-01-14 | corn bread",
    "Enrolment": "Participant | Group | Servings | Needs\np1 | g1 | 3 | none\np2 | g1 | 6 | none\np3 | g1 | 30 | none",
    "Recipes": (
        "Recipe | Servings | Ingredient | Amount | Unit | Supplied\ncorn bread | 6 | egg | 3 | |\n"
        "corn bread | | lemon | 1 | |\ncorn bread | | baking powder | 1 | tbsp |\n"
        "corn bread | | salt | 1 | tsp | home\ncorn bread | | cornmeal | 1 | cup |"
    ),
    "Methods": "Recipe | Step | Text\ncorn bread | 1 | Pour into an 8 x 8 inch pan.\ncorn bread | 2 | Bake.",
    "Stock": "Ingredient | Amount | Unit",
}


def programme() -> Programme:
    rows, _ = read(term(SHEETS), MONDAY)
    return build_programme(rows, MONDAY)


def notes(times: str, instead: dict[str, str] | None = None) -> list[str]:
    known = programme()
    return scaling_notes(known.recipes["corn bread"], Fraction(times), known.foods, instead or {})


def about(times: str) -> list[str]:
    return [note.partition(":")[0] for note in notes(times)]


@pytest.mark.parametrize(
    ("times", "subjects"),
    [
        ("1", []), ("1/2", ["egg", "lemon", "Pan"]), ("2", ["Pan"]), ("4", ["Pan"]), ("3/2", ["egg", "lemon", "Pan"]),
        ("5", ["salt", "baking powder", "Pan"]),
    ],
)  # fmt: skip
def test_what_is_worth_a_note(times: str, subjects: list[str]) -> None:
    assert about(times) == subjects


def test_half_an_egg_is_beaten_and_shared() -> None:
    egg = notes("1/2")[0]
    assert egg.startswith("egg: these batches take 1 1/2. Beat 2 and use 3/4 of it;")
    assert "50 g (USDA SR28 01123)" in egg


def test_a_pans_area_goes_by_the_batch() -> None:
    assert "1/2 times the area (8 × 8 is 64 sq in; 32 sq in here)" in notes("1/2")[-1]


def test_nothing_is_said_of_what_is_swapped_away() -> None:
    assert [note.partition(":")[0] for note in notes("1/2", {"egg": "", "lemon": "lime"})] == ["Pan"]


def test_every_note_says_that_it_has_no_source() -> None:
    assert all(note.endswith("(common practice, no source)") for times in ("1/2", "9") for note in notes(times))


def test_the_foods_spoken_of_are_the_catalogues() -> None:
    for name in scaling._RISES | scaling._SALTS:
        entry = catalogue_entry(name)
        assert entry is not None
        assert entry.ingredient == name


def tables_of(name: str) -> list[Table]:
    known = programme()
    plan, _ = plan_food(known)
    (document,) = [document for document in packing_documents(known, plan) if document.path.endswith(name)]
    return [part for part in document.parts if isinstance(part, Table)]


def test_cards_carry_the_notes_and_amounts_stay_multiplied() -> None:
    cards = {
        table.intro[0].partition(": ")[2].partition(";")[0]: table
        for table in tables_of("recipe-cards") if table.title.startswith("corn bread (") and table.intro
    }  # fmt: skip
    assert set(cards) == {"1/2 batch", "1 batch", "5 batches"}
    said = {batches: "\n".join(table.notes) for batches, table in cards.items()}
    assert {batches for batches, text in said.items() if "egg: these" in text} == {"1/2 batch"}
    assert {batches for batches, text in said.items() if "baking powder: shown" in text} == {"5 batches"}
    assert "Pan: " not in said["1 batch"]
    assert [row.cells[1] for row in cards["5 batches"].rows][2:4] == ["5 tbsp", "1 tbsp + 2 tsp"]


def test_the_instructor_sees_them_by_kit() -> None:
    (scaled,) = [table for table in tables_of("instructor") if table.sheet == "Scaling"]
    assert {str(row.cells[2]) for row in scaled.rows} == {"1/2 batch", "5 batches"}
