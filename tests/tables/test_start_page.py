import dataclasses
import datetime as dt
from collections.abc import Sequence
from fractions import Fraction
from typing import Any

import pytest
from plan.people_support import day, funder, session
from tables.people_support import cells, people_plan, small_programme, table, totals, words

from opsreport.findings import NOWHERE, Finding, Place
from opsreport.measures.units import Quantity
from opsreport.money import Currency, Money
from opsreport.plan.model import (
    BudgetPlan,
    Buying,
    Costs,
    FoodPlan,
    LotLeft,
    Order,
    Plan,
    PlannedSession,
    Purchase,
    Shortage,
    ToShop,
    Variant,
)
from opsreport.plan.people_model import PeoplePlan
from opsreport.programme import OnOrder, Programme, Supplier
from opsreport.tables.start_page import start_page
from opsreport.tables.table import Document, Facts, Paper, Prose, Table
from opsreport.write.html_page import index_bytes


def order(name: str, order_by: dt.date, arrives: dt.date, total: int, **given: Any) -> Order:
    usual: dict[str, Any] = {"urgent": False, "below_minimum": False}
    money = {"goods": Money(total - 700), "fee": Money(500), "tax": Money(200), "total": Money(total)}
    return Order(order=name, supplier="GF", order_by=order_by, arrives=arrives, **(usual | money | given))


def purchase(name: str) -> Purchase:
    return Purchase(
        name,
        "GF",
        "I1",
        "oats",
        1,
        Quantity(Fraction(1), "kg"),
        Fraction(1000),
        "g",
        Money(300),
        Money(300),
        day(22),
        None,
        (),
        Fraction(0),
    )


def planned(name: str, on: int, packed: int, kits: int) -> PlannedSession:
    return PlannedSession(name, "PB", day(on), day(packed), (Variant("A", kits, (), 0, 0, {}, (), (), ()),))


FOOD = FoodPlan(
    sessions=(planned("PB-3", 25, 24, 21), planned("PB-4", 40, 39, 22)),
    orders=(order("PO-1", day(18), day(22), 12050, urgent=True), order("PO-2", day(30), day(36), 5000)),
    purchases=(purchase("PO-1"), purchase("PO-1"), purchase("PO-2")),
    shortages=(Shortage("milk", "PB-3", Fraction(450), "g", 12),),
    shopping=(ToShop("salt", "PB-3", Fraction(10), "g"),),
    lots=(
        LotLeft(
            "flour",
            "L1",
            "Shelf 2",
            Fraction(800),
            Fraction(0),
            Fraction(800),
            "g",
            day(10),
            False,
            True,
            False,
            4,
        ),
        LotLeft("yoghurt", "", "", Fraction(2), Fraction(0), Fraction(2), "each", None, False, False, True, 5),
        LotLeft("oats", "L3", "", Fraction(9), Fraction(1), Fraction(8), "g", None, False, False, False, 6),
    ),
    buying=Buying(Money(16000), Money(15900), Money(19000)),
    costs=Costs(funders={"F/1": Money(15000), "": Money(2050)}),
    budget=BudgetPlan(cap=Money(20000), spent=Money(1500), committed=Money(200), planned=Money(17050)),
)
DOCUMENTS = (
    Document("orders/po-1", "Order PO-1", "the supplier", ()),
    Document("reports/attendance", "Attendance", "the coordinator", ()),
    Document("findings", "Findings", "the coordinator", ()),
)
UNSAFE = Finding(
    Place(4, "Enrolment", 7, 5),
    "need-without-swap",
    "no milk",
    {
        "household": "H1",
        "ingredient": "milk",
        "need": "no milk",
        "recipe": "R",
        "session": "PB-3",
        "why": "",
        "row": "",
    },
)


def coordinator_programme(**given: Any) -> Programme:
    built = small_programme(
        suppliers={"GF": Supplier("GF", "Green Foods", order_to="orders@green.example", cut_off="12:00")},
        on_order=(
            OnOrder(
                "A-9",
                "GF",
                "rice",
                "",
                Fraction(2),
                Quantity(Fraction(1), "kg"),
                Fraction(1000),
                day(23),
                None,
                NOWHERE,
            ),
            OnOrder(
                "A-8",
                "GF",
                "peas",
                "",
                Fraction(1),
                Quantity(Fraction(1), "kg"),
                Fraction(1000),
                day(15),
                None,
                NOWHERE,
            ),
        ),
    )
    sessions = {**built.sessions, "PB-4": session("PB-4", "PB", 40, "planned")}
    settings = dataclasses.replace(built.settings, budget=Money(20000))
    return dataclasses.replace(built, **({"sessions": sessions, "settings": settings} | given))


def page(
    food: FoodPlan | None = FOOD,
    people: PeoplePlan | None = None,
    findings: Sequence[Finding] = (),
    programme: Programme | None = None,
    **given: Any,
) -> Document:
    plan = Plan(day(20), "USD", food, people or people_plan())
    return start_page(programme or coordinator_programme(), plan, findings, DOCUMENTS, **given)


def test_what_to_do_next_by_date() -> None:
    assert [(row[0], row[1]) for row in cells(page(), "What to do next")] == [
        (day(20), "Telephone order PO-1 with Green Foods"),
        (day(20), "Ask after order A-8 from Green Foods"),
        (day(20), "Ask PB, Parkside for missing marks"),
        (day(22), "Take in order PO-1 from Green Foods"),
        (day(23), "Take in order A-9 from Green Foods"),
        (day(24), "Buy 1 food from the shopping list"),
        (day(24), "Pack 21 kits"),
    ]
    assert [(row[0], row[1]) for row in cells(page(), "Later in the term")] == [
        (day(30), "Place order PO-2 with Green Foods"),
        (day(36), "Take in order PO-2 from Green Foods"),
        (day(39), "Pack 22 kits"),
    ]


def test_the_head_says_in_a_few_lines_what_matters_today() -> None:
    def said(made: Document) -> dict[str, str]:
        return dict(next(part for part in made.parts if isinstance(part, Facts)).pairs)

    head = said(page())
    assert head["To do today"] == "1 order to place, 1 delivery to take in, 1 list of marks to complete"
    assert head["Do first"] == "Telephone order PO-1 with Green Foods: Wed 20 Jan 2027"
    assert head["Unsafe"] == "1 lot out of date to remove, 1 lot without a date"
    assert head["Short"] == "1 food short of what a session needs"
    quiet = dataclasses.replace(FOOD, orders=FOOD.orders[1:], sessions=(), shopping=(), shortages=(), lots=())
    later = said(page(quiet, people_plan(sessions=()), programme=coordinator_programme(on_order=())))
    assert later["To do on Sat 30 Jan 2027"] == "1 order to place"
    assert (later["Unsafe"], later["Short"]) == ("nothing is known", "nothing")
    stopped = said(page(findings=[UNSAFE]))
    assert (stopped["Unsafe"], stopped["Short"]) == ("1 fault about needs to put right", "could not be worked out")


def test_what_comes_first_is_shown_however_late_it_is() -> None:
    quiet = dataclasses.replace(FOOD, orders=FOOD.orders[1:], sessions=FOOD.sessions[1:], shopping=())
    people = people_plan(sessions=people_plan().sessions[:1])
    made = page(quiet, people, programme=coordinator_programme(on_order=()))
    assert [row[0] for row in cells(made, "What to do next")] == [day(30)]
    assert table(made, "What to do next").notes == ("2 things to do after that: see Later in the term, below.",)


def test_details_of_what_to_do() -> None:
    made = page()
    todo = [*cells(made, "What to do next"), *cells(made, "Later in the term")]
    details = {row[1]: row[2] for row in todo}
    assert details["Place order PO-2 with Green Foods"] == (
        "1 line, $50.00; arrives Fri 5 Feb 2027; to orders@green.example; before 12:00"
    )
    assert details["Ask PB, Parkside for missing marks"] == "PB-2: 1 of 2"
    assert details["Pack 21 kits"] == "PB-3 (PB, Parkside): 21 kits"
    assert details["Buy 1 food from the shopping list"] == "salt"


def test_past_sessions_and_absent_marks_are_chased() -> None:
    built = coordinator_programme()
    past = {**built.sessions, "PB-0": session("PB-0", "PB", 2, "planned")}
    said = words(page(programme=dataclasses.replace(built, sessions=past, attendance=())))
    assert "still planned: PB-0" in said
    assert "2 delivered sessions, and no mark in the workbook" in said
    assert "for missing marks" not in said


def test_each_of_a_few_alike_has_its_row_and_many_are_counted() -> None:
    def unsafe(row: int) -> Finding:
        return dataclasses.replace(UNSAFE, place=Place(4, "Enrolment", row, 5), seen=f"no milk {row}")

    few = cells(page(findings=[unsafe(row) for row in range(2, 6)]), "Short or unsafe")
    assert [row[1] for row in few[:4]] == [f"Enrolment!E{row}" for row in range(2, 6)]
    many = cells(page(findings=[unsafe(row) for row in range(2, 12)]), "Short or unsafe")
    assert [row[0] for row in many[:4]] == ["Unsafe"] * 3 + ["And more"]
    assert str(many[3][2]).startswith("7 more like the last")


def test_short_or_unsafe() -> None:
    assert [row[:2] for row in cells(page(findings=[UNSAFE]), "Short or unsafe")] == [("Unsafe", "Enrolment!E7")]
    assert cells(page(), "Short or unsafe") == [
        ("Short", "milk, PB-3, Mon 25 Jan 2027", "450 g missing; 12 full kits possible"),
        ("Remove", "flour, lot L1", "800 g (Shelf 2), out of date: good through Sun 10 Jan 2027"),
        ("Not used", "yoghurt", "2 each, chilled and without a date: add one, or remove it"),
    ]


def test_money_against_budget() -> None:
    made = page()
    assert cells(made, "Money") == [
        ("Goods", 15650),
        ("Delivery", 1000),
        ("Tax", 400),
        ("Budget for the term", 20000),
        ("Spent so far", 1500),
        ("Committed: ordered before, still to come", 200),
        ("Planned: these orders", 17050),
        ("Left", 1250),
    ]
    assert table(made, "Money").notes[-2:] == (
        "Buying each session on its own would cost $30.00 more (before tax).",
        "No plan can be more than $1.00 cheaper (before tax).",
    )
    assert cells(made, "Money by funder") == [("F/1", 15000, None, None), ("No funder", 2050, None, None)]
    assert totals(made, "Money by funder") == {"These orders": 17050}


def test_over_budget_needs_an_eye() -> None:
    built = coordinator_programme(funders=(funder("F/1", budget=Money(9000)),))
    over = dataclasses.replace(FOOD.budget, cap=Money(17000), on_hold=("PO-1", "PO-2"))
    made = page(programme=built, food=dataclasses.replace(FOOD, budget=over))
    assert table(made, "Money").rows[-1].cells == ("Over the budget", -1750)
    assert table(made, "Money").rows[-1].emphasis == "warning"
    warning = next(part for part in made.parts if isinstance(part, Prose) and part.kind == "warning")
    assert warning.sentences[0].startswith("Order PO-1 no longer fits under the budget and is on hold")
    assert warning.sentences[1] == "On hold with it: PO-2."
    assert cells(made, "Money by funder")[0] == ("F/1", 15000, 9000, -6000)


def test_term_has_a_row_a_week() -> None:
    rows = table(page(), "Term at a glance").rows
    assert [row.cells for row in rows] == [
        (day(4), "PB-1 ✓", None, "", "", ""),
        (day(11), "PB-2 ✓", None, "", "", ""),
        (day(18), "", None, "Mon 18: 1 order", "Fri 22: 1 order", "Sun 24: 21 kits"),
        (day(25), "PB-3", 21, "Sat 30: 1 order", "", ""),
        (day(32), "", None, "", "Fri 5: 1 order", ""),
        (day(39), "PB-4", 22, "", "", "Mon 8: 22 kits"),
    ]
    assert [row.emphasis for row in rows] == ["quiet", "quiet", "", "", "", ""]


def test_stopped_families_are_named_with_their_cells() -> None:
    made = page(findings=[UNSAFE])
    warning = next(part for part in made.parts if isinstance(part, Prose) and part.kind == "warning")
    assert warning.sentences[0] == "Orders and packing are not written: they would rest on 1 error."
    assert cells(made, "Errors")[0][0] == "Enrolment!E7"
    assert cells(made, "Errors")[0][3] == "orders, packing"


def test_nothing_of_a_stopped_family_is_told() -> None:
    """The plan may hold figures; what an error stops is not acted upon."""
    made = page(findings=[UNSAFE])
    said = words(made)
    assert "PO-1" not in said
    assert "kits" not in "".join(str(row) for row in cells(made, "What to do next"))
    assert table(made, "Money").empty == "Not known: orders are not written."
    assert "Without orders and packing, which could not be worked out." in said


@pytest.mark.parametrize(("food", "people"), [(None, None), (FOOD, None), (None, people_plan())])
def test_missing_parts_of_the_plan(food: FoodPlan | None, people: PeoplePlan | None) -> None:
    made = start_page(coordinator_programme(), Plan(day(20), "USD", food, people), (), DOCUMENTS)
    assert next(part.title for part in made.parts if isinstance(part, Table)) == "What to do next"


def test_links_lead_to_every_document() -> None:
    assert page(others=[("Calendar", "calendar.ics")]).links == (
        ("Order PO-1", "orders/po-1.html"),
        ("Order PO-1", "orders/po-1.xlsx"),
        ("Attendance", "reports/attendance.html"),
        ("Attendance", "reports/attendance.xlsx"),
        ("Findings", "findings.html"),
        ("Calendar", "calendar.ics"),
    )


def test_page_is_written_with_its_links() -> None:
    made = page(findings=[UNSAFE])
    html = index_bytes(made, Paper("A4", Currency("USD"), day(20))).decode()
    assert made.path == "index"
    for _, path in made.links:
        assert f'href="{path}"' in html


def test_nothing_at_all() -> None:
    bare = dataclasses.replace(small_programme(), sessions={}, funders=(), on_order=())
    made = start_page(bare, Plan(day(20), "USD", FoodPlan(), PeoplePlan()), (), ())
    empties = [part.empty for part in made.parts if isinstance(part, Table) and not part.rows]
    assert "Nothing waits to be ordered, received, packed or recorded." in empties
    assert "The workbook has no session." in empties
    assert "nothing in the workbook needs a look" in words(made)
