"""Numbers and days that nobody can have meant are found at their cell; the farthest that are taken break nothing.

Each number and date column of every sheet is tried in turn in the example workbook.
"""

import datetime as dt

import pytest
from support import book, read, said

from opsreport.beside import Beside
from opsreport.joining import build_programme
from opsreport.plan.buying.effort import EFFORTS
from opsreport.plan.model import Plan
from opsreport.run import begin_people_plan, finish_people_plan, make_food_plan, make_kits
from opsreport.sheets import SHEETS, Column, SheetSpec
from opsreport.starter.example import EXAMPLE
from opsreport.write.files import prepare_to_write
from opsreport.write.json_file import plan_json

AS_OF = dt.date(2027, 2, 1)
MEANT = {
    "date": ("@1900-01-01", "@2199-12-31"),
    "days": ("0", "36500"),
    "number": ("0.000001", "1000000000"),
    "whole number": ("0", "1000000000"),
    "amount": ("0.000001", "1000000000"),
    "money": ("0", "1000000000000"),
    "percent": ("0%", "100%"),
    "percent or number": ("0", "100%", "5000"),
}
"""The least and the most that each kind takes; a column's own range may be narrower."""
COLUMNS = [
    (spec, column)
    for spec in SHEETS.values()
    if spec.shape in ("rows", "settings")
    for column in spec.columns
    if column.kind.name in MEANT
]
IDS = [f"{spec.name} {column.heading}" for spec, column in COLUMNS]


def example(spec: SheetSpec, column: Column, typed: str) -> tuple[dict[str, str], str]:
    """The example's sheets with a value typed in every row of a column; the first of its cells."""
    sheets = {name: text.strip("\n") for name, text in EXAMPLE.items()}
    rows = [[cell.strip() for cell in line.split("|")] for line in sheets[spec.name].split("\n")]
    if spec.shape == "settings":
        rows = [*(row for row in rows if row[0] != column.heading), [column.heading, typed]]
        at, first = 1, len(rows)
    else:
        if column.heading not in rows[0]:
            rows = [[*row, ""] for row in rows]
            rows[0][-1] = column.heading
        at, first = rows[0].index(column.heading), 2
        for row in rows[1:]:
            row[at : at + 1] = [typed]
    sheets[spec.name] = "\n".join(" | ".join(row) for row in rows)
    return sheets, f"{spec.name}!{chr(ord('A') + at)}{first}"


@pytest.mark.parametrize(("spec", "column"), COLUMNS, ids=IDS)
def test_what_nobody_can_have_meant_is_an_error_at_its_cell(spec: SheetSpec, column: Column) -> None:
    day = column.kind.name == "date"
    for typed in ("@9999-12-31", "1850-06-01") if day else ("1" + "0" * 30, "0." + "0" * 20 + "1"):
        sheets, cell = example(spec, column, typed)
        codes = {code for place, code in said(book(sheets), AS_OF) if place == cell}
        beyond = {"date-outside"} if day else {"number-outside", "number-not-whole", "money-decimals", "out-of-range"}
        assert codes & beyond, (typed, codes)


@pytest.mark.parametrize(("spec", "column"), COLUMNS, ids=IDS)
def test_the_farthest_that_is_taken_is_planned_or_found(spec: SheetSpec, column: Column) -> None:
    for typed in MEANT[column.kind.name]:
        rows, findings = read(book(example(spec, column, typed)[0]), AS_OF)
        programme = build_programme(rows, AS_OF)
        food, told = make_food_plan(programme, *make_kits(programme, findings), EFFORTS["short"])
        with Beside(0, prepare_to_write) as beside:
            people = finish_people_plan(programme, begin_people_plan(programme, findings, beside), food)
        assert plan_json(Plan(AS_OF, programme.currency.code, food, people), [*findings, *told])
