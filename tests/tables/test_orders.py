"""The documents about ordering hold the plan's own figures, each once, and tell nothing about people."""

import dataclasses
import html
import io
import re
from collections import Counter
from fractions import Fraction
from typing import Any

import openpyxl
import pytest
from plan.food_support import planned
from tables.support import CODES, LENTILS, NAMES, NEEDS, day, food_plan, programme, renamed, settings

from opsreport.measures.units import Quantity
from opsreport.money import Currency, Money
from opsreport.plan.model import Addition, FoodPlan
from opsreport.programme import Programme
from opsreport.sheets import OrderRow, spec_of
from opsreport.tables.orders import order_documents
from opsreport.tables.orders.amounts import in_kitchen_words, larger_words, pack_words, shop_words
from opsreport.tables.table import Document, Facts, Paper, Prose, Row, Table
from opsreport.write.html_page import html_bytes
from opsreport.write.xlsx import xlsx_bytes

BELOW = "below the minimum order of $10.00: ask whether it will be taken"
PROGRAMME = programme()
PLAN = food_plan()
ALWAYS = ["changes", "order-calendar", "needs", "where-packs-go", "stock", "shopping-list", "cost"]


def documents(of: Programme = PROGRAMME, plan: FoodPlan = PLAN) -> dict[str, Document]:
    return {document.path.removeprefix("orders/"): document for document in order_documents(of, plan)}


def table(document: Document, name: str) -> Table:
    """The document's first table of that title or on that sheet."""
    return next(part for part in document.parts if isinstance(part, Table) and name in (part.title, part.sheet))


def column(of: Table, heading: str) -> list[Any]:
    index = [each.heading for each in of.columns].index(heading)
    return [row.cells[index] for row in of.rows]


def columns(of: Table, *headings: str) -> list[tuple[Any, ...]]:
    return list(zip(*(column(of, heading) for heading in headings), strict=True))


def totals(of: Table) -> dict[str, Any]:
    return {each.name: each.value for each in of.totals}


def texts(document: Document) -> list[str]:
    """Every word a document prints."""
    found = [document.title, document.reader, document.head]
    for part in document.parts:
        if isinstance(part, Facts):
            found += [text for pair in part.pairs for text in pair]
        elif isinstance(part, Prose):
            found += [part.title, *part.sentences]
        elif isinstance(part, Table):
            found += [part.title, *part.intro, *part.notes, *(each.heading for each in part.columns)]
            found += [cell for row in part.rows for cell in row.cells if isinstance(cell, str)]
    return found


def facts(document: Document) -> dict[str, str]:
    return dict(next(part for part in document.parts if isinstance(part, Facts)).pairs)


def prose_titles(document: Document) -> list[str]:
    return [part.title for part in document.parts if isinstance(part, Prose)]


# --- the documents together ---


def test_documents_and_their_order() -> None:
    assert list(documents()) == [
        "order-Marrowby-20270209",
        "order-Öst-Co-20270210",
        "order-Marrowby-20270223",
        *ALWAYS,
    ]
    head = "Fennelbridge Kits · Spring 2027 · as of Mon 8 Feb 2027"
    assert [document.head for document in documents().values()] == [head] * 3 + [f"{head} · 555-0100"] * 7


def test_every_table_is_as_wide_as_its_columns_and_titles_are_apart() -> None:
    for document in documents().values():
        tables = [part for part in document.parts if isinstance(part, Table)]
        assert len({each.title for each in tables}) == len(tables)
        for each in tables:
            assert {len(row.cells) for row in each.rows} <= {len(each.columns)}
            assert {total.under for total in each.totals} <= {heading.heading for heading in each.columns}


@pytest.mark.parametrize("secret", [*NAMES, *CODES, *NEEDS, "Brightwell", "peanut", "allerg"])
def test_nothing_about_people_or_their_needs(secret: str) -> None:
    every = "\n".join(text for document in documents().values() for text in texts(document))
    assert secret.casefold() not in every.casefold()


def test_an_empty_plan_still_has_its_documents_and_each_says_so() -> None:
    bare = programme(on_order=(), settings=settings(budget=None))
    found = documents(bare, FoodPlan())
    assert list(found) == ALWAYS
    for document in found.values():
        for part in document.parts:
            if isinstance(part, Table):
                assert part.rows == ()
                assert part.totals == ()
                assert part.empty.endswith(".")


def test_the_plan_of_these_tests_fills_every_table() -> None:
    assert [
        (name, part.sheet)
        for name, document in documents().items()
        for part in document.parts
        if isinstance(part, Table) and not part.rows
    ] == []


def test_the_same_plan_gives_the_same_documents() -> None:
    assert order_documents(programme(), food_plan()) == order_documents(programme(), food_plan())


@pytest.mark.parametrize("code", ["USD", "JPY"])
def test_every_document_can_be_written(code: str) -> None:
    paper = Paper("Letter", Currency(code), PROGRAMME.as_of)
    for document in order_documents(programme(settings=settings(currency=Currency(code))), PLAN):
        assert openpyxl.load_workbook(io.BytesIO(xlsx_bytes(document, paper))).sheetnames
        assert html.escape(document.title).encode() in html_bytes(document, paper)


# --- purchase orders ---


def test_every_purchase_stands_on_exactly_one_order_with_its_own_figures() -> None:
    found: Counter[tuple[Any, ...]] = Counter()
    for name, document in documents().items():
        if name.startswith("order-") and name != "order-calendar":
            order = facts(document)["Order number"]
            rows = columns(table(document, "Order"), "Item code", "What", "Packs", "Price", "Cost")
            found.update((order, *row) for row in rows)
    assert found == Counter((p.order, p.item, p.food, p.packs, p.price, p.cost) for p in PLAN.purchases)


def test_order_totals_are_the_plans_to_the_cent() -> None:
    shown = [
        totals(table(document, "Order"))
        for name, document in documents().items()
        if name[:6] == "order-" and name != "order-calendar"
    ]
    assert shown == [
        {"goods": order.goods, "fee": order.fee, "tax": order.tax, "total": order.total} for order in PLAN.orders
    ]


def test_order_formulas() -> None:
    order = table(documents()["order-Marrowby-20270209"], "Order")
    assert {each.heading: each.formula for each in order.columns if each.formula} == {"Cost": "[Packs]*[Price]"}
    assert {each.name: (each.label, each.formula) for each in order.totals} == {
        "goods": ("Goods", "SUM([Cost])"),
        "fee": ("Delivery fee", "IF({goods}>=100,0,4.5)"),
        "tax": ("Tax at 8.25%", "ROUND({goods}*0.0825,2)"),
        "total": ("Total", "{goods}+{fee}+{tax}"),
    }
    for row in columns(order, "Packs", "Price", "Cost"):
        assert row[0] * row[1] == row[2]


@pytest.mark.parametrize(
    ("tax", "code", "formula"),
    [
        (Fraction(0), "USD", "ROUND({goods}*0,2)"),
        (Fraction(1), "USD", "ROUND({goods}*1,2)"),
        (Fraction(1, 20), "JPY", "ROUND({goods}*0.05,0)"),
        (Fraction(1, 30), "USD", "ROUND({goods}*1/30,2)"),
    ],
)
def test_tax_formula(tax: Fraction, code: str, formula: str) -> None:
    suppliers = {name: dataclasses.replace(each, tax=tax) for name, each in PROGRAMME.suppliers.items()}
    of = programme(suppliers=suppliers, settings=settings(currency=Currency(code)))
    order = table(documents(of)["order-Marrowby-20270209"], "Order")
    assert {each.name: each.formula for each in order.totals}["tax"] == formula


def test_order_formulas_give_the_plans_figures() -> None:
    """Worked out again as a spreadsheet would, in whole currency, from the packs and prices alone."""
    for order in PLAN.orders:
        lines = table(documents()[f"order-{order.order.replace('Öst & Co', 'Öst-Co')}"], "Order")
        cost = [Fraction(packs * price, 100) for packs, price in columns(lines, "Packs", "Price")]
        known: dict[str, Fraction] = {}
        scope = {"SUM": sum, "ROUND": half_up_to, "IF": either, "cost": cost, "known": known, "Fraction": Fraction}
        for each in lines.totals:
            formula = each.formula.replace("[Cost]", "cost").replace("{", "known['").replace("}", "']")
            formula = re.sub(r"\d+\.\d+", lambda rate: f"Fraction('{rate[0]}')", formula)
            known[each.name] = eval(formula, scope) if formula else Fraction(int(each.value or 0), 100)
        assert {name: value * 100 for name, value in known.items()} == totals(lines)


def either(asked: bool, yes: Fraction, no: Fraction) -> Fraction:
    return Fraction(yes if asked else no)


def half_up_to(value: Fraction, decimals: int) -> Fraction:
    return Fraction(int(value * 10**decimals + Fraction(1, 2)), 10**decimals)


def test_order_head_urgency_and_minimum() -> None:
    found = documents()
    urgent, small, plain = (found[name] for name in list(found)[:3])
    assert facts(urgent) == {
        "Order number": "Marrowby-20270209",
        "Prepared": "Mon 8 Feb 2027",
        "Sent on": "_" * 20,
        "To": "Marrowby Wholesale",
        "Send to": "orders@marrowby.example",
        "Our account": "FFK-2207",
        "Deliver on": "Tue 9 Feb 2027",
        "Deliver to": "Fennelbridge Kits",
        "Delivery address": "_" * 40,
        "Contact": "555-0100",
    }
    assert prose_titles(urgent) == prose_titles(small) == ["Cold food on arrival"]
    assert prose_titles(plain) == []
    assert facts(small)["To"] == "Öst & Co"


def test_packs_as_the_supplier_sells_them() -> None:
    order = table(documents()["order-Marrowby-20270209"], "Order")
    assert columns(order, "Item code", "Pack", "Sold by") == [("=M-20", "1/2 gal", 2), ("M-1010", "5 lb", 1)]


def test_what_is_ours_to_settle_is_no_word_of_the_suppliers_page() -> None:
    for name, document in documents().items():
        if name.startswith("order-") and name != "order-calendar":
            before = [part for part in document.parts if not isinstance(part, Table) or part.sheet == "Order"][:-1]
            words = " ".join(texts(dataclasses.replace(document, parts=tuple(before))))
            assert not re.search("URGENT|telephone|minimum|Order by", words)
            assert "Please confirm this order" in " ".join(table(document, "Order").notes)
            assert [part.sheet for part in document.parts if isinstance(part, Table)] == ["Order", "On arrival"]
            assert table(document, "On arrival").page_break


def test_an_order_for_a_delivery_already_ordered_for_says_so_everywhere() -> None:
    addition = Addition("Marrowby-20270223", ("PO-7",), Money(9000), fee_saved=Money(500))
    found = documents(plan=dataclasses.replace(PLAN, additions=(addition,)))
    order = found["order-Marrowby-20270223"]
    assert order.title == "Purchase order Marrowby-20270223, in addition to PO-7"
    assert prose_titles(order)[0] == "ADDITION to order PO-7"
    assert column(table(found["order-calendar"], "To order"), "Look out")[2] == (
        "IN ADDITION to PO-7, placed before: ask for one delivery charge, which would save $5.00"
    )


def test_temperatures_stand_as_they_are_read_there() -> None:
    abroad = dataclasses.replace(PROGRAMME, settings=settings(paper="A4", measures="metric"))
    words = " ".join(texts(documents(abroad)["order-Marrowby-20270209"]))
    assert not re.search(r"\d °F \(", words)
    assert "at 5 °C (41 °F) or below" in " ".join(
        sentence for part in documents(abroad)["order-Marrowby-20270209"].parts if isinstance(part, Prose)
        for sentence in part.sentences
    )  # fmt: skip


def test_rows_to_copy_are_rows_of_the_orders_sheet_and_are_never_ordered_again() -> None:
    told, plan = planned()
    rows = table(order_documents(told, plan)[-6], "Rows for Orders")
    headings = [each.heading for each in rows.columns]
    assert headings == [each.heading for each in spec_of(OrderRow).columns][:10]
    dated = ("Due", "Best before")
    lines = [" | ".join("" if cell is None else f"@{cell}" if heading in dated else str(cell)
             for heading, cell in zip(headings, row.cells, strict=True)) for row in rows.rows]  # fmt: skip
    placed = "\n".join([" | ".join(headings), *lines])
    assert plan.orders
    assert planned({"Orders": placed})[1].orders == ()


def test_arrival_sheet_puts_cold_food_first_and_says_how_long_it_must_last() -> None:
    later = dataclasses.replace(PLAN, purchases=PLAN.purchases[1::-1] + PLAN.purchases[2:])
    arrival = table(documents(plan=later)["order-Marrowby-20270209"], "On arrival")
    assert columns(arrival, "Goes to", "What", "Packs", "Good until at least", "Temperature") == [
        ("refrigerator", "milk", 4, day("0212"), None),
        ("shelf", "red lentils", 1, day("0212"), "no need"),
    ]
    styles = {each.heading: each.style for each in arrival.columns}
    assert {styles[name] for name in ("Received", "Best before", "Temperature")} == {"write-in"}


def test_cold_caution_names_its_source() -> None:
    caution = next(
        part
        for part in documents()["order-Marrowby-20270209"].parts
        if isinstance(part, Prose) and part.kind == "caution"
    )
    text = " ".join(caution.sentences)
    assert all(words in text for words in ("41 °F (5 °C) or below", "FDA Food Code", "3-501.16", "local food code"))


@pytest.mark.parametrize(
    ("first", "second", "paths"),
    [
        ("a/b", "A b", ["order-a-b", "order-A-b-2"]),
        ("calendar", "../..", ["order-calendar-2", "order"]),
        ("日本", "本", ["order-日本", "order-本"]),
    ],
)
def test_order_ids_make_safe_names_that_differ(first: str, second: str, paths: list[str]) -> None:
    found = documents(plan=renamed(PLAN, first=first, second=second))
    assert list(found)[:2] == paths
    assert facts(found[paths[0]])["Order number"] == first


def test_a_purchase_without_an_order_is_our_mistake() -> None:
    with pytest.raises(ValueError, match="no order"):
        order_documents(PROGRAMME, dataclasses.replace(PLAN, orders=PLAN.orders[1:]))


# --- calendar ---


def test_urgent_orders_come_first_whatever_the_plans_order() -> None:
    turned = dataclasses.replace(PLAN, orders=PLAN.orders[::-1])
    to_order = table(documents(plan=turned)["order-calendar"], "To order")
    assert columns(to_order, "Order by", "Order", "Lines", "Look out") == [
        (
            day("0204"), "Marrowby-20270209", 2,
            "URGENT: telephone today, send it only when they agree to Tue 9 Feb 2027",
        ),
        (day("0208"), "Öst & Co-20270210", 1, BELOW),
        (day("0218"), "Marrowby-20270223", 1, ""),
    ]  # fmt: skip
    assert [row.emphasis for row in to_order.rows] == ["warning", "warning", ""]
    assert totals(to_order) == {"goods": 12968, "fees": 450, "tax": 1021, "total": 14439}


def test_arrivals_hold_new_and_earlier_orders_by_day() -> None:
    calendar = documents()["order-calendar"]
    assert columns(table(calendar, "What arrives"), "What", "Packs") == [
        ("Tue 9 Feb 2027: Marrowby Wholesale, order Marrowby-20270209, to be ordered", None),
        ("milk", 4),
        ("red lentils", 1),
        ("Wed 10 Feb 2027: Marrowby Wholesale, order PO-7, already ordered", None),
        ("rice", 2),
        ("Wed 10 Feb 2027: Öst & Co, order Öst & Co-20270210, to be ordered", None),
        ("spinach", 2),
        ("Tue 23 Feb 2027: Marrowby Wholesale, order Marrowby-20270223, to be ordered", None),
        ("red lentils", 13),
    ]
    assert columns(table(calendar, "Overdue"), "Was due", "Order", "What") == [(day("0205"), "PO-6", "onion")]


def test_calendar_links_lead_to_the_orders() -> None:
    found = documents()
    rows = table(found["order-calendar"], "To order").rows
    links = [row.links_to.removeprefix("orders/").removesuffix(".html") for row in rows]
    assert links == list(found)[:3]


# --- needs, packs, stock ---


SOURCES = ("From stock", "Ordered before", "To buy", "Short", "To shop for")


@pytest.mark.parametrize("sheet", ["By ingredient", "By session"])
def test_needs_are_their_sources_together(sheet: str) -> None:
    needs = table(documents()["needs"], sheet)
    for needed, *sources in columns(needs, "Needed", *SOURCES):
        assert needed == sum(sources)


def test_needs_by_session_are_the_plans() -> None:
    needs = table(documents()["needs"], "By session")
    assert Counter(columns(needs, "Ingredient", "Session", "Packing day", "Needed", "Unit")) == Counter(
        (need.food, need.session, need.packing_day, need.amount, need.unit) for need in PLAN.needs
    )
    bought = {(name, session): amount for name, session, amount in columns(needs, "Ingredient", "Session", "To buy")}
    for purchase in PLAN.purchases:
        for session, amount in purchase.used:
            assert bought[purchase.food, session] == amount
    assert [row.cells[:2] for row in needs.rows if row.emphasis == "warning"] == [("spinach", "E1")]


def test_needs_by_ingredient() -> None:
    needs = table(documents()["needs"], "By ingredient")
    rows = columns(needs, "Ingredient", "Sessions", "Needed", "Unit", "Needed, in larger units")
    assert rows[2] == ("red lentils", 3, Fraction(13520, 3), "g", "≈ 4.51 kg (≈ 9.94 lb)")
    assert [name for name, *_ in rows] == ["milk", "onion", "red lentils", "rice", "saffron", "spinach"]


def test_what_has_a_use_but_no_need_is_not_lost() -> None:
    needs = table(documents(plan=dataclasses.replace(PLAN, needs=()))["needs"], "By session")
    assert len(needs.rows) == len(PLAN.needs)


def test_every_pack_is_followed_to_its_sessions() -> None:
    packs = table(documents()["where-packs-go"], "Where packs go")
    assert [row.cells[:5] for row in packs.rows] == [
        (p.food, p.order, p.packs, pack_words(p.size), p.arrives) for p in PLAN.purchases
    ]
    for row, purchase in zip(packs.rows, PLAN.purchases, strict=True):
        bought, used, left = row.cells[6:9]
        assert used == sum(amount for _, amount in purchase.used)
        assert bought == used + left == purchase.base
    assert column(packs, "Good through")[0] == day("0223")
    assert "not known" in column(packs, "Good through")
    assert column(packs, "Sessions that use it")[1] == "E1 1,420, T1 667"


def test_lots_that_need_a_hand_stand_in_their_own_tables() -> None:
    stock = documents()["stock"]
    removed = table(stock, "Out of date: remove")
    assert columns(removed, "Ingredient", "Good through", "Amount") == [("spinach", day("0201"), 300)]
    assert columns(table(stock, "On hold: not used"), "Ingredient", "Lot") == [("red lentils", "L2")]
    undated = table(stock, "Chilled and without a date: not used")
    assert columns(undated, "Ingredient", "Good through") == [("milk", "no date")]
    left = table(stock, "Goes out of date with something left")
    assert columns(left, "Ingredient", "Lot", "Left") == [("rice", "R1", 1250)]
    assert prose_titles(stock) == [""]


def test_stock_uses_and_rests_are_the_plans() -> None:
    stock = documents()["stock"]
    assert columns(table(stock, "Used by session"), "Ingredient", "From", "Lot or order", "Session", "Used") == [
        ("red lentils", "stock", "L1", "E1", 500),
        ("rice", "stock", "R1", "T1", 250),
        ("rice", "ordered before", "PO-7", "E2", 750),
    ]
    assert column(table(stock, "Used by session"), "Place or supplier") == [
        "bay 4",
        "bay 4",
        "Marrowby Wholesale",
    ]
    lots = table(stock, "Every lot")
    assert sorted(columns(lots, "Ingredient", "Lot", "On hand", "Used", "Left")) == sorted(
        (lot.food, lot.lot, lot.on_hand, lot.used, lot.left) for lot in PLAN.lots
    )
    left = {
        name: (lots, packs)
        for name, lots, packs in columns(table(stock, "Left at the end"), "Ingredient", "Of stock", "Of packs bought")
    }
    assert left["onion"] == (220, 0)
    assert left["red lentils"] == (0, 14 * LENTILS - 1420 - 1920 - Fraction(2000, 3))
    assert left["rice"] == (1250, 0)


# --- shopping list and cost ---


def test_shopping_list_by_packing_day_with_shortages_above() -> None:
    shopping = documents()["shopping-list"]
    assert [part.sheet for part in shopping.parts if isinstance(part, Table)] == ["Short", "To shop for"]
    assert columns(table(shopping, "Short"), "Session", "Ingredient", "Missing", "Full kits still possible") == [
        ("E1", "spinach", 200, 8)
    ]
    assert columns(table(shopping, "To shop for"), "For packing on", "Ingredient", "Amount", "In a kitchen", "For") == [
        (day("0210"), "saffron", 3, "", "E1 2 g; T1 1 g"),
        (day("0224"), "onion", 500, "about 5 pieces, each: medium", "E2"),
    ]


@pytest.mark.parametrize("sheet", ["By session", "By group", "By funder"])
def test_every_split_of_the_cost_adds_up_to_the_orders(sheet: str) -> None:
    split = table(documents()["cost"], sheet)
    ordered = sum(order.total for order in PLAN.orders)
    assert sum(column(split, "Cost")) == totals(split)["total"] == ordered
    assert [each.formula for each in split.totals] == ["SUM([Cost])"]


def test_costs_are_the_plans() -> None:
    cost = documents()["cost"]
    assert columns(table(cost, "By session"), "Session", "Cost") == [("E1", 2500), ("T1", 751), ("E2", 11188)]
    assert columns(table(cost, "By group"), "Group", "Name", "Cost") == [
        ("ER", "Elder Row", 13688),
        ("TL", "Tollgate", 751),
    ]
    assert columns(table(cost, "By funder"), "Funder", "Name", "Cost") == [
        ("Harbour", "Harbour Fund", 13688),
        ("no funder named", "", 751),
    ]
    assert column(table(cost, "How good these orders are"), "Amount") == [13418, 13418, 0, 14000, 582]
    assert table(cost, "Budget").rows[-1] == Row(("Left", 35561))


def test_a_budget_that_is_passed_is_said_above() -> None:
    budget = dataclasses.replace(PLAN.budget, cap=Money(14000), on_hold=(PLAN.orders[-1].order,))
    over = documents(plan=dataclasses.replace(PLAN, budget=budget))["cost"]
    assert table(over, "Budget").rows[-1] == Row(("Over the budget", -439), "warning")
    assert any(isinstance(part, Prose) and "$4.39 over" in part.sentences[0] for part in over.parts)


def test_a_session_that_needs_nothing_bought_costs_nothing_and_is_there() -> None:
    costs = dataclasses.replace(PLAN.costs, sessions={"E1": Money(3251), "E2": Money(11188)})
    cost = documents(plan=dataclasses.replace(PLAN, costs=costs))["cost"]
    assert columns(table(cost, "By session"), "Session", "Cost")[1] == ("T1", 0)


# --- amounts in words ---


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        ("5", "lb", "5 lb"),
        ("14.5", "oz", "14.5 oz"),
        ("1/2", "gal", "1/2 gal"),
        ("2.5", "kg", "2.5 kg"),
        ("1", "bunch", "1 bunch"),
        ("24", "each", "24 each"),
        ("1/3", "lb", "1/3 lb"),
        ("2", "bunch", "2 bunches"),
    ],
)
def test_pack_words(amount: str, unit: str, words: str) -> None:
    assert pack_words(Quantity(Fraction(amount), unit)) == words


@pytest.mark.parametrize(
    ("amount", "unit", "measures", "words"),
    [
        ("1250", "g", "metric", "1.25 kg"),
        ("1250", "g", "US", "1.25 kg (≈ 2.76 lb)"),
        ("1500", "mL", "US", "1.5 L (≈ 1.59 qt)"),
        ("999", "g", "US", ""),
        ("5000", "each", "US", ""),
    ],
)
def test_larger_words(amount: str, unit: str, measures: Any, words: str) -> None:
    assert larger_words(Fraction(amount), unit, measures) == words


@pytest.mark.parametrize(
    ("amount", "unit", "measures", "words"),
    [
        ("1250", "g", "US", "2.8 lb"),
        ("100", "g", "US", "4 oz"),
        ("1001", "g", "metric", "1.01 kg"),
        ("99.5", "g", "metric", "100 g"),
        ("1000", "mL", "US", "1.1 qt"),
        ("5/2", "each", "US", "3 each"),
    ],
)
def test_shop_words_are_never_too_little(amount: str, unit: str, measures: Any, words: str) -> None:
    assert shop_words(Fraction(amount), unit, measures) == words


@pytest.mark.parametrize(
    ("food", "amount", "unit", "words"),
    [
        ("red lentils", "192", "g", "about 1 cup"),
        ("red lentils", "193", "g", "about 1 1/4 cups"),
        ("red lentils", "15", "g", "about 2 tbsp"),
        ("red lentils", "1", "g", "about 1/4 tsp"),
        ("onion", "111", "g", "about 2 pieces, each: medium"),
        ("onion", "110", "g", "about 1 piece, each: medium"),
        ("onion", "11001", "g", ""),
        ("spinach", "500", "g", ""),
        ("milk", "236.5882365", "mL", "1 cup"),
        ("onion", "3", "each", ""),
    ],
)
def test_in_kitchen_words(food: str, amount: str, unit: str, words: str) -> None:
    assert in_kitchen_words(PROGRAMME.foods.by_name[food], Fraction(amount), unit, "US") == words
