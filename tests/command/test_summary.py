"""The closing summary: six lines where all is well."""

import dataclasses
import datetime as dt
from pathlib import Path

from plan.food_support import planned

from opsreport.command.summary import summary_lines
from opsreport.money import Money
from opsreport.plan.model import BudgetPlan, Plan
from opsreport.run import Outcome
from opsreport.tables.start_page.spending import money_words


def outcome(plan: Plan) -> Outcome:
    return Outcome((), plan, Path("out"), None, ("index.html", "plan.json"))


def test_six_lines_say_what_was_written_and_what_comes_first() -> None:
    _, food = planned()
    food = dataclasses.replace(food, budget=BudgetPlan(cap=Money(50_000), spent=Money(37_655)))
    lines = summary_lines(outcome(Plan(dt.date(2027, 1, 4), "USD", food, None)))
    assert [line.partition(":")[0] for line in lines] == [
        "Written", "First to order", "Orders", "Budget", "Short", "Findings",
    ]  # fmt: skip
    assert lines[0] == "Written: out (2 files; open index.html first)"
    assert food.orders[0].order in lines[1]
    assert lines[3] == "Budget: $123.45 left of $500.00, these orders counted"


def test_the_orders_are_told_as_on_the_start_page_with_their_tax() -> None:
    programme, food = planned()
    taxed = dataclasses.replace(
        food,
        orders=tuple(dataclasses.replace(order, tax=Money(25)) for order in food.orders),
        budget=BudgetPlan(planned=Money(1_250)),
    )
    tax = Money(25 * len(food.orders))
    (line,) = (
        line for line in summary_lines(outcome(Plan(dt.date(2027, 1, 4), "USD", taxed, None))) if "Orders" in line
    )
    words = f"$12.50, of it {programme.currency.shown(tax)} tax"
    assert line.startswith(f"Orders: {words}; ")
    assert money_words(programme, taxed) == f"{words}, for these orders"
    free = dataclasses.replace(food, budget=BudgetPlan(planned=Money(1_200)))
    assert money_words(programme, free) == "$12.00, no tax on it, for these orders"


def test_money_over_the_budget_is_said_so() -> None:
    _, food = planned()
    food = dataclasses.replace(food, budget=BudgetPlan(cap=Money(5_000), planned=Money(5_100)))
    lines = summary_lines(outcome(Plan(dt.date(2027, 1, 4), "USD", food, None)))
    assert "Budget: OVER by $1.00: $50.00, these orders counted" in lines


def test_a_run_without_food_says_nothing_of_orders() -> None:
    lines = summary_lines(outcome(Plan(dt.date(2027, 1, 4), "USD", None, None)))
    assert [line.partition(":")[0] for line in lines] == ["Written", "Findings"]
