"""Money against budget: what these orders cost, in all and by funder."""

from typing import Final

from opsreport.money import Currency, Money
from opsreport.plan.model import FoodPlan, Plan
from opsreport.programme import Programme
from opsreport.rules import Family
from opsreport.tables.orders.budget import budget_notes, on_hold, sum_rows
from opsreport.tables.table import Column, Part, Row, Table, Total, money_cell

_PART: Final = (
    "These orders are those still to place. What was spent or ordered before is not known by funder and not in these "
    "figures, so less of a budget is left than stands here."
)


def money_tables(programme: Programme, plan: Plan, known: frozenset[Family]) -> list[Part]:
    food, empty = plan.food, "Not known: orders are not written."
    columns = (Column("What", width=40), Column("Amount", "money", 14))
    if food is None or Family.ORDERS not in known:
        return [Table("Money", "Money against budget", columns, (), empty=empty)]
    rows = [
        Row(("Goods", money_cell(Money(sum(order.goods for order in food.paid))))),
        Row(("Delivery", money_cell(Money(sum(order.fee for order in food.paid))))),
        Row(("Tax", money_cell(Money(sum(order.tax for order in food.paid))))),
        *sum_rows(food),
    ]
    notes = [*budget_notes(programme, food), *_how_good(programme, food)]
    return [
        *on_hold(programme, food.budget),
        Table("Money", "Money against budget", columns, tuple(rows), notes=tuple(notes)),
        *_by_funder(programme, food),
    ]


def orders_words(food: FoodPlan, currency: Currency) -> str:
    """What the orders cost in all: `$2,090.99, of it $4.93 tax`."""
    tax = Money(sum(order.tax for order in food.paid))
    return f"{currency.shown(food.budget.planned)}, {f'of it {currency.shown(tax)} tax' if tax else 'no tax on it'}"


def money_words(programme: Programme, food: FoodPlan) -> str:
    """`$2,090.99, of it $4.93 tax, for these orders; $875.94 left of $7,500.00`."""
    budget, shown = food.budget, programme.currency.shown
    what = "your part of the orders for all" if food.pooled == "part" else "these orders"
    planned = f"{orders_words(food, programme.currency)}, for {what}"
    if budget.cap is None or budget.left is None:
        return planned
    over = Money(-budget.left)
    left = f"{shown(budget.left)} left of" if budget.left >= 0 else f"{shown(over)} over the budget of"
    return f"{planned}; {left} {shown(budget.cap)}"


def _how_good(programme: Programme, food: FoodPlan) -> list[str]:
    """What the orders save, and how near they are to the least that is possible; before tax."""
    buying, shown = food.buying, programme.currency.shown
    if not food.orders:
        return []
    said = []
    if buying.session_by_session_cost > buying.cost:
        saved = shown(Money(buying.session_by_session_cost - buying.cost))
        said.append(f"Buying each session on its own would cost {saved} more (before tax).")
    if buying.cost > buying.lower_bound:
        away = shown(Money(buying.cost - buying.lower_bound))
        said.append(f"No plan can be more than {away} cheaper (before tax).")
    else:
        said.append("No plan can be cheaper.")
    return said


def _by_funder(programme: Programme, food: FoodPlan) -> list[Table]:
    charged = food.costs.funders
    if not [funder for funder in charged if funder] and not programme.funders:
        return []
    rows = []
    named = {row.funder: row for row in programme.funders}
    for funder in dict.fromkeys((*named, *charged)):
        row = named.get(funder)
        cost = charged.get(funder, Money(0))
        if not funder and not cost:
            continue
        budget = row.budget if row and food.pooled != "all" else None  # each of several workbooks has its own
        left = None if budget is None else money_cell(Money(budget - cost))
        name = (row.name if row else "") or funder or "No funder"
        over = left is not None and left < 0
        rows.append(
            Row(
                (name, money_cell(cost), None if budget is None else money_cell(budget), left),
                "warning" if over else "",
            )
        )
    return [
        Table(
            "Money by funder",
            "Money by funder",
            (
                Column("Funder", width=30),
                Column("These orders", "money", 14),
                Column("Budget", "money", 14),
                Column("Budget less these orders", "money", 14),
            ),
            tuple(rows),
            notes=(_PART,) if rows else (),
            totals=(
                Total(
                    "all",
                    "All",
                    "These orders",
                    money_cell(Money(sum(charged.values()))),
                    "SUM([These orders])",
                ),
            )
            if rows
            else (),
            empty="No funder is named.",
        )
    ]
