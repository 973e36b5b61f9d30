"""The packing documents: the plan's amounts, every kit labelled and listed once, no need beside a name."""

import dataclasses
import datetime as dt
import html
import io
import re
import zipfile
from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator
from fractions import Fraction
from functools import cache

import pytest
from openpyxl import load_workbook
from support import read, term
from tables import support as by_hand

from opsreport.foods import ALLERGENS, Food
from opsreport.joining import build_programme
from opsreport.measures.units import Quantity
from opsreport.money import Currency
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import FoodPlan, KitLine, Scoop, ScoopPlan
from opsreport.plan.packing.recount import Counted, recount
from opsreport.plan.packing.stopgaps import stopgaps
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.packing import packing_documents
from opsreport.tables.packing.counts import SHEET as COUNT_SHEET
from opsreport.tables.packing.counts import Shelved, count_sheet
from opsreport.tables.packing.day import allergen_words, boxes, is_cold, packing_days
from opsreport.tables.packing.roster import DEMO, SPARE
from opsreport.tables.packing.stations import ALLERGEN_SECTION
from opsreport.tables.packing.words import measuring_words, scoop_words
from opsreport.tables.recount import recount_document
from opsreport.tables.table import Document, Facts, Labels, Paper, Prose, Row, Table
from opsreport.write.html_page import html_bytes
from opsreport.write.xlsx import xlsx_bytes

AS_OF = dt.date(2027, 3, 1)
DAY = dt.date(2027, 3, 3)
NEED_WORDS = ("dairy", "vegetarian", "no onion")
PEOPLE = ("p1", "p2", "p3", "p4", "p5", "p6", "q1", "q2", "q3", "H-ash", "H-birch", "H-cedar", "H-dogwood")
NAMES = ("Ilse Marrow", "Pavel Stroud")
SHEETS = {
    "Settings": "Setting | Value\nProgramme | Fennel Kits\nSpare kits | 1\nPacking loss | 5%",
    "Groups": (
        "Group | Name | Site | Format | People per table | Demo kits | Pick-up place | Pick-up lead\n"
        "ER | Elder Row | Hall | kits | | 1 | Library desk | 1\n"
        "TB | Tollgate | School | table | 2 | | |"
    ),
    "Sessions": (
        "Session | Group | Date | Recipes | Lesson\n"
        "S07 | ER | @2027-03-04 | chili; flatbread x2 | Beans\n"
        "S08 | TB | @2027-03-04 | flatbread | Bread\n"
        "S09 | ER | @2027-03-11 | chili | Beans again"
    ),
    "Enrolment": (
        "Participant | Group | Household | Servings | Needs | Pick-up name\n"
        "p1 | ER | H-ash | 4 | none | Ilse Marrow\n"
        "p2 | ER | H-ash | | dairy |\n"
        "p3 | ER | H-birch | 8 | none |\n"
        "p4 | ER | H-cedar | 4 | vegetarian; no onion | Pavel Stroud\n"
        "p5 | ER | H-dogwood | 4 | none | Ilse Marrow\n"
        "p6 | ER | | 4 | none |\n"
        "q1 | TB | | | none |\nq2 | TB | | | none |\nq3 | TB | | | dairy |"
    ),
    "Recipes": (
        "Recipe | Servings | Ingredient | Amount | Unit | Supplied | Mix | Scale\n"
        "chili | 4 | dried black beans | 2/3 | cup | | |\n"
        "chili | | ground beef | 1 | lb | | |\n"
        "chili | | onion | 1/2 | | | |\n"
        "chili | | carrot | 1 | cup | | |\n"
        "chili | | cumin | 1/8 | tsp | | spice blend |\n"
        "chili | | paprika | 1 1/2 | tsp | | spice blend |\n"
        "chili | | butter | 1 | tbsp | | |\n"
        "chili | | almond | 1 | cup | | | session\n"
        "chili | | salt | to taste | | home | |\n"
        "flatbread | 4 | all-purpose flour | 1 1/2 | cup | | |\n"
        "flatbread | | plain yogurt | 1/3 | cup | | |\n"
        "flatbread | | water | 1/4 | cup | home | |"
    ),
    "Methods": (
        "Recipe | Step | Text | Caution\nchili | 1 | Brown the beef. | Cook it through.\n"
        "chili | 2 | Simmer. |"
    ),
    "Swaps": (
        "Ingredient | Need | Use instead | Ratio\n"
        "butter | dairy | olive oil | 3/4\n"
        "plain yogurt | dairy | canned coconut milk | 1\n"
        "ground beef | vegetarian | dried black beans | 1/4\n"
        "onion | no onion | leave out |"
    ),
    "Stock": (
        "Ingredient | Amount | Unit | Lot | Best before | Place\n"
        "dried black beans | 300 | g | B2 | @2027-12-01 | shelf 2\n"
        "dried black beans | 200 | g | B1 | @2027-06-01 | shelf 1\n"
        "ground beef | 2 | lb | G1 | @2027-03-06 | fridge 1"
    ),
    "Orders": (
        "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
        "FF-1 | Marrowby | onion | 2 | 3 | lb | @2027-03-03"
    ),
    "Suppliers": "Supplier | Lead days\nMarrowby | 1",
    "Packs": (
        "Supplier | Ingredient | Pack amount | Pack unit | Price\n"
        "Marrowby | all-purpose flour | 5 | lb | 3.20\nMarrowby | ground beef | 1 | lb | 5.00"
    ),
}  # fmt: skip


@cache
def planned() -> tuple[Programme, FoodPlan]:
    rows, _ = read(term(SHEETS), AS_OF)
    programme = build_programme(rows, AS_OF)
    plan, findings = plan_food(programme)
    assert not [finding for finding in findings if str(finding.severity) == "error"]
    return programme, plan


@cache
def documents() -> dict[str, Document]:
    found = {document.path.removeprefix("packing/"): document for document in packing_documents(*planned())}
    del found["label-test-page"]  # the only one that is of no day
    return found


def of_day(name: str) -> Document:
    return documents()[f"{DAY.isoformat()}-{name}"]


def tables(document: Document) -> list[Table]:
    return [part for part in document.parts if isinstance(part, Table)]


def labels() -> tuple:
    part = of_day("labels").parts[0]
    assert isinstance(part, Labels)
    return part.labels


def records(table: Table) -> list[dict]:
    """Rows by heading; those that head a group of rows are left out. What a first heading says beside is left out."""
    first, *others = (column.heading for column in table.columns)
    headings = [first.partition(",")[0], *others]
    return [dict(zip(headings, row.cells, strict=True)) for row in table.rows if row.emphasis != "heading"]


def texts(document: Document) -> Iterator[str]:
    """Everything that a document says."""
    yield from (document.path, document.title, document.reader, document.head)
    for part in document.parts:
        if isinstance(part, Table):
            yield from (part.sheet, part.title, *part.intro, *part.notes, part.empty)
            yield from (column.heading for column in part.columns)
            yield from (str(cell) for row in part.rows for cell in row.cells if cell is not None)
        elif isinstance(part, Labels):
            for label in part.labels:
                yield from (label.head, *label.lines, label.contains, *label.foot)
            if part.merge is not None:
                yield from (str(cell) for row in part.merge.rows for cell in row.cells if cell is not None)
        elif isinstance(part, Facts):
            yield from (text for pair in part.pairs for text in pair)
        elif isinstance(part, Prose):
            yield from (part.title, *part.sentences)


def says(document: Document, words: str) -> bool:
    """Whether some text holds these words as words of their own."""
    folded = [
        f" {''.join(s if s.isalnum() or s == '-' else ' ' for s in text.casefold())} " for text in texts(document)
    ]
    return any(f" {words.casefold()} " in text for text in folded)


def kits_by_code() -> dict:
    (day,) = [day for day in packing_days(*planned()) if day.day == DAY]
    return {kits.code: kits for kits in day.kits}


# --- the whole ---


def test_few_documents_a_day_each_named_by_its_day() -> None:
    names = ("pull-list", "stations", "checklists", "labels", "roster", "recipe-cards", "instructor")
    assert list(documents()) == [f"2027-03-{day}-{name}" for day in ("03", "10") for name in names]


def test_who_handles_food_is_told_that_labels_codes_and_licensed_practice_come_first() -> None:
    """On every paper of a packing day but labels, which have room for the packages' alone, and the roster."""
    for name in ("pull-list", "stations", "checklists", "recipe-cards", "instructor"):
        said = html_bytes(of_day(name), Paper("Letter", Currency("USD"), AS_OF)).decode()
        assert "own label, your local food code and licensed practice come before" in said, name
    for name, words in (("labels", "Read the packages"), ("roster", "FDA Food Code")):
        assert words in html_bytes(of_day(name), Paper("Letter", Currency("USD"), AS_OF)).decode()


def test_every_row_has_a_cell_a_column() -> None:
    for document in documents().values():
        for table in tables(document):
            assert {len(row.cells) for row in table.rows} <= {len(table.columns)}


def test_writers_take_every_document() -> None:
    paper = Paper("Letter", Currency("USD"), AS_OF)
    for document in documents().values():
        assert html_bytes(document, paper)
        assert xlsx_bytes(document, paper)


def test_a_plan_built_by_hand_with_unknown_recipes() -> None:
    found = packing_documents(by_hand.programme(), by_hand.food_plan())
    assert len(found) == 15
    assert not any(need in text for document in found for text in texts(document) for need in by_hand.NEEDS)


def test_no_plan_no_documents() -> None:
    assert packing_documents(planned()[0], FoodPlan()) == []


# --- amounts ---


def test_station_totals_and_blends_are_the_plans_kits_times_amounts() -> None:
    """Kits of a session that get the same of a food share a row: `S07-A, C`. What is blended is measured there."""
    counts = {code: kits.count for code, kits in kits_by_code().items()}
    expected = {
        (code, line.food): line.base * counts[code]
        for code, kits in kits_by_code().items()
        for line in kits.variant.lines
    }
    found: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    sections = [table for table in tables(of_day("stations")) if table.sheet != "Once a session"]
    for table in sections:
        food = ""
        for row in table.rows:
            if row.emphasis == "heading":
                food = str(row.cells[0]).partition(":")[0]
            elif table.sheet == "Blends":
                if row.cells[4] is not None:
                    found[str(row.cells[0]), str(row.cells[1])] += row.cells[4]
            else:
                codes, _, _, each, _, count, total = row.cells[:7]
                assert each * count == total
                session, _, letters = str(codes).rpartition("-")
                alike = [f"{session}-{letter}" for letter in letters.split(", ")]
                assert sum(counts[code] for code in alike) == count
                for code in alike:
                    assert (code, food) not in found
                    found[code, food] += each * counts[code]
    assert found == expected


def test_what_is_pulled_is_what_the_day_needs() -> None:
    programme, plan = planned()
    for day in packing_days(programme, plan):
        needed: dict[str, Fraction] = defaultdict(Fraction)
        for need in plan.needs:
            if need.packing_day == day.day:
                needed[need.food] += need.amount
        pulled: dict[str, Fraction] = defaultdict(Fraction)
        for table in tables(documents()[f"{day.day.isoformat()}-pull-list"]):
            if table.sheet == COUNT_SHEET:
                continue
            for row in records(table):
                pulled[row["Food"]] += row["As bought"]
        assert pulled == needed


def test_lots_in_order_of_use_with_what_remains() -> None:
    shelf = next(table for table in tables(of_day("pull-list")) if table.sheet == "Shelf")
    beans = [row for row in records(shelf) if row["Food"] == "dried black beans"]
    assert [row["Lot or order"].partition(",")[0] for row in beans[:2]] == ["lot B1", "lot B2"]
    assert [row["Where"] for row in beans[:2]] == ["shelf 1", "shelf 2"]
    assert beans[0]["Should remain"] == "0 g"


def test_what_arrives_that_day_is_marked() -> None:
    cool = next(table for table in tables(of_day("pull-list")) if table.sheet == "Cool")
    (onion,) = records(cool)
    assert (onion["Lot or order"], onion["Where"]) == (
        "FF-1",
        "COMES TODAY",
    )


def test_what_remains_counts_every_day_so_far() -> None:
    later = documents()["2027-03-10-pull-list"]
    cool = next(table for table in tables(later) if table.sheet == "Cool")
    (onion,) = records(cool)
    pieces = sum(kits.count for day in packing_days(*planned()) for kits in day.kits if kits.line_of("onion"))
    each = planned()[0].foods.by_name["onion"].bridge.grams_each
    _, plan = planned()
    used = sum(use.amount for use in plan.stock_use if use.food == "onion")
    assert each is not None
    assert used >= pieces * each
    left = Fraction("2721.55422") - used
    assert onion["Should remain"] == f"≈ {left // (110 / Fraction('0.9'))} pieces (≈ {float(left / 1000):.2f} kg)"


def test_the_checklist_of_each_kit_lists_its_foods_and_counts_its_kits() -> None:
    overview, *each = tables(of_day("checklists"))
    assert overview.sheet == "Kits"
    codes = [row.cells[0] for row in overview.rows if row.emphasis != "heading"]
    assert sorted(map(str, codes)) == sorted(kits_by_code())
    sessions = [str(row.cells[0]) for row in overview.rows if row.emphasis == "heading"]
    assert len(sessions) == len({kits.session.session for kits in kits_by_code().values()})
    assert all(words.startswith("Session ") and " · " in words for words in sessions)
    pages = {table.title.partition(":")[0]: table for table in each}
    assert set(pages) == set(kits_by_code())
    for code, kits in kits_by_code().items():
        page = pages[code]
        assert page.page_break
        foods = [row["In the kit"] for row in records(page) if row["As bought"]]
        assert sorted(foods) == sorted(line.food for line in kits.variant.lines)
        counted = [int(row["In the kit"].split()[0]) for row in records(page) if row["In the kit"][0].isdigit()]
        assert sum(counted) == kits.count


def test_what_differs_from_the_standard_kit_stands_out() -> None:
    code = next(code for code, kits in kits_by_code().items() if any(s.food == "onion" for s in kits.variant.swaps))
    page = next(table for table in tables(of_day("checklists")) if table.title.startswith(f"{code}:"))
    warned = [row.cells for row in page.rows if row.emphasis == "warning"]
    assert any(cells[3].startswith("INSTEAD OF ground beef") for cells in warned)
    assert any(cells[0] == "onion" and cells[3] == "LEFT OUT: nothing instead" for cells in warned)


# --- allergens and cold ---


def test_allergens_have_a_section_of_their_own_packed_last() -> None:
    sections = [table for table in tables(of_day("stations")) if table.sheet not in ("Blends", "Once a session")]
    assert sections[-1].sheet == ALLERGEN_SECTION
    assert "clean tools" in sections[-1].title
    foods = planned()[0].foods.by_name
    for table in sections:
        headed = [str(row.cells[0]).partition(":")[0] for row in table.rows if row.emphasis == "heading"]
        assert all(bool(foods[name].contains) == (table.sheet == ALLERGEN_SECTION) for name in headed)


def test_the_allergen_section_is_there_on_a_day_without_any() -> None:
    found = packing_documents(by_hand.programme(), by_hand.food_plan())
    stations = next(document for document in found if document.path.endswith("stations"))
    (section,) = [table for table in tables(stations) if table.sheet == ALLERGEN_SECTION]
    assert section.rows == ()
    assert section.empty


def test_cold_food_is_packed_after_the_rest_and_raw_meat_last() -> None:
    sections = [table.sheet for table in tables(of_day("stations"))]
    assert sections[:6] == ["Station 1", "Station 2", "Station 3", "Cold 1", "Cold 2", ALLERGEN_SECTION]
    last = next(table for table in tables(of_day("stations")) if table.sheet == "Cold 2")
    headed = [str(row.cells[0]) for row in last.rows if row.emphasis == "heading"]
    assert headed[-1].startswith("ground beef")
    assert "bag by itself" in headed[-1]


def test_labels_name_every_allergen_of_the_kits_foods() -> None:
    by_code = kits_by_code()
    for label in labels():
        kits = by_code[label.head]
        for food in kits.foods:
            assert all(name in label.contains for name in food.contains), (label.head, food.name)
        assert ("KEEP COLD" in label.marks) == bool(kits.cold)
        assert kits.cold or not any(is_cold(food) for food in kits.foods)
        assert any("Read the packages' labels." in line for line in label.foot)


def test_labels_of_swapped_kits_say_what_was_left_out_and_promise_nothing() -> None:
    for label in labels():
        kits = kits_by_code()[label.head]
        without = [line for line in label.foot if line.startswith("Made without: ")]
        assert bool(without) == bool(kits.exchanges) == ("NOT STANDARD" in label.marks)
        if without:
            assert "packed in a room that handles" in without[0]
            for exchange in kits.exchanges:
                assert exchange.food in without[0]


def test_nothing_is_ever_called_free_of_an_allergen() -> None:
    for document in documents().values():
        assert not any("-free" in text.casefold() or "free from" in text.casefold() for text in texts(document))


def test_allergens_in_the_order_of_the_law_kinds_of_nuts_named() -> None:
    foods = planned()[0].foods
    named = [food for name in ("plain yogurt", "almond", "all-purpose flour") if (food := foods.find(name))]
    assert allergen_words(named) == "milk, tree nuts (almond), wheat, gluten"
    assert allergen_words([dataclasses.replace(named[0], listed=False, contains=())]) == "not known for plain yogurt"


@pytest.mark.parametrize(
    ("allergen", "food", "law"),
    [
        ("milk", "butter", "milk"),
        ("egg", "egg noodles", "egg"),
        ("wheat", "bulgur", "wheat"),
        ("peanut", "peanut butter", "peanuts"),
        ("soy", "firm tofu", "soybeans"),
        ("sesame", "tahini", "sesame"),
        ("tree nuts", "sliced almonds", "tree nuts (almond)"),
        ("tree nuts", "black walnuts", "tree nuts (black walnut)"),
        ("tree nuts", "basil pesto", "tree nuts (kind: see the package of basil pesto)"),
        ("fish", "canned tuna in water", "fish (tuna)"),
        ("fish", "fish sauce", "fish (kind: see the package of fish sauce)"),
        ("crustacean shellfish", "frozen shrimp", "crustacean shellfish (shrimp)"),
    ],
)
def test_each_of_the_nine_as_the_law_names_its_source(allergen: str, food: str, law: str) -> None:
    """21 USC 321(qq)(1)(A): milk, egg, fish (e.g. bass, flounder, or cod), Crustacean shellfish (e.g. crab, lobster,
    or shrimp), tree nuts (e.g. almonds, pecans, or walnuts), wheat, peanuts, soybeans, and sesame (FASTER Act 2021).
    21 USC 343(w)(2): of nuts the specific type, of fish and crustaceans the species. Texts from memory."""
    assert allergen_words([Food(food, True, contains=(allergen,))]) == law


def test_two_kinds_of_nuts_are_both_named() -> None:
    nuts = [Food(name, True, contains=("tree nuts",)) for name in ("walnut", "pecan halves")]
    assert allergen_words(nuts) == "tree nuts (walnut, pecan)"


def test_a_label_says_all_a_family_must_know() -> None:
    (part, *_) = of_day("labels").parts
    assert isinstance(part, Labels)
    assert part.merge is not None
    for label, row in zip(part.labels, records(part.merge), strict=True):
        said = "\n".join((label.head, *label.lines, label.contains, *label.foot))
        assert label.head.startswith(row["Kit"])
        for heading in ("Group", "Recipe", "Contents", "Contains", "Left out", "Caution"):
            assert row[heading] in said
        assert f"Use by {day_words(row['Use by'])}" in said
        assert row["Use by"] == row["Session date"] + dt.timedelta(days=1)
        assert f"{row['Number']} of {row['Of']}" in said
    assert {row["Kind"] for row in records(part.merge)} == {"", "SPARE", "DEMO"}


def test_contents_stand_by_weight() -> None:
    for label in labels():
        kits = kits_by_code()[label.head]
        names = label.lines[-1].removeprefix("Contents, most first: ").split(", ")
        weights = [line.base for name in names if (line := kits.line_of(name)) and line.base_unit == "g"]
        assert weights == sorted(weights, reverse=True)
        assert sorted(names) == sorted(line.food for line in kits.variant.lines)


def test_bags_of_flour_and_of_blends_have_small_labels_of_their_own() -> None:
    bags = of_day("labels").parts[1]
    assert isinstance(bags, Labels)
    assert bags.merge is not None
    assert bags.pieces == 4
    rows = records(bags.merge)
    assert {row["Food"] for row in rows} == {"all-purpose flour", "spice blend"}
    for row in rows:
        if row["Food"] == "spice blend":
            assert (row["Recipe"], row["Ingredients"]) == ("chili", "paprika, cumin")
        else:
            assert row["Contains"] == "Contains: wheat, gluten"
        assert row["Packed"] == DAY
    assert sum(row["Copies"] for row in rows if row["Food"] == "all-purpose flour") == sum(
        kits.count for kits in kits_by_code().values() if kits.line_of("all-purpose flour")
    )


def test_labels_begin_where_settings_say() -> None:
    more = SHEETS | {"Settings": f"{SHEETS['Settings']}\nFirst label | 4"}
    rows, _ = read(term(more), AS_OF)
    programme = build_programme(rows, AS_OF)
    found = packing_documents(programme, plan_food(programme)[0])
    starts = [part.start for document in found if document.path.endswith("-labels") for part in document.parts
              if isinstance(part, Labels)]  # fmt: skip
    assert starts == [4, 1, 4, 1]


def test_a_range_is_printed_as_typed_beside_the_amount_that_is_packed() -> None:
    recipes = SHEETS["Recipes"].replace("chili | | carrot | 1 | cup", "chili | | carrot | 2-3 | cup")
    recipes = recipes.replace("chili | | salt | to taste |", "chili | | salt | 1-2 | tsp")
    assert recipes.count("-3 | cup") == recipes.count("1-2 | tsp") == 1
    rows, _ = read(term(SHEETS | {"Recipes": recipes}), AS_OF)
    programme = build_programme(rows, AS_OF)
    found = packing_documents(programme, plan_food(programme)[0])
    cards = [document for document in found if document.path.endswith("recipe-cards")]
    sheets = [document for document in found if document.path.endswith("instructor")]
    assert cards
    assert sheets
    assert all(says(document, "the recipe says 2-3") for document in cards)
    assert any(says(document, "1-2") for document in sheets)
    lines = {line.food: line.range_words for line in programme.recipes["chili"].lines}
    assert (lines["carrot"], lines["salt"], lines["cumin"], lines["paprika"]) == ("2-3", "1-2", "", "")


# --- every kit once ---


def test_every_kit_has_one_label_and_one_roster_line() -> None:
    expected = Counter({code: kits.count for code, kits in kits_by_code().items()})
    assert Counter(label.head for label in labels()) == expected
    (table,) = tables(of_day("roster"))
    carried = Counter({code: kits.count for code, kits in kits_by_code().items() if kits.group.kits})
    lines = [row for row in records(table) if row["Kit"]]
    assert Counter(row["Kit"] for row in lines) == carried
    for code, kits in kits_by_code().items():
        if kits.group.kits:
            named = [row for row in lines if row["Kit"] == code and row["Collected by"] not in (SPARE, DEMO)]
            assert len(named) == len(kits.variant.holders)
            unnamed = Counter(row["Collected by"] for row in lines if row["Kit"] == code and row not in named)
            assert (unnamed[SPARE], unnamed[DEMO]) == (kits.variant.spare, kits.variant.demo)


def test_spare_and_demo_labels_are_marked() -> None:
    marks = Counter(mark for label in labels() for mark in label.marks)
    assert (marks["SPARE"], marks["DEMO"]) == (1, 1)


def test_a_label_says_how_often_each_recipe_is_in_its_kit() -> None:
    double = next(code for code, kits in kits_by_code().items() if kits.variant.batches.get("chili") == 2)
    said = {label.head: label.lines[1] for label in labels()}
    assert said[double].startswith("chili × 2, flatbread × 4 · ")
    assert {label.head for label in labels() if "× 2" in label.marks} == {double}
    assert said["S07-A"].startswith("chili, flatbread × 2 · ")


def test_the_roster_calls_names_and_codes_where_names_are_missing_or_the_same() -> None:
    (table,) = tables(of_day("roster"))
    called = [row["Collected by"] for row in records(table) if row["Kit"]]
    assert called[:5] == ["H-birch", "Ilse Marrow (H-ash)", "Ilse Marrow (H-dogwood)", "p6", "Pavel Stroud"]
    assert any("shred" in note for note in table.notes)
    assert "the day before the session" in table.intro[0]


def test_kits_stated_on_the_session_are_all_on_the_roster() -> None:
    more = SHEETS | {"Sessions": "Session | Group | Date | Recipes | Kits\nS07 | ER | @2027-03-04 | flatbread | 6"}
    rows, _ = read(term(more), AS_OF)
    programme = build_programme(rows, AS_OF)
    plan, _ = plan_food(programme)
    roster = next(document for document in packing_documents(programme, plan) if document.path.endswith("roster"))
    (table,) = tables(roster)
    assert sum(bool(row["Kit"]) for row in records(table)) == plan.sessions[0].kits


# --- privacy ---


@pytest.mark.parametrize("words", NEED_WORDS)
def test_no_need_is_on_any_document(words: str) -> None:
    assert not [path for path, document in documents().items() if says(document, words)]


@pytest.mark.parametrize("words", [*NAMES, *PEOPLE])
def test_people_are_on_the_roster_and_the_instructor_sheet_only(words: str) -> None:
    allowed = {"roster", "instructor"}
    assert {path[11:] for path, document in documents().items() if says(document, words)} <= allowed


@cache
def handed_over() -> dict[str, Document]:
    """Every packing and pick-up document there is: those of the days, of no day, of kits handed out, and a recount."""
    more = SHEETS | {
        "Sessions": f"{SHEETS['Sessions']}\nS06 | ER | @2027-02-25 | chili |",
        "Enrolment": f"{SHEETS['Enrolment']}\np7 | ER | H-elder | 4 | | Ilse Marrow\nq4 | TB | | | |",
        "Pick-ups": "Session | Household | Kit\nS06 | H-ash | collected\nS06 | H-cedar | left\nS06 | H-birch | short",
    }
    rows, _ = read(term(more), AS_OF)
    programme = build_programme(rows, AS_OF)
    plan, _ = plan_food(programme)
    today = [session for session in plan.sessions if session.packing_day == DAY]
    counted = [Counted("dried black beans", Fraction(300)), Counted("onion", Fraction(0))]
    found = recount(programme, DAY, today, counted)
    recounted = recount_document(programme, found, stopgaps(programme, today, counted, found))
    made = [*packing_documents(programme, plan), recounted]
    return {document.path.removeprefix("packing/"): document for document in made}


PERSONAL = (*NEED_WORDS, *NAMES, *PEOPLE, "p7", "q4", "H-elder")


def printed(document: Document, paper: Paper) -> tuple[list[str], str]:
    """What stands in each cell of the spreadsheet and each text of the page; and all that the files hold beside it:
    tags, styles, headers, properties."""
    file, page = xlsx_bytes(document, paper), html_bytes(document, paper).decode("utf-8")
    cells = [
        str(cell.value)
        for sheet in load_workbook(io.BytesIO(file)) for row in sheet.iter_rows() for cell in row
        if cell.value is not None
    ]  # fmt: skip
    nodes = [html.unescape(text).strip() for text in re.findall(r">([^<>]+)<", page[page.index("<body") :])]
    with zipfile.ZipFile(io.BytesIO(file)) as parts:
        raw = " ".join(parts.read(name).decode("utf-8") for name in parts.namelist())
    return [*cells, *nodes], html.unescape(f"{raw} {page}")


def names_any(text: str, words: Iterable[str]) -> list[str]:
    """Which of these words a text names, as words of their own, whatever their case."""
    plain = f" {re.sub(r'[^0-9A-Za-z-]+', ' ', text.casefold())} "
    return [word for word in words if f" {word.casefold()} " in plain]


@pytest.mark.parametrize("size", ["Letter", "A4"])
def test_no_cell_and_no_text_of_a_page_says_more_than_it_may(size: str) -> None:
    """Needs nowhere; people on the roster and the instructor sheet; households without a kit's code on a recount."""
    paper = Paper(size, Currency("USD"), AS_OF)  # type: ignore[arg-type]
    kinds = {path.rpartition("-")[2] for path in handed_over()}
    assert {"list", "stations", "checklists", "labels", "roster", "cards", "instructor", "page", "out"} <= kinds
    for path, document in handed_over().items():
        said, raw = printed(document, paper)
        assert len(said) > 10
        found = {word for text in said for word in names_any(text, PERSONAL)}
        assert not names_any(raw, NEED_WORDS)
        if path.startswith("recount"):
            assert not found & {*NEED_WORDS, *NAMES}
        elif not path.endswith(("-roster", "-instructor")):
            assert not found, path
            assert not names_any(raw, NAMES)


def test_nothing_that_names_a_person_names_a_food_or_an_allergen() -> None:
    """Row by row and sentence by sentence: a kit's code is all that stands beside a person."""
    foods = {*planned()[0].foods.by_name, *ALLERGENS, "gluten", "swap", "instead", "without"}
    seen = set()
    for path, document in handed_over().items():
        for table in tables(document):
            lines = [" ".join(str(cell) for cell in row.cells) for row in table.rows]
            for line in (line for line in (*lines, *table.intro, *table.notes) if names_any(line, PERSONAL)):
                seen.add(path.rpartition("-")[2])
                assert not names_any(line, foods), (path, table.title, line)
            if "who has which kit" in table.title:
                assert not names_any(" ".join(lines), foods)
    assert {"roster", "instructor"} <= seen


def test_who_collects_several_kits_at_one_place_is_told_on_each_line() -> None:
    """A household of two groups, and one of which every participant has a kit."""
    sheets = {
        "Groups": (
            "Group | Name | Kit for | Pick-up place\ng1 | Elder Row | household | Desk\n"
            "g2 | Tollgate | household | Desk\ng3 | Saltpan | participant | Desk"
        ),
        "Sessions": "\n".join(
            ["Session | Group | Date | Recipes", *(f"S{n} | g{n} | @2027-03-04 | soup" for n in (1, 2, 3))]
        ),
        "Enrolment": (
            "Participant | Group | Household | Needs | Pick-up name\na1 | g1 | H-ash | none | Ilse Marrow\n"
            "a1 | g2 | H-ash | none | Ilse Marrow\nb1 | g1 | H-oak | none |\n"
            "c1 | g3 | H-elm | none | Pavel Stroud\nc2 | g3 | H-elm | none | Pavel Stroud"
        ),
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 |",
        "Stock": "Ingredient | Amount | Unit\nonion | 2 |",
    }
    rows, _ = read(term(sheets), AS_OF)
    programme = build_programme(rows, AS_OF)
    made = packing_documents(programme, plan_food(programme)[0])
    (roster,) = [document for document in made if document.path.endswith("-roster")]
    called = {(row["Collected by"], row["Kit"]) for table in tables(roster) for row in records(table) if row["Kit"]}
    assert called >= {
        ("Ilse Marrow · also S2-A", "S1-A"), ("Ilse Marrow · also S1-A", "S2-A"), ("H-oak", "S1-A"),
        ("Pavel Stroud (c1) · also S3-A", "S3-A"), ("Pavel Stroud (c2) · also S3-A", "S3-A"),
    }  # fmt: skip


def test_the_instructor_sheet_says_who_has_which_kit_on_a_page_by_itself() -> None:
    (who,) = [table for table in tables(of_day("instructor")) if "who has which kit" in table.title]
    holders = {kits.code: kits.variant.holders for kits in kits_by_code().values() if kits.group.kits}
    assert who.page_break
    assert len(who.rows) == sum(len(codes) for codes in holders.values())
    (ash,) = [row.cells[1] for row in who.rows if row.cells[0] == "Ilse Marrow (H-ash)"]
    assert "H-ash" in holders[ash]


def test_the_roster_tells_no_swap() -> None:
    foods = planned()[0].foods.by_name
    roster = of_day("roster")
    assert not [name for name in foods if says(roster, name)]


# --- words ---


def test_scoops_in_words() -> None:
    two = ScoopPlan((Scoop("1/3 cup", Fraction(2)), Scoop("1 tbsp", Fraction(1))))
    assert scoop_words(two) == "2 × 1/3 cup + 1 tbsp"
    half = ScoopPlan((Scoop("1/4 tsp", Fraction(1, 2)),), Fraction(-1, 30))
    assert scoop_words(half) == "half of a 1/4 tsp (≈ 3.3% too little)"


def test_a_scoop_plan_more_than_a_twentieth_off_is_weighed() -> None:
    programme, _ = planned()
    cumin = Quantity(Fraction(1), "tsp")
    for error, words in ((Fraction(1, 20), "1 tsp (≈ 5% too much)"), (Fraction(6, 100), "weigh ≈ 2 g")):
        scoops = ScoopPlan((Scoop("1 tsp", Fraction(1)),), error)
        line = KitLine("cumin", cumin, Fraction("2.1"), "g", scoops)
        assert measuring_words(programme, line).startswith(words)


def test_what_is_trimmed_is_weighed_as_bought() -> None:
    kits = next(iter(kits_by_code().values()))
    carrot = kits.line_of("carrot")
    assert carrot is not None
    words = measuring_words(planned()[0], carrot)
    assert "untrimmed; trimmed it gives" in words


def test_boxes_one_a_kit_up_to_ten_then_one_every_ten() -> None:
    assert [boxes(kits) for kits in (1, 10, 11, 20, 21)] == [1, 10, 2, 2, 3]


@pytest.mark.parametrize(("paper", "first"), [("Letter", "F"), ("A4", "C")])
def test_degrees_stand_in_one_order_on_every_document(paper: str, first: str) -> None:
    rows, _ = read(term(SHEETS | {"Settings": f"{SHEETS['Settings']}\nPaper | {paper}"}), AS_OF)
    programme = build_programme(rows, AS_OF)
    said = {
        document.path: found
        for document in packing_documents(programme, plan_food(programme)[0])
        if (found := {unit for text in texts(document) for unit in re.findall(r"\d °([FC]) \(", text)})
    }
    assert {path.rpartition("-")[2] for path in said} == {"list", "stations", "labels", "roster", "cards"}
    assert all(units == {first} for units in said.values())


# --- cards and instructor ---


def test_cards_scale_swap_and_say_what_comes_from_home() -> None:
    found = {table.title: table for table in tables(of_day("recipe-cards"))}
    code = next(code for code, kits in kits_by_code().items() if kits.variant.batches.get("chili") == 2)
    double = {row["Ingredient"]: row for row in records(found[f"chili ({code})"])}
    assert double["dried black beans"]["Amount"] == "1 1/3 cups"
    assert double["onion"]["Amount"] == "1"
    assert (double["salt"]["Amount"], double["salt"]["Comes from"]) == ("to taste", "your home")
    assert double["almond"]["Comes from"] == "the session"
    method = found[f"chili ({code}): method"]
    assert [row.cells for row in method.rows] == [
        (1, "Brown the beef.", "Cook it through."),
        (2, "Simmer.", ""),
    ]


def test_cards_of_swapped_kits_show_the_substitutes() -> None:
    code = next(code for code, kits in kits_by_code().items() if any(s.food == "butter" for s in kits.variant.swaps))
    card = next(table for table in tables(of_day("recipe-cards")) if table.title == f"chili ({code})")
    oil = next(row for row in card.rows if str(row.cells[0]).startswith("olive oil"))
    assert oil == Row(("olive oil (instead of butter)", "2 1/4 tsp", "", "", "the kit"), "warning")


def test_a_card_for_every_kit() -> None:
    for session in ("S07", "S08"):
        for recipe in ("chili", "flatbread"):
            cards = [row for row in records(tables(of_day("recipe-cards"))[0]) if row["Recipe"] == recipe]
            mine = [row for row in cards if row["For kits"].startswith(session)]
            kits = sum(kits.count for code, kits in kits_by_code().items() if code.startswith(session))
            assert sum(row["Copies"] for row in mine) == (0 if (session, recipe) == ("S08", "chili") else kits)


def test_the_instructor_has_demo_amounts_and_what_is_packed_once() -> None:
    found = {table.title: table for table in tables(of_day("instructor"))}
    supplies = records(found["Session S07: for the demonstration"])
    assert [row["For"] for row in supplies if row["Food"] == "almond"] == ["once, for everyone"]
    assert all("1 demo kit" in row["For"] for row in supplies if row["Food"] != "almond")
    assert [row["Take care"] for row in records(found["Session S07: say aloud"])] == ["Cook it through."]


def blends_by_kit() -> dict[str, list[Row]]:
    """The rows of the Blends table by the kit of their heading."""
    table = next(table for table in tables(of_day("stations")) if table.sheet == "Blends")
    found: dict[str, list[Row]] = {}
    for row in table.rows:
        if row.emphasis == "heading":
            found[str(row.cells[0]).partition(":")[0]] = rows = []
            assert "spice blend (chili)" in str(row.cells[0])
        else:
            rows.append(row)
    return found


def test_a_blend_is_measured_once_for_all_kits_then_portioned() -> None:
    kits = kits_by_code()
    for code, rows in blends_by_kit().items():
        *parts, portion = rows
        assert [row.cells[1] for row in parts] == ["cumin", "paprika"]
        for row in parts:
            line = next(line for line in kits[code].variant.lines if line.food == row.cells[1])
            assert row.cells[4] == line.base * kits[code].count
            assert row.cells[6] == 1  # one box: it is measured once
        assert f"into each of {kits[code].count} bags" in str(portion.cells[3]) or kits[code].count == 1
    assert set(blends_by_kit()) == {code for code in kits if code.startswith("S07")}


def test_what_goes_into_a_blend_is_not_measured_kit_by_kit() -> None:
    blended = {row.cells[1] for rows in blends_by_kit().values() for row in rows[:-1]}
    heads = {
        str(row.cells[0]).partition(":")[0]
        for table in tables(of_day("stations")) if table.sheet != "Blends"
        for row in table.rows if row.emphasis == "heading"
    }  # fmt: skip
    assert blended
    assert not blended & heads


def busiest_of(recipes: str) -> int:
    """The motions of the busiest station of such a day, as its foot says."""
    notes = [note for table in station_tables(recipes) for note in table.notes]
    return max(int(note.partition(" fills")[0]) for note in notes)


def stations_of(recipes: str, more: dict[str, str] | None = None) -> list[Row]:
    return [row for table in station_tables(recipes, more) for row in table.rows]


def station_tables(recipes: str, more: dict[str, str] | None = None) -> list[Table]:
    """The stations of a day with one session of one group, without blends."""
    sheets = {
        "Groups": "Group | Name\ng1 | Elder Row",
        "Sessions": "Session | Group | Date | Recipes\nS1 | g1 | @2027-03-04 | stew",
        "Enrolment": "Participant | Group | Needs\np1 | g1 | none",
        "Stock": "Ingredient | Amount | Unit\nonion | 2 |",
        "Recipes": f"Recipe | Servings | Ingredient | Amount | Unit | Mix\n{recipes}",
    }
    rows, _ = read(term({**sheets, **(more or {})}), AS_OF)
    programme = build_programme(rows, AS_OF)
    made = packing_documents(programme, plan_food(programme)[0])
    (document,) = [each for each in made if each.path.endswith("-stations")]
    return [table for table in tables(document) if table.sheet != "Blends"]


def test_a_food_by_count_and_by_weight_has_no_false_trimmed_weight() -> None:
    """One onion as bought and 8 oz of trimmed onion are not so many grams trimmed."""
    (row,) = [row for row in stations_of("stew | 4 | onion | 1 | |\nstew | | onion | 8 | oz |") if not row.emphasis]
    assert row.cells[1] == "1 + 8 oz"
    assert str(row.cells[2]).endswith(" untrimmed: enough for 1 + 8 oz")


def test_what_is_blended_in_part_is_measured_for_the_rest_only() -> None:
    (row,) = [
        row for row in stations_of("stew | 4 | cumin | 1 | tsp | spice\nstew | | cumin | 2 | tsp |") if not row.emphasis
    ]
    assert row.cells[1:3] == ("2 tsp", "here only 2 × 1 tsp; the rest is in blend spice (stew)")
    assert busiest_of("stew | 4 | cumin | 1 | tsp | spice\nstew | | cumin | 2 | tsp |") == 6  # two fills, three kits


def test_whole_pieces_go_by_the_workbooks_word() -> None:
    carton = "Ingredient | Grams each | Per kit\nvegetable broth | 884 | whole"
    stock = "Ingredient | Amount | Unit\nvegetable broth | 6 | carton"
    head, row = stations_of("stew | 4 | vegetable broth | 5 | cup |", {"Ingredients": carton, "Stock": stock})[:2]
    assert str(head.cells[0]).startswith("vegetable broth: 6 cartons, ")
    assert row.cells[1:3] == ("2 cartons", "count 2 cartons")


def test_a_long_list_of_one_food_says_its_name_again() -> None:
    """Its rows keep to one page as far as the next heading, which says the allergens too."""
    people = "\n".join(f"p{number} | g1 | {4 * number} | none" for number in range(1, 13))
    enrolled = f"Participant | Group | Servings | Needs\n{people}"
    rows = stations_of("stew | 4 | walnut | 1 | cup |", {"Enrolment": enrolled})
    heads = [(number, str(row.cells[0])) for number, row in enumerate(rows) if row.emphasis == "heading"]
    assert [number for number, _ in heads] == [0, 9]
    assert heads[1][1].startswith("walnut, continued · into ")
    assert "CONTAINS tree nuts (walnut)" in heads[1][1]


def test_packs_of_one_order_are_one_line_of_the_count_sheet() -> None:
    """Two sizes of pack of one order stand on one shelf: two lines alike would be taken for a line pasted twice."""
    day = packing_days(*planned())[0]
    one = Shelved("carrot", "O-1", "delivery", DAY, Fraction(500))
    table = count_sheet(day, [one, one, dataclasses.replace(one, lot="O-2")])
    assert [(row.cells[1], row.cells[4]) for row in table.rows] == [
        ("O-1", "1 kg (≈ 2 lb 3 oz)"),
        ("O-2", "500 g (≈ 1 lb 2 oz)"),
    ]


def test_a_shortage_is_said_first() -> None:
    found = packing_documents(by_hand.programme(), by_hand.food_plan())
    pull = next(document for document in found if document.path.endswith("10-pull-list"))
    assert isinstance(pull.parts[0], Prose)
    assert pull.parts[0].kind == "warning"
    assert "spinach for session E1" in pull.parts[0].sentences[0]
