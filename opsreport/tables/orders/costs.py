"""What the orders cost, for whom, how near that is to the least possible, and what is left of the budget."""

from dataclasses import replace

from opsreport.money import Money
from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.orders.budget import budget_parts
from opsreport.tables.table import Column, Document, Facts, Part, Row, Table, Total, money_cell

NO_FUNDER = "no funder named"


def costs(programme: Programme, food: FoodPlan) -> Document:
    """Three ways to split one sum, and two ways to judge it."""
    spent = Money(sum(order.total for order in food.paid))
    what = "Your part of the orders for all" if food.pooled == "part" else "Orders still to place"
    parts: list[Part] = [
        Facts(((f"{what}, with delivery and tax", programme.currency.shown(spent)),)),
        *budget_parts(programme, food),
        _by_session(programme, food),
        _by_group(programme, food),
        _by_funder(programme, food),
        *([] if food.pooled == "part" else [_how_good(food)]),
    ]
    return Document("orders/cost", "What the orders cost", "the coordinator", tuple(parts), head_line(programme))


_COST = Column("Cost", "money", 13)
_OF_THESE_ORDERS = (
    "Of these orders alone, for sessions on any day. What a funder is charged for the sessions of its period, with "
    "what came and what is on its way, stands in its own document and in Attendance."
)


def _split_table(title: str, columns: tuple[Column, ...], rows: list[Row]) -> Table:
    """A split of the orders' total, its sum under it."""
    whole = sum(int(cost) for row in rows if isinstance(cost := row.cells[-1], int))
    totals = (Total("total", "All orders", "Cost", whole, "SUM([Cost])"),) if rows else ()
    return Table("Cost", title, (*columns, _COST), tuple(rows), totals=totals, empty="Nothing is ordered.")


def _by_session(programme: Programme, food: FoodPlan) -> Table:
    """Sessions by date; one that needs nothing bought stands with a cost of 0."""
    costs = dict(food.costs.sessions)
    if costs:
        costs = {session.session: Money(0) for session in food.sessions} | costs
    sessions = programme.sessions
    rows = [
        Row((name, sessions[name].group, sessions[name].day, money_cell(costs[name])))
        for name in sorted(costs, key=lambda name: (sessions[name].day, name))
    ]
    columns = (Column("Session", "code", 14), Column("Group", "code", 14), Column("Session day", "date", 16))
    return _split_table("By session", columns, rows)


def _by_group(programme: Programme, food: FoodPlan) -> Table:
    rows = [Row((name, programme.groups[name].name, money_cell(cost))) for name, cost in food.costs.groups.items()]
    columns = (Column("Group", "code", 14), Column("Name", width=30))
    return _split_table("By group", columns, rows)


def _by_funder(programme: Programme, food: FoodPlan) -> Table:
    names = {row.funder: row.name for row in programme.funders}
    rows = [
        Row((funder or NO_FUNDER, names.get(funder, ""), money_cell(cost)))
        for funder, cost in food.costs.funders.items()
    ]
    columns = (Column("Funder", "code", 18), Column("Name", width=30))
    whole = _split_table("By funder", columns, rows)
    return replace(whole, notes=(_OF_THESE_ORDERS,)) if rows else whole


def _how_good(food: FoodPlan) -> Table:
    """The cost before tax beside the least that is proven possible and beside shopping session by session."""
    buying = food.buying
    least_saved = buying.cost - buying.lower_bound
    saving = buying.session_by_session_cost - buying.cost
    rows = (
        Row(("These orders, before tax", money_cell(buying.cost), "goods and delivery")),
        Row(
            (
                "No plan can cost less than",
                money_cell(buying.lower_bound),
                "proven; these orders cost exactly that" if not least_saved else "proven",
            )
        ),
        Row(("So at most this could still be saved", least_saved, "")),
        Row(
            (
                "Each session bought for on its own",
                money_cell(buying.session_by_session_cost),
                "own deliveries, nothing carried over from one session to the next",
            )
        ),
        Row(
            (
                "Saved by planning the sessions together",
                saving,
                "on their own they would leave orders below a minimum that these reach" if saving < 0 else "",
            )
        ),
    )
    columns = (Column("What", width=36), Column("Amount", "money", 13), Column("How it is counted", width=40))
    return Table(
        "Cost",
        "How good these orders are",
        columns,
        rows if food.orders else (),
        notes=("Stock and what was ordered before cost nothing here; all amounts are before tax.",)
        if food.orders
        else (),
        empty="Nothing is ordered.",
    )
