"""An earlier plan.json read back: what was planned is what is read, and anything else is no plan."""

import json
from typing import Any

import pytest
from plan.food_support import MONDAY, planned, settings

from opsreport.plan.explaining.earlier import EarlierPlan, earlier_plan
from opsreport.plan.model import FoodPlan, Plan
from opsreport.programme import Programme
from opsreport.write.json_file import plan_json


def told(programme: Programme, plan: FoodPlan) -> Any:
    return json.loads(plan_json(Plan(programme.as_of, programme.currency.code, plan, None), []))


def read_back(programme: Programme, plan: FoodPlan) -> EarlierPlan:
    earlier = earlier_plan(told(programme, plan))
    assert earlier is not None
    return earlier


def test_what_was_planned_is_what_is_read() -> None:
    programme, plan = planned({"Settings": settings("Currency | KWD")})
    earlier = read_back(programme, plan)
    assert (earlier.as_of, earlier.currency) == (MONDAY, "KWD")
    assert earlier.total == sum(order.total for order in plan.orders) == 4000
    assert {key: row.packs for key, row in earlier.lines.items()} == {
        (row.order, row.food, row.item, "250 g"): row.packs for row in plan.purchases
    }
    assert earlier.needs == {(need.food, need.session): (need.amount, need.unit) for need in plan.needs}
    assert earlier.prices == {("shop", "bean mix", "", "250 g"): 2000}
    session = earlier.sessions["w2"]
    assert (session.kits, session.variants[0].holders) == (2, ("h1", "h2"))
    assert session.variants[0].contents == {("bean mix", 100)}
    assert earlier.order_by == {order.order: order.order_by for order in plan.orders}


def test_what_was_spent_and_what_is_on_order_was_promised() -> None:
    """0.50 spent so far, and one pack on order for 2.00; a plan without money tells nothing."""
    programme, plan = planned(
        {
            "Settings": settings("Spent so far | 0.50"),
            "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Price\n"
            "PO 7 | shop | bean mix | 1 | 250 | g | @2027-01-11 | 2.00",
        }
    )
    assert read_back(programme, plan).promised == 250
    whole = told(programme, plan)
    del whole["budget"]
    earlier = earlier_plan(whole)
    assert earlier is not None
    assert earlier.promised is None


@pytest.mark.parametrize("key", ["as_of", "currency", "sessions", "needs", "purchases", "orders", "buying", "format"])
def test_a_file_that_lacks_a_key_is_no_plan(key: str) -> None:
    whole = told(*planned())
    del whole[key]
    assert earlier_plan(whole) is None


@pytest.mark.parametrize("content", [None, [], "plan", 7, {}, {"format": 2}])
def test_other_content_is_no_plan(content: Any) -> None:
    assert earlier_plan(content) is None


@pytest.mark.parametrize(("key", "value"), [("as_of", "soon"), ("currency", "XXX"), ("buying", {}), ("needs", [1])])
def test_a_stopped_or_spoilt_plan_is_none(key: str, value: Any) -> None:
    assert earlier_plan({**told(*planned()), key: value}) is None


def test_a_plan_of_a_version_without_the_further_keys_still_serves() -> None:
    whole = told(*planned())
    for key in ("prices", "packed", "changes", "trace", "room", "budget"):
        del whole[key]
    for session in whole["sessions"]:
        for variant in session["variants"]:
            del variant["holders"]
    earlier = earlier_plan(whole)
    assert earlier is not None
    assert earlier.sessions["w2"].variants[0].holders == ()
    assert earlier.prices == {("shop", "bean mix", "", "250 g"): 200}
