"""plan.json of a small plan built by hand, compared whole."""

import datetime as dt
import json
from collections.abc import Mapping
from fractions import Fraction

import pytest

from opsreport.findings import Finding, Place
from opsreport.measures.units import Quantity
from opsreport.money import Money
from opsreport.plan.model import (
    Blend,
    Buying,
    Costs,
    FoodPlan,
    KitLine,
    NeedOf,
    Order,
    Plan,
    PlannedSession,
    Purchase,
    Scoop,
    ScoopPlan,
    Shortage,
    StockUse,
    SwapMade,
    ToShop,
    Variant,
)
from opsreport.plan.people_model import FunderReport, GroupAttendance, Measure, Outcome, PeoplePlan, SessionCost
from opsreport.write.json_file import plan_json

LISTS = ("sessions", "needs", "stock_use", "purchases", "orders", "shortages", "shopping")
AS_OF, PACKING, DAY = dt.date(2026, 11, 20), dt.date(2026, 11, 30), dt.date(2026, 12, 1)

LINE = KitLine(
    "brown rice",
    Quantity(Fraction(7, 3), "cup"),
    Fraction(1295, 3),
    "g",
    ScoopPlan((Scoop("1 cup", Fraction(2)), Scoop("1/4 tsp", Fraction(1, 2))), Fraction(-1, 8)),
)
VARIANT = Variant(
    "A", 14, ("H1",), 1, 0, {"chili": Fraction(1, 2)}, ("no milk",), (SwapMade("milk", "oat drink"),), (LINE,),
    (Blend("chili: grains", (LINE,), Fraction(5, 2), Fraction(7), ScoopPlan((Scoop("1 tsp", Fraction(1)),))),),
    dt.date(2027, 3, 5),
)  # fmt: skip
FOOD = FoodPlan(
    sessions=(PlannedSession("s1", "tue", DAY, PACKING, (VARIANT,)),),
    needs=(NeedOf("brown rice", "s1", PACKING, DAY, Fraction(18130, 3), "g"),),
    stock_use=(StockUse("brown rice", "stock", "", "s1", Fraction(5), "g", 4),),
    purchases=(
        Purchase(
            "PO-1", "Bright Grocer", "A-1", "brown rice", 12, Quantity(Fraction(5, 2), "lb"),
            Fraction(6100), "g", Money(349), Money(4188), dt.date(2026, 11, 27), None,
            (("s1", Fraction(6000)),), Fraction(100),
        ),
    ),
    orders=(
        Order(
            "PO-1", "Bright Grocer", dt.date(2026, 11, 24), dt.date(2026, 11, 27), False, Money(4188),
            Money(1500), Money(5), Money(5693), True,
        ),
    ),
    shortages=(Shortage("salt", "s1", Fraction(1, 3), "g", 13),),
    shopping=(ToShop("saffron", "s1", Fraction(1), "g"),),
    buying=Buying(Money(5688), Money(5000), Money(6000)),
    costs=Costs({"s1": Money(5693)}, {"tue": Money(5693)}, {"": Money(5693)}),
)  # fmt: skip
PEOPLE = PeoplePlan(
    session_costs=(SessionCost("s1", True, Money(100), Money(2), Money(0), Money(30)),),
    groups={"tue": GroupAttendance(10, 9, 100, 80, 15, 5, 0, 0.8, 80, 12, 11, 9, Fraction(241, 2), 10)},
    outcomes=(
        Outcome(
            "q1", "How sure?", "scale", "", 34, 2, 2.5, 3.25, 0.75, 0.5, 1.0, None, None, 0.9, 0.0001,
            "wilcoxon", 20, 10, 4, "",
        ),
        Outcome(
            "q2", "Labels?", "yes-no", "", 0, 3, None, None, None, None, None, 0.25, 0.75, None, None, "",
            0, 0, 0, "no matched pairs",
        ),
    ),
    funders=(
        FunderReport(
            "f1", "Fund", dt.date(2026, 9, 1), dt.date(2026, 12, 31), (("tue", Fraction(1)),), 10,
            (Measure("people", 20, None, "1–10"), Measure("sessions", 10, 9, "9")), (), {}, (), 0, (),
        ),
    ),
)  # fmt: skip
PLAN = Plan(AS_OF, "USD", FOOD, PEOPLE)
FINDING = Finding(
    Place(3, "Stock", 7, 2),
    "order-below-minimum",
    "PO-1",
    {
        "supplier": "Bright Grocer",
        "goods": "$41.88",
        "minimum": "$50.00",
        "forward": "nothing more can be brought forward",
    },
)

GOLDEN = {
    "format": 1,
    "as_of": "2026-11-20",
    "currency": "USD",
    "findings": [],
    "sessions": [
        {
            "session": "s1",
            "group": "tue",
            "date": "2026-12-01",
            "packing_day": "2026-11-30",
            "variants": [
                {
                    "variant": "A",
                    "kits": 14,
                    "batches": {"chili": "1/2"},
                    "needs": ["no milk"],
                    "swaps": [{"ingredient": "milk", "instead": "oat drink"}],
                    "lines": [
                        {
                            "ingredient": "brown rice",
                            "amount": "7/3",
                            "unit": "cup",
                            "base_amount": "1295/3",
                            "base_unit": "g",
                            "scoops": [{"tool": "1 cup", "times": 2}, {"tool": "1/4 tsp", "times": "1/2"}],
                            "scoop_error": "-1/8",
                        }
                    ],
                    "blends": [
                        {
                            "blend": "chili: grains",
                            "lines": [
                                {
                                    "ingredient": "brown rice",
                                    "amount": "7/3",
                                    "unit": "cup",
                                    "base_amount": "1295/3",
                                    "base_unit": "g",
                                    "scoops": [{"tool": "1 cup", "times": 2}, {"tool": "1/4 tsp", "times": "1/2"}],
                                    "scoop_error": "-1/8",
                                }
                            ],
                            "portion_ml": "7",
                            "portion_grams": "5/2",
                            "portion_scoops": [{"tool": "1 tsp", "times": 1}],
                            "portion_scoop_error": "0",
                        }
                    ],
                    "holders": ["H1"],
                    "use_by": "2027-03-05",
                }
            ],
            "once": [],
        }
    ],
    "needs": [
        {
            "ingredient": "brown rice",
            "session": "s1",
            "packing_day": "2026-11-30",
            "use_by_at_least": "2026-12-01",
            "amount": "18130/3",
            "unit": "g",
        }
    ],
    "stock_use": [
        {
            "ingredient": "brown rice",
            "source": "stock",
            "lot": "",
            "session": "s1",
            "amount": "5",
            "unit": "g",
        }
    ],
    "purchases": [
        {
            "order": "PO-1",
            "supplier": "Bright Grocer",
            "item": "A-1",
            "ingredient": "brown rice",
            "packs": 12,
            "pack_amount": "5/2",
            "pack_unit": "lb",
            "base_amount": "6100",
            "base_unit": "g",
            "price": "3.49",
            "cost": "41.88",
            "arrives": "2026-11-27",
            "good_through": None,
            "used": [{"session": "s1", "amount": "6000"}],
            "left_over": "100",
            "sold_by": 1,
            "shared": "0",
            "pack": "",
        }
    ],
    "orders": [
        {
            "order": "PO-1",
            "supplier": "Bright Grocer",
            "order_by": "2026-11-24",
            "arrives": "2026-11-27",
            "urgent": False,
            "goods": "41.88",
            "fee": "15.00",
            "tax": "0.05",
            "total": "56.93",
            "below_minimum": True,
        }
    ],
    "shortages": [{"ingredient": "salt", "session": "s1", "amount": "1/3", "unit": "g", "full_kits_possible": 13}],
    "shopping": [{"ingredient": "saffron", "session": "s1", "amount": "1", "unit": "g"}],
    "buying": {"cost": "56.88", "lower_bound": "50.00", "session_by_session_cost": "60.00"},
    "costs": {"sessions": {"s1": "56.93"}, "groups": {"tue": "56.93"}, "funders": {"": "56.93"}},
    "attendance": {
        "groups": {
            "tue": {
                "planned": 10,
                "delivered": 9,
                "expected": 100,
                "present": 80,
                "absent": 15,
                "excused": 5,
                "not_recorded": 0,
                "rate": 0.8,
                "contacts": 80,
                "people": 12,
                "households": 11,
                "completers": 9,
                "contact_hours": "241/2",
            }
        },
        "totals": {
            "sessions_planned": 0,
            "sessions_delivered": 0,
            "contacts": 0,
            "people": 0,
            "households": 0,
            "completers": 0,
            "contact_hours": "0",
            "kits_distributed": 0,
        },
    },
    "outcomes": [
        {
            "question": "q1",
            "n": 34,
            "unmatched": 2,
            "before": 2.5,
            "after": 3.25,
            "change": 0.75,
            "low": 0.5,
            "high": 1.0,
            "effect": 0.9,
            "p": 0.0001,
            "test": "wilcoxon",
            "improved": 20,
            "same": 10,
            "worse": 4,
            "p_holm": None,
        },
        {
            "question": "q2",
            "n": 0,
            "unmatched": 3,
            "before": None,
            "after": None,
            "change": None,
            "low": None,
            "high": None,
            "effect": None,
            "p": None,
            "test": "",
            "improved": 0,
            "same": 0,
            "worse": 0,
            "p_holm": None,
            "before_low": 0.25,
            "before_high": 0.75,
        },
    ],
    "funders": [
        {
            "funder": "f1",
            "from": "2026-09-01",
            "until": "2026-12-31",
            "measures": [
                {"measure": "people", "target": 20, "value": None, "shown": "1–10"},
                {"measure": "sessions", "target": 10, "value": 9, "shown": "9"},
            ],
        }
    ],
    "food_costs": [
        {"session": "s1", "held": True, "received": "1.00", "coming": "0.02", "planned": "0.00", "in_kind": "0.30"},
    ],
    "prices": [],
    "mends": [],
    "conflicts": [],
    "room": [],
    "budget": {
        "cap": None,
        "spent": "0.00",
        "committed": "0.00",
        "planned": "0.00",
        "left": None,
        "weeks": [],
        "on_hold": [],
        "levers": [],
        "in_kind": [],
    },
    "surplus": [],
    "trace": [],
    "shared_orders": [],
    "packed": [],
    "changes": None,
}
"""The documented keys, then those beside them, of which tests/write/test_json_beside.py says more."""


def test_whole_plan() -> None:
    written = plan_json(PLAN, ())
    assert json.loads(written) == GOLDEN
    compact = written.decode().replace("\n", "")
    assert compact == json.dumps(GOLDEN, ensure_ascii=False, separators=(",", ":"))  # key order too
    assert written == plan_json(PLAN, ())


def test_a_line_a_record() -> None:
    """Two runs are compared line by line: one key or one record of a list stands on each."""
    lines = plan_json(PLAN, ()).decode().splitlines()
    needs = lines.index('"needs":[')
    assert [json.loads(line.rstrip(","))["ingredient"] for line in lines[needs + 1 : lines.index("],", needs)]] == [
        need["ingredient"] for need in GOLDEN["needs"]
    ]


def test_findings_as_objects() -> None:
    (found,) = json.loads(plan_json(PLAN, [FINDING]))["findings"]
    assert list(found) == ["severity", "code", "sheet", "cell", "message", "fix"]
    assert (found["sheet"], found["cell"], found["code"]) == ("Stock", "B7", "order-below-minimum")


@pytest.mark.parametrize(
    ("plan", "empty"),
    [
        (
            Plan(AS_OF, "USD", None, PEOPLE),
            {
                **{key: [] for key in LISTS},
                "buying": {},
                "costs": {},
                "budget": {},
            },
        ),
        (Plan(AS_OF, "USD", FOOD, None), {"attendance": {}, "outcomes": [], "funders": [], "food_costs": []}),
    ],
)
def test_stopped_family_keeps_its_keys_empty(plan: Plan, empty: Mapping[str, object]) -> None:
    written = json.loads(plan_json(plan, ()))
    assert list(written) == list(GOLDEN)
    assert written == GOLDEN | empty


def test_currency_without_decimals() -> None:
    assert json.loads(plan_json(Plan(AS_OF, "JPY", FOOD, None), ()))["buying"]["cost"] == "5688"


def test_text_that_is_no_unicode_does_not_break_the_file() -> None:
    food = FoodPlan(shopping=(ToShop("salt\ud800\n", "s1", Fraction(1), "g"),))
    assert json.loads(plan_json(Plan(AS_OF, "USD", food, None), ()))["shopping"][0]["ingredient"] == "salt?\n"


def test_number_that_json_lacks_is_refused() -> None:
    measure = Measure("people", None, float("nan"), "")
    report = FunderReport("f", "F", AS_OF, AS_OF, (), 0, (measure,), (), {}, (), 0, ())
    with pytest.raises(ValueError, match="JSON"):
        plan_json(Plan(AS_OF, "USD", None, PeoplePlan(funders=(report,))), ())
