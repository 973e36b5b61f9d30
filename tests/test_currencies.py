"""Whole runs in currencies of no, two and three decimals: every figure of money whole, shown with its decimals, and
split to sessions, groups and funders so that each column adds up to the orders."""

import datetime as dt
import json
import re
from decimal import Decimal
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from support import CORE, written

from opsreport.run import Asked, build

PRICES = {"JPY": ("198", "1247", "500", "20000"), "USD": ("1.98", "12.47", "5.00", "200.00"),
          "KWD": ("0.198", "1.247", "0.505", "20.000")}  # fmt: skip
DECIMALS = {"JPY": 0, "USD": 2, "KWD": 3}
SIGN = {"JPY": "¥", "USD": r"\$", "KWD": "KWD "}
D = Decimal


def sheets(currency: str) -> dict[str, str]:
    """Three groups, two suppliers with tax that never comes out even, funders of a third, a seventh and nobody."""
    small, large, fee, cap = PRICES[currency]
    return {
        **CORE,
        "Settings": f"Setting | Value\nCurrency | {currency}\nBudget | {cap}",
        "Groups": "Group | Name | Funders\ng1 | One | Alder 33%; Birch 67%\ng2 | Two | Alder 14%; Cedar 86%\n"
        "g3 | Three |",
        "Funders": "Funder | From | Until\nAlder | @2027-01-01 | @2027-12-31\nBirch | @2027-01-01 | @2027-12-31\n"
        "Cedar | @2027-01-01 | @2027-12-31",
        "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-09 | soup\ns2 | g2 | @2027-03-10 | soup\n"
        "s3 | g3 | @2027-03-17 | soup",
        "Enrolment": "Participant | Group | Needs\np1 | g1 | none\np2 | g2 | none\np3 | g2 | none\np4 | g3 | none",
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 3 | each\n"
        "soup | | rolled oats | 150 | g",
        "Stock": "Ingredient | Amount | Unit",
        "Suppliers": f"Supplier | Lead days | Delivery fee | Tax\nshop | 1 | {fee} | 8.25%\nmill | 1 | {fee} | 7.3%",
        "Packs": f"Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | onion | 4 | each | {small}\n"
        f"mill | rolled oats | 400 | g | {large}",
    }


@pytest.fixture(scope="module", params=["JPY", "USD", "KWD"])
def run(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, Path, dict[str, Any]]:
    """(currency, folder, plan.json) of a whole build."""
    place = tmp_path_factory.mktemp(request.param)
    (place / "term.xlsx").write_bytes(written(sheets(request.param)))
    build(place / "term.xlsx", place / "out", Asked(dt.date(2027, 3, 1)))
    return request.param, place / "out", json.loads((place / "out" / "plan.json").read_text("utf-8"))


def test_every_sum_of_the_plan_has_the_currencys_decimals(run: tuple[str, Path, dict[str, Any]]) -> None:
    currency, _, plan = run
    assert len(plan["orders"]) >= 2
    sums = [order[name] for order in plan["orders"] for name in ("goods", "fee", "tax", "total")]
    sums += [value for column in plan["costs"].values() for value in column.values()]
    sums += [*plan["buying"].values(), *(row["cost"] for row in plan["purchases"])]
    assert {-int(D(text).as_tuple().exponent) for text in sums} == {DECIMALS[currency]}


def test_tax_is_rounded_half_up_order_by_order(run: tuple[str, Path, dict[str, Any]]) -> None:
    currency, _, plan = run
    rate = {"shop": D("0.0825"), "mill": D("0.073")}
    unit = D(1).scaleb(-DECIMALS[currency])
    for order in plan["orders"]:
        assert D(order["tax"]) == (D(order["goods"]) * rate[order["supplier"]]).quantize(unit, "ROUND_HALF_UP")
        assert D(order["total"]) == D(order["goods"]) + D(order["fee"]) + D(order["tax"])


def test_sessions_groups_and_funders_add_up_to_the_orders(run: tuple[str, Path, dict[str, Any]]) -> None:
    _, _, plan = run
    total, costs = sum(D(order["total"]) for order in plan["orders"]), plan["costs"]
    assert [sum(map(D, costs[by].values())) for by in ("sessions", "groups", "funders")] == [total] * 3
    assert set(costs["funders"]) == {"Alder", "Birch", "Cedar", ""}
    assert costs["funders"][""] == costs["groups"]["g3"] == costs["sessions"]["s3"]
    exact = D(costs["groups"]["g1"]) * 33 / 100 + D(costs["groups"]["g2"]) * 14 / 100
    unit = D(1).scaleb(-DECIMALS[run[0]])
    assert abs(D(costs["funders"]["Alder"]) - exact) < 2 * unit


def test_spreadsheets_hold_numbers_with_the_currencys_format_that_add_up(run: tuple[str, Path, dict[str, Any]]) -> None:
    currency, folder, plan = run
    zeros = "#,##0" + ("." + "0" * DECIMALS[currency] if DECIMALS[currency] else "")
    sign = {"JPY": "¥", "USD": "$", "KWD": "KWD "}[currency]
    formats, seen = set(), 0
    for path in sorted((folder / "orders").glob("*.xlsx")):
        for sheet in openpyxl.load_workbook(path):
            for cell in (cell for row in sheet.iter_rows() for cell in row):
                if sign.strip() in cell.number_format and "#" in cell.number_format:
                    formats.add(cell.number_format.split(";")[0].replace('"', ""))
                    seen += 1
    assert formats == {sign + zeros}
    assert seen > 20
    split = openpyxl.load_workbook(folder / "orders" / "cost.xlsx")["By session"]
    totals = [D(order["total"]) for order in plan["orders"]]
    numbers = [D(str(cell.value)) for row in split.iter_rows() for cell in row if isinstance(cell.value, int | float)]
    assert [number for number in numbers if number] == [D(each) for each in plan["costs"]["sessions"].values()]
    assert sum(numbers) == sum(totals)


def test_pages_show_the_currency_with_its_decimals(run: tuple[str, Path, dict[str, Any]]) -> None:
    currency, folder, plan = run
    page = (folder / "orders" / "cost.html").read_text("utf-8")
    fraction = rf"\.\d{{{DECIMALS[currency]}}}" if DECIMALS[currency] else ""
    shown = re.findall(rf"{SIGN[currency]}[\d,]+(?:\.\d+)?", page.replace("\u00a0", " "))
    assert len(shown) > 8
    assert [text for text in shown if not re.fullmatch(rf"{SIGN[currency]}\d[\d,]*{fraction}", text)] == []
    for cost in plan["costs"]["groups"].values():
        assert f"{D(cost):,}" in page
