"""What changed since an earlier run, on one page: unsafe kits first, then orders, kits, needs and cost."""

from collections import Counter
from typing import Final

from opsreport.money import Money
from opsreport.plan.kits import LEAVE_OUT
from opsreport.plan.model import Changes, FoodPlan, KitChange, OrderChange, PulledKit, Surplus
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.naming import counted, head_line
from opsreport.tables.orders.heads import supplier_name
from opsreport.tables.table import Column, Document, Facts, Part, Prose, Row, Table, money_cell

_ACTIONS: Final = {
    "place": "Place",
    "raise": "Raise",
    "cut": "Cut",
    "drop": "Drop",
    "placed": "Placed",
    "past": "Past",
}
"""Each row of an order, by what to do with it."""
_BECAME: Final = {
    "packed": "packed since",
    "delivered": "delivered",
    "cancelled": "cancelled",
    "gone": "no longer there",
}


def changes(programme: Programme, food: FoodPlan, since: Changes | None) -> Document:
    """One sheet for what is to be done, further ones for what lies behind it."""
    parts: list[Part] = []
    if since is None:
        parts.append(Prose(("There is no earlier run to compare with: everything here is new.",)))
    else:
        parts += [_facts(programme, since), *_pull(since), _orders(since)]
    parts.append(_surplus(programme, food))
    if since is not None:
        parts += [_kits(programme, since), _needs(since)]
    title = "Changes" if since is None else f"Changes since the run of {day_words(since.since)}"
    return Document("orders/changes", title, "the coordinator", tuple(parts), head_line(programme), landscape=True)


def change_words(since: Changes) -> str:
    """`3 order lines to place, 1 to cut; kits of 2 sessions; 1 kit to pull` or `nothing`."""
    said = []
    if since.pull:
        said.append(f"{counted(len({pulled.kit + pulled.holder for pulled in since.pull}), 'kit')} to pull")
    number: Counter[str] = Counter(change.what for change in since.orders)
    said += [
        f"{counted(number[what], 'order line')} {words}"
        for what, words in (
            ("place", "to place"), ("raise", "to raise"), ("cut", "to cut"), ("drop", "no longer needed"),
            ("placed", "placed"), ("past", "past its order day"),
        )
        if number[what]
    ]  # fmt: skip
    others = [change for change in since.kits if change.what not in ("packed", "delivered")]
    if others:
        said.append(f"other kits in {counted(len(others), 'session')}")
    return ", ".join(said) or "nothing changed"


def _facts(programme: Programme, since: Changes) -> Facts:
    pairs = [("In short", change_words(since))]
    if since.cost_before is not None and since.cost_now is not None:
        shown = programme.currency.shown
        more = since.cost_now - since.cost_before
        less_or_more = f"{shown(Money(abs(more)))} {'more' if more > 0 else 'less'}" if more else "the same"
        pairs.append(
            ("Orders still to place", f"{shown(since.cost_now)}, before {shown(since.cost_before)}: {less_or_more}")
        )
    return Facts(tuple(pairs))


def _pull(since: Changes) -> list[Part]:
    if not since.pull:
        return []
    columns = (
        Column("Kit", "code", 12),
        Column("For", "code", 12),
        Column("Packed", "date", 16),
        Column("Session day", "date", 16),
        Column("Holds", width=26),
        Column("Replace with", width=40),
        Column("Done", "boxes", 6),
    )
    return [
        Prose(
            (
                "A need became known after these kits were planned for packing. Pull each one before it is handed out, "
                "or telephone the household, and pack another.",
                "Use clean hands, tools and bags; read the labels of what goes in instead.",
            ),
            "Kits to pull and replace",
            "warning",
        ),
        Table(
            "Kits to pull",
            "Kits to pull and replace",
            columns,
            tuple(
                Row(
                    (
                        pulled.kit, pulled.holder or "a table", pulled.packed, pulled.day, ", ".join(pulled.foods),
                        instead_words(pulled), 1,
                    ),
                    "warning",
                )
                for pulled in since.pull
            ),
        ),
    ]  # fmt: skip


def instead_words(pulled: PulledKit) -> str:
    """`sunflower seed butter for peanut butter; no honey`."""
    words = []
    for food, instead in zip(pulled.foods, pulled.instead, strict=True):
        if instead and instead != LEAVE_OUT:
            words.append(f"{instead} for {food}")
        else:
            words.append(f"no {food}" + ("" if instead else " (no swap is known)"))
    return "; ".join(words)


def _orders(since: Changes) -> Table:
    columns = (
        Column("Do", width=9),
        Column("Order", "code", 20),
        Column("Arrives", "date", 16),
        Column("Ingredient", width=20),
        Column("Item", "code", 9),
        Column("Pack", width=9),
        Column("Before", "count", 7),
        Column("Now", "count", 6),
        Column("Cost, more or less", "money", 10),
        Column("Note", width=30),
    )
    done = ("placed", "past")
    rows = tuple(
        Row(
            (
                _ACTIONS[change.what], change.order, change.arrives,
                change.food, change.item, change.pack, change.before, change.now,
                None if since.cost_before is None else money_cell(change.cost), _note(change),
            ),
            "quiet" if change.what in done else "",
        )
        for change in sorted(since.orders, key=lambda change: change.what in done)
    )  # fmt: skip
    notes = (
        "Before and Now are packs. Place, Raise and Cut speak of the purchase orders of this run, which replace those "
        "of the earlier one. "
        "What stands on the Orders sheet is counted as placed and never ordered again.",
    )
    return Table(
        "Orders", "Orders: what is not as it was", columns, rows, notes=notes if rows else (),
        empty="Every row of every order is as it was.",
    )  # fmt: skip


def _note(change: OrderChange) -> str:
    match change.what:
        case "place" | "raise" if change.placed:
            return f"or raise {change.placed}, which comes the same day"
        case "drop":
            return "do not place it; where it was placed, ask to cancel it"
        case "placed":
            return "on the Orders sheet now, or covered by it"
        case "past":
            return "its order day is past and it is not on the Orders sheet: enter it there if it was placed"
    return ""


def _surplus(programme: Programme, food: FoodPlan) -> Table:
    columns = (
        Column("Order", "code", 16),
        Column("Supplier", width=16),
        Column("Due", "date", 16),
        Column("Ingredient", width=20),
        Column("Item", "code", 10),
        Column("Packs too many", "count", 7),
        Column("Ask", width=30),
        Column("Cell", "code", 11),
    )
    rows = tuple(
        Row(
            (
                row.order, supplier_name(programme, row.supplier), row.due, row.food, row.item, row.packs, _ask(row),
                row.cell,
            )
        )
        for row in food.surplus
    )  # fmt: skip
    return Table(
        "Placed, not needed",
        "Placed before and not needed now",
        columns,
        rows,
        notes=("Only a suggestion: it is counted as coming until the Orders sheet says otherwise.",) if rows else (),
        empty="Every whole pack that is on order is needed.",
    )


def _ask(row: Surplus) -> str:
    return "whether this line can be cancelled" if row.all else "whether it can be cut by these packs"


def _kits(programme: Programme, since: Changes) -> Table:
    columns = (
        Column("Session", "code", 10),
        Column("Session day", "date", 16),
        Column("Kits before", "count", 9),
        Column("Kits now", "count", 9),
        Column("What", width=40),
    )
    rows = []
    for change in since.kits:
        session = programme.sessions.get(change.session)
        past = change.what in ("packed", "delivered")
        rows.append(
            Row(
                (
                    change.session, session.day if session else None, change.before, change.now, _kit_words(change),
                ),
                "quiet" if past else "",
            )
        )  # fmt: skip
    return Table("Kits", "Kits", columns, tuple(rows), empty="Every session's kits are as they were.")


def _kit_words(change: KitChange) -> str:
    if change.what == "new":
        return "new"
    if change.what != "changed":
        return _BECAME[change.what]
    words = ["number of kits"] if change.before != change.now else []
    return ", ".join([*words, *change.differs])


def _needs(since: Changes) -> Table:
    columns = (
        Column("Ingredient", width=26),
        Column("Needed before", "amount", 12),
        Column("Needed now", "amount", 12),
        Column("More or less", "amount", 12),
        Column("Unit", width=6),
    )
    rows = tuple(
        Row((need.food, need.before, need.now, need.now - need.before, need.unit)) for need in since.needs
    )  # fmt: skip
    return Table(
        "Needs", "Needs of the sessions not yet packed", columns, rows, empty="The sessions need what they needed."
    )
