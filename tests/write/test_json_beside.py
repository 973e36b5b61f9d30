"""The further keys of plan.json: written beside the documented ones, with nothing but strings, numbers and dates."""

import dataclasses
import datetime as dt
import json
from fractions import Fraction
from typing import Any

from plan.food_support import planned, settings

from opsreport.findings import Place
from opsreport.money import Currency, Money
from opsreport.plan.model import (
    Changes,
    Conflict,
    FoodPlan,
    KitChange,
    Mend,
    NeedChange,
    OrderChange,
    PackedSession,
    PackedVariant,
    PriceMove,
    PulledKit,
)
from opsreport.write.json_beside import beside, since

F = Fraction
MON, TUE = dt.date(2027, 1, 4), dt.date(2027, 1, 5)
YEN = Currency("JPY")
ORDERS = (
    "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Received\n"
    "o1 | shop | bean mix | 5 | 100 | g | @2027-01-08 | 1"
)


def written(value: object) -> Any:
    return json.loads(json.dumps(value, allow_nan=False))


def test_a_stopped_family_keeps_its_keys_empty() -> None:
    assert beside(None, YEN) == {
        "prices": [], "mends": [], "conflicts": [], "room": [], "budget": {}, "surplus": [], "trace": [],
        "shared_orders": [],
    }  # fmt: skip
    assert since(None, YEN) == {"packed": [], "changes": None}


def test_money_room_and_what_is_on_order_for_nobody() -> None:
    _, plan = planned({"Settings": settings("Budget | 9.50", "Spent so far | 1.25"), "Orders": ORDERS})
    told = written(beside(plan, Currency("USD")))
    assert told["budget"] == {
        "cap": "9.50", "spent": "1.25", "committed": "0.00", "planned": "0.00", "left": "8.25", "weeks": [],
        "on_hold": [], "levers": [], "in_kind": [],
    }  # fmt: skip
    assert told["room"] == [
        {"session": "w2", "variant": "A", "kits": 0, "runs_out": ["bean mix"]},
        {"session": "w3", "variant": "A", "kits": 0, "runs_out": ["bean mix"]},
    ]
    assert told["surplus"] == []
    assert told["prices"] == [
        {
            "supplier": "shop", "ingredient": "bean mix", "item": "", "pack_amount": "250", "pack_unit": "g",
            "price": "2.00", "priced": None,
        }
    ]  # fmt: skip


def test_a_trace_leads_from_kits_to_lots() -> None:
    _, plan = planned({"Stock": "Ingredient | Amount | Unit | Lot\nbean mix | 300 | g | L1"})
    (trace,) = written(beside(plan, Currency("USD")))["trace"]
    assert trace["needs"][0] == {
        "parts": [
            {"recipe": "stew", "cell": "Recipes!D2", "amount": "100", "unit": "g", "edible_share": "1",
             "as_bought": "100"}
        ],
        "per_kit": "100", "whole": False, "loss": "0", "instead_of": [],
        "takers": [
            {"session": "w2", "kit": "w2-A", "kits": 2, "needed": "200"},
            {"session": "w3", "kit": "w3-A", "kits": 2, "needed": "200"},
        ],
    }  # fmt: skip
    assert trace["uses"][0] == {
        "source": "stock", "lot": "L1", "cell": "Stock!A2", "session": "w2", "amount": "200",
    }  # fmt: skip
    assert (trace["needed"], trace["short"], trace["to_shop"]) == ("400", [], [])


def test_mends_and_conflicts() -> None:
    plan = dataclasses.replace(
        FoodPlan(),
        mends=(Mend("leaf", "w1", "delivery day", day=TUE, order_by=MON, supplier="farm"),),
        conflicts=(Conflict("leaf", "w1", "farm", MON, TUE, TUE, (MON, TUE)),),
    )
    told = written(beside(plan, YEN))
    assert told["mends"] == [
        {
            "ingredient": "leaf", "session": "w1", "kind": "delivery day", "day": "2027-01-05",
            "order_by": "2027-01-04", "supplier": "farm", "instead": "", "days": 0, "amount": "0", "unit": "",
        }
    ]  # fmt: skip
    assert told["conflicts"] == [
        {
            "ingredient": "leaf", "session": "w1", "supplier": "farm", "arrives": "2027-01-04",
            "good_through": "2027-01-05", "use_by_at_least": "2027-01-05", "closed": ["2027-01-04", "2027-01-05"],
        }
    ]  # fmt: skip


def test_what_changed_is_told_in_money_of_the_currency() -> None:
    variant = PackedVariant("A", 2, ("h1", "h2"), frozenset({("peas", F(7, 3)), ("beans", F(1))}))
    changes = Changes(
        since=MON,
        packed=(PackedSession("w1", TUE, MON, (variant,)),),
        pull=(
            PulledKit("w1-A", "w1", TUE, MON, "h2", ("beans",), ("peas",), ("no soy",), Place(2, "Enrolment", 3, 4)),
        ),
        kits=(KitChange("w2", "changed", 2, 3, ("contents",)), KitChange("w3", "new", None, 4)),
        needs=(NeedChange("peas", "g", F(1, 3), F(2)),),
        orders=(OrderChange("raise", "shop-1", "shop", TUE, "peas", "p7", "5 lb", 1, 3, Money(800), "A7"),),
        prices=(PriceMove("shop", "peas", "p7", "5 lb", Money(300), Money(400), 3),),
        cost_before=Money(900),
        cost_now=Money(1700),
        all_before=Money(2900),
        all_now=Money(3000),
    )
    told = written(since(changes, YEN))
    assert told["packed"] == [
        {
            "session": "w1", "date": "2027-01-05", "packing_day": "2027-01-04",
            "variants": [
                {
                    "variant": "A", "kits": 2, "holders": ["h1", "h2"],
                    "lines": [
                        {"ingredient": "beans", "base_amount": "1"},
                        {"ingredient": "peas", "base_amount": "7/3"},
                    ],
                }
            ],
        }
    ]  # fmt: skip
    assert told["changes"] == {
        "since": "2027-01-04",
        "pull": [
            {
                "kit": "w1-A", "session": "w1", "date": "2027-01-05", "packing_day": "2027-01-04", "holder": "h2",
                "swaps": [{"ingredient": "beans", "instead": "peas"}],
            }
        ],
        "kits": [
            {"session": "w2", "what": "changed", "before": 2, "now": 3, "differs": ["contents"]},
            {"session": "w3", "what": "new", "before": None, "now": 4, "differs": []},
        ],
        "needs": [{"ingredient": "peas", "unit": "g", "before": "1/3", "now": "2"}],
        "orders": [
            {
                "what": "raise", "order": "shop-1", "supplier": "shop", "arrives": "2027-01-05", "ingredient": "peas",
                "item": "p7", "pack": "5 lb", "before": 1, "now": 3, "cost": "800", "placed": "A7",
            }
        ],
        "prices": [
            {
                "supplier": "shop", "ingredient": "peas", "item": "p7", "pack": "5 lb", "before": "300", "now": "400",
                "packs": 3,
            }
        ],
        "cost_before": "900",
        "cost_now": "1700",
        "all_before": "2900",
        "all_now": "3000",
    }  # fmt: skip
    assert since(dataclasses.replace(changes, cost_before=None), YEN)["changes"]["cost_before"] is None
