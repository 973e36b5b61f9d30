"""Workbooks that order together: one order a supplier and day, cost shared to the cent, each one's kits its own."""

import errno
import json
import os
import signal
import subprocess
import sys
from collections import Counter
from fractions import Fraction
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from support import written

from opsreport import pool
from opsreport.cli import main
from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.tables.table import Document

DAY = "2027-02-08"
SUPPLIERS = "Supplier | Lead days | Delivery fee | Minimum order\nMill | 2 | 9.00 | 10.00"
PACKS = (
    "Supplier | Ingredient | Item | Pack amount | Pack unit | Price\n"
    "Mill | rice mix | R1 | 1 | kg | 3.00\nMill | rice mix | R10 | 10 | kg | 12.00"
)


def book(grams: int, **more: str) -> dict[str, str]:
    """One household that needs so many grams of rice mix on 4 March 2027."""
    return {
        "Settings": "Setting | Value\nSpare kits | 0\nDemo kits | 0\nProgramme | Larkfield kitchens",
        "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | stew",
        "Enrolment": "Participant | Group | Needs\np1 | g1 | none",
        "Recipes": f"Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | rice mix | {grams} | g",
        "Ingredients": "Ingredient | Contains\nrice mix | none",
        "Stock": "Ingredient | Amount | Unit",
        "Suppliers": SUPPLIERS,
        "Packs": PACKS,
        **{name.replace("_", "-"): text for name, text in more.items()},
    }


def pooled(folder: Path, jobs: int = 1, **books: dict[str, str]) -> tuple[int, Path]:
    paths = []
    for name, sheets in books.items():
        path = folder / f"{name}.xlsx"
        path.write_bytes(written(sheets))
        paths.append(str(path))
    out = folder / "all"
    return main(["build", *paths, "--pool", "--out", str(out), "--as-of", DAY, "--jobs", str(jobs)]), out


def plan(folder: Path) -> Any:
    return json.loads((folder / "plan.json").read_text("utf-8"))


def test_needs_that_alone_reach_no_minimum_reach_it_together_with_larger_packs(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Alone each needs 2 or 4 kg: 6.00 and 12.00 of goods in 1 kg packs, or one 10 kg pack, and 9.00 delivery each.
    Together 6 kg: one 10 kg pack for 12.00 is cheaper than six for 18.00, above the minimum of 10.00, with one fee."""
    status, out = pooled(tmp_path, north=book(2000), south=book(4000))
    assert status == 0
    [order] = plan(out / "together")["orders"]
    assert (order["goods"], order["fee"], order["total"], order["below_minimum"]) == ("12.00", "9.00", "21.00", False)
    [row] = plan(out / "together")["purchases"]
    assert (row["item"], row["packs"]) == ("R10", 1)
    assert "Orders for all: first to order: Mill-" in capsys.readouterr().out
    assert row["used"] == [
        {"session": "north/s1", "amount": "2000"}, {"session": "south/s1", "amount": "4000"}
    ]  # fmt: skip
    # a third of 12.00 and of 9.00 to the north, two thirds to the south
    assert plan(out / "together")["costs"]["sessions"] == {"north/s1": "7.00", "south/s1": "14.00"}
    assert [plan(out / name)["costs"]["sessions"] for name in ("north", "south")] == [{"s1": "7.00"}, {"s1": "14.00"}]
    page = (out / "together" / "orders" / "by-place.html").read_text("utf-8")
    assert "2,000 g" in page
    assert "$14.00" in page
    paid = openpyxl.load_workbook(out / "together" / "orders" / "by-place.xlsx")["Each place"]
    assert [row for row in paid.iter_rows(values_only=True) if row[0] in ("north", "south")] == [
        ("north", 7), ("south", 14)
    ]  # fmt: skip
    for name in ("north", "south"):
        assert plan(out / name)["orders"] == []
        assert not list((out / name / "orders").glob("order-*"))
        assert list((out / name / "packing").glob("*-pull-list.html"))


def test_each_place_uses_its_own_stock_and_all_needs_are_met(tmp_path: Path) -> None:
    stock = "Ingredient | Amount | Unit\nrice mix | 1500 | g"
    _, out = pooled(tmp_path, north=book(2000, Stock=stock), south=book(4000), east=book(7000))
    whole = plan(out / "together")
    bought: Counter[str] = Counter()
    for purchase in whole["purchases"]:
        for row in purchase["used"]:
            bought[row["session"]] += Fraction(row["amount"])  # type: ignore[assignment]
    assert bought == {"north/s1": 500, "south/s1": 4000, "east/s1": 7000}
    for name in ("north", "south", "east"):
        own = plan(out / name)
        used = [*own["stock_use"], *(row for p in own["purchases"] for row in p["used"])]
        assert sum(Fraction(row["amount"]) for row in used) == Fraction(own["needs"][0]["amount"])
    paid = sum(Fraction(plan(out / name)["costs"]["sessions"]["s1"]) for name in ("north", "south", "east"))
    assert paid == sum(Fraction(order["total"]) for order in whole["orders"])


def test_a_place_that_lists_other_packs_shares_the_order_and_not_the_pack(tmp_path: Path) -> None:
    small = "\n".join(PACKS.split("\n")[:2])
    _, out = pooled(tmp_path, north=book(2000), south=book(4000, Packs=small))
    whole = plan(out / "together")
    assert [order["fee"] for order in whole["orders"]] == ["9.00"]
    assert {row["ingredient"]: (row["item"], row["packs"]) for row in whole["purchases"]} == {
        "rice mix": ("R1", 2), "rice mix (south)": ("R1", 4)
    }  # fmt: skip


def test_what_workbooks_disagree_about_is_found(tmp_path: Path) -> None:
    south = book(
        4000,
        Packs=PACKS.replace("12.00", "12.50"),
        Suppliers=SUPPLIERS.replace("| 2 |", "| 4 |"),
        Ingredients="Ingredient | Contains | Grams per cup\nrice mix | none | 190",
    )
    north = book(2000, Ingredients="Ingredient | Contains | Grams per cup\nrice mix | none | 180")
    _, out = pooled(tmp_path, north=north, south=south)
    found = {finding["code"]: finding["message"] for finding in plan(out / "together")["findings"]}
    assert "180 in north; 190 in south" in found["pool-ingredient-differs"]
    assert "$12.00 in north (Packs!F3); $12.50 in south (Packs!F3). $12.50 was used" in found["pool-price-differs"]
    assert "(north, south): Lead days. " in found["pool-supplier-differs"]
    [order] = plan(out / "together")["orders"]
    assert order["goods"] == "12.50"


def test_workbooks_that_agree_are_not_complained_of(tmp_path: Path) -> None:
    _, out = pooled(tmp_path, north=book(2000), south=book(4000))
    assert plan(out / "together")["findings"] == []


def test_one_with_errors_takes_no_part_and_stops_no_other(tmp_path: Path) -> None:
    faulty = book(2000, Recipes="Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | rice mix | 1 | cupful")
    status, out = pooled(tmp_path, 2, north=book(2000), faulty=faulty, south=book(4000))
    assert status == 1
    sessions = {row["session"] for p in plan(out / "together")["purchases"] for row in p["used"]}
    assert sessions == {"north/s1", "south/s1"}
    assert not (out / "faulty" / "packing").exists()
    assert (out / "faulty" / "reports").exists()


def test_a_case_of_cans_that_stays_sealed_serves_several_weeks_as_alone(tmp_path: Path) -> None:
    """Two kits of a can each in two weeks a kitchen: a case of six and a half of another; with half cans in one kitchen
    a rest may stand open, so the limit of 4 days holds for both."""
    sheets = {
        "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | stew\ns2 | g1 | @2027-03-11 | stew",
        "Enrolment": "Participant | Group | Needs\np1 | g1 | none\np2 | g1 | none",
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean tin | 1 | can",
        "Ingredients": "Ingredient | Storage | Contains | Grams each | Keeps | Keeps open\n"
        "bean tin | shelf | none | 400 | 700 | 4",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nMill | bean tin | 8 | can | 12.00",
    }
    whole = book(1, **sheets)
    status, out = pooled(tmp_path, north=whole, south=whole)
    assert status == 0
    assert [line["packs"] for line in plan(out / "together")["purchases"]] == [1]
    half = {**whole, "Recipes": whole["Recipes"].replace("1 | can", "1/2 | can")}
    status, out = pooled(tmp_path, north=whole, south=half)
    assert status == 0
    assert sum(line["packs"] for line in plan(out / "together")["purchases"]) == 2


def test_the_same_bytes_however_many_processes(tmp_path: Path) -> None:
    trees = []
    for jobs in (1, 2, 4):
        folder = tmp_path / str(jobs)
        folder.mkdir()
        books = {name: book(grams) for name, grams in (("north", 2000), ("south", 4000), ("east", 700), ("west", 900))}
        _, out = pooled(folder, jobs, **books)
        trees.append({p.relative_to(out).as_posix(): p.read_bytes() for p in out.rglob("*") if p.is_file()})
    assert trees[0] == trees[1] == trees[2]
    assert not [name for name in trees[0] if name.startswith(".")]  # what waited for the documents is gone


def test_kits_and_whom_they_are_for_stand_in_each_workbook_s_own_plan_alone(tmp_path: Path) -> None:
    _, out = pooled(tmp_path, north=book(2000), south=book(4000))
    [own] = plan(out / "south")["sessions"]
    assert (own["variants"][0]["holders"], [line["ingredient"] for line in own["variants"][0]["lines"]]) == (
        ["p1"], ["rice mix"],
    )  # fmt: skip
    of_all = [(each["session"], each["variants"]) for each in plan(out / "together")["sessions"]]
    assert [(name, [(kit["kits"], kit["holders"], kit["lines"]) for kit in kits]) for name, kits in of_all] == [
        ("north/s1", [(1, [], [])]), ("south/s1", [(1, [], [])])
    ]  # fmt: skip


KILLED = """
import os, signal, sys
from opsreport import cli, pool
pool._together = lambda *given: os.kill(os.getpid(), signal.SIGKILL)
cli.main(sys.argv[1:])
"""


def test_killed_while_workbooks_wait_for_the_orders_of_all_nothing_stays_after_the_next_run(tmp_path: Path) -> None:
    for name in ("north", "south"):
        (tmp_path / f"{name}.xlsx").write_bytes(written(book(2000)))
    place = tmp_path / "place"
    place.mkdir()
    words = ["build", str(tmp_path / "north.xlsx"), str(tmp_path / "south.xlsx"), "--pool", "--as-of", DAY]
    words += ["--out", str(place / "all"), "--jobs", "1"]
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parent.parent)}
    ended = subprocess.run([sys.executable, "-c", KILLED, *words], env=environment, check=False).returncode
    assert ended == -signal.SIGKILL
    [stray] = place.iterdir()
    assert sorted(file.name for file in stray.glob(".*/*")) == ["north", "south"]
    assert main(words) == 0
    assert [path.name for path in place.iterdir()] == ["all"]


def test_our_own_mistake_in_one_workbook_s_documents_stops_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    documents = pool.packing_documents

    def mistaken(programme: Programme, food: FoodPlan) -> list[Document]:
        if food.needs[0].amount < 3000:
            raise RuntimeError("impossible")
        return documents(programme, food)

    monkeypatch.setattr(pool, "packing_documents", mistaken)
    status, out = pooled(tmp_path, north=book(2000), south=book(4000))
    assert status == 2
    assert "north.xlsx: not used. A mistake of opsreport's own (RuntimeError: impossible)." in capsys.readouterr().out
    assert sorted(path.name for path in out.iterdir()) == ["index.html", "south", "together"]


def test_a_disk_that_takes_no_more_while_workbooks_are_set_aside_stops_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def full(*_given: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(pool.pickle, "dump", full)
    status, out = pooled(tmp_path, north=book(2000), south=book(4000))
    assert status == 2
    assert "Free some space" in capsys.readouterr().err
    assert sorted(path.name for path in out.parent.iterdir()) == ["north.xlsx", "south.xlsx"]


def test_how_many_kits_a_shortage_leaves_is_told_to_all_as_to_the_place(tmp_path: Path) -> None:
    """Two kits of 2 kg on the day after tomorrow, and 3 kg on the shelf: no delivery in time, one kit can be filled."""
    short = book(
        2000,
        Sessions="Session | Group | Date | Recipes\ns1 | g1 | @2027-02-09 | stew",
        Enrolment="Participant | Group | Needs\np1 | g1 | none\np2 | g1 | none",
        Stock="Ingredient | Amount | Unit\nrice mix | 3000 | g",
    )
    _, out = pooled(tmp_path, north=short, south=book(4000))
    told = [plan(out / name)["shortages"] for name in ("together", "north", "south")]
    assert [[(row["session"], row["amount"], row["full_kits_possible"]) for row in rows] for rows in told] == [
        [("north/s1", "1000", 1)], [("s1", "1000", 1)], [],
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("setting", "sentence"),
    [
        ("Currency | EUR", "different currencies (EUR in {south}; USD in {north})"),
        ("As of | @2027-02-01", "different days (2027-02-01 in {south}; 2027-02-08 in {north})"),
    ],
)
def test_what_cannot_be_bought_for_together_is_refused(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], setting: str, sentence: str
) -> None:
    north, south = book(2000), book(4000)
    north["Settings"] += f"\nAs of | @{DAY}"
    south["Settings"] += f"\n{setting}"
    for name, sheets in (("north", north), ("south", south)):
        (tmp_path / f"{name}.xlsx").write_bytes(written(sheets))
    words = ["build", str(tmp_path / "north.xlsx"), str(tmp_path / "south.xlsx"), "--pool", "--jobs", "1"]
    assert main([*words, "--out", str(tmp_path / "all")]) == 2
    files = {name: tmp_path / f"{name}.xlsx" for name in ("north", "south")}
    assert sentence.format(**files) in capsys.readouterr().err
    assert not (tmp_path / "all").exists()


def test_a_workbook_that_takes_no_part_may_differ_in_currency_and_day(tmp_path: Path) -> None:
    """It has no recipes that can be read; its orders are stopped, and those of the others are written."""
    faulty = book(1, Recipes="Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | rice mix | 1 | cupful")
    faulty["Settings"] += "\nCurrency | EUR\nAs of | @2027-02-01"
    north = book(2000)
    north["Settings"] += f"\nAs of | @{DAY}"
    for name, sheets in (("faulty", faulty), ("north", north)):
        (tmp_path / f"{name}.xlsx").write_bytes(written(sheets))
    out = tmp_path / "all"
    words = ["build", str(tmp_path / "faulty.xlsx"), str(tmp_path / "north.xlsx"), "--pool", "--out", str(out)]
    assert main([*words, "--jobs", "1"]) == 1
    assert plan(out / "together")["orders"]


def test_the_folder_of_the_workbooks_is_not_moved_aside(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [tmp_path / "north.xlsx", tmp_path / "south.xlsx"]
    for file in files:
        file.write_bytes(written(book(2000)))
    words = ["build", *map(str, files), "--pool", "--as-of", DAY, "--jobs", "1", "--out", str(tmp_path)]
    assert main(words) == 2
    assert "holds the workbook north.xlsx" in capsys.readouterr().err
    assert sorted(tmp_path.iterdir()) == files


def test_why_says_where_the_orders_of_several_are_explained(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = pooled(tmp_path, north=book(2000), south=book(4000))
    capsys.readouterr()
    assert main(["why", str(out), "rice mix"]) == 2
    assert f"name one, as {out / 'north'}." in capsys.readouterr().err
    assert (out / "together" / "orders" / "where-packs-go.html").exists()
    for name in ("north", "together"):
        assert main(["why", str(out / name), "rice mix"]) == 2
        assert "where-packs-go of the orders for all" in capsys.readouterr().err
