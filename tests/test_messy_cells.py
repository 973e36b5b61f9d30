# ruff: noqa: E501  (a cell is a line; messy cells hold odd signs)
"""What becomes of each messy cell: one table, from which a reader learns the whole policy.

A row is a column (or a whole sheet), what is typed there (as `support.py` explains), and what becomes of it: text
alone where it is accepted without a word; `Noted` where it is accepted and said how; `Warned` where someone should
look; `Refused` with what to type instead. Every row is read from a whole workbook, as .xlsx and as .ods.
"""

import datetime as dt
import io
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

import openpyxl
import pytest
from support import CORE, as_ods, book, opened, read, written

from opsreport.findings import Finding
from opsreport.kinds import Amount, Dish, FunderShare, Mark, NeedAnswer, Share, mixed_or_decimal
from opsreport.measures.units import mixed
from opsreport.money import Currency
from opsreport.rules import Severity
from opsreport.sheets import ROWS_OF, SHEETS

AS_OF = dt.date(2027, 3, 1)


@dataclass(frozen=True)
class Noted:
    """Accepted, and the note says how."""

    value: str
    says: str


@dataclass(frozen=True)
class Warned(Noted):
    """Accepted, and the warning says why someone should look."""


@dataclass(frozen=True)
class Refused:
    """An error; what to do instead."""

    instead: str


Outcome = str | Noted | Warned | Refused
Change = Callable[[openpyxl.Workbook], None]

GOOD: dict[str, dict[str, str]] = {
    "Settings": {"Currency": "USD", "Spare kits": "", "Packing loss": "", "Open days": "", "Completion": ""},
    "Groups": {"Group": "g1", "Name": "One", "Funders": ""},
    "Sessions": {
        "Session": "s1",
        "Group": "g1",
        "Date": "@2027-03-04",
        "Start": "",
        "Recipes": "soup; stew",
        "Status": "delivered",
    },
    "Enrolment": {"Participant": "007", "Group": "g1", "Household": "", "Servings": "", "Needs": "none"},
    "Recipes": {"Recipe": "soup", "Servings": "4", "Ingredient": "onion", "Amount": "1", "Unit": "", "Preparation": ""},
    "Ingredients": {
        "Ingredient": "starfruit",
        "Also called": "",
        "Edible share": "",
        "Contains": "",
        "Keeps": "",
        "Tags": "fruit",
    },
    "Packs": {"Supplier": "Market", "Ingredient": "onion", "Pack amount": "5", "Pack unit": "lb", "Price": "4"},
    "Stock": {"Ingredient": "onion", "Amount": "2", "Unit": "", "Lot": "", "Best before": "", "Hold": ""},
    "Swaps": {"Ingredient": "onion", "Need": "no onion", "Use instead": "potato"},
    "Attendance": {"Session": "s1", "Participant": "'007", "Mark": "y"},
}
NO_AMOUNT = "Type a number such as 2, 0.5 or 1 1/2 here, its unit in Unit."
MARKS = "Type present, absent, excused or kit only; leave it blank if not recorded."
OWN_COLUMNS = "Amounts, sizes and preparation have columns of their own."
ELSEWHERE = "other words belong in Ingredient or Preparation."
A_NUMBER = "Type a number such as 2, 0.5 or 1 1/2, and nothing else."
SAVE = "Open and save the workbook in a spreadsheet program."


def hide_row(file: openpyxl.Workbook) -> None:
    file["Stock"].row_dimensions[2].hidden = True


def hide_sheet(file: openpyxl.Workbook) -> None:
    file["Stock"].sheet_state = "veryHidden"


def merge_title(file: openpyxl.Workbook) -> None:
    file["Stock"].insert_rows(1)
    file["Stock"]["A1"] = "Counted on Friday"
    file["Stock"].merge_cells("A1:C1")


def merge_headings(file: openpyxl.Workbook) -> None:
    file["Stock"]["C2"], file["Stock"]["D2"], file["Stock"]["D1"] = "each", "red", None
    file["Stock"].merge_cells("C1:D1")


TABLE: list[tuple[str, str | Change, Outcome] | tuple[str, str, Outcome, str]] = [
    # --- numbers and amounts ---
    ("Stock.Amount", "'12", "12"),  # a number stored as text
    ("Stock.Amount", "' 7 ", "7"),
    ("Stock.Amount", "5000000000", Refused("Type the number that is meant, up to 1,000,000,000.")),
    ("Ingredients.Keeps", "1000000000", Refused("Type the number that is meant, up to 36,500.")),
    ("Stock.Best before", "@9999-12-31", Refused("Type the day that is meant; where there is none, leave the cell blank.")),
    ("Stock.Amount", "1\u00a01/2", "1 1/2"),  # a non-breaking space
    ("Stock.Amount", "１２", "12"),  # full-width digits
    ("Stock.Amount", "½", "1/2"),
    ("Stock.Amount", "1½", "1 1/2"),
    ("Stock.Amount", "1 ⅓", "1 1/3"),
    ("Stock.Amount", "2⁄3", "2/3"),  # a fraction slash
    ("Stock.Amount", "1-1/2", "1 1/2"),
    ("Stock.Amount", "0.333333333333333", "1/3"),  # as =1/3 leaves it
    ("Stock.Amount", "3-4", Noted("4 (printed: 3-4)", "3-4 was read as 4.")),
    ("Stock.Amount", "3 – 4", Noted("4 (printed: 3 – 4)", "3 – 4 was read as 4.")),
    ("Stock.Amount", "3 to 4", Noted("4 (printed: 3 to 4)", "read as 4.")),
    ("Stock.Amount", "4-3", Refused(NO_AMOUNT)),
    ("Stock.Amount", "~2", Noted("2 (printed: ~2)", "~2 was read as 2.")),
    ("Stock.Amount", "about 2", Noted("2 (printed: about 2)", "read as 2.")),
    ("Stock.Amount", "1,200", Noted("1200 (printed: 1,200)", "1,200 was read as 1200.")),
    ("Stock.Amount", "1,5", Refused("Type 1.5, or set Decimal comma to yes in Settings.")),
    ("Stock.Amount", "'1,5", "1 1/2", "Decimal comma | yes"),
    ("Stock.Amount", "1,200", Noted("1 1/5 (printed: 1,200)", "read as 1.2."), "Decimal comma | yes"),
    ("Stock.Amount", "'1.200", Refused(NO_AMOUNT), "Decimal comma | yes"),  # a thousand, or 1.2?
    ("Stock.Amount", "@2027-01-02", Refused("Format the cell as text, then type 1/2 again.")),  # 1/2, turned into a date
    ("Stock.Amount", "@2027-03-04", Refused("Format the cell as text, then type 3/4 again.")),
    ("Stock.Amount", "#N/A", Refused("Correct the formula or type the value, then open and save the workbook in a spreadsheet program.")),
    ("Stock.Amount", "=1/3", Refused(SAVE)),  # a formula without a saved result
    ("Stock.Amount", "0", "0"),
    ("Stock.Amount", "-1", Refused("Type what is there; 0 where nothing is left.")),
    ("Stock.Amount", "TRUE", Refused(NO_AMOUNT)),
    ("Stock.Amount", "some", Refused(NO_AMOUNT)),
    ("Recipes.Amount", "3-4 pieces", Noted("4 each (printed: 3-4 pieces)", "read as 4 each.")),
    ("Recipes.Amount", "1 1/2 cups", Noted("1 1/2 cup (printed: 1 1/2 cups)", "read as 1 1/2 cups.")),
    ("Recipes.Amount", "1-1/2 c", Noted("1 1/2 cup (printed: 1-1/2 c)", "read as 1 1/2 cups.")),
    ("Recipes.Amount", "2 T", Noted("2 tbsp (printed: 2 T)", "read as 2 tbsp.")),
    ("Recipes.Amount", "2 t", Noted("2 tsp (printed: 2 t)", "read as 2 tsp.")),
    ("Recipes.Amount", "2 TBSP.", Noted("2 tbsp (printed: 2 TBSP.)", "read as 2 tbsp.")),
    ("Recipes.Amount", "500g", Noted("500 g (printed: 500g)", "read as 500 g.")),
    ("Recipes.Amount", "3#", Noted("3 lb (printed: 3#)", "read as 3 lb.")),
    ("Recipes.Amount", "1 lb 4 oz", Noted("20 oz (printed: 1 lb 4 oz)", "read as 20 oz.")),
    ("Recipes.Amount", "1 cup + 2 tbsp", Noted("18 tbsp (printed: 1 cup + 2 tbsp)", "read as 18 tbsp.")),
    ("Recipes.Amount", "1 lb 20 oz", Refused(NO_AMOUNT)),  # 20 oz is more than a pound
    ("Recipes.Amount", "2 (15 oz) cans", Noted("30 oz (printed: 2 (15 oz) cans)", "read as 30 oz.")),
    ("Recipes.Amount", "6 x 400 g", Noted("2400 g (printed: 6 x 400 g)", "read as 2400 g.")),
    ("Recipes.Amount", "2 c, divided", Noted("2 cup (printed: 2 c, divided)", "read as 2 cups.")),
    ("Recipes.Amount", "2 cups chopped", Refused(f"Type 2 here, cup in the unit's column; {ELSEWHERE}")),
    ("Recipes.Amount", "1 med onion", Refused(f"Type 1 here, leave the unit blank; {ELSEWHERE}")),
    ("Recipes.Amount", "juice of 1 lemon", Refused(f"Type 1 here, leave the unit blank; {ELSEWHERE}")),
    ("Recipes.Amount", "a pinch", Refused(f"Type 1 here, pinch in the unit's column; {ELSEWHERE}")),
    ("Recipes.Amount", "to taste", "not bought (printed: to taste)"),
    ("Recipes.Amount", "As needed", "not bought (printed: As needed)"),
    ("Recipes.Amount", "", "not bought"),
    ("Recipes.Amount", "0", Refused("Type an amount above 0, or delete the row.")),
    ("Recipes.Servings", "4-6", Noted("6", "4-6 was read as 6.")),
    ("Recipes.Servings", "four", Refused(A_NUMBER)),
    ("Recipes.Servings", "0", Refused("Type a value that is above 0.")),
    ("Recipes.Servings", "400", Warned("400", "hardly meant")),
    ("Ingredients.Keeps", "2 days", Refused(A_NUMBER)),
    ("Ingredients.Keeps", "2.5", Refused("Type a whole number.")),
    # --- units ---
    ("Recipes.Unit", "T", "tbsp"),
    ("Recipes.Unit", "t", "tsp"),
    ("Recipes.Unit", "TBSP.", "tbsp"),
    ("Recipes.Unit", "Cups", "cup"),
    ("Recipes.Unit", "lbs.", "lb"),
    ("Recipes.Unit", "cupfull", Refused("Type a unit: cup.")),
    ("Recipes.Unit", "large", Refused("Leave the unit blank and type the size in Preparation; or give the amount by weight.")),
    ("Recipes.Unit", "imperial pint", Refused("Convert it to mL, g or US measures.")),
    # --- money ---
    ("Packs.Price", "$3.49", "3.49"),
    ("Packs.Price", "USD 3.49", "3.49"),
    ("Packs.Price", "3.49[$#,##0.00]", "3.49"),
    ("Packs.Price", "$1,204.50", Noted("1204.50", "read as 1204.5.")),
    ("Packs.Price", "2 for 5", Refused("Type 2.50, the price of one pack, and 2 in Sold by where fewer are not sold.")),
    ("Packs.Price", "3/$5", Refused("Type what one pack costs, and 3 in Sold by where fewer are not sold.")),
    ("Packs.Price", "$3.49/lb", Refused("Type what one whole pack costs, as 4.50.")),
    ("Packs.Price", "3.49 ea", Refused("Type what one whole pack costs, as 4.50.")),
    ("Packs.Price", "€4", Refused("Type the sum in USD, or correct Currency.")),
    ("Packs.Price", "4[[$€-2]#,##0.00]", Refused("Type the sum in USD, or correct Currency.")),
    ("Packs.Price", "(4.50)", Refused("Type a sum of 0 or more, without minus or parentheses.")),
    ("Packs.Price", "4.505", Refused("Type a sum with 2 decimals.")),
    ("Packs.Price", "free", Refused("Type a number such as 4.50; nothing paid is typed 0.")),
    ("Packs.Price", "4,50", Refused("Type 4.50, or set Decimal comma to yes in Settings.")),
    ("Packs.Price", "@2027-04-05", Refused("Type a number such as 4.50; nothing paid is typed 0.")),
    # --- percentages and shares ---
    ("Settings.Packing loss", "3%", "0.03"),  # a percent cell
    ("Settings.Packing loss", "'3 %", "0.03"),
    ("Settings.Packing loss", "0.03", Noted("0.03", "0.03 was read as 3%.")),
    ("Settings.Packing loss", "3", Noted("0.03", "3 was read as 3%.")),
    ("Settings.Spare kits", "5%", "5%"),
    ("Settings.Spare kits", "2", "2"),
    ("Settings.Completion", "0.75", Noted("75%", "0.75 was read as 75%.")),
    ("Settings.Completion", "most", Refused("Type 5%, or a whole number.")),
    ("Groups.Funders", "Lark 60%; Brack 40 %", "Lark 60%; Brack 40%"),
    ("Groups.Funders", "Lark 33 1/3%; Brack 33 1/3%; Crag 33 1/3%", "Lark 33 1/3%; Brack 33 1/3%; Crag 33 1/3%"),
    ("Groups.Funders", "Lark 33%; Brack 33%; Crag 33%", Refused("Type Lark 33 1/3%; Brack 33 1/3%; Crag 33 1/3%")),
    ("Groups.Funders", "33/33/33", Refused("Type funders as Larkmere 60%; Brackenlow 40%.")),
    ("Groups.Funders", "60% Lark", Refused("Type funders as Larkmere 60%; Brackenlow 40%.")),
    ("Groups.Funders", "Lark; Brack", Refused("Give each its percentage.")),
    # --- dates and times ---
    ("Sessions.Date", "@2027-03-04", "2027-03-04"),  # a date cell
    ("Sessions.Date", "@2027-03-04T17:30", Noted("2027-03-04", "read as 2027-03-04.")),
    ("Sessions.Date", "'2027-03-04", "2027-03-04"),
    ("Sessions.Date", "'2027/03/04", Noted("2027-03-04", "read as 2027-03-04.")),
    ("Sessions.Date", "4 Mar 2027", "2027-03-04"),
    ("Sessions.Date", "March 4th, 2027", "2027-03-04"),
    ("Sessions.Date", "Thu 4 March 2027", "2027-03-04"),
    ("Sessions.Date", "Wed 4 March 2027", Refused("Correct the weekday or the date.")),
    ("Sessions.Date", "3/4/27", Refused("Type 2027-04-03 or 2027-03-04, or set Date order in Settings.")),
    ("Sessions.Date", "3/4/27", "2027-04-03", "Date order | day first"),
    ("Sessions.Date", "3/4/27", "2027-03-04", "Date order | month first"),
    ("Sessions.Date", "16/3/2027", Refused("Type 2027-03-16, or set Date order in Settings.")),
    ("Sessions.Date", "2027-02-30", Refused("Type a date as 2027-03-04.")),
    ("Sessions.Date", "46358", Refused("If that is meant, type 2026-12-02.")),  # a date that lost its format
    ("Sessions.Date", "next Thursday", Refused("Type a date as 2027-03-04.")),
    ("Sessions.Date", "4 March", Refused("Type a date as 2027-03-04.")),
    ("Sessions.Start", "@17:30", "17:30"),
    ("Sessions.Start", "5:30 pm", "17:30"),
    ("Sessions.Start", "15:00–16:00", "15:00–16:00"),
    ("Sessions.Start", "25:00", Refused("Type a time as 17:30.")),
    ("Sessions.Start", "17", Refused("Type a time as 17:30.")),
    # --- words, ids and lists ---
    ("Stock.Lot", "“A”  1", '"A" 1'),
    ("Stock.Ingredient", "red\u00a0onion\u200b", "red onion"),
    ("Sessions.Group", "G1", "G1"),  # ids without case
    ("Sessions.Group", "g 1", Warned("g 1", "Did you mean g1?")),
    ("Sessions.Session", "@2027-01-02", Refused("Format the cell as text and type the code again.")),  # 1-2, turned into a date
    ("Sessions.Session", "TRUE", Refused("Format the cell as text and type the code again.")),
    ("Attendance.Participant", "7[000]", "007"),
    ("Attendance.Participant", "7", Refused("Correct it, or enrol them. Did you mean 007?")),
    ("Enrolment.Participant", "007; 008", Refused("Give each a row of its own, with its own code.")),
    ("Enrolment.Participant", "007\\n008", Refused("Give each a row of its own, with its own code.")),
    ("Enrolment.Participant", "007 & 008", Warned("007 & 008", "reads like two people")),
    ("Sessions.Recipes", "soup; stew x2", "soup; stew x2"),
    ("Sessions.Recipes", "soup ×1/2; stew", "soup x1/2; stew"),
    ("Sessions.Recipes", "soup, stew", Refused("Type soup; stew")),
    ("Sessions.Recipes", "soup / stew", Refused("Type soup; stew")),
    ("Sessions.Recipes", "soup\\nstew", Refused("Type soup; stew")),
    ("Sessions.Recipes", "sopu; stew", Refused("Correct it, or add it to Recipes. Did you mean soup?")),
    ("Sessions.Recipes", "soup x0; stew", Refused("Type the recipe and how often: soup x2.")),
    ("Sessions.Status", "Canceled", "cancelled"),
    ("Sessions.Status", "done", Refused("Type planned, delivered or cancelled.")),
    ("Settings.Open days", "Mon; thurs", "0; 3"),
    ("Settings.Open days", "Mon–Wed", Noted("0; 1; 2", "read as Mon; Tue; Wed.")),
    ("Settings.Open days", "Mon, Wed", Refused("Type Mon; Wed")),
    ("Settings.Open days", "Mon; Wednsday", Refused("Type weekdays as Mon; Wed; Fri. Did you mean Wednesday?")),
    ("Settings.Currency", "usd", "USD"),
    ("Settings.Currency", "dollars", Refused("Type a code such as USD.")),
    # --- foods and needs ---
    ("Recipes.Ingredient", "tumeric", Warned("tumeric", "with its Contains. Did you mean turmeric?")),
    ("Recipes.Ingredient", "star frut", Warned("star frut", "Did you mean starfruit?")),
    ("Recipes.Ingredient", "onions", "onions"),  # the catalogue's onion
    ("Recipes.Ingredient", "1 med onion", Warned("1 med onion", f"Did you mean onion? {OWN_COLUMNS}")),
    ("Recipes.Ingredient", "juice of 1 lemon", Warned("juice of 1 lemon", f"Did you mean lemon? {OWN_COLUMNS}")),
    ("Enrolment.Needs", "no egg; no pork", "no egg; no pork"),
    ("Enrolment.Needs", "None", "none"),
    ("Enrolment.Needs", "", Warned("not asked", "Not asked about needs: ")),
    ("Enrolment.Needs", "n/a", Warned("not asked", "(n/a).")),
    ("Enrolment.Needs", "no", Warned("not asked", "(no).")),
    ("Enrolment.Needs", "egg, milk", Refused("Type egg; milk")),
    ("Enrolment.Needs", "none; no egg", Refused("Type no egg, or none if that is the answer.")),
    ("Enrolment.Needs", "no penuts", Refused("Type no and an allergen, an ingredient or a tag of Ingredients; vegetarian; vegan; or none. Did you mean no peanuts?")),
    ("Ingredients.Contains", "dairy; wheat", "milk; wheat"),
    ("Ingredients.Contains", "wheet", Refused("Did you mean wheat?")),
    # --- yes, no and marks ---
    ("Stock.Hold", "✓", "yes"),
    ("Stock.Hold", "x", "yes"),
    ("Stock.Hold", "1", "yes"),
    ("Stock.Hold", "FALSE", "no"),
    ("Stock.Hold", "", "no"),
    ("Stock.Hold", "maybe", Refused("Type yes or no.")),
    ("Attendance.Mark", "✔️", "present"),
    ("Attendance.Mark", "☑", "present"),
    ("Attendance.Mark", "✅", "present"),
    ("Attendance.Mark", "Ｙ", "present"),
    ("Attendance.Mark", "1", "present"),
    ("Attendance.Mark", "TRUE", "present"),
    ("Attendance.Mark", "late", "present"),
    ("Attendance.Mark", "x", "present"),
    ("Attendance.Mark", "x", "absent", "x means | absent"),
    ("Attendance.Mark", "0", "absent"),
    ("Attendance.Mark", "kit only", "absent, kit collected"),
    ("Attendance.Mark", "exc", "excused"),
    ("Attendance.Mark", "out sick (flu)", Refused("Type absent or excused. Reasons of health do not belong in this sheet.")),
    ("Attendance.Mark", "✗", Refused(MARKS)),  # no, or a cross for yes?
    ("Attendance.Mark", "☐", Refused(MARKS)),
    ("Attendance.Mark", "absent (work)", Refused(MARKS)),
    # --- headings, rows and sheets ---
    ("Stock", "Counted on Friday\n\nIngredient | Amount | Unit\nonion | 2 |", "onion 2"),  # title rows
    ("Stock", "INGREDIENT* |  Amóunt: |  unit :\nonion | 2 |", "onion 2"),
    ("Stock", " ingredient\u00a0 | Amount | Best-\\nbefore\nonion | 2 | @2027-06-30", "onion 2"),
    ("Stock", "Ingredient | Ammount | Unit\nonion | 2 |", Refused("Type the missing headings into one row: Amount. Ammount may be meant as Amount: rename it.")),
    ("Stock", "Ingredient | Amount | Best befor\nonion | 2 | @2027-06-30", Warned("onion 2", "looks like Best before")),
    ("Stock", "Ingredient | Amount | amount\nonion | 2 | 3", Refused("Rename or delete one column.")),
    ("Stock", "Ingredient | Amount | Colour\nonion | 2 | red", Noted("onion 2", "Not read, and left alone: Colour.")),
    ("Stock", "Ingredient | Amount | | \nonion | 2 | | ask Ana", Noted("onion 2", "left alone: ask Ana, in column D.")),
    ("Stock", "Ingredient | Amount\nonion | 2\n\npotato | 1", "onion 2; potato 1"),  # a blank row
    ("Stock", "Ingredient | Amount\nonion | 2\nTotal | 2", Noted("onion 2", "Total; 2 was taken for a total or a title")),
    ("Stock", "Ingredient | Amount\nShelf 2 |\nonion | 2", Noted("onion 2", "Shelf 2 was taken for a total or a title")),
    ("Stock", "Ingredient | Amount\nonion | 2\n\nWeighed with the old scales. |", Noted("onion 2", "Weighed with the old scales. was taken")),
    ("Stock", "Ingredient | Amount\nonion | 2\nIngredient | Amount\npotato | 1", Noted("onion 2; potato 1", "Ingredient; Amount was taken")),
    ("Stock", "Ingredient | Amount | Lot\nonion | 2 | A\nonion | 2 | a", Warned("onion 2; onion 2", "says the same as row 2 in every cell; both count.")),
    ("Groups", "Group | Name\ng1 | one\nG1 | two", Refused("Give one of them another Group.")),
    ("Enrolment", "Participant | Group | Needs\n'007 | g1 | none\n'007 | G1 | none", Refused("Delete one of the rows, or correct it.")),
    ("Enrolment", "Participant | Group | Needs\n'007 | g1 | none\n7 | g1 | none", Warned("007; 7", "differ only by zeros")),
    ("Recipes", "Recipe | Servings | Ingredient | Amount\nsoup | 4 | onion | 1\n | | potato | 2\nstew | 4 | onion | 1", "soup onion 1; soup potato 2; stew onion 1"),
    ("Attendance", "Participant | S1\n'007 | y", "007 S1 present"),  # one column a session
    ("Attendance", "Participant | s 1\n'007 | y", Refused("Correct it, or add it to Sessions. Did you mean s1?")),
    ("Stock", merge_title, "onion 2"),
    ("Stock", merge_headings, Noted("onion 2", "left alone: red, in column D.")),
    ("Stock", hide_row, Noted("onion 2", "1 row is read all the same.")),
    ("Stock", hide_sheet, Noted("onion 2", "Sheet Stock is hidden; it was read all the same.")),
]  # fmt: skip


def words(value: Any) -> str:
    """A value read, in a few words."""
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, tuple):
        return "; ".join(map(words, value))
    if isinstance(value, Amount):
        known = "not bought" if value.value is None else f"{mixed(value.value)} {value.unit or ''}".strip()
        return f"{known} (printed: {value.words})" if value.words else known
    if isinstance(value, Dish):
        return value.recipe if value.times == 1 else f"{value.recipe} x{value.times}"
    if isinstance(value, FunderShare):
        return value.funder + (f" {mixed(value.part * 100)}%" if value.part is not None else "")
    if isinstance(value, Share):
        return f"{mixed_or_decimal(value.of_all * 100)}%" if value.of_all is not None else str(value.number)
    if isinstance(value, NeedAnswer):
        return ("; ".join(value.needs) or "none") if value.asked else "not asked"
    if isinstance(value, Mark):
        return f"{value.mark}, kit collected" if value.kit_only else value.mark
    if isinstance(value, Currency):
        return value.code
    return mixed_or_decimal(value) if isinstance(value, Fraction) else str(value)


def row_words(row: Any) -> str:
    """A whole record, by what tells it from others."""
    names = {"StockRow": ("ingredient", "amount"), "RecipeRow": ("recipe", "ingredient", "amount"),
             "AttendanceRow": ("participant", "session", "mark"), "GroupRow": ("group",),
             "EnrolmentRow": ("participant",)}[type(row).__name__]  # fmt: skip
    return " ".join(words(getattr(row, name)) for name in names)


def sheets_with(sheet: str, heading: str, typed: str, settings: str) -> tuple[dict[str, str], str]:
    """A workbook's sheets with one cell typed, and that cell's place."""
    good = {name: dict(cells) for name, cells in GOOD.items()}
    if heading:
        good[sheet][heading] = typed
    needed = {"Groups", "Sessions", "Enrolment", "Recipes", "Stock", "Ingredients", sheet}
    texts = {}
    for name, cells in good.items():
        if name == "Settings":
            filled = [f"{setting} | {value}" for setting, value in cells.items() if value or setting == heading]
            texts[name] = "\n".join(("Setting | Value", *filled, *([settings] if settings else [])))
            place = (
                f"Settings!B{2 + [line.partition(' |')[0] for line in filled].index(heading)}" if sheet == name else ""
            )
        elif name in needed:
            texts[name] = f"{' | '.join(cells)}\n{' | '.join(cells.values())}"
    if "Sessions" in texts and sheet != "Recipes":
        texts["Recipes"] += "\nstew | 4 | onion | 1 | |"
    elif sheet == "Recipes":
        texts["Recipes"] += "\nstew | 4 | potato | 1 | |"
    if sheet != "Settings":
        place = f"{sheet}!{'ABCDEFGHIJ'[list(good[sheet]).index(heading)]}2" if heading else ""
    return texts, place


def money(value: int) -> str:
    return Currency("USD").plain(value)  # type: ignore[arg-type]


def becomes(case: tuple[Any, ...], ods: bool) -> tuple[str, list[Finding]]:
    """What a row of the table gives: the value in words, and the findings at its place."""
    where, typed, *more = case[0], case[1], *case[3:]
    sheet, _, heading = where.partition(".")
    texts, place = sheets_with(sheet, heading, typed, more[0] if more else "")
    if callable(typed):
        texts[sheet] = CORE[sheet]
        file = openpyxl.load_workbook(io.BytesIO(written(texts)))
        typed(file)
        out = io.BytesIO()
        file.save(out)
        workbook = opened(out.getvalue())
    else:
        if not heading:
            texts[sheet] = typed
        workbook = opened(as_ods(texts), "book.ods") if ods else book(texts)
    rows, findings = read(workbook, AS_OF)
    if not heading:
        said = [finding for finding in findings if finding.place.sheet == sheet]
        return "; ".join(map(row_words, getattr(rows, ROWS_OF[sheet]))), said
    found = rows.settings if sheet == "Settings" else next(iter(getattr(rows, ROWS_OF[sheet])), None)
    column = next(column for column in SHEETS[sheet].columns if column.heading == heading)
    value = None if found is None else getattr(found, column.name)
    shown = money(value) if column.kind.name == "money" and value is not None else words(value)
    return shown, [finding for finding in findings if str(finding.place) == place]


def names(case: tuple[Any, ...]) -> str:
    return f"{case[0]}: {case[1] if isinstance(case[1], str) else case[1].__name__}"[:60]


def check(case: tuple[Any, ...], ods: bool) -> None:
    value, findings = becomes(case, ods)
    outcome = case[2]
    if isinstance(outcome, str):
        assert (value, findings) == (outcome, [])
        return
    (finding,) = findings
    if isinstance(outcome, Refused):
        assert (finding.severity, finding.fix) == (Severity.ERROR, outcome.instead)
        return
    wanted = Severity.WARNING if isinstance(outcome, Warned) else Severity.NOTE
    assert (value, finding.severity) == (outcome.value, wanted)
    assert outcome.says in f"{finding.message} {finding.fix}"


@pytest.mark.parametrize("case", TABLE, ids=names)
def test_each_cell(case: tuple[Any, ...]) -> None:
    check(case, ods=False)


@pytest.mark.parametrize("case", [case for case in TABLE if isinstance(case[1], str) and "[" not in case[1]], ids=names)
def test_each_cell_of_an_ods_file(case: tuple[Any, ...]) -> None:
    check(case, ods=True)


def test_the_table_is_as_long_as_it_says() -> None:
    assert len({(case[0], str(case[1]), str(case[3:])) for case in TABLE}) == len(TABLE) >= 130
