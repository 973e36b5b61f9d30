"""Small programmes drawn at random: what the plan must hold whatever the workbook says."""

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.findings import Finding
from opsreport.joining import build_programme
from opsreport.kinds import CellValue
from opsreport.plan.food_plan import plan_food, unsafe_kits
from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.reading.workbook import Sheet, Workbook
from opsreport.rules import Severity

F = Fraction
MONDAY = dt.date(2027, 1, 4)
DAY = dt.timedelta(days=1)
FOODS = (
    "Ingredient | State | Storage | Grams each | Grams per cup | Edible share | Keeps | Keeps open | "
    "Contains | Per kit\n"
    "beans | dry | shelf | | 180 | 100% | | | none |\n"
    "cream | liquid | chill | | 240 | 100% | 9 | 3 | milk |\n"
    "oat cream | liquid | cool | | 250 | 100% | 30 | 5 | gluten |\n"
    "pepper | whole | cool | 120 | | 82% | 12 | | none |\n"
    "squash | whole | cool | 900 | | 70% | 20 | 4 | none | whole\n"
    "oil | liquid | shelf | | | | | 9 | none |"
)
UNITS = {
    "beans": ("g", "cup", "oz"), "cream": ("cup", "mL", "fl oz"), "oat cream": ("cup", "tbsp"), "pepper": ("each", "g"),
    "squash": ("g", "lb"), "oil": ("tbsp", "mL"),
}  # fmt: skip
AMOUNTS = ("1/3", "1/2", "1", "2 2/3", "7")


def dates(first: int, last: int) -> st.SearchStrategy[str]:
    return st.integers(first, last).map(lambda number: f"@{MONDAY + number * DAY}")


def rows(head: str, drawn: list[str]) -> str:
    return "\n".join([head, *drawn])


@st.composite
def workbooks(draw: st.DrawFn) -> dict[str, str]:
    """The sheets of a small term: two groups, up to four sessions, three recipes, some stock, orders and packs."""

    def pick(*options: str) -> str:
        return draw(st.sampled_from(options))

    def several(make: Any, least: int, most: int) -> list[str]:
        return [make(number) for number in range(draw(st.integers(least, most)))]

    def line(recipe: str, food: str) -> str:
        scale = pick("", "", "session")
        return f"{recipe} | 4 | {food} | {pick(*AMOUNTS)} | {pick(*UNITS[food])} | {scale}"

    recipes = [line(recipe, food) for recipe, foods in {
        "stew": ("beans", "pepper", "oil"), "pie": ("cream", "squash"), "mash": ("beans", "cream", "oil")
    }.items() for food in foods]  # fmt: skip
    sessions = several(
        lambda n: f"s{n} | {pick('kits', 'kits', 'tables')} | {draw(dates(0, 24))} | "
        f"{pick('stew', 'pie', 'stew; mash', 'mash x2', 'stew; pie')} | "
            f"{pick('planned', 'planned', 'planned', 'cancelled')} | "
        f"{pick('', '', '', '5')}", 1, 4,
    )  # fmt: skip
    people = several(
        lambda n: f"p{n} | {pick('kits', 'tables')} | h{n // 2} | {pick('', '2', '5', '9')} | "
        f"{pick('none', 'none', 'none', 'no milk', 'vegan')} | {pick('', '', draw(dates(5, 20)))}", 2, 6,
    )  # fmt: skip

    def of_food(number: int) -> tuple[str, str]:
        food = pick(*UNITS)
        return food, pick(*UNITS[food])

    def lot(number: int) -> str:
        food, unit = of_food(number)
        best, opened = pick("", draw(dates(-2, 30))), pick("", "", draw(dates(-9, 0)))
        return (
            f"{food} | {pick('1/2', '3', '40', '700')} | {unit} | L{number} | {best} | {opened} | {pick('', '', 'yes')}"
        )

    def on_order(number: int) -> str:
        food, unit = of_food(number)
        packs, size, received = pick("1", "3"), pick("1", "200"), pick("", "1")
        best = pick("", "", draw(dates(6, 30)))
        return f"o{number} | shop | {food} | {packs} | {size} | {unit} | {draw(dates(0, 14))} | {received} | {best}"

    def pack(number: int) -> str:
        food, unit = of_food(number)
        size = pick("300", "1000") if unit in ("g", "mL", "tbsp") else pick("1", "2 1/2", "8")
        return (
            f"{pick('shop', 'farm')} | {food} | i{number} | {size} | {unit} | {pick('0.99', '2', '7.35')} | "
            f"{pick('', '3')} | {pick('', '', '4')} | {pick('', '', '6')} | "
            f"{pick('', '', draw(dates(-5, 3)))} | {pick('', '', draw(dates(3, 12)))} | {pick('', 'yes')}"
        )

    return {
        "Settings": f"Setting | Value\nPacking loss | {pick('0%', '3%')}\nKeep margin | {pick('0', '1', '3')}\n"
        f"Receive lead | {pick('0', '1')}\nKit step | {pick('1', '1/2')}\nSpare kits | {pick('0', '20%', '1')}\n"
        f"Demo kits | {pick('0', '1')}",
        "Groups": "Group | Format | People per table | Funders\nkits | kits | | city 60%; trust 40%\n"
        "tables | table | 3 |",
        "Funders": "Funder | From | Until\ncity | @2027-01-01 | @2027-12-31\ntrust | @2027-01-01 | @2027-12-31",
        "Sessions": rows("Session | Group | Date | Recipes | Status | Kits", sessions),
        "Enrolment": rows("Participant | Group | Household | Servings | Needs | Left", people),
        "Recipes": rows("Recipe | Servings | Ingredient | Amount | Unit | Scale", recipes),
        "Ingredients": FOODS,
        "Swaps": "Ingredient | Need | Use instead | Ratio\ncream | no milk | oat cream | 3/4",
        "Stock": rows("Ingredient | Amount | Unit | Lot | Best before | Opened | Hold", several(lot, 0, 4)),
        "Orders": rows(
            "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Received | Best before",
            several(on_order, 0, 2),
        ),
        "Suppliers": "Supplier | Lead days | Delivery days | Minimum order | Delivery fee | Free delivery from | Tax\n"
        f"shop | {pick('0', '2', '12')} | | {pick('', '9')} | {pick('', '4.50')} | {pick('', '20')} | "
        f"{pick('', '8.25%')}\n"
        f"farm | 1 | {pick('Tue; Fri', 'Thu')} | | {pick('', '3')} | | 5%",
        "Packs": rows(
            "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Sold by | Minimum | Keeps | From | "
            "Until | Preferred",
            several(pack, 0, 7),
        ),
        "Closures": rows("Date | What",
        several(lambda _: f"{draw(dates(1, 20))} | {pick('all', 'deliveries', 'packing')}", 0, 2)),
    }  # fmt: skip


def cell_of(typed: str) -> CellValue:
    """What a cell holds: `@2027-01-04` a date, `7` a number, else text."""
    if typed.startswith("@"):
        return dt.date.fromisoformat(typed[1:])
    return float(typed) if typed.replace(".", "", 1).isdigit() else typed


def in_memory(sheets: Mapping[str, str]) -> Workbook:
    """The sheets as an opened workbook, without the file in between: hundreds of them are drawn."""
    opened = [
        Sheet(name, order, [[cell_of(typed.strip()) for typed in line.split("|")] for line in text.split("\n")])
        for order, (name, text) in enumerate(sheets.items(), 1)
    ]
    return Workbook(Path("book.xlsx"), tuple(opened))


def planned(sheets: Mapping[str, str]) -> tuple[Programme, FoodPlan, list[Finding]]:
    found, findings = read(in_memory(sheets), MONDAY)
    assert [finding.message for finding in findings if finding.severity is Severity.ERROR] == []
    programme = build_programme(found, MONDAY)
    plan, told = plan_food(programme)
    assert [finding.message for finding in told if finding.severity is Severity.ERROR] == []
    return programme, plan, told


def leaves(found: object, path: str = "plan") -> Iterator[tuple[str, object]]:
    """Every value inside dataclasses, mappings and tuples, with where it stands."""
    if dataclasses.is_dataclass(found) and not isinstance(found, type):
        for part in dataclasses.fields(found):
            yield from leaves(getattr(found, part.name), f"{path}.{part.name}")
    elif isinstance(found, Mapping):
        for key, value in found.items():
            yield from leaves(key, f"{path} key")
            yield from leaves(value, f"{path}[]")
    elif isinstance(found, tuple | list):
        for value in found:
            yield from leaves(value, f"{path}[]")
    else:
        yield path, found


EXACT = (Fraction, int, str, dt.date, type(None))
AMOUNT_FIELDS = ("amount", "base", "left_over", "on_hand", "used", "left", "times", "error", "grams", "volume")
MONEY_FIELDS = ("price", "cost", "goods", "fee", "tax", "total", "lower_bound", "session_by_session_cost")


def check_types(plan: FoodPlan) -> None:
    """Amounts are Fractions, money whole minor units, and no float is anywhere."""
    for path, value in leaves(plan):
        assert isinstance(value, EXACT), (path, value)
        field = path.rstrip("[]").rpartition(".")[2]
        if field in AMOUNT_FIELDS and value is not None and not isinstance(value, str):
            assert type(value) is Fraction, (path, value)
        if field in MONEY_FIELDS:
            assert type(value) is int, (path, value)


def check_balance(plan: FoodPlan) -> None:
    """Needs = stock use + purchases used + shortages + shopping, food by food and session by session."""
    needed: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    covered: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    for need in plan.needs:
        assert need.amount > 0
        needed[need.food, need.session] += need.amount
    for part in (*plan.stock_use, *plan.shortages, *plan.shopping):
        assert part.amount > 0
        covered[part.food, part.session] += part.amount
    for row in plan.purchases:
        for session, amount in row.used:
            assert amount > 0
            covered[row.food, session] += amount
    assert covered == needed


def check_needs(programme: Programme, plan: FoodPlan) -> None:
    """Needs are the kits' lines, times the kits, and the loss where they are measured."""
    loss = 1 + programme.settings.packing_loss
    needed: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    for session in plan.sessions:
        lines = [(line, variant.kits) for variant in session.variants for line in variant.lines]
        for line, times in [*lines, *((line, 1) for line in session.once)]:
            needed[line.food, session.session] += line.base * times * (1 if line.whole else loss)
            pieces = programme.foods.by_name[line.food].bridge.grams_each
            assert not line.whole or pieces is None or (line.base / pieces).denominator == 1
        assert [variant.kits for variant in session.variants] == sorted(
            (v.kits for v in session.variants), reverse=True
        )
        assert all(variant.kits > 0 for variant in session.variants)
    assert {(need.food, need.session): need.amount for need in plan.needs} == {k: v for k, v in needed.items() if v}


def check_purchases(programme: Programme, plan: FoodPlan) -> None:
    """Packs as sold, in time, still good, all of them accounted for."""
    needs = {(need.food, need.session): need for need in plan.needs}
    offers = {offer.item: offer for offer in programme.offers}
    lead = programme.settings.receive_lead * DAY
    for row in plan.purchases:
        offer = offers[row.item]
        assert row.packs >= max(offer.minimum, 1)
        assert row.packs % offer.sold_by == 0
        assert row.base == row.packs * offer.base == sum(amount for _, amount in row.used) + row.left_over
        assert row.cost == row.packs * offer.price
        assert row.left_over < row.base, "bought and not used at all"
        supplier = programme.suppliers[row.supplier]
        assert row.arrives.weekday() in supplier.delivery_days
        assert programme.calendar.can_receive(row.arrives)
        for session, _ in row.used:
            need = needs[row.food, session]
            assert row.arrives + lead <= need.packing_day
            assert row.good_through is None or row.good_through >= need.use_by_at_least
    wasted = [use for use in plan.stock_use if use.amount > 0 and (use.food, use.session) not in needs]
    assert wasted == []


def check_orders(programme: Programme, plan: FoodPlan) -> None:
    """Orders add up, and the bound lies below the cost."""
    for order in plan.orders:
        mine = [row for row in plan.purchases if row.order == order.order]
        assert {(row.supplier, row.arrives) for row in mine} == {(order.supplier, order.arrives)}
        supplier = programme.suppliers[order.supplier]
        assert order.goods == sum(row.cost for row in mine)
        assert order.total == order.goods + order.fee + order.tax
        free = supplier.free_from is not None and order.goods >= supplier.free_from
        assert order.fee == (0 if free else supplier.delivery_fee)
        assert abs(order.tax - order.goods * supplier.tax) <= F(1, 2)
        assert order.below_minimum is (order.goods < supplier.minimum_order)
        assert order.order_by <= order.arrives
        assert order.urgent is (order.order_by < MONDAY)
        assert not order.urgent or order.arrives > MONDAY
    assert {row.order for row in plan.purchases} == {order.order for order in plan.orders}
    assert plan.buying.cost == sum(order.goods + order.fee for order in plan.orders)
    assert 0 <= plan.buying.lower_bound <= plan.buying.cost


def check_costs(programme: Programme, plan: FoodPlan) -> None:
    """Every split adds up to the orders to the cent."""
    total = sum(order.total for order in plan.orders)
    for column in (plan.costs.sessions, plan.costs.groups, plan.costs.funders):
        assert sum(column.values()) == total
    for group, cost in plan.costs.groups.items():
        mine = [c for session, c in plan.costs.sessions.items() if programme.sessions[session].group == group]
        assert cost == sum(mine)
    assert plan.costs.funders.get("", 0) == plan.costs.groups.get("tables", 0)
    city = plan.costs.groups.get("kits", 0) * F(3, 5)
    assert plan.costs.funders.get("city", 0) in (city.__floor__(), city.__ceil__())


def check_stock(programme: Programme, plan: FoodPlan) -> None:
    """No lot gives more than it holds; none that is held, expired or undated gives any."""
    for lot in plan.lots:
        used = sum(use.amount for use in plan.stock_use if use.source == "stock" and use.row == lot.row)
        assert lot.used == used == lot.on_hand - lot.left
        assert lot.left >= 0
        assert not (used and (lot.held or lot.expired or lot.undated))
    for order in programme.on_order:
        used = sum(use.amount for use in plan.stock_use if use.source == "ordered" and use.row == order.place.row)
        assert used <= order.packs * order.base
    kits = {session.session: session.kits for session in plan.sessions}
    for short in plan.shortages:
        assert 0 <= short.full_kits_possible <= kits[short.session]


@settings(max_examples=80, deadline=None, suppress_health_check=list(HealthCheck))
@given(workbooks())
def test_what_every_plan_holds(sheets: dict[str, str]) -> None:
    programme, plan, _ = planned(sheets)
    check_types(plan)
    check_balance(plan)
    check_needs(programme, plan)
    check_purchases(programme, plan)
    check_orders(programme, plan)
    check_costs(programme, plan)
    check_stock(programme, plan)


FULL = {
    "Settings": "Setting | Value\nPacking loss | 3%",
    "Groups": "Group | Format | People per table | Funders\nkits | kits | | city 60%; trust 40%\ntables | table | 3 |",
    "Funders": "Funder | From | Until\ncity | @2027-01-01 | @2027-12-31\ntrust | @2027-01-01 | @2027-12-31",
    "Sessions": "Session | Group | Date | Recipes\ns1 | kits | @2027-01-05 | stew\n"
    "s2 | kits | @2027-01-19 | stew\ns3 | tables | @2027-01-19 | stew",
    "Enrolment": "Participant | Group | Needs\np1 | kits | none\np2 | kits | no milk\np3 | tables | none",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit | Scale\nstew | 4 | beans | 1/3 | cup |\n"
    "stew | | cream | 1 | cup |\n"
    "stew | | pepper | 1 | |\nstew | | oil | 1 | tbsp | session",
    "Ingredients": FOODS,
    "Swaps": "Ingredient | Need | Use instead | Ratio\ncream | no milk | oat cream | 3/4",
    "Stock": "Ingredient | Amount | Unit | Lot\nbeans | 100 | g | L1",
    "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
    "o1 | shop | pepper | 1 | 1 | each | @2027-01-18",
    "Suppliers": "Supplier | Lead days | Delivery fee | Tax\nshop | 2 | 4.50 | 8.25%",
    "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price\nshop | beans | i1 | 500 | g | 1.99\n"
    "shop | cream | i2 | 1 | cup | 2.49\nshop | oat cream | i3 | 1 | cup | 2.99\nshop | pepper | i4 | 1 | each | 0.89",
}  # fmt: skip


def test_a_plan_with_a_bit_of_everything() -> None:
    """Every part of the plan filled, so that no check above passes for want of something to look at."""
    programme, plan, told = planned(FULL)
    filled = {part.name: bool(getattr(plan, part.name)) for part in dataclasses.fields(plan)}
    elsewhere = ("mends", "conflicts", "surplus", "forwards", "shared", "pooled")  # filled in tests of their own
    assert filled == dict.fromkeys(filled, True) | dict.fromkeys(elsewhere, False)
    assert {use.source for use in plan.stock_use} == {"stock", "ordered"}
    assert len(plan.costs.funders) == 3
    assert plan.sessions[0].once
    for checked in (check_needs, check_purchases, check_orders, check_costs, check_stock):
        checked(programme, plan)
    check_types(plan)
    check_balance(plan)
    assert {finding.code for finding in told} == {"shortage", "no-pack-on-offer"}


def test_no_float_stands_between_the_cells_and_the_plan() -> None:
    """What the plan is made from: recipes, foods with their figures, packs, lots, orders, swaps and tools."""
    programme, _, _ = planned(FULL)
    parts = (
        programme.recipes, programme.foods.by_name, programme.offers, programme.lots, programme.on_order,
        programme.swaps, programme.tools, programme.suppliers,
    )  # fmt: skip
    seen = [value for part in parts for _, value in leaves(part)]
    assert sum(type(value) is Fraction for value in seen) > 30
    assert [value for value in seen if isinstance(value, float)] == []


def test_the_walk_would_see_a_float() -> None:
    _, plan, _ = planned(FULL)
    bad = dataclasses.replace(plan, needs=(dataclasses.replace(plan.needs[0], amount=0.5), *plan.needs[1:]))  # type: ignore[arg-type]
    with pytest.raises(AssertionError):
        check_types(bad)
    whole = dataclasses.replace(plan, needs=(dataclasses.replace(plan.needs[0], amount=1), *plan.needs[1:]))  # type: ignore[arg-type]
    with pytest.raises(AssertionError):
        check_types(whole)


def test_unsafe_kits_are_what_the_plan_refuses() -> None:
    rows, _ = read(
        term(
            Sessions="Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | soup",
            Enrolment="Participant | Group | Needs\np1 | g1 | no milk",
            Recipes="Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | butter | 2 | tbsp",
        ),
        dt.date(2027, 3, 1),
    )
    programme = build_programme(rows, dt.date(2027, 3, 1))
    unsafe = unsafe_kits(programme)
    assert [(str(finding.place), finding.code) for finding in unsafe] == [("Enrolment!C2", "need-without-swap")]
    assert [finding for finding in plan_food(programme)[1] if finding.code == "need-without-swap"] == unsafe
