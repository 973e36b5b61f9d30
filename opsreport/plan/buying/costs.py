"""What the orders cost, split to sessions, groups and funders so that every column adds up to the cent."""

from collections import defaultdict
from collections.abc import Mapping, Sequence
from fractions import Fraction

from opsreport.money import Money, split
from opsreport.plan.model import Costs, Order, Purchase, StockUse
from opsreport.programme import Programme

NOBODY = ""
"""The funder of what no funder pays for."""


def share_costs(programme: Programme, purchases: Sequence[Purchase], orders: Sequence[Order]) -> Costs:
    """Goods by what each session uses of each pack; fee and tax in proportion to goods, order by order.

    Goods, fee and tax are split one by one, by largest remainder, ties by session date then id. A
    group's sum goes to its funders by their shares the same way.
    """
    rows_of: dict[str, list[Purchase]] = defaultdict(list)
    for row in purchases:
        rows_of[row.order].append(row)
    sessions: dict[str, int] = {}
    for order in orders:
        for session, parts in order_by_session(programme, rows_of[order.order], order).items():
            sessions[session] = sessions.get(session, 0) + sum(parts)
    in_date_order = sorted(sessions, key=lambda name: (programme.sessions[name].day, name))
    groups: dict[str, int] = {}
    for name in in_date_order:
        group = programme.sessions[name].group
        groups[group] = groups.get(group, 0) + sessions[name]
    return Costs(
        {name: Money(sessions[name]) for name in in_date_order},
        {group: Money(groups[group]) for group in programme.groups if group in groups},
        funder_costs(programme, groups),
    )


def order_by_session(
    programme: Programme, rows: Sequence[Purchase], order: Order
) -> dict[str, tuple[Money, Money, Money]]:  # fmt: skip
    """What each session pays of one order's goods, fee and tax."""
    goods = _goods_by_session(programme, rows)
    columns = (split(column, list(goods.values())) for column in (order.goods, order.fee, order.tax))
    return dict(zip(goods, zip(*columns, strict=True), strict=True))


def share_in_kind(programme: Programme, uses: Sequence[StockUse]) -> dict[str, Money]:
    """The value of donated food by session: each lot's Value in proportion to what sessions take of it.

    What stays on the shelf keeps its part of the value; a lot without a Value adds nothing. Split by largest
    remainder, ties by session date then id, the shelf last.
    """
    taken: dict[int, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    for use in uses:
        if use.source == "stock":
            taken[use.row][use.session] += use.amount
    value: dict[str, int] = defaultdict(int)
    for lot in programme.lots:
        of_lot = taken.get(lot.place.row)
        if not of_lot or not lot.donated or not lot.value or not lot.base:
            continue
        sessions = sorted(of_lot, key=lambda name: (programme.sessions[name].day, name))
        left = lot.base - sum(of_lot.values())
        for session, part in zip(sessions, split(lot.value, [*(of_lot[s] for s in sessions), left]), strict=False):
            value[session] += part
    in_order = sorted(value, key=lambda name: (programme.sessions[name].day, name))
    return {name: Money(value[name]) for name in in_order}


def _goods_by_session(programme: Programme, rows: Sequence[Purchase]) -> dict[str, Fraction]:
    """Exact cost of an order's goods by session, in order of session date and id."""
    exact: dict[str, Fraction] = defaultdict(Fraction)
    for row in rows:
        used = sum((amount for _, amount in row.used), Fraction(0))
        for session, amount in row.used:
            exact[session] += row.cost * amount / used
    in_order = sorted(exact, key=lambda name: (programme.sessions[name].day, name))
    return {name: exact[name] for name in in_order}


def funder_costs(programme: Programme, groups: Mapping[str, int]) -> dict[str, Money]:
    """What groups cost, by funder."""
    totals: dict[str, int] = defaultdict(int)
    for name, cost in groups.items():
        for funder, part in funder_parts(programme, name, Money(cost)).items():
            totals[funder] += part
    known = [row.funder for row in programme.funders]
    named = [*known, *sorted(set(totals) - {*known, NOBODY}), NOBODY]
    return {funder: Money(totals[funder]) for funder in named if funder in totals}


def funder_parts(programme: Programme, group: str, cost: Money) -> dict[str, Money]:
    """A group's cost by funder, adding up to it; under NOBODY where nobody pays for the group."""
    funders = programme.groups[group].funders
    if not funders:
        return {NOBODY: cost}
    parts = split(cost, [part for _, part in funders])
    return {funder: part for (funder, _), part in zip(funders, parts, strict=True)}
