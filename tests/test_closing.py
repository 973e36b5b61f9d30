"""The command: what should stand at the end of a day, copied into the workbook, is what the next run goes on from."""

import datetime as dt
import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import Workbook, load_workbook
from plan.food_support import SHEETS
from support import written

from opsreport.cli import main
from opsreport.sheets import SHEETS as SHEETS_READ

MONDAYS = [dt.date(2027, 1, 4) + n * dt.timedelta(weeks=1) for n in range(6)]
TERM = {
    **SHEETS,
    "Sessions": "\n".join(
        ["Session | Group | Date | Recipes | Status"]
        + [f"w{number} | g1 | @{day} | stew | planned" for number, day in enumerate(MONDAYS) if number]
    ),
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g\n"
    "stew | | sour cream | 70 | g\nstew | | leek | 1 | each",
    "Ingredients": "Ingredient | Storage | Contains | Keeps | Keeps open | Grams each\nbean mix | shelf | none | | |\n"
    "sour cream | chill | milk | 12 | 9 |\nleek | cool | none | 6 | |",
    "Stock": "Ingredient | Amount | Unit | Lot | Source | Value\nbean mix | 1/2 | lb | B1 | donated | 1.00",
    "Suppliers": "Supplier | Lead days | Delivery days | Delivery fee\nshop | 1 | Mon | 3.00",
    "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Keeps\n"
    "shop | bean mix | b | 250 | g | 2.00 |\nshop | sour cream | cup | 250 | g | 1.10 |\n"
    "shop | sour cream | tub | 1 | kg | 3.20 | 30\nshop | leek | | 3 | each | 1.80 |",
}
"""Five weeks for two households."""


Rows = list[tuple[Any, ...]]


def plan(folder: Path) -> Any:
    return json.loads((folder / "plan.json").read_text("utf-8"))


def typed(book: Path, of: Callable[[str, Rows], Rows]) -> None:
    """The workbook with the rows of its sheets as somebody changed them: of(sheet, rows)."""
    old, new = load_workbook(book), Workbook()
    new.remove(new.active)
    for name in dict.fromkeys([*old.sheetnames, "Orders"]):
        rows = list(old[name].iter_rows(values_only=True)) if name in old.sheetnames else []
        copy = new.create_sheet(name)
        for row in of(name, rows):
            copy.append(row)
    new.save(book)


def rows_of(file: Path, sheet: str) -> Rows:
    """A table of a document, from its headings on."""
    rows = [*load_workbook(file)[sheet].iter_rows(values_only=True)]
    first = next(number for number, row in enumerate(rows) if "Ingredient" in row)
    return rows[first:]


def test_a_term_lived_week_by_week_orders_what_its_first_plan_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each week the rows of the orders placed are copied from the order calendar, and on Tuesday the sheets from the
    closing stock of the day before. What is ordered in all is what the first plan said, and nothing runs short."""
    book, out, close = tmp_path / "term.xlsx", tmp_path / "out", tmp_path / "close"
    book.write_bytes(written(TERM))
    day = MONDAYS[0]
    assert main(["build", str(book), "--out", str(out), "--as-of", day.isoformat(), "--quiet"]) == 0
    orders = {order["order"]: order["total"] for order in plan(out)["orders"]}
    placed: dict[str, str] = {}
    while plan(out)["needs"]:
        until = day if day.weekday() == 0 else day + dt.timedelta(days=6)
        now = {row["order"]: row["total"] for row in plan(out)["orders"] if row["order_by"] <= until.isoformat()}
        placed |= now
        calendar = rows_of(out / "orders" / "order-calendar.xlsx", "Rows for Orders")
        noted = [row for row in calendar[1:] if row[0] in now]
        typed(book, lambda name, rows, noted=noted, head=calendar[0]: (  # type: ignore[misc]
            [*(rows or [head]), *noted] if name == "Orders" else rows
        ))  # fmt: skip
        words = [str(book), "--day", until.isoformat(), "--out", str(close), "--as-of", day.isoformat()]
        assert main(["closing", *words]) == 0
        closed = {name: rows_of(close / f"closing-stock-{until}.xlsx", name) for name in ("Stock", "Orders")}
        assert all([*rows[0]] == [each.heading for each in SHEETS_READ[name].columns] for name, rows in closed.items())
        held = [week for week, monday in enumerate(MONDAYS) if monday <= until]
        typed(book, lambda name, rows, closed=closed, held=held: closed.get(name) or [  # type: ignore[misc]
            (*row[:4], "delivered") if name == "Sessions" and row[0] in [f"w{week}" for week in held] else row
            for row in rows
        ])  # fmt: skip
        day = until + dt.timedelta(days=1)
        assert main(["build", str(book), "--out", str(out), "--as-of", day.isoformat(), "--quiet"]) == 0
        assert plan(out)["shortages"] == []
    assert placed == orders
    assert len(orders) > 2
    assert "rows of Stock" in capsys.readouterr().out


def test_a_day_before_the_planning_date_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book = tmp_path / "term.xlsx"
    book.write_bytes(written(TERM))
    assert main(["closing", str(book), "--day", "2027-01-03", "--as-of", "2027-01-04"]) == 2
    assert "lies before the planning date, Mon 4 Jan 2027" in capsys.readouterr().err
    assert [path.name for path in tmp_path.iterdir()] == ["term.xlsx"]


def test_an_error_that_stops_orders_is_said_and_nothing_is_written(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = tmp_path / "term.xlsx"
    book.write_bytes(written({**TERM, "Stock": "Ingredient | Amount | Unit\nbean mix | much | g"}))
    assert main(["closing", str(book), "--day", "2027-01-11", "--as-of", "2027-01-04"]) == 1
    assert "much" in capsys.readouterr().out
    assert [path.name for path in tmp_path.iterdir()] == ["term.xlsx"]


def test_beside_the_workbook_and_cold_food_without_a_date_stands_out(tmp_path: Path) -> None:
    book = tmp_path / "term.xlsx"
    dateless = TERM["Ingredients"].replace("| 12 | 9", "| | 9")
    packs = TERM["Packs"].replace("3.20 | 30", "3.20 |")
    sheets = {**TERM, "Ingredients": dateless, "Packs": packs}
    order = "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due"
    book.write_bytes(written({**sheets, "Orders": f"{order}\no1 | shop | sour cream | 1 | 250 | g | @2027-01-11"}))
    assert main(["closing", str(book), "--day", "2027-01-11", "--as-of", "2027-01-04"]) == 0
    page = (tmp_path / "term-closing-2027-01-11" / "closing-stock-2027-01-11.html").read_text("utf-8")
    assert "Cold food without any date is not planned" in page
    assert "index.html" not in page


def test_a_folder_of_something_else_is_not_moved_aside(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    book, letters, mine = tmp_path / "term.xlsx", tmp_path / "letters", tmp_path / "mine"
    book.write_bytes(written(TERM))
    letters.mkdir()
    (letters / "letter.txt").write_text("Dear all")
    words = ["closing", str(book), "--day", "2027-01-11", "--as-of", "2027-01-04", "--out"]
    assert main([*words, str(letters)]) == 2
    assert "holds other files than closing-stock-*" in capsys.readouterr().err
    for _ in range(2):
        assert main([*words, str(mine)]) == 0
    assert sorted(path.name for path in tmp_path.iterdir()) == ["letters", "mine", "mine.1", "term.xlsx"]
