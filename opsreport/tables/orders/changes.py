"""What changed since an earlier run, on one page: unsafe kits first, then orders, kits, needs and cost."""

from collections import Counter
from fractions import Fraction
from typing import Final

from opsreport.measures.units import Quantity
from opsreport.money import Money
from opsreport.plan.model import Changes, FoodPlan, KitChange, OrderChange, PulledKit, Surplus
from opsreport.plan.needs.kits import LEAVE_OUT
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.naming import counted, head_line, listed
from opsreport.tables.orders.amounts import pack_words
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
_SINCE: Final = ("placed", "past")
"""What there is nothing left to do about, or only to enter."""
_BECAME: Final = {
    "packed": "packed since",
    "delivered": "delivered",
    "cancelled": "cancelled",
    "gone": "no longer there",
}


def changes(programme: Programme, food: FoodPlan, since: Changes | None) -> Document:
    """One sheet for what is to be done, further ones for what lies behind it."""
    parts: list[Part] = []
    of_all = [] if food.pooled == "all" else [_surplus(programme, food)]
    if since is None:
        parts += [Prose(("There is no earlier run to compare with: everything here is new.",)), *of_all]
    else:
        parts += [_facts(programme, food, since), *_pull(since)]
        parts += [] if food.pooled == "part" else [_orders(since), *_placed(since)]
        parts += [*of_all, *([] if food.pooled == "all" else [_kits(programme, since)]), _needs(since)]
    title = "Changes" if since is None else f"Changes since the run of {day_words(since.since)}"
    return Document("orders/changes", title, "the coordinator", tuple(parts), head_line(programme), landscape=True)


def change_words(since: Changes) -> str:
    """`3 order lines to place, 1 to cut; kits of 2 sessions; 1 kit to pull` or `nothing`."""
    said = []
    if since.pull:
        said.append(f"{counted(len({pulled.kit + pulled.holder for pulled in since.pull}), 'kit')} to pull")
    to_do: list[str] = [change.what for change in since.orders if change.what not in _SINCE]
    number = Counter(to_do)
    said += [
        f"{counted(number[what], 'order line')} {words}"
        for what, words in (
            ("place", "to place"),
            ("raise", "to raise"),
            ("cut", "to cut"),
            ("drop", "no longer needed"),
        )
        if number[what]
    ]  # fmt: skip
    for what, one, many in (("placed",) * 3, ("past", "past its order day", "past their order days")):
        if orders := {change.order for change in since.orders if change.what == what}:
            said.append(f"{counted(len(orders), 'order')} {one if len(orders) == 1 else many}")
    others = [change for change in since.kits if change.what not in ("packed", "delivered")]
    if others:
        said.append(f"other kits in {counted(len(others), 'session')}")
    return ", ".join(said) or "nothing changed"


def _facts(programme: Programme, food: FoodPlan, since: Changes) -> Facts:
    pairs = [("In short", change_words(since))]
    labels = {
        "": ("All orders, placed and to place", "Of these still to place"),
        "part": ("Orders placed, and your part of those for all", "Of these still to place for you"),
        "all": ("", "Orders still to place"),
    }[food.pooled]
    for label, before, now in zip(
        labels, (since.all_before, since.cost_before), (since.all_now, since.cost_now), strict=True
    ):
        if before is not None and now is not None:
            pairs.append((label, _beside(programme, before, now)))
    return Facts(tuple(pairs))


def _beside(programme: Programme, before: Money, now: Money) -> str:
    """`$16.80, before $5.00: $11.80 more`."""
    shown, more = programme.currency.shown, now - before
    differs = f"{shown(Money(abs(more)))} {'more' if more > 0 else 'less'}" if more else "the same"
    return f"{shown(now)}, before {shown(before)}: {differs}"


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
    rows = tuple(
        Row(
            (
                _ACTIONS[change.what], change.order, change.arrives,
                change.food, change.item, _pack(change.pack), change.before, change.now,
                None if since.cost_before is None else money_cell(change.cost), _note(change),
            ),
        )
        for change in since.orders
        if change.what not in _SINCE
    )  # fmt: skip
    notes = (
        "Before and Now are packs. Place, Raise and Cut speak of the purchase orders of this run, which replace those "
        "of the earlier one. "
        "What stands on the Orders sheet is counted as placed and never ordered again.",
    )
    return Table(
        "Orders", "Orders: what to do otherwise than planned", columns, rows, notes=notes if rows else (),
        empty="Every row of every order still to place is as it was.",
    )  # fmt: skip


def _placed(since: Changes) -> list[Table]:
    """What became of the orders that the earlier run planned and this one does not: a line an order."""
    gone: dict[tuple[str, str], list[OrderChange]] = {}
    for change in since.orders:
        if change.what in _SINCE:
            gone.setdefault((change.what, change.order), []).append(change)
    if not gone:
        return []
    columns = (
        Column("Became", width=9),
        Column("Order", "code", 20),
        Column("Arrives", "date", 16),
        Column("Lines", "count", 6),
        Column("Which", width=40),
        Column("Note", width=36),
    )
    rows = tuple(
        Row(
            (
                _ACTIONS[what], order, lines[0].arrives, len(lines),
                listed(list(dict.fromkeys(line.food for line in lines)), 4), _note(lines[0]),
            ),
            "warning" if what == "past" else "quiet",
        )
        for (what, order), lines in sorted(gone.items(), key=lambda each: each[0][0] == "placed")
    )  # fmt: skip
    return [Table("Placed", "Orders placed or past since then", columns, rows)]


def _pack(told: str) -> str:
    """A pack as the order writes it: `1/2 gal`, `14.5 oz`."""
    amount, _, unit = told.partition(" ")
    return pack_words(Quantity(Fraction(amount), unit))


def _note(change: OrderChange) -> str:
    match change.what:
        case "place" | "raise" if change.placed:
            return f"or raise {change.placed}, which comes the same day"
        case "drop":
            return "do not place it; where it was placed, ask to cancel it"
        case "placed":
            if not change.placed:
                return "covered by what stands on the Orders sheet now"
            return "on the Orders sheet now" + (f" as {change.placed}" if change.placed != change.order else "")
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
        "Placed",
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
    return Table("Kits and needs", "Kits", columns, tuple(rows), empty="Every session's kits are as they were.")


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
        "Kits and needs",
        "Needs of the sessions not yet packed",
        columns,
        rows,
        empty="The sessions need what they needed.",
    )
