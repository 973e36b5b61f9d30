"""Changes, money, room and traces as documents: what a coordinator reads, and what a supplier must not."""

import datetime as dt
import io
import json

import pytest
from openpyxl import load_workbook
from plan.food_support import MONDAY, planned, settings

from opsreport.plan.explaining.changes import changes
from opsreport.plan.explaining.earlier import earlier_plan
from opsreport.plan.model import Changes, FoodPlan, Plan
from opsreport.programme import Programme
from opsreport.tables.orders import order_documents
from opsreport.tables.orders.changes import change_words
from opsreport.tables.table import Document, Facts, Paper, Prose, Table
from opsreport.write.html_page import html_bytes
from opsreport.write.json_file import plan_json
from opsreport.write.xlsx import xlsx_bytes

TUESDAY = dt.date(2027, 1, 5)


def document(path: str, sheets: dict[str, str] | None = None, since: Changes | None = None) -> Document:
    programme, plan = planned(sheets)
    return next(each for each in order_documents(programme, plan, since) if each.path == path)


def words(document: Document) -> str:
    """Every text of a document, a line a cell or sentence."""
    said: list[str] = []
    for part in document.parts:
        if isinstance(part, Prose):
            said += [part.title, *part.sentences]
        elif isinstance(part, Facts):
            said += [f"{label}: {text}" for label, text in part.pairs]
        elif isinstance(part, Table):
            said += [part.title, *part.intro, *part.notes]
            said += [str(value) for row in part.rows for value in row.cells if isinstance(value, str)]
    return "\n".join(said)


def table(document: Document, name: str) -> Table:
    """The document's first table of that title or on that sheet."""
    return next(part for part in document.parts if isinstance(part, Table) and name in (part.title, part.sheet))


# --- money ---


def test_the_order_that_breaks_the_cap_says_on_hold_and_so_do_those_after_it() -> None:
    sheets = {"Settings": settings("Budget | 1.99")}
    for day in ("20270111", "20270118"):
        order = document(f"orders/order-shop-{day}", sheets)
        first = order.parts[0]
        assert isinstance(first, Prose)
        assert first.kind == "warning"
        assert first.title.startswith("ON HOLD")
        assert "$1.99" in words(order)
    cost = words(document("orders/cost", sheets))
    assert "Order shop-20270111 no longer fits under the budget and is on hold; all together is $2.01 over it." in cost
    assert "On hold with it: shop-20270118." in cost


def test_an_order_within_the_cap_says_nothing_of_it() -> None:
    assert "HOLD" not in words(document("orders/order-shop-20270111", {"Settings": settings("Budget | 2.00")}))
    assert "HOLD" in words(document("orders/order-shop-20270118", {"Settings": settings("Budget | 2.00")}))


def test_the_delivery_address_is_printed_where_it_is_known() -> None:
    assert "Delivery address: Rear door" in words(
        document("orders/order-shop-20270111", {"Settings": settings("Deliver to | Rear door")})
    )
    assert "Delivery address: ____" in words(document("orders/order-shop-20270111"))


def test_money_by_week_ends_with_what_is_left() -> None:
    cost = document("orders/cost", {"Settings": settings("Budget | 5.00", "Spent so far | 0.50")})
    assert table(cost, "Budget").rows[-1].cells == ("Left", 50)
    assert table(cost, "Money by week").rows[-1].cells[-1] == 50


# --- traces ---


def test_a_supplier_reads_no_session_and_no_recipe() -> None:
    programme, plan = planned()
    for each in order_documents(programme, plan):
        if each.path.startswith("orders/order-shop"):
            assert "stew" not in words(each)
            assert "w2" not in words(each)


def test_every_order_line_leads_to_its_working() -> None:
    where = document("orders/where-packs-go", {"Stock": "Ingredient | Amount | Unit | Lot\nbean mix | 90 | g | L1"})
    (heading, *rows) = table(where, "Why").rows
    assert heading.cells[2] == "400 g needed − 90 g stock = 310 g to buy"
    assert [row.cells[0] for row in rows] == [
        "w2, w3", "From stock, for w2", "Bought: shop-20270111", "Bought: shop-20270118",
    ]  # fmt: skip
    assert [row.cells[1] for row in rows] == [400, -90, 250, 250]
    assert rows[0].cells[2] == "4 kits × 100 g: stew, 100 g = 100 g. w2-A 2 kits = 200 g; w3-A 2 kits = 200 g"
    paper = Paper("A4", planned()[0].currency, MONDAY)
    book = load_workbook(io.BytesIO(xlsx_bytes(where, paper)))
    links = [cell.hyperlink.location for row in book["Where packs go"].iter_rows() for cell in row if cell.hyperlink]
    targets = {link.rpartition("!")[2] for link in links}
    assert len(links) == 2
    assert {book["Why"][target].value for target in targets} == {"bean mix"}
    page = html_bytes(where, paper).decode()
    assert page.count("<details>") == 1
    assert page.count('href="#f2-1"') == 2
    assert page.count("<table id=f2-1 ") == 1


def test_pack_words_as_typed_and_how_they_are_sold_reach_the_order() -> None:
    """`3 x 50 g` says more than 150 g; sold by 2, four packs are two sales."""
    heads = "Supplier | Ingredient | Pack amount | Pack unit | Price | Sold by"
    packs = {"Packs": f"{heads}\nshop | bean mix | 3 x 50 g | g | 2.00 | 2"}
    _, plan = planned(packs)
    assert {(row.words, row.sold_by, row.size.amount) for row in plan.purchases} == {("3 x 50 g", 2, 150)}
    order = table(document("orders/order-shop-20270111", packs), "Order")
    assert order.rows[0].cells[2:5] == (2, "3 x 50 g", 2)
    assert plan.traces[0].packs[0].pack == "3 x 50 g"


# --- room ---


def test_room_stands_with_the_spare_kits() -> None:
    """300 g a week: two packs, then one; 150 g are left in the end, and the first week can take 100 g of them."""
    sheets = {"Settings": settings().replace("Spare kits | 0", "Spare kits | 1")}
    room = table(document("orders/needs", sheets), "Room")
    assert [(row.cells[0], *row.cells[4:]) for row in room.rows] == [
        ("w2", 3, 1, 1, "bean mix"),
        ("w3", 3, 1, 1, "bean mix"),
    ]


# --- changes ---


def since(before: dict[str, str], now: dict[str, str], second: dt.date = MONDAY) -> tuple[Programme, FoodPlan, Changes]:
    programme, plan = planned(before)
    earlier = earlier_plan(json.loads(plan_json(Plan(programme.as_of, "USD", plan, None), [])))
    assert earlier is not None
    later, its_plan = planned(now, second)
    return later, its_plan, changes(later, its_plan, earlier)


def changes_document(before: dict[str, str], now: dict[str, str], second: dt.date = MONDAY) -> Document:
    programme, plan, found = since(before, now, second)
    return next(each for each in order_documents(programme, plan, found) if each.path == "orders/changes")


def test_without_an_earlier_run_the_page_says_so() -> None:
    assert "no earlier run" in words(document("orders/changes"))


def test_more_of_a_food_is_an_order_to_raise_with_its_cost() -> None:
    recipes = {"Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 140 | g"}
    page = changes_document({}, recipes)
    assert page.title == "Changes since the run of Mon 4 Jan 2027"
    (row,) = table(page, "Orders").rows
    assert row.cells[:2] == ("Raise", "shop-20270111")
    assert row.cells[6:9] == (1, 2, 200)
    assert "All orders, placed and to place: $6.00, before $4.00: $2.00 more" in words(page)
    assert "Of these still to place: $6.00, before $4.00: $2.00 more" in words(page)
    assert [row.cells[3] for row in table(page, "Needs of the sessions not yet packed").rows] == [160]


def test_orders_placed_since_take_a_line_each_below_what_is_to_be_done() -> None:
    rows = "A7 | shop | bean mix | 1 | 250 | g | @2027-01-11"
    placed = {"Orders": f"Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n{rows}"}
    page = changes_document({}, placed)
    assert table(page, "Orders").rows == ()
    (row,) = table(page, "Orders placed or past since then").rows
    assert row.cells == (
        "Placed", "shop-20270111", dt.date(2027, 1, 11), 1, "bean mix", "on the Orders sheet now as A7",
    )  # fmt: skip
    assert "In short: 1 order placed" in words(page)


PACKED = {
    "Sessions": "Session | Group | Date | Recipes | Packing date\nw1 | g1 | @2027-01-06 | stew | @2027-01-04",
    "Stock": "Ingredient | Amount | Unit\nbean mix | 900 | g",
    "Ingredients": "Ingredient | Contains\nbean mix | soy\npea mix | none",
    "Swaps": "Ingredient | Need | Use instead\nbean mix | no soy | pea mix",
}
NEED = {"Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | no soy"}


def test_kits_to_pull_stand_before_all_else_without_the_need_itself() -> None:
    page = changes_document(PACKED, {**PACKED, **NEED}, TUESDAY)
    assert next(part.title for part in page.parts if isinstance(part, Table)) == "Kits to pull and replace"
    (row,) = table(page, "Kits to pull").rows
    assert row.cells == ("w1-A", "h2", MONDAY, dt.date(2027, 1, 6), "bean mix", "pea mix for bean mix", 1)
    assert "no soy" not in words(page)
    assert change_words(since(PACKED, {**PACKED, **NEED}, TUESDAY)[2]).startswith("1 kit to pull")


def test_packs_on_order_for_nobody_are_a_suggestion() -> None:
    orders = {
        "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
        "o1 | shop | bean mix | 9 | 100 | g | @2027-01-08"
    }
    page = document("orders/changes", orders)
    (row,) = table(page, "Placed before and not needed now").rows
    assert row.cells[5:7] == (5, "whether it can be cut by these packs")
    assert "Only a suggestion" in words(page)


@pytest.mark.parametrize("size", ["Letter", "A4"])
def test_the_documents_write_in_both_formats(size: str) -> None:
    programme, plan, found = since(PACKED, {**PACKED, **NEED}, TUESDAY)
    paper = Paper("A4" if size == "A4" else "Letter", programme.currency, TUESDAY)
    for each in order_documents(programme, plan, found):
        assert xlsx_bytes(each, paper)
        assert html_bytes(each, paper)
