"""Whatever the workbook says: what must hold of food and money, read off plan.json and the workbook alone.

Dates, delivery days and order-by days are worked out here again, in the plainest way; nothing of the planner is asked.
"""

import datetime as dt
import json
from collections import defaultdict
from fractions import Fraction
from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from plan.test_food_plan import DAY, FOODS, MONDAY, in_memory, workbooks
from support import read

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import Plan
from opsreport.write.json_file import plan_json

F = Fraction
Row = dict[str, str]
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
D = dt.date.fromisoformat


def table(text: str) -> list[Row]:
    """A sheet's rows by heading, real dates without their sign."""
    heads, *lines = ([cell.strip().lstrip("@") for cell in line.split("|")] for line in text.split("\n"))
    return [dict(zip(heads, line, strict=True)) for line in lines]


class Term:
    """The workbook and its plan, by name."""

    def __init__(self, sheets: dict[str, str]) -> None:
        rows, _ = read(in_memory(sheets), MONDAY)
        plan, _ = plan_food(build_programme(rows, MONDAY))
        self.plan: dict[str, Any] = json.loads(plan_json(Plan(MONDAY, "USD", plan, None), []))
        self.settings = {row["Setting"]: row["Value"] for row in table(sheets["Settings"])}
        self.lead = int(self.settings["Receive lead"]) * DAY
        self.foods = {row["Ingredient"]: row for row in table(FOODS)}
        self.packs = {row["Item"]: row for row in table(sheets["Packs"])}
        self.lots = {row["Lot"]: row for row in table(sheets["Stock"])}
        self.placed = {row["Order"]: row for row in table(sheets["Orders"])}
        self.suppliers = {row["Supplier"]: row for row in table(sheets["Suppliers"])}
        self.closed = {D(row["Date"]) for row in table(sheets["Closures"]) if row["What"] in ("all", "deliveries")}
        self.needs = {(need["ingredient"], need["session"]): need for need in self.plan["needs"]}

    def use_by(self, food: str, session: str) -> dt.date:
        return D(self.needs[food, session]["use_by_at_least"])

    def packing(self, food: str, session: str) -> dt.date:
        return D(self.needs[food, session]["packing_day"])

    def keeps_open(self, food: str) -> int | None:
        return int(self.foods[food]["Keeps open"]) if self.foods[food]["Keeps open"] else None

    def comes(self, supplier: str, day: dt.date) -> bool:
        typed = self.suppliers[supplier]["Delivery days"] or "; ".join(WEEKDAYS[:5])
        return WEEKDAYS[day.weekday()] in typed.split("; ") and day.weekday() < 5 and day not in self.closed

    def order_by(self, supplier: str, day: dt.date) -> dt.date:
        left = int(self.suppliers[supplier]["Lead days"])
        while left:
            day -= DAY
            left -= day.weekday() < 5 and day not in self.closed
        return day


def check_balance(term: Term) -> None:
    """Needs = stock use + purchases used + shortages + shopping, for each food and session, exactly."""
    covered: dict[tuple[str, str], Fraction] = defaultdict(F)
    plan = term.plan
    for part in (*plan["stock_use"], *plan["shortages"], *plan["shopping"]):
        covered[part["ingredient"], part["session"]] += F(part["amount"])
    for row in plan["purchases"]:
        for use in row["used"]:
            covered[row["ingredient"], use["session"]] += F(use["amount"])
    assert covered == {key: F(need["amount"]) for key, need in term.needs.items()}


def check_stock(term: Term) -> None:
    """Nothing from a lot on hold, out of date, too long open, or cold without a date; each within what it keeps."""
    used: dict[str, list[tuple[dt.date, dt.date]]] = defaultdict(list)
    for use in term.plan["stock_use"]:
        food, session = use["ingredient"], use["session"]
        packing, use_by, keeps_open = term.packing(food, session), term.use_by(food, session), term.keeps_open(food)
        if use["source"] == "ordered":
            row = term.placed[use["lot"]]
            due, keeps = D(row["Due"]), term.foods[food]["Keeps"]
            assert due >= MONDAY
            assert due + term.lead <= packing
            through = D(row["Best before"]) if row["Best before"] else due + int(keeps) * DAY if keeps else dt.date.max
            assert through >= use_by
            continue
        lot = term.lots[use["lot"]]
        assert lot["Hold"] != "yes"
        assert not lot["Best before"] or D(lot["Best before"]) >= max(use_by, MONDAY)
        if lot["Opened"] and keeps_open is not None:
            assert D(lot["Opened"]) + (keeps_open - 1) * DAY >= use_by
        dated = lot["Best before"] or (lot["Opened"] and keeps_open is not None)
        assert dated or term.foods[food]["Storage"] != "chill"
        if not lot["Opened"]:
            used[use["lot"]].append((packing, use_by))
    for name, its in used.items():  # a lot is one package: first packed from, it is open
        first, keeps_open = min(its)[0], term.keeps_open(term.lots[name]["Ingredient"])
        for packing, use_by in its:
            assert packing == first or keeps_open is None or first + (keeps_open - 1) * DAY >= use_by


def opened(uses: list[tuple[dt.date, dt.date, Fraction]], size: Fraction, keeps_open: int | None) -> int:
    """The fewest packs of a size that give these uses, (packing day, use-by, amount), when what an opened one has left
    is used first while it is good."""
    packs, rests = 0, list[tuple[dt.date, Fraction]]()
    for day, use_by, wanted in sorted(uses):
        missing, kept = wanted, list[tuple[dt.date, Fraction]]()
        for since, rest in rests:
            good = since == day or keeps_open is None or since + (keeps_open - 1) * DAY >= use_by
            taken = min(missing, rest) if good else F(0)
            missing -= taken
            kept.append((since, rest - taken))
        more = -(-missing // size)
        packs += int(more)
        rests = [*kept, (day, more * size - missing)]
    return packs


def check_purchases(term: Term) -> None:
    """In time, from a day on which the supplier comes, at a price that holds, as sold, good for as long as needed."""
    urgent = {order["order"]: order["urgent"] for order in term.plan["orders"]}
    for row in term.plan["purchases"]:
        pack, arrives, food = term.packs[row["item"]], D(row["arrives"]), row["ingredient"]
        by = term.order_by(row["supplier"], arrives)
        assert term.comes(row["supplier"], arrives)
        assert (by < MONDAY) is urgent[row["order"]]
        assert arrives > MONDAY or by >= MONDAY
        assert not pack["From"] or D(pack["From"]) <= by
        assert not pack["Until"] or by <= D(pack["Until"])
        assert row["packs"] % int(pack["Sold by"] or 1) == 0
        assert row["packs"] >= int(pack["Minimum"] or 1)
        assert F(row["cost"]) == row["packs"] * F(row["price"]) == row["packs"] * F(pack["Price"])
        keeps = pack["Keeps"] or term.foods[food]["Keeps"]
        through = arrives + int(keeps) * DAY if keeps else dt.date.max
        uses = []
        for use in row["used"]:
            packing, use_by = term.packing(food, use["session"]), term.use_by(food, use["session"])
            assert arrives + term.lead <= packing
            assert use_by <= through
            uses.append((packing, use_by, F(use["amount"])))
        held = sum(amount for *_, amount in uses) + F(row["left_over"])
        assert opened(uses, held / row["packs"], term.keeps_open(food)) <= row["packs"]


def check_money(term: Term) -> None:
    """Orders hold their rows; the whole costs its orders, is not below its bound, and is split to the cent."""
    plan, goods = term.plan, dict[str, Fraction]()
    for row in plan["purchases"]:
        goods[row["order"]] = goods.get(row["order"], F(0)) + F(row["cost"])
    assert {order["order"]: F(order["goods"]) for order in plan["orders"]} == goods
    assert all(F(o["total"]) == F(o["goods"]) + F(o["fee"]) + F(o["tax"]) for o in plan["orders"])
    cost = sum(F(order["goods"]) + F(order["fee"]) for order in plan["orders"])
    assert F(plan["buying"]["lower_bound"]) <= F(plan["buying"]["cost"]) == cost
    total = sum(F(order["total"]) for order in plan["orders"])
    assert [sum(map(F, plan["costs"][by].values())) for by in ("sessions", "groups", "funders")] == [total] * 3


def check_not_dearer_than_alone(term: Term) -> None:
    """Buying each session on its own may leave more orders below a minimum, and be cheaper for that."""
    if not any(row["Minimum order"] for row in term.suppliers.values()):
        assert F(term.plan["buying"]["cost"]) <= F(term.plan["buying"]["session_by_session_cost"])


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(workbooks())
def test_what_holds_of_any_workbook(sheets: dict[str, str]) -> None:
    term = Term(sheets)
    check_balance(term)
    check_stock(term)
    check_purchases(term)
    check_money(term)
    check_not_dearer_than_alone(term)


@st.composite
def close_together(draw: st.DrawFn) -> dict[str, str]:
    """A term whose sessions follow within days, with lots and large packs of what does not keep once opened, so that
    each date decides over something."""
    sheets, day = draw(workbooks()), 1
    sessions, lots = ["Session | Group | Date | Recipes"], [sheets["Stock"].split("\n")[0]]
    for number in range(draw(st.integers(2, 5))):
        day += draw(st.integers(0, 3))
        sessions.append(f"s{number} | kits | @{MONDAY + day * DAY} | {draw(st.sampled_from(('pie', 'pie; mash')))}")
    for number in range(draw(st.integers(0, 3))):
        best = draw(st.sampled_from(("", f"@{MONDAY + draw(st.integers(0, 12)) * DAY}")))
        since = draw(st.sampled_from(("", f"@{MONDAY - draw(st.integers(0, 2)) * DAY}")))
        lots.append(f"{draw(st.sampled_from(('cream', 'squash')))} | 900 | g | M{number} | {best} | {since} |")
    packs = [
        f"shop | cream | big | 8 | cup | 9 | | | {draw(st.sampled_from('1357'))} | | |",
        "farm | squash | sack | 5000 | g | 8 | | | | | |",
    ]
    return {
        **sheets,
        "Sessions": "\n".join(sessions),
        "Stock": "\n".join(lots),
        "Packs": "\n".join([sheets["Packs"].split("\n")[0], *packs]),
    }


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(close_together())
def test_what_holds_where_food_is_short_lived(sheets: dict[str, str]) -> None:
    term = Term(sheets)
    check_balance(term)
    check_stock(term)
    check_purchases(term)
    check_money(term)
    check_not_dearer_than_alone(term)


@st.composite
def pressed_for_time(draw: st.DrawFn) -> dict[str, str]:
    """A term about to begin, packed on the day or the day before, whose suppliers need longer than is left: packs of
    several sizes on urgent deliveries for several sessions, some of them given away, some below a minimum order."""

    def pick(*options: str) -> str:
        return draw(st.sampled_from(options))

    sheets, day = draw(workbooks()), 0
    sessions = ["Session | Group | Date | Recipes | Kits"]
    for number in range(draw(st.integers(2, 6))):
        day += draw(st.integers(0, 2))
        sessions.append(
            f"s{number} | kits | @{MONDAY + day * DAY} | {pick('pie', 'mash', 'pie; mash')} | {pick('', '2', '7')}"
        )
    packs = [
        f"{pick('shop', 'farm')} | {food} | i{number} | {pick(*sizes)} | {unit} | {pick('0', '0.40', '2', '7.35')} | "
        f"{pick('', '', '2')} | {pick('', '', '4')} | {pick('', '', '2', '6')} | | | "
        for number, (food, unit, sizes) in enumerate(
            [("cream", "cup", ("1", "3", "8", "30"))] * 3 + [("squash", "lb", ("1", "2 1/2", "9"))] * 3
        )
    ]  # fmt: skip
    return {
        **sheets,
        "Settings": f"{sheets['Settings']}\nPacking lead | {pick('0', '1')}",
        "Sessions": "\n".join(sessions),
        "Stock": sheets["Stock"].split("\n")[0],
        "Suppliers": "Supplier | Lead days | Delivery days | Minimum order | Delivery fee | Free delivery from | Tax\n"
        f"shop | {pick('0', '3', '9')} | {pick('', 'Tue; Thu')} | {pick('', '12')} | {pick('', '4.50')} | "
        f"{pick('', '20')} | \n"
        f"farm | {pick('1', '5')} | {pick('', 'Tue; Fri')} | {pick('', '9')} | {pick('', '3')} | | 5%",
        "Packs": "\n".join([sheets["Packs"].split("\n")[0], *packs]),
    }


@settings(max_examples=40, deadline=None, suppress_health_check=list(HealthCheck))
@given(pressed_for_time())
def test_what_holds_where_time_is_short(sheets: dict[str, str]) -> None:
    term = Term(sheets)
    check_balance(term)
    check_stock(term)
    check_purchases(term)
    check_money(term)
    if not any(order["urgent"] for order in term.plan["orders"]):
        check_not_dearer_than_alone(term)


def test_opened_packs_are_counted() -> None:
    """Three packs of 4: 2 and 2 from one, 2 after it went out of date from another, 3 on one day from the third too."""
    days = [MONDAY + number * DAY for number in (0, 2, 9, 9)]
    uses = [(day, day + DAY, F(amount)) for day, amount in zip(days, (2, 2, 2, 3), strict=True)]
    assert opened(uses, F(4), 4) == 3
    assert opened(uses, F(4), None) == 3
    assert opened(uses[:3], F(4), 4) == 2
    assert opened(uses[:2], F(4), 3) == 2
