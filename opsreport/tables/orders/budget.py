"""The term's money: spent, committed and planned against the cap, by week; levers; gifts in kind."""

from typing import Final

from opsreport.money import Money
from opsreport.plan.explaining.levers import lever_words
from opsreport.plan.model import BudgetPlan, FoodPlan
from opsreport.programme import Programme
from opsreport.tables.naming import counted, listed
from opsreport.tables.table import Column, Part, Prose, Row, Table, Total, money_cell


def budget_parts(programme: Programme, food: FoodPlan) -> list[Part]:
    """What must wait, the sums, the weeks, the levers, and what was given."""
    budget = food.budget
    return [
        *on_hold(programme, budget),
        Table(
            "Budget",
            "Against the budget",
            (Column("What", width=40), Column("Amount", "money", 13)),
            sum_rows(food),
            notes=budget_notes(programme, food),
            empty="Nothing is spent or ordered, and Settings names no Budget.",
        ),
        _weeks(budget),
        *([] if food.pooled else [_levers(programme, budget)]),
        *_in_kind(budget),
    ]


def on_hold(programme: Programme, budget: BudgetPlan) -> list[Part]:
    """Which order breaks the cap first, and what waits with it."""
    left = budget.left
    if not budget.on_hold or left is None:
        return []
    first, *others = budget.on_hold
    sentences = [
        f"Order {first} no longer fits under the budget and is on hold; all together is "
        f"{programme.currency.shown(Money(-left))} over it. Nothing was cut.",
    ]
    if others:
        sentences.append(f"On hold with it: {listed(others)}.")
    if budget.levers:
        words = "; ".join(lever_words(lever, programme.currency) for lever in budget.levers)
        sentences.append(f"What could be spent less on: {words} (goods, before delivery and tax).")
    return [Prose(tuple(sentences), "Over the budget", "warning")]


def sum_rows(food: FoodPlan) -> tuple[Row, ...]:
    """Spent, committed, planned, and what is left of the cap; no row where there is neither money nor cap. Of orders
    for several workbooks only what is planned, as each has a Budget of its own."""
    budget = food.budget
    if budget.cap is None and not budget.spent + budget.committed + budget.planned:
        return ()
    what = "your part of the orders for all" if food.pooled == "part" else "these orders"
    planned = Row((f"Planned: {what}", money_cell(budget.planned)))
    if food.pooled == "all":
        return (planned,)
    rows = [
        Row(("Spent so far", money_cell(budget.spent))),
        Row(("Committed: ordered before, still to come", money_cell(budget.committed))),
        planned,
    ]
    left = budget.left
    if budget.cap is not None and left is not None:
        over = left < 0
        rows.insert(0, Row(("Budget for the term", money_cell(budget.cap))))
        rows.append(Row(("Over the budget" if over else "Left", money_cell(left)), "warning" if over else ""))
    return tuple(rows)


def budget_notes(programme: Programme, food: FoodPlan) -> tuple[str, ...]:
    """What the sums leave out, and where a person would add it."""
    budget, notes = food.budget, []
    if food.pooled == "all":
        return ("Each workbook's own start page holds its part of these against its Budget.", _SHOPPED)
    if budget.cap is None:
        notes.append("Settings names no Budget, so these orders are not held against one.")
    if programme.settings.spent is None:
        notes.append("What was paid before is not known: type Spent so far in Settings.")
    if budget.unpriced:
        cells = listed(budget.unpriced, 6)
        notes.append(f"Nobody says what the packs of {cells} cost: they count as nothing. Type Price in Orders.")
    return (*notes, _SHOPPED)


_SHOPPED: Final = "What is bought in shops is not among these sums."


def _weeks(budget: BudgetPlan) -> Table:
    capped = budget.cap is not None
    columns = (
        Column("Week of", "date", 16),
        Column("Committed", "money", 13),
        Column("Planned", "money", 13),
        *((Column("Left of the budget", "money", 13),) if capped else ()),
    )
    rows = tuple(
        Row(
            (
                week.monday, money_cell(week.committed), money_cell(week.planned),
                *((money_cell(week.left or Money(0)),) if capped else ()),
            ),
            "warning" if week.left is not None and week.left < 0 else "",
        )
        for week in budget.weeks
    )  # fmt: skip
    notes = ["Committed stands in the week in which it is due, Planned in that of the order-by day."]
    if capped:
        notes.append("Left counts all that is spent and committed from the start, since it is promised.")
    return Table(
        "Budget", "Money by week", columns, rows, notes=tuple(notes) if rows else (),
        empty="Nothing is on order, and nothing is to be ordered.",
    )  # fmt: skip


def _levers(programme: Programme, budget: BudgetPlan) -> Table:
    columns = (
        Column("Lever", width=14),
        Column("What", width=48),
        Column("Saves, goods before tax", "money", 13),
    )
    rows = tuple(
        Row(
            (
                {"another pack": "Another pack", "swap": "A swap", "spare kits": "Spare kits"}[lever.kind],
                lever_words(lever, programme.currency).rpartition(": ")[0],
                money_cell(lever.saves),
            )
        )
        for lever in budget.levers
    )
    notes = (
        "The best of each kind, every other order left as it is. A swap is offered only where it brings nothing that "
        "a member must not get; read the label all the same.",
    )
    return Table(
        "Budget", "What could be spent less on", columns, rows, notes=notes if rows else (), empty="No lever is known."
    )


def _in_kind(budget: BudgetPlan) -> list[Part]:
    """Donated lots that these sessions use; nothing where none is."""
    if not budget.in_kind:
        return []
    columns = (
        Column("Ingredient", width=24),
        Column("Lot", "code", 14),
        Column("Used", "amount", 12),
        Column("Unit", width=6),
        Column("Value of the part used", "money", 13),
    )
    rows = tuple(
        Row((lot.food, lot.lot, lot.used, lot.unit, None if lot.value is None else money_cell(lot.value)))
        for lot in budget.in_kind
    )
    unvalued = sum(lot.value is None for lot in budget.in_kind)
    heading = columns[-1].heading
    total = money_cell(Money(sum(lot.value or 0 for lot in budget.in_kind)))
    notes = ["Given, so not among the sums above; for reports of gifts in kind."]
    if unvalued:
        notes.append(f"{counted(unvalued, 'lot')} without a Value on the Stock sheet.")
    return [
        Table(
            "Budget", "Gifts in kind that are used", columns, rows, notes=tuple(notes),
            totals=(Total("value", "Together", heading, total, f"SUM([{heading}])"),),
        )
    ]  # fmt: skip
