"""What the command line says at the end of a run: what was written, what to do first, what to look at."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from opsreport.command.terminal import counted as counted_findings
from opsreport.findings import stopped
from opsreport.money import Currency, Money
from opsreport.plan.model import FoodPlan, Plan
from opsreport.rules import Severity
from opsreport.shown import day_words
from opsreport.tables.naming import counted
from opsreport.tables.orders.changes import change_words
from opsreport.tables.start_page.spending import orders_words

if TYPE_CHECKING:
    from opsreport.run import Outcome

_MOST_ERRORS = 10


def summary_lines(outcome: "Outcome") -> list[str]:
    """Six lines where all is well: written, first to order, cost, budget, short, findings. More where it is not."""
    plan = outcome.plan
    return [
        f"Written: {outcome.folder} ({len(outcome.files)} files; open index.html first)",
        *_beside(outcome),
        *(_about_food(plan.food, Currency(plan.currency)) if plan.food is not None else ()),
        f"Findings: {counted_findings(outcome.findings)} (findings.html)",
        *_since(plan),
        *_errors(outcome),
    ]


def _beside(outcome: "Outcome") -> Iterator[str]:
    """What became of an earlier folder, and what is missing in this one."""
    plan = outcome.plan
    if outcome.kept is not None:
        yield f"The folder that stood there is now {outcome.kept}"
    not_written = sorted(stopped(outcome.findings) - plan.partly)
    if not_written:
        yield f"Not written, because of errors in the workbook: {', '.join(not_written)}"
    if plan.left_out:
        yield "INCOMPLETE, because of errors in the workbook; left out:"
        yield from (f"  {each.what} ({each.why})" for each in plan.left_out)


def _about_food(food: FoodPlan, currency: Currency) -> Iterator[str]:
    shown = currency.shown
    if food.orders:
        order = food.orders[0]
        urgent = "urgent, telephone: " if order.urgent else ""
        yield f"First to order: {urgent}{order.order}, by {day_words(order.order_by)}"
        yield _how_good(food, currency)
    budget = food.budget
    if budget.cap is not None and budget.left is not None:
        over = shown(Money(-budget.left))
        left = f"{shown(budget.left)} left of" if budget.left >= 0 else f"OVER by {over}:"
        yield f"Budget: {left} {shown(budget.cap)}, these orders counted"
    short, gone = len(food.shortages), sum(lot.expired and bool(lot.on_hand) for lot in food.lots)
    yield f"Short: {counted(short, 'amount')}; out of date on the shelf: {counted(gone, 'lot')}"


def _how_good(food: FoodPlan, currency: Currency) -> str:
    """What the orders cost, beside buying each session on its own, and how far from the least they can be."""
    buying, shown = food.buying, currency.shown
    saved, away = buying.session_by_session_cost - buying.cost, buying.cost - buying.lower_bound
    beside = f"; {shown(Money(saved))} less before tax than buying each session on its own" if saved > 0 else ""
    least = f"no plan is {f'more than {shown(Money(away))} ' if away > 0 else ''}cheaper"
    return f"Orders: {orders_words(food, currency)}{beside}; {least}"


def _since(plan: Plan) -> Iterator[str]:
    if plan.changes is not None:
        yield f"Since the run of {day_words(plan.changes.since)}: {change_words(plan.changes)}"


def _errors(outcome: "Outcome") -> Iterator[str]:
    errors = [finding for finding in outcome.findings if finding.severity is Severity.ERROR]
    for finding in errors[:_MOST_ERRORS]:
        yield f"  {finding.where}: {finding.message}"
        yield f"    → {finding.fix}"
    if len(errors) > _MOST_ERRORS:
        yield f"  … and {len(errors) - _MOST_ERRORS} more errors in findings.html"
