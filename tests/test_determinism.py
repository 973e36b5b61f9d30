"""The same workbook gives the same bytes, and the order of its rows decides nothing."""

import datetime as dt
import json
import random
from pathlib import Path

import pytest
from support import CORE, read, term, written

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import FoodPlan
from opsreport.run import Asked, build

MONDAY = dt.date(2027, 1, 4)


def folder_of(sheets: dict[str, str], folder: Path, as_of: dt.date | None = MONDAY) -> dict[str, bytes]:
    """Every file that a run writes, by name."""
    folder.mkdir()
    source = folder / "book.xlsx"
    source.write_bytes(written(sheets))
    outcome = build(source, folder / "out", Asked(MONDAY, as_of))
    found = {
        str(path.relative_to(outcome.folder)): path.read_bytes() for path in outcome.folder.rglob("*") if path.is_file()
    }
    assert sorted(found) == sorted(outcome.files)
    return found


def test_four_sheets_built_twice_give_the_same_bytes(tmp_path: Path) -> None:
    first, second = folder_of(CORE, tmp_path / "a"), folder_of(CORE, tmp_path / "b")
    assert list(first) == list(second)
    assert [name for name in first if first[name] != second[name]] == []
    assert len(first) > 10
    assert {name.rpartition(".")[2] for name in first} >= {"html", "xlsx", "json", "ics"}
    assert json.loads(first["plan.json"])["as_of"] == MONDAY.isoformat()


def test_another_planning_date_gives_other_bytes(tmp_path: Path) -> None:
    """The comparison above would see a difference."""
    first = folder_of(CORE, tmp_path / "a")
    second = folder_of(CORE, tmp_path / "b", dt.date(2027, 1, 5))
    assert first["plan.json"] != second["plan.json"]
    assert first["index.html"] != second["index.html"]


FOODS = ("bean mix", "rice mix", "oil mix")
SHEETS = {
    "Settings": "Setting | Value\nSpare kits | 0\nDemo kits | 0",
    "Sessions": "Session | Group | Date | Recipes\n"
    + "\n".join(f"s{n} | g1 | @2027-01-{11 + 3 * n} | stew" for n in range(4)),
    "Enrolment": "Participant | Group | Needs\np1 | g1 | none\np2 | g1 | none",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\n"
    + "\n".join(f"stew | 4 | {food} | 130 | g" for food in FOODS),
    "Suppliers": "Supplier | Lead days | Delivery fee\nshop | 1 | 2.50\nfarm | 2 | 1.00",
}
SHEETS["Recipes"] = (
    SHEETS["Recipes"].replace("\nstew | 4 | rice", "\nstew | | rice").replace("\nstew | 4 | oil", "\nstew | | oil")
)
PACKS = [
    f"{supplier} | {food} | {item} | {size} | g | {price} | {keeps}"
    for food in FOODS
    for supplier, item, size, price, keeps in [
        ("shop", "a", 200, "1.00", ""), ("shop", "b", 200, "1.00", ""), ("farm", "a", 200, "1.00", ""), ("farm",
        "c", 500, "2.50", 9),
    ]
]  # fmt: skip
STOCK = [
    f"{food} | {amount} | g | {lot} | {best}"
    for food in FOODS
    for amount, lot, best in [
        (90, "A", ""),
        (40, "B", "@2027-01-20"),
        (40, "C", "@2027-01-20"),
        (70, "D", "@2027-02-20"),
    ]
]


def planned(packs: list[str], stock: list[str]) -> FoodPlan:
    sheets = {
        **SHEETS,
        "Packs": "\n".join(["Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Keeps", *packs]),
        "Stock": "\n".join(["Ingredient | Amount | Unit | Lot | Best before", *stock]),
    }
    rows, _ = read(term(sheets), MONDAY)
    food, _ = plan_food(build_programme(rows, MONDAY))
    return food


@pytest.fixture(scope="module")
def in_order() -> FoodPlan:
    return planned(PACKS, STOCK)


@pytest.mark.parametrize("seed", range(8))
def test_shuffled_rows_give_equal_orders(seed: int, in_order: FoodPlan) -> None:
    source = random.Random(seed)
    packs, stock = source.sample(PACKS, len(PACKS)), source.sample(STOCK, len(STOCK))
    assert (packs, stock) != (PACKS, STOCK)
    shuffled = planned(packs, stock)
    assert in_order.purchases
    assert shuffled.purchases == in_order.purchases
    assert shuffled.orders == in_order.orders
    assert shuffled.costs == in_order.costs
    assert shuffled.shortages == in_order.shortages
    uses = [
        {(use.food, use.lot, use.session, use.amount) for use in food.stock_use} for food in (in_order, shuffled)
    ]  # fmt: skip
    assert uses[0] == uses[1]
