# ruff: noqa: E501  (an example is a line)
"""A small workbook for every fault that reading and checking can find, and rules that need more than one."""

import datetime as dt
import re
from pathlib import Path

import pytest
from support import CORE, book, read, said, term

import opsreport
from opsreport.findings import gathered
from opsreport.rules import RULES, Severity

AS_OF = dt.date(2027, 3, 1)
GROUPS = "Group | Name"
ENROL = "Participant | Group | Needs"
MARKED = {
    "Sessions": "Session | Group | Date | Recipes | Status\ns1 | g1 | @2027-03-04 | soup | delivered",
}
RECIPE = "Recipe | Servings | Ingredient | Amount | Unit"
PACKS = "Supplier | Ingredient | Pack amount | Pack unit | Price"
QUESTIONS = "Question | Text | Kind | Lowest | Highest\nq1 | Sure? | scale | 1 | 5\nq2 | Did you? | yes-no | |"
ORDERS = "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Received"
FUNDERS = "Funder | From | Until\nLark | @2027-01-01 | @2027-06-30"


def setting(name: str, value: str) -> dict[str, str]:
    return {"Settings": f"Setting | Value\n{name} | {value}"}


def sessions(day: str, more: str = "") -> dict[str, str]:
    return {"Sessions": f"Session | Group | Date | Recipes\ns1 | g1 | {day} | soup{more}"}


def recipe(amount: str, unit: str = "", food: str = "onion") -> dict[str, str]:
    return {"Recipes": f"{RECIPE}\nsoup | 4 | {food} | {amount} | {unit}"}


EXAMPLES: list[tuple[str, str, dict[str, str]]] = [
    ("sheet-twice", "Enrolment (2)", {"Enrolment (2)": CORE["Enrolment"]}),
    ("sheet-unknown", "Enrollments", {"Enrollments": "a | b"}),
    ("headings-missing", "Stock", {"Stock": "Ingredient | Unit\nonion | "}),
    ("heading-twice", "Stock!D1", {"Stock": "Ingredient | Amount | Unit | amount\nonion | 2 | | 3"}),
    ("columns-unknown", "Stock!C1", {"Stock": "Ingredient | Amount | Colour\nonion | 2 | red"}),
    ("heading-near", "Enrolment!C1", {"Enrolment": "Participant | Group | Need\np1 | g1 | no egg"}),
    ("column-nameless", "Stock!C2", {"Stock": "Ingredient | Amount |\nonion | 2 | red"}),
    ("setting-unknown", "Settings!A2", setting("Smal count", "5")),
    ("setting-twice", "Settings!A3", {"Settings": "Setting | Value\nPaper | A4\npaper | Letter"}),
    ("row-skipped", "Stock!A3", {"Stock": "Ingredient | Amount\nonion | 2\nTotals | 2"}),
    ("cell-missing", "Enrolment!B2", {"Enrolment": f"{ENROL}\np1 | | none"}),
    ("cell-error", "Stock!B2", {"Stock": "Ingredient | Amount\nonion | #N/A"}),
    ("cell-unsaved", "Stock!B2", {"Stock": "Ingredient | Amount\nonion | =1/3"}),
    ("read-as", "Recipes!D2", recipe("3-4")),
    ("out-of-range", "Recipes!B2", {"Recipes": f"{RECIPE}\nsoup | 0 | onion | 1 |"}),
    ("id-twice", "Sessions!A3", sessions("@2027-03-04", "\nS1 | g1 | @2027-03-05 | soup")),
    ("row-twice", "Enrolment!A3", {"Enrolment": f"{ENROL}\np1 | g1 | none\nP1 | G1 | none"}),
    ("row-repeated", "Stock!A3", {"Stock": "Ingredient | Amount | Lot\nonion | 2 | L1\nOnion | 2 | l1"}),
    ("choice-unknown", "Settings!B2", setting("Paper", "foolscap")),
    ("currency-unknown", "Settings!B2", setting("Currency", "dollars")),
    ("yes-no-unreadable", "Settings!B2", setting("Decimal comma", "perhaps")),
    ("mark-unknown", "Attendance!B2", {**MARKED, "Attendance": "Participant | s1\np1 | ??"}),
    ("mark-about-health", "Attendance!B2", {**MARKED, "Attendance": "Participant | s1\np1 | flu again"}),
    ("id-several", "Enrolment!A2", {"Enrolment": f"{ENROL}\np1; p2 | g1 | none"}),
    ("id-is-date", "Sessions!A2", {"Sessions": CORE["Sessions"].replace("s1", "@2027-01-02")}),
    ("id-is-yes-no", "Stock!A2", {"Stock": "Ingredient | Amount\nTRUE | 2"}),
    ("list-separator", "Sessions!D2", sessions("@2027-03-04", ", salad")),
    ("number-unreadable", "Recipes!B2", {"Recipes": f"{RECIPE}\nsoup | four | onion | 1 |"}),
    ("number-comma", "Recipes!D2", recipe("1,5")),
    ("number-is-date", "Recipes!D2", recipe("@2027-01-02")),
    ("number-not-whole", "Settings!B2", setting("Packing lead", "1.5")),
    ("percent-unreadable", "Settings!B2", setting("Packing loss", "some")),
    ("share-unreadable", "Settings!B2", setting("Spare kits", "a few")),
    ("money-unreadable", "Settings!B2", setting("Budget", "free")),
    ("money-other-currency", "Settings!B2", setting("Budget", "€500")),
    ("money-of-several", "Settings!B2", setting("Budget", "2 for 5")),
    ("money-by-unit", "Settings!B2", setting("Budget", "$3.49/lb")),
    ("money-negative", "Settings!B2", setting("Budget", "(500)")),
    ("money-decimals", "Settings!B2", setting("Budget", "4.505")),
    ("amount-unreadable", "Recipes!D2", recipe("some")),
    ("amount-with-words", "Recipes!D2", recipe("1 med onion")),
    ("amount-not-positive", "Recipes!D2", recipe("0")),
    ("amount-negative", "Stock!B2", {"Stock": "Ingredient | Amount\nonion | -1"}),
    ("unit-unknown", "Recipes!E2", recipe("1", "cupfull")),
    ("unit-is-size", "Recipes!E2", recipe("1", "large")),
    ("unit-imperial", "Recipes!E2", recipe("1", "imperial pint")),
    ("date-unreadable", "Sessions!C2", sessions("next week")),
    ("date-is-number", "Sessions!C2", sessions("46450")),
    ("date-not-real", "Sessions!C2", sessions("2027-02-30")),
    ("number-outside", "Settings!B2", setting("Keep margin", "1000000000")),
    ("date-outside", "Sessions!C2", sessions("2927-03-04")),
    ("date-weekday", "Sessions!C2", sessions("Mon 12 Jan 2027")),
    ("date-ambiguous", "Sessions!C2", sessions("3/4/26")),
    ("date-order", "Sessions!C2", sessions("16/12/2026")),
    ("time-unreadable", "Sessions!E2",
     {"Sessions": "Session | Group | Date | Recipes | Start\ns1 | g1 | @2027-03-04 | soup | 25:00"}),
    ("weekday-unknown", "Settings!B2", setting("Open days", "Mon; Funday")),
    ("dish-times", "Sessions!D2", sessions("@2027-03-04", " x0")),
    ("need-unreadable", "Enrolment!C2", {"Enrolment": f"{ENROL}\np1 | g1 | 0"}),
    (
        "amount-with-unit", "Recipes!D2",
        {"Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | rolled oats | 1 1/2 cups |"},
    ),
    (
        "contains-blank", "Ingredients!C2",
        {
            "Enrolment": "Participant | Group | Needs\np1 | g1 | no egg",
            "Ingredients": "Ingredient | State | Contains\nmoon dust | dry |",
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | moon dust | 1 | g",
        },
    ),
    (
        "need-of-one-food", "Enrolment!C2",
        {"Enrolment": f"{ENROL}\np1 | g1 | no garlic", **recipe("1", "tsp", "garlic powder")},
    ),
    ("contains-dropped", "Ingredients!B2", {"Ingredients": "Ingredient | Contains\npeanut butter | sesame"}),
    ("none-beside-need", "Enrolment!C2", {"Enrolment": f"{ENROL}\np1 | g1 | none; no egg"}),
    ("piece-unreadable", "Ingredients!B2", {"Ingredients": "Ingredient | Other pieces\ngarlic | head heavy"}),
    ("count-word", "Recipes!D2", {"Recipes": f"{RECIPE}\nsoup | 4 | garlic | 1 | head"}),
    ("unit-with-amount", "Recipes!E2", {"Recipes": f"{RECIPE}\nsoup | 4 | oats | 1 | 500g"}),
    ("allergen-unknown", "Ingredients!B2", {"Ingredients": "Ingredient | Contains\nonion | dust"}),
    ("funder-share-unreadable", "Groups!B2", {"Groups": "Group | Funders\ng1 | 60% Lark"}),
    ("nothing-to-plan", "", {"Sessions": "Session | Group | Date | Recipes"}),
    ("group-unknown", "Enrolment!B2", {"Groups": "Group | Name\ng2 | two"}),
    ("supplier-unknown", "Packs!A2",
     {"Suppliers": "Supplier | Name\nMarket | M", "Packs": f"{PACKS}\nMarkett | onion | 5 | lb | 4"}),
    ("supplier-never-taken-in", "Suppliers!B2", {"Suppliers": "Supplier | Delivery days\nMarket | Sat; Sun"}),
    ("recipe-unknown", "Sessions!D2", {"Sessions": CORE["Sessions"].replace("soup", "soop")}),
    ("session-unknown", "Attendance!C1", {**MARKED, "Attendance": "Participant | s1 | s2\np1 | y | y"}),
    ("participant-unknown", "Attendance!A2", {**MARKED, "Attendance": "Participant | s1\np9 | y"}),
    ("question-unknown", "Surveys!C1", {"Questions": QUESTIONS, "Surveys": "Participant | When | q9\np1 | before | 3"}),
    ("questions-missing", "Surveys!C1", {"Surveys": "Participant | When | q9\np1 | before | 3"}),
    ("household-unknown", "Pick-ups!B2", {"Pick-ups": "Session | Household | Kit\ns1 | h9 | left"}),
    ("funder-unknown", "Groups!B2", {"Groups": "Group | Funders\ng1 | Larc", "Funders": FUNDERS}),
    ("ingredient-unknown", "Recipes!C2", recipe("1", "", "onyonn")),
    ("need-unknown", "Enrolment!C2", {"Enrolment": f"{ENROL}\np1 | g1 | no penut"}),
    ("needs-unanswered", "Enrolment!C2", {"Enrolment": f"{ENROL}\np1 | g1 | ?"}),
    ("needs-unanswered-refused", "Enrolment!C2",
     {"Enrolment": f"{ENROL}\np1 | g1 |", **setting("Unanswered needs", "error")}),
    ("servings-missing", "Recipes!B2", {"Recipes": f"{RECIPE}\nsoup | | onion | 1 |\n | | salt | to taste |"}),
    ("servings-twice", "Recipes!B3", {"Recipes": f"{RECIPE}\nsoup | 4 | onion | 1 |\nsoup | 6 | carrot | 1 |"}),
    ("amount-missing", "Recipes!D2", recipe("", "cup")),
    ("unit-contradicts", "Recipes!D2", recipe("2 cups", "tbsp")),
    ("ounces-of-liquid", "Recipes!E2",
     {**recipe("8", "oz", "brine"), "Ingredients": "Ingredient | State\nbrine | liquid"}),
    ("bridge-missing", "Recipes!D2",
     {**recipe("1", "cup", "gloop"), "Stock": "Ingredient | Amount | Unit\ngloop | 2 | lb"}),
    ("people-per-table-missing", "Groups!C2", {"Groups": "Group | Format | People per table\ng1 | table |"}),
    ("funder-share-missing", "Groups!B2", {"Groups": "Group | Funders\ng1 | Lark; Brack"}),
    ("funder-shares-total", "Groups!B2", {"Groups": "Group | Funders\ng1 | Lark 60%; Brack 30%"}),
    ("session-past", "Sessions!C2", sessions("@2027-02-04")),
    ("packing-date-late", "Sessions!E2",
     {"Sessions": "Session | Group | Date | Recipes | Packing date\ns1 | g1 | @2027-03-04 | soup | @2027-03-05"}),
    ("date-far", "Sessions!C4",
     sessions("@2027-03-04", "\ns2 | g1 | @2027-03-11 | soup\ns3 | g1 | @2029-03-04 | soup")),
    ("replaces-unknown", "Sessions!E2",
     {"Sessions": "Session | Group | Date | Recipes | Replaces\ns1 | g1 | @2027-03-04 | soup | s0"}),
    ("replaces-not-cancelled", "Sessions!E3",
     {"Sessions": "Session | Group | Date | Recipes | Replaces\n"
                  "s1 | g1 | @2027-03-04 | soup |\ns2 | g1 | @2027-03-11 | soup | s1"}),
    ("until-before-from", "Closures!B2", {"Closures": "Date | Until\n@2027-03-04 | @2027-03-03"}),
    ("left-before-joined", "Enrolment!E2",
     {"Enrolment": f"{ENROL} | Joined | Left\np1 | g1 | none | @2027-03-04 | @2027-03-03"}),
    ("withdrawn-without-left", "Enrolment!D2", {"Enrolment": f"{ENROL} | Left | Status\np1 | g1 | none | | withdrawn"}),
    ("order-overdue", "Orders!G2", {"Orders": f"{ORDERS}\no1 | m | onion | 2 | 5 | each | @2027-02-26 | 1"}),
    ("received-too-many", "Orders!H2", {"Orders": f"{ORDERS}\no1 | m | onion | 2 | 5 | each | @2027-03-26 | 3"}),
    ("chilled-without-date", "Stock!D2",
     {"Stock": "Ingredient | Amount | Unit | Best before\ncurd | 2 | |",
      "Ingredients": "Ingredient | Storage\ncurd | chill"}),
    ("mark-not-delivered", "Attendance!B2", {"Attendance": "Participant | s1\np1 | y"}),
    ("marks-of-nobody", "Attendance!B2",
     {"Sessions": MARKED["Sessions"].replace("g1", "g7"), "Attendance": "Participant | s1\np1 | y"}),
    ("mark-other-group", "Attendance!B2",
     {**MARKED, "Enrolment": f"{ENROL}\np1 | g2 | none\np2 | g1 | none", "Attendance": "Participant | s1\np1 | y"}),
    ("mark-not-active", "Attendance!B2",
     {**MARKED, "Enrolment": f"{ENROL} | Joined\np1 | g1 | none | @2027-03-05", "Attendance": "Participant | s1\np1 | y"}),
    ("answer-outside", "Surveys!C2", {"Questions": QUESTIONS, "Surveys": "Participant | When | q1\np1 | before | 6"}),
    ("answer-unreadable", "Surveys!C2",
     {"Questions": QUESTIONS, "Surveys": "Participant | When | q2\np1 | before | often"}),
    ("scale-without-ends", "Questions!D2",
     {"Questions": "Question | Text | Kind | Lowest | Highest\nq1 | Sure? | scale | | 5"}),
    ("scale-ends-swapped", "Questions!D2",
     {"Questions": "Question | Text | Kind | Lowest | Highest\nq1 | Sure? | scale | 5 | 1"}),
    ("funder-without-sessions", "Funders!A2",
     {"Groups": "Group | Funders\ng1 | Lark", "Funders": "Funder | From | Until\nLark | @2028-01-01 | @2028-06-30"}),
    ("report-by-unknown", "Settings!B2", setting("Report by", "Aged band")),
]  # fmt: skip


@pytest.mark.parametrize(("code", "place", "sheets"), EXAMPLES, ids=[example[0] for example in EXAMPLES])
def test_each_fault_is_found_at_its_place(code: str, place: str, sheets: dict[str, str]) -> None:
    findings = read(term(sheets), AS_OF)[1]
    assert (place, code) in [(str(finding.place), finding.code) for finding in findings]
    finding = next(finding for finding in findings if finding.code == code)
    assert finding.seen
    assert finding.seen in finding.message
    assert finding.fix.endswith((".", "?", finding.details.get("proposed", ".")))


@pytest.mark.parametrize(("code", "place", "sheets"), EXAMPLES, ids=[example[0] for example in EXAMPLES])
def test_one_slip_is_one_finding(code: str, place: str, sheets: dict[str, str]) -> None:
    """Beside its own finding an example gives notes, and what its sheets say elsewhere, but no other error."""
    others = [
        finding for finding in read(term(sheets), AS_OF)[1]
        if finding.severity is Severity.ERROR and finding.code != code
    ]  # fmt: skip
    assert [(str(finding.place), finding.code) for finding in others] == []


def test_a_missing_sheet_is_a_finding_each() -> None:
    assert said(book(Stock=CORE["Stock"])) == [
        ("Enrolment", "sheet-missing"),
        ("Recipes", "sheet-missing"),
        ("Sessions", "sheet-missing"),
    ]


REFERRING = {
    "Settings": "Setting | Value\nDate order | day first\nDecimal comma | yes\nCurrency | EUR",
    "Groups": "Group | Funders\ng1 | Lark",
    "Sessions": "Session | Group | Date | Recipes | Status\ns1 | g1 | 4.3.2027 | soup | delivered\n"
    "s2 | g1 | 5.3.2027 | soup | planned",
    "Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | no zest",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | moon bean | 1,5 | cup",
    "Methods": "Recipe | Step | Text\nsoup | 1 | Stir.",
    "Ingredients": "Ingredient | Grams per cup | Contains | Tags\nmoon bean | 150 | none | zest",
    "Packs": f"{PACKS}\nmarket | moon bean | 500 | g | 2,5\nmarket | onion | 1 | kg | 1,25 €",
    "Swaps": "Ingredient | Need | Use instead\nmoon bean | no zest | leave out",
    "Attendance": "Participant | s1\np1 | y",
    "Pick-ups": "Session | Household | Kit\ns1 | h1 | collected",
    "Questions": QUESTIONS,
    "Surveys": "Participant | When | q1 | q2\np1 | before | 3 | no\np1 | after | 4 | yes",
    "Funders": FUNDERS,
}


@pytest.mark.parametrize("sheet", ["", *REFERRING])
def test_a_sheet_without_headings_is_one_finding_whatever_refers_to_it(sheet: str) -> None:
    spoiled = {sheet: REFERRING[sheet].replace(REFERRING[sheet].partition(" ")[0], "Kxq", 1)} if sheet else {}
    assert said(term({**REFERRING, **spoiled}), AS_OF) == ([(sheet, "headings-missing")] if sheet else [])


@pytest.mark.parametrize("sheet", CORE)
def test_a_missing_sheet_is_one_finding_whatever_refers_to_it(sheet: str) -> None:
    sheets = {**CORE, **REFERRING}
    assert said(book({name: text for name, text in sheets.items() if name != sheet}), AS_OF) == [
        (sheet, "sheet-missing")
    ]


@pytest.mark.parametrize(
    ("setting", "typed", "code"),
    [
        ("Date order | day first", "Date order | d/m/y", "choice-unknown"),
        ("Decimal comma | yes", "Decimal comma | often", "yes-no-unreadable"),
        ("Currency | EUR", "Currency | EURO", "currency-unknown"),
    ],
)
def test_a_setting_by_which_cells_are_read_is_one_finding(setting: str, typed: str, code: str) -> None:
    sheets = {**REFERRING, "Settings": REFERRING["Settings"].replace(setting, typed)}
    (finding,) = read(term(sheets), AS_OF)[1]
    assert (finding.code, finding.place.column) == (code, 2)


@pytest.mark.parametrize(
    ("sheet", "good", "bad", "code"),
    [
        ("Groups", "g1 | Lark", "#N/A | Lark", "cell-error"),
        ("Ingredients", "moon bean | 150", "moon bean | lots", "number-unreadable"),
        ("Questions", "scale | 1 | 5", "scale | 5 | 1", "scale-ends-swapped"),
        ("Sessions", "s2 | g1 | 5.3.2027 | soup", "S1 | g1 | 5.3.2027 | soup", "id-twice"),
        ("Sessions", "4.3.2027", "4.3.2017", "date-far"),
    ],
)
def test_a_slip_in_a_row_is_one_finding_whatever_rests_on_it(sheet: str, good: str, bad: str, code: str) -> None:
    sheets = {**REFERRING, "Ingredients": REFERRING["Ingredients"] + "\nsun bean | 150 | none | zest"}
    assert good in sheets[sheet]
    sheets[sheet] = sheets[sheet].replace(good, bad)
    codes = [each[1] for each in said(term(sheets), AS_OF)]
    assert codes == ([code] * 2 if code == "date-far" else [code])  # of two days neither is the right one


def test_what_is_refused_is_not_said_to_be_read_as_well() -> None:
    sheets = {
        "Recipes": f"{RECIPE}\nsoup | 4 | onion | 2 cups | tbsp\nsoup | | oats | 2 (15 oz) cans | can",
        "Ingredients": "Ingredient | Edible share\nonion | 101",
    }
    findings = read(term(sheets), AS_OF)[1]
    assert [(str(each.place), each.code) for each in findings] == [
        ("Recipes!D2", "unit-contradicts"),
        ("Recipes!D3", "unit-contradicts"),
        ("Ingredients!B2", "out-of-range"),
    ]
    assert findings[0].message == "2 cups names cup, but the unit beside it is tbsp."


def test_a_scale_without_ends_takes_any_number() -> None:
    """Lowest and Highest are not required; a missing one is a warning, and the other still holds."""
    sheets = {"Questions": "Question | Text | Lowest\nq1 | Sure? | 1\nq2 | Often? |",
              "Surveys": "Participant | When | q1 | q2\np1 | before | 0 | 99"}  # fmt: skip
    findings = read(term(sheets), AS_OF)[1]
    assert [(str(each.place), each.code, each.severity) for each in findings] == [
        ("Questions!A2", "scale-without-ends", "warning"),
        ("Questions!C3", "scale-without-ends", "warning"),
        ("Surveys!C2", "answer-outside", "warning"),
    ]
    assert [each.fix for each in findings[:2]] == ["Type Highest.", "Type Lowest and Highest."]


def test_marks_of_a_session_in_a_group_of_nobody_are_one_finding() -> None:
    people = "\n".join(f"p{number} | g1 | none" for number in range(1, 31))
    marks = "\n".join(f"p{number} | y" for number in range(1, 31))
    sheets = {"Sessions": MARKED["Sessions"].replace("g1", "g 1"), "Enrolment": f"{ENROL}\n{people}",
              "Attendance": f"Participant | s1\n{marks}"}  # fmt: skip
    codes = [each[1] for each in said(term(sheets), AS_OF)]
    assert codes == ["group-without-sessions", "marks-of-nobody"]


def test_a_misspelt_recipe_leaves_none_unused() -> None:
    assert said(term(Sessions=CORE["Sessions"].replace("soup", "soop")), AS_OF) == [("Sessions!D2", "recipe-unknown")]


def test_a_blank_code_is_asked_for_without_an_example_of_another() -> None:
    (finding,) = read(term(Stock="Ingredient | Amount\n | 2"))[1]
    assert finding.fix == "Fill in Ingredient."


def test_every_code_has_an_example_and_no_other_is_raised() -> None:
    shown = {code for code, _, _ in EXAMPLES} | {"sheet-missing", "sheet-hidden", "rows-hidden"}
    package = Path(opsreport.__file__).parent
    sources = "".join(
        (package / f"{name}.py").read_text(encoding="utf-8")
        for name in (
            *(f"kinds/{kind}" for kind in ("words", "numbers", "amounts", "days", "lists", "base")),
            "reading/shapes",
            "reading/cell_reader",
            "reading/people_sheets",
            "reading/read",
            "checking/check",
            "checking/needs_check",
        )
    )
    raised = {code for code in RULES if f'"{code}"' in sources}
    assert shown == raised
    spoken = set(re.findall(r'Unreadable\(\s*"([a-z-]+)"', sources))
    assert spoken <= set(RULES)
    elsewhere_said = ("checking/second_look.py", "reading/workbook.py", "recount.py")
    others = [*package.glob("plan/**/*.py"), *(package / name for name in elsewhere_said)]
    elsewhere = "".join(path.read_text(encoding="utf-8") for path in others)
    assert {code for code in RULES if code not in raised and f'"{code}"' not in elsewhere} == set()


def test_suppliers_that_come_on_one_open_day_are_not_said() -> None:
    days = "Supplier | Order days | Delivery days\na | | Sat; Mon\nb | Sat; Sun |\nc | Sat; Sun | Fri"
    found = [finding for finding in read(book(Suppliers=days))[1] if finding.code == "supplier-never-taken-in"]
    assert [(str(finding.place), finding.seen) for finding in found] == [("Suppliers!B3", "Sat; Sun")]


def test_every_message_holds_what_was_seen() -> None:
    for code, _, _ in EXAMPLES:
        assert "{seen}" in RULES[code].message, code


def test_a_good_workbook_says_nothing() -> None:
    assert said(term(), AS_OF) == []


def test_the_planning_date_of_settings_counts_where_no_other_is_given() -> None:
    assert said(term(setting("As of", "@2027-04-01"))) == [("Sessions!C2", "session-past")]
    assert said(term(setting("As of", "@2027-04-01")), AS_OF) == []
    assert said(term()) == []


def test_groups_without_rows_asks_for_none() -> None:
    assert said(term(Groups=GROUPS)) == []


def test_an_unknown_group_is_one_finding_a_sheet_with_the_near_miss() -> None:
    _, found = read(term(Groups="Group | Name\nMondays | m",
                         Enrolment=f"{ENROL}\np1 | Monday | none\np2 | Monday | none",
                         Sessions="Session | Group | Date | Recipes\ns1 | Mondays | @2027-03-04 | soup"))  # fmt: skip
    findings = gathered(found)
    assert [(finding.where, finding.code) for finding in findings] == [("Enrolment!B2:B3", "group-unknown")]
    assert "Did you mean Mondays?" in findings[0].fix


def test_who_is_enrolled_in_a_group_without_sessions_is_told_to_get_nothing() -> None:
    """THUR for THU: nothing is planned for them; a group that only Sessions and Enrolment name has its defaults."""
    sheets = {"Groups": "Group | Name\nTHU | t", "Enrolment": f"{ENROL}\np1 | {{}} | none",
              "Sessions": "Session | Group | Date | Recipes\ns1 | THU | @2027-03-04 | soup\n"
                          "s2 | WED | @2027-03-04 | soup"}  # fmt: skip
    said = {}
    for group in ("THUR", "WED"):
        _, found = read(term(**{**sheets, "Enrolment": sheets["Enrolment"].format(group)}))
        said[group] = next(f for f in found if f.code == "group-unknown" and f.place.sheet == "Enrolment")
    assert "no session is for it, so who belongs to it gets nothing" in said["THUR"].message
    assert "Did you mean THU?" in said["THUR"].fix
    assert "defaults are used" in said["WED"].message


NEAR: list[tuple[str, str, dict[str, str]]] = [
    ("ingredient-unknown", "turmeric", recipe("1", "g", "tumeric")),
    ("ingredient-unknown", "scallion", recipe("1", "", "scalion")),  # another name in the catalogue
    ("ingredient-unknown", "bitterleaf",
     {**recipe("1", "", "biterleaf"), "Ingredients": "Ingredient | Also called\nndole | bitterleaf"}),
    ("need-unknown", "no bitterleaf",
     {"Enrolment": f"{ENROL}\np1 | g1 | no biterleaf", "Ingredients": "Ingredient | Also called\nndole | bitterleaf"}),
    ("need-unknown", "vegetarian", {"Enrolment": f"{ENROL}\np1 | g1 | vegitarian"}),
    ("unit-unknown", "tbsp", recipe("1", "tblp")),
    ("group-unknown", "Mondays", {"Groups": "Group | Name\nMondays | m", "Enrolment": f"{ENROL}\np1 | Monday | none"}),
    ("group-without-sessions", "g1", {"Enrolment": f"{ENROL}\np1 | g1 | none\np2 | g 1 | none"}),
    ("recipe-unknown", "soup", sessions("@2027-03-04", "; sopu")),
    ("supplier-unknown", "Market",
     {"Suppliers": "Supplier | Name\nMarket | M", "Packs": f"{PACKS}\nMarkett | onion | 5 | lb | 4"}),
    ("session-unknown", "s1", {**MARKED, "Attendance": "Participant | s-1\np1 | y"}),
    ("replaces-unknown", "s1",
     {"Sessions": "Session | Group | Date | Recipes | Replaces\ns1 | g1 | @2027-03-04 | soup | s-1"}),
    ("household-unknown", "House 9",
     {"Enrolment": f"{ENROL} | Household\np1 | g1 | none | House 9",
      "Pick-ups": "Session | Household | Kit\ns1 | Hous 9 | left"}),
    ("participant-unknown", "p1", {**MARKED, "Attendance": "Participant | s1\np01 | y"}),
    ("participant-unknown", "007",
     {**MARKED, "Enrolment": f"{ENROL}\n'007 | g1 | none", "Attendance": "Participant | s1\n7 | y"}),
    ("question-unknown", "Sure",
     {"Questions": QUESTIONS.replace("q1", "Sure"), "Surveys": "Participant | When | Sur\np1 | before | 3"}),
    ("funder-unknown", "Lark", {"Groups": "Group | Funders\ng1 | Larc", "Funders": FUNDERS}),
    ("report-by-unknown", "Age band",
     {"Enrolment": f"{ENROL} | Age band\np1 | g1 | none | adult", **setting("Report by", "Aged band")}),
    ("setting-unknown", "Small count", setting("Smal count", "5")),
    ("heading-near", "Needs", {"Enrolment": "Participant | Group | Need\np1 | g1 | no egg"}),
    ("headings-missing", "Amount", {"Stock": "Ingredient | Ammount\nonion | 2"}),
    ("sheet-unknown", "Attendance", {"Attendence": "a | b"}),
    ("allergen-unknown", "wheat", {"Ingredients": "Ingredient | Contains\nonion | wheet"}),
    ("weekday-unknown", "Wednesday", setting("Open days", "Mon; Wednsday")),
    ("currency-unknown", "EUR", setting("Currency", "EURO")),
]  # fmt: skip


@pytest.mark.parametrize(("code", "near", "sheets"), NEAR)
def test_a_near_miss_gets_a_suggestion(code: str, near: str, sheets: dict[str, str]) -> None:
    fixes = [finding.fix for finding in read(term(sheets), AS_OF)[1] if finding.code == code]
    assert any(near in fix for fix in fixes), fixes


def test_a_bad_row_is_known_all_the_same() -> None:
    sheets = {
        "Recipes": f"{RECIPE}\nsoup | four | onion | 1 |\nsoup | | carrot | 2 |",
        "Sessions": "Session | Group | Date | Recipes | Status\ns1 | g1 | 3/4/26 | soup | delivered",
        "Enrolment": f"{ENROL} | Servings\np1 | g1 | none | many",
        "Attendance": "Participant | s1\np1 | y",
    }
    assert said(term(sheets)) == [
        ("Sessions!C2", "date-ambiguous"),
        ("Enrolment!D2", "number-unreadable"),
        ("Recipes!B2", "number-unreadable"),
    ]


def test_a_missing_bridge_names_the_cells_that_would_supply_it() -> None:
    sheets = {**recipe("1", "cup", "gloop"), "Stock": "Ingredient | Amount | Unit\ngloop | 2 | lb"}
    findings = read(term(sheets))[1]
    fix = next(finding.fix for finding in findings if finding.code == "bridge-missing")
    assert "Ingredients!Grams per cup" in fix
    sheets = {**recipe("3", "each", "gloop"), "Stock": "Ingredient | Amount | Unit\ngloop | 2 | lb"}
    findings = read(term(sheets))[1]
    fix = next(finding.fix for finding in findings if finding.code == "bridge-missing")
    assert "Ingredients!Grams each" in fix


def test_one_funder_needs_no_share() -> None:
    assert said(term(Groups="Group | Funders\ng1 | Lark")) == []
    assert said(term(Groups="Group | Funders\ng1 | Lark 33 1/3%; B 33 1/3%; C 33 1/3%")) == []


def test_a_household_that_is_a_participant_is_known() -> None:
    assert said(term({"Pick-ups": "Session | Household | Kit\ns1 | p1 | collected"})) == []


def test_needs_without_a_column_are_said_once() -> None:
    enrolment = "Participant | Group\np1 | g1\np2 | g1"
    assert said(term(Enrolment=enrolment)) == [("Enrolment!A2", "needs-unanswered")]


def test_what_stops_which_documents() -> None:
    findings = {finding.code: finding for finding in read(term(
        {"Questions": QUESTIONS, "Surveys": "Participant | When | q9\np1 | before | 3", **recipe("some")}
    ))[1]}  # fmt: skip
    assert findings["question-unknown"].stops == {"reports"}
    assert findings["amount-unreadable"].stops == {"orders", "packing"}
