"""Workbooks that order together: one order a supplier and day, cost shared to the cent, each one's kits its own."""

import errno
import json
import os
import re
import signal
import stat
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from fractions import Fraction
from pathlib import Path
from typing import Any

import openpyxl
import pytest
from support import written

from opsreport import pool
from opsreport.cli import main
from opsreport.plan.model import Changes, FoodPlan
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
    assert "2 kg (≈ 4 lb 7 oz)" in page, "2,000 g at 453.59237 g a pound"
    assert "$14.00" in page
    for name in ("north", "south"):
        assert plan(out / name)["orders"] == []
        assert not list((out / name / "orders").glob("order-Mill*"))
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
    for own in (plan(out / name) for name in ("together", "north", "south", "east")):
        used: Counter[str] = Counter()
        for row in (*own["stock_use"], *(row for p in own["purchases"] for row in p["used"])):
            used[row["session"]] += Fraction(row["amount"])  # type: ignore[assignment]
        assert used == {need["session"]: Fraction(need["amount"]) for need in own["needs"]}
    assert whole["stock_use"][0].items() >= {"session": "north/s1", "source": "stock", "amount": "1500"}.items()
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
    assert found["pool-supplier-differs"] == (
        "Lead days of supplier Mill is not the same in all workbooks: 2 in north; 4 in south. 4 was used, which holds "
        "for all, else what the first says."
    )
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
    assert [path.parent.name for path in out.glob("*/*-marked.xlsx")] == ["faulty"]
    assert 'href="faulty-marked.xlsx"' in (out / "faulty" / "index.html").read_text("utf-8")


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
    page = (out / "together" / "orders" / "by-place.html").read_text("utf-8")
    assert page.count("4 cans, ≈ 3 lb 8 oz") == 2, "4 × 400 g at 453.59237 g a pound, of the shared case"
    assert page.count("$10.50") == 4, "half of 12.00 and of the delivery, each, in all and of the one order"
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
    [aside] = stray.glob(".*")
    assert stat.S_IMODE(aside.stat().st_mode) == 0o700, "nobody else reads or writes there"
    assert main(words) == 0
    assert [path.name for path in place.iterdir()] == ["all"]


@pytest.mark.parametrize("step", ["_ready", "_finish"])
def test_a_process_that_dies_takes_one_workbook_with_it(
    step: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """The process of the second workbook, while it is read or while its documents are written."""

    def dying(work: Any, pieces: Any, jobs: int, dead: Any) -> Iterator[Any]:
        for at, piece in enumerate(pieces):
            yield dead(piece) if (work.__name__, at) == (step, 1) else work(piece)

    monkeypatch.setattr(pool, "side_by_side", dying)
    status, out = pooled(tmp_path, north=book(2000), south=book(4000))
    assert status == 2
    assert "south.xlsx: not used. Its process ended before it was done" in capsys.readouterr().out
    assert (out / "north" / "plan.json").exists()
    assert not (out / "south").exists()


def test_our_own_mistake_in_one_workbook_s_documents_stops_no_other(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    documents = pool.food_documents_of

    def mistaken(programme: Programme, food: FoodPlan, since: Changes | None) -> list[Document]:
        if food.needs[0].amount < 3000:
            raise RuntimeError("impossible")
        return documents(programme, food, since)

    monkeypatch.setattr(pool, "food_documents_of", mistaken)
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


def test_a_shortage_is_told_as_alone_with_what_would_mend_it_and_how_many_kits_it_leaves(tmp_path: Path) -> None:
    """Two kits of 2 kg on the day after tomorrow, and 3 kg on the shelf: no delivery in time, one kit can be filled.
    Swaps says that it may be left out."""
    short = book(
        2000,
        Sessions="Session | Group | Date | Recipes\ns1 | g1 | @2027-02-09 | stew",
        Enrolment="Participant | Group | Needs\np1 | g1 | none\np2 | g1 | none",
        Stock="Ingredient | Amount | Unit\nrice mix | 3000 | g",
        Swaps="Ingredient | Need | Use instead\nrice mix | no rice mix | leave out",
    )
    _, out = pooled(tmp_path, north=short, south=book(4000))
    told = [plan(out / name)["shortages"] for name in ("together", "north", "south")]
    assert [[(row["session"], row["amount"], row["full_kits_possible"]) for row in rows] for rows in told] == [
        [("north/s1", "1000", 1)], [("s1", "1000", 1)], [],
    ]  # fmt: skip
    assert main(["build", str(tmp_path / "north.xlsx"), "--out", str(tmp_path / "alone"), "--as-of", DAY]) == 0
    alone, together = plan(tmp_path / "alone"), plan(out / "north")
    assert [row["kind"] for row in alone["mends"]] == ["leave out"]
    assert together["mends"] == alone["mends"]
    assert [f for f in together["findings"] if f["code"] == "shortage"] == [
        f for f in alone["findings"] if f["code"] == "shortage"
    ]


@pytest.mark.parametrize(
    ("setting", "why"),
    [
        ("Currency | EUR", "its money is EUR, theirs USD"),
        ("As of | @2027-02-01", "it is planned as of Mon 1 Feb 2027, they are as of Mon 8 Feb 2027"),
    ],
)
def test_what_cannot_be_bought_for_together_orders_by_itself(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], setting: str, why: str
) -> None:
    """As alone, to the byte, and the others as without it; in the summary and on the page of all it says why."""
    odd = book(4000)
    odd["Settings"] += f"\n{setting}"
    books = {"odd": odd, "north": book(2000), "south": book(3000)}
    for sheets in (books["north"], books["south"]):
        sheets["Settings"] += f"\nAs of | @{DAY}"
    for name, sheets in books.items():
        (tmp_path / f"{name}.xlsx").write_bytes(written(sheets))
    day = () if "As of" in setting else ("--as-of", DAY)

    def run(out: str, *names: str) -> dict[str, bytes]:
        files = [str(tmp_path / f"{name}.xlsx") for name in names]
        more = ["--pool"] if len(names) > 1 else ["--since", "none"]
        assert main(["build", *files, "--out", str(tmp_path / out), *day, *more]) == 0
        found = [path for path in (tmp_path / out).rglob("*") if path.is_file()]
        return {path.relative_to(tmp_path / out).as_posix(): path.read_bytes() for path in found}

    def within(folder: str, files: dict[str, bytes]) -> dict[str, bytes]:
        return {name: content for name, content in files.items() if name.startswith(f"{folder}/")}

    of_all = run("all", "odd", "north", "south")
    said = capsys.readouterr().out
    assert f"odd.xlsx → odd/: 0 errors; 0 warnings; 0 notes; not in the orders for all, as {why}" in said
    assert why in of_all["index.html"].decode()
    assert within("odd", of_all) == {f"odd/{name}": content for name, content in run("alone", "odd").items()}
    assert within("together", of_all) == within("together", run("others", "north", "south"))


def test_one_with_errors_has_no_say_in_the_currency_and_day_of_all(tmp_path: Path) -> None:
    """Nor is it told to order by itself, as it orders nothing."""
    faulty = book(2000, Recipes="Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | rice mix | 1 | cupful")
    faulty["Settings"] += "\nCurrency | EUR"
    status, out = pooled(tmp_path, 1, faulty=faulty, north=book(2000))
    assert status == 1
    assert plan(out / "together")["currency"] == "USD"
    page = (out / "index.html").read_text()
    assert "not planned" in page
    assert "Not in the orders for all" not in page


def test_where_a_place_s_food_comes_from_is_told_in_its_own_folder(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Of one bag of 10 kg, north needs 2 kg and south 4.6: what they share is no whole pack of either."""
    _, out = pooled(tmp_path, north=book(2000), south=book(4600))
    capsys.readouterr()
    assert main(["why", str(out / "north"), "rice mix"]) == 0
    assert "2,000 g of 10 kg, shared (item R10), $3.64 (Packs!F3)" in capsys.readouterr().out
    (row,) = plan(out / "north")["purchases"]
    assert (row["packs"], row["shared"], row["base_amount"]) == (0, "2000", "2000")
    assert "part of one: 10 kg" in (out / "north" / "orders" / "where-packs-go.html").read_text("utf-8")
    assert main(["why", str(out / "together"), "rice mix"]) == 2
    assert "ask in the folder of one, beside this one: north, south." in capsys.readouterr().err


def test_a_place_s_start_page_says_what_its_part_costs_what_is_left_and_what_comes_when(tmp_path: Path) -> None:
    """Of 12.00 and 9.00 delivery two thirds fall on the south, which may spend 13.00: 14.00 is too much by 1.00. The
    order is placed once, on the page for all, which has nothing to pack and no link that leads nowhere."""
    south = book(4000)
    south["Settings"] += "\nBudget | 13.00"
    status, out = pooled(tmp_path, north=book(2000), south=south)
    assert status == 0
    page = (out / "south" / "index.html").read_text("utf-8")
    assert "$14.00, no tax on it, for your part of the orders for all; $1.00 over the budget of $13.00" in page
    assert "Take in your part of order Mill-20270303" in page
    assert "Place order" not in page.replace("Place orders", "")
    assert plan(out / "south")["budget"]["left"] == "-1.00"
    assert plan(out / "south")["shared_orders"][0]["total"] == "14.00"
    assert b"Delivery from Mill" in (out / "south" / "calendar.ics").read_bytes()
    assert "$14.00" in (out / "south" / "orders" / "cost.html").read_text("utf-8")
    of_all = (out / "together" / "index.html").read_text("utf-8")
    assert "$21.00, no tax on it, for these orders" in of_all
    assert "Place order Mill-20270303" in of_all
    for folder in ("together", "north", "south"):
        for page in (out / folder / "orders").glob("*.html"):
            assert "No session still to come needs any food" not in page.read_text("utf-8")
        for link in re.findall(r'href="([^"#:]+)"', (out / folder / "index.html").read_text("utf-8")):
            assert (out / folder / link).exists(), f"{folder}: {link}"


def test_gifts_in_kind_and_money_of_funders_are_told_as_alone(tmp_path: Path) -> None:
    """A lot of 1 kg worth 5.00 covers half of what north needs; the funder's document says so, whoever orders."""
    north = book(
        2000,
        Stock="Ingredient | Amount | Unit | Source | Value\nrice mix | 1 | kg | donated | 5.00",
        Groups="Group | Funders\ng1 | Fund",
        Funders="Funder | From | Until\nFund | @2027-01-01 | @2027-12-31",
        Attendance="Participant | s1\np1 |",
    )
    _, out = pooled(tmp_path, north=north, south=book(4000))
    assert plan(out / "north")["costs"]["funders"] == {"Fund": "4.20"}, (
        "a fifth of 21.00, as 1 of 5 kg is bought for it"
    )
    measures = {each["measure"]: each["shown"] for each in plan(out / "north")["funders"][0]["measures"]}
    assert (measures["in_kind"], measures["cost_to_come"]) == ("$5.00", "$4.20")


def test_orders_for_all_that_are_late_or_below_a_minimum_are_findings(tmp_path: Path) -> None:
    """A minimum of 50.00 that 12.00 of goods do not reach, and a session in three days with ten to deliver."""
    suppliers = "Supplier | Lead days | Minimum order\nMill | 10 | 50.00"
    soon = {"Suppliers": suppliers, "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-02-11 | stew"}
    _, out = pooled(tmp_path, north=book(2000, **soon), south=book(4000, **soon))
    whole = plan(out / "together")
    assert [(order["urgent"], order["below_minimum"]) for order in whole["orders"]] == [(True, True)]
    assert {finding["code"] for finding in whole["findings"]} == {"order-urgent", "order-below-minimum"}
    assert "2 warnings" in (out / "together" / "index.html").read_text("utf-8")


def test_what_each_place_notes_of_placed_orders_is_not_ordered_again(tmp_path: Path) -> None:
    """Rows of each one's order calendar, typed into its sheet Orders as they stand: the same run then orders nothing;
    with a week more, only that week's food, under another number. Of 6.6 kg of rice mix in one bag of 10 kg, and of
    cans in a case of 12, each place notes its part; 2/3 g is rounded up."""
    recipes = (
        "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | rice mix | {} | g\nstew | | bean tin | {} | can"
    )
    foods = "Ingredient | Contains | Grams each\nrice mix | none |\nbean tin | none | 400"
    packs = f"{PACKS}\nMill | bean tin | B | 12 | can | 18.00"
    books = {
        "north": book(0, Recipes=recipes.format("2000 2/3", 2), Ingredients=foods, Packs=packs),
        "south": book(0, Recipes=recipes.format(4600, 5), Ingredients=foods, Packs=packs),
    }  # fmt: skip
    _, out = pooled(tmp_path, **books)
    assert len(plan(out / "together")["orders"]) == 1
    noted = {}
    for name, sheets in books.items():
        found = openpyxl.load_workbook(out / name / "orders" / "order-calendar.xlsx")["Rows for Orders"]
        table = [row for row in found.iter_rows(values_only=True) if row[10] is not None]
        noted[name] = [(row[2], row[4], row[5], row[6], row[10]) for row in table[1:]]
        lines = [
            " | ".join(f"@{cell:%Y-%m-%d}" if hasattr(cell, "year") else str(cell or "") for cell in row)
            for row in table
        ]
        sheets["Orders"] = "\n".join(lines)
    assert noted == {
        "north": [("bean tin", 1, "2", "can", 5.14), ("rice mix", 1, "2001", "g", 3.64)],
        "south": [("bean tin", 1, "5", "can", 12.86), ("rice mix", 1, "4600", "g", 8.36)],
    }
    _, again = pooled(tmp_path, **books)
    assert plan(again / "together")["orders"] == []
    changed = plan(again / "together")["changes"]["orders"]
    assert {(row["what"], row["ingredient"]) for row in changed} == {("placed", "bean tin"), ("placed", "rice mix")}
    assert "1 order placed" in (again / "together" / "orders" / "changes.html").read_text("utf-8")
    books["north"]["Sessions"] += "\ns2 | g1 | @2027-03-04 | stew"
    _, later = pooled(tmp_path, **books)
    assert [order["order"] for order in plan(later / "together")["orders"]] == ["Mill-20270303-2"]
    used = {(row["session"], p["ingredient"]) for p in plan(later / "together")["purchases"] for row in p["used"]}
    assert used == {("north/s2", "rice mix"), ("north/s2", "bean tin")}
    order = (later / "together" / "orders" / "order-Mill-20270303-2.html").read_text("utf-8")
    assert "Purchase order Mill-20270303-2, in addition to Mill-20270303" in order


def files_of(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def test_what_changed_since_the_last_run_is_told_kits_by_place_and_orders_for_all(tmp_path: Path) -> None:
    """A second household in the south: one kit more there, two bags of 10 kg instead of one for all. However often that
    is run, it is compared with the run before."""
    books = {"north": book(2000), "south": book(7000)}
    _, out = pooled(tmp_path, **books)
    assert [plan(out / name)["changes"] for name in ("together", "north", "south")] == [None] * 3
    books["south"]["Enrolment"] += "\np2 | g1 | none"
    _, out = pooled(tmp_path, **books)
    said = {name: plan(out / name)["changes"] for name in ("together", "north", "south")}
    assert [(row["session"], row["before"], row["now"]) for row in said["south"]["kits"]] == [("s1", 1, 2)]
    assert said["north"]["kits"] == said["together"]["kits"] == []
    assert [(row["what"], row["before"], row["now"]) for row in said["together"]["orders"]] == [("raise", 1, 2)]
    assert said["north"]["orders"] == said["south"]["orders"] == []
    assert (said["together"]["cost_before"], said["together"]["cost_now"]) == ("21.00", "33.00")
    assert Fraction(said["north"]["cost_now"]) + Fraction(said["south"]["cost_now"]) == 33
    first = files_of(out)
    _, out = pooled(tmp_path, **books)
    assert files_of(out) == first


def test_kits_packed_before_a_need_was_known_are_to_be_pulled_where_workbooks_order_together(tmp_path: Path) -> None:
    """Packed on 4 March for that day; on the 4th somebody in the south turns out to have to go without wheat."""
    foods = "Ingredient | Contains\nrice mix | wheat"
    swaps = "Ingredient | Need | Use instead\nrice mix | wheat | leave out"
    books = {name: book(2000, Ingredients=foods, Swaps=swaps) for name in ("north", "south")}
    pooled(tmp_path, **books)
    books["south"]["Enrolment"] = books["south"]["Enrolment"].replace("none", "wheat")
    words = [str(tmp_path / f"{name}.xlsx") for name in books]
    (tmp_path / "south.xlsx").write_bytes(written(books["south"]))
    out = tmp_path / "all"
    assert main(["build", *words, "--pool", "--out", str(out), "--as-of", "2027-03-04", "--jobs", "1"]) == 0
    [finding] = [each for each in plan(out / "south")["findings"] if each["code"] == "packed-kit-against-need"]
    assert finding["sheet"] == "Enrolment"
    assert "Kits to pull and replace" in (out / "south" / "orders" / "changes.html").read_text("utf-8")
    assert "Kits to pull" not in (out / "north" / "orders" / "changes.html").read_text("utf-8")


def test_orders_for_all_are_compared_with_those_of_the_run_asked_for(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    pooled(tmp_path, north=book(2000), south=book(7000))
    (tmp_path / "all").rename(tmp_path / "first")
    words = [str(tmp_path / f"{name}.xlsx") for name in ("north", "south")]
    (tmp_path / "south.xlsx").write_bytes(written(book(9000)))
    words += ["--pool", "--out", str(tmp_path / "all"), "--as-of", DAY, "--jobs", "1"]
    assert main(["build", *words, "--since", str(tmp_path / "first")]) == 0
    assert plan(tmp_path / "all" / "together")["changes"]["orders"][0]["item"] == "R1"
    assert main(["build", *words, "--since", "none"]) == 0
    assert plan(tmp_path / "all" / "together")["changes"] is None
    assert main(["build", *words, "--changed"]) == 2
    assert "leave them out" in capsys.readouterr().err


def test_why_of_the_folder_of_several_names_one_to_ask(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    _, out = pooled(tmp_path, north=book(2000), south=book(4000))
    assert main(["why", str(out), "rice mix"]) == 2
    assert f"name one, as {out / 'north'}." in capsys.readouterr().err


def test_a_folder_of_something_else_is_not_moved_aside(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "all").mkdir()
    (tmp_path / "all" / "letters.txt").write_bytes(b"mine")
    status, out = pooled(tmp_path, north=book(2000))
    assert status == 2
    assert "holds other files" in capsys.readouterr().err
    assert [path.name for path in out.iterdir()] == ["letters.txt"]


def test_a_supplier_reads_of_kitchens_that_order_together_not_of_workbooks(tmp_path: Path) -> None:
    """Where the workbooks name different programmes."""
    south = book(4000)
    south["Settings"] = south["Settings"].replace("Larkfield", "Brackwell")
    _, out = pooled(tmp_path, north=book(2000), south=south)
    (order,) = (out / "together" / "orders").glob("order-Mill*.html")
    page = order.read_text("utf-8")
    assert "2 kitchens together" in page
    assert "workbooks" not in page
