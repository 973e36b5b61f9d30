"""What becomes of the lots on the shelf: removed, held, used by whom, left."""

from collections.abc import Callable, Iterable

from opsreport.plan.model import FoodPlan, LotLeft
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.orders.amounts import larger_words
from opsreport.tables.orders.heads import planned_sessions, supplier_name, total
from opsreport.tables.table import Column, Document, Part, Prose, Row, Table, Value


def stock(programme: Programme, food: FoodPlan) -> Document:
    """First what needs a hand, then what is used, then how every lot ends."""
    lots = sorted(food.lots, key=lambda lot: (lot.food.casefold(), lot.food, lot.lot, lot.row))
    parts: list[Part] = [
        _expired(lots),
        _held(lots),
        _undated(lots),
        _unused(lots),
        _used(programme, food),
        _lots_left(programme, lots),
        _left_by_food(programme, food, lots),
    ]
    if any(lot.expired for lot in lots):
        sentence = "Food past its date is taken off the shelf and never goes into a kit."
        parts.insert(0, Prose((sentence,), kind="caution"))
    return Document(
        "orders/stock",
        "Stock: used, expiring, left",
        "the coordinator",
        tuple(parts),
        head_line(programme),
        landscape=True,
    )


_LOT = (
    Column("Ingredient", width=24),
    Column("Lot", "code", 12),
    Column("Place", width=16),
    Column("Good through", "date", 16),
)
_UNIT = Column("Unit", width=6)


def _lot_table(
    title: str,
    lots: Iterable[LotLeft],
    columns: tuple[Column, ...],
    cells: Callable[[LotLeft], tuple[Value, ...]],
    empty: str,
    notes: tuple[str, ...] = (),
) -> Table:
    """Lots that need a hand, with further columns."""
    rows = tuple(Row((*_lot_cells(lot), *cells(lot)), "warning") for lot in lots)
    return Table("Lots to see to", title, (*_LOT, *columns), rows, notes=notes if rows else (), empty=empty)


def _lot_cells(lot: LotLeft) -> tuple[Value, ...]:
    return (lot.food, lot.lot, lot.location, lot.good_through or "no date")


def _expired(lots: list[LotLeft]) -> Table:
    return _lot_table(
        "Out of date: remove",
        (lot for lot in lots if lot.expired),
        (Column("Amount", "amount", 11), _UNIT, Column("Removed by, on", "write-in", 18)),
        lambda lot: (lot.on_hand, lot.unit, None),
        "No lot is out of date.",
    )


def _held(lots: list[LotLeft]) -> Table:
    return _lot_table(
        "On hold: not used",
        (lot for lot in lots if lot.held),
        (Column("Amount", "amount", 11), _UNIT),
        lambda lot: (lot.on_hand, lot.unit),
        "No lot is on hold.",
        ("Clear Hold on the Stock sheet and plan again once a lot may be used.",),
    )


def _undated(lots: list[LotLeft]) -> Table:
    return _lot_table(
        "Chilled and without a date: not used",
        (lot for lot in lots if lot.undated),
        (Column("Amount", "amount", 11), _UNIT, Column("Date on the pack", "write-in", 18)),
        lambda lot: (lot.on_hand, lot.unit, None),
        "Every chilled lot has a date.",
        ("Write Best before (and Opened) on the Stock sheet and plan again.",),
    )


def _unused(lots: list[LotLeft]) -> Table:
    """Usable lots of which something is left when they go out of date, no later than the last session."""
    wasted = [(lot.unused_by, lot) for lot in lots if lot.unused_by is not None]
    return _lot_table(
        "Goes out of date with something left",
        [lot for _, lot in sorted(wasted, key=lambda each: each[0])],
        (Column("On hand", "amount", 11), Column("Used", "amount", 11), Column("Left", "amount", 11), _UNIT),
        lambda lot: (lot.on_hand, lot.used, lot.left, lot.unit),
        "No lot goes out of date unused by the last session planned.",
        ("Use it for a tasting or pass it on while it is good, or plan a recipe that takes it.",),
    )


def _is_usable(lot: LotLeft) -> bool:
    return not (lot.expired or lot.held or lot.undated)


def _used(programme: Programme, food: FoodPlan) -> Table:
    """What each session takes of each lot, and of what was ordered before."""
    lots = {lot.row: lot for lot in food.lots}
    orders = {order.place.row: order for order in programme.on_order}
    sessions = planned_sessions(food)
    place = {name: number for number, name in enumerate(sessions)}
    rows = []
    for use in sorted(
        food.stock_use,
        key=lambda use: (
            use.food.casefold(),
            use.food,
            use.source == "ordered",
            use.lot,
            use.row,
            place.get(use.session, len(place)),
        ),
    ):
        planned = sessions.get(use.session)
        if use.source == "stock":
            kept = lots[use.row].location if use.row in lots else ""
            source = "stock"
        else:
            kept = supplier_name(programme, orders[use.row].supplier) if use.row in orders else ""
            source = "ordered before"
        rows.append(
            Row(
                (
                    use.food,
                    source,
                    use.lot,
                    kept,
                    use.session,
                    planned.group if planned else "",
                    planned.packing_day if planned else None,
                    use.amount,
                    use.unit,
                    larger_words(use.amount, use.unit, programme.measures),
                )
            )
        )
    columns = (
        Column("Ingredient", width=24),
        Column("From", width=14),
        Column("Lot or order", "code", 16),
        Column("Place or supplier", width=18),
        Column("Session", "code", 9),
        Column("Group", "code", 9),
        Column("Packing day", "date", 16),
        Column("Used", "amount", 11),
        _UNIT,
        Column("In larger units", width=22),
    )
    return Table(
        "Used by session",
        "What each session takes",
        columns,
        tuple(rows),
        empty="No session takes anything from stock or from what was ordered before.",
    )


def _lots_left(programme: Programme, lots: list[LotLeft]) -> Table:
    columns = (
        *_LOT,
        Column("On hand", "amount", 11),
        Column("Used", "amount", 11),
        Column("Left", "amount", 11),
        _UNIT,
        Column("Left, in larger units", width=22),
        Column("Not used because", width=20),
    )
    rows = []
    for lot in lots:
        reasons = [
            *(["out of date"] if lot.expired else []),
            *(["on hold"] if lot.held else []),
            *(["chilled, no date"] if lot.undated else []),
        ]
        larger = larger_words(lot.left, lot.unit, programme.measures)
        rows.append(
            Row(
                (*_lot_cells(lot), lot.on_hand, lot.used, lot.left, lot.unit, larger, ", ".join(reasons)),
                "quiet" if not lot.left else "",
            )
        )
    return Table("Every lot", "How every lot ends", columns, tuple(rows), empty="The workbook lists no stock.")


def _left_by_food(programme: Programme, food: FoodPlan, lots: list[LotLeft]) -> Table:
    """What is left of each ingredient after the last session: of usable lots, and of packs bought now."""
    units = {lot.food: lot.unit for lot in lots} | {row.food: row.base_unit for row in food.purchases}
    rows = []
    for name in sorted(units, key=lambda name: (name.casefold(), name)):
        of_lots = total(lot.left for lot in lots if lot.food == name and _is_usable(lot))
        of_packs = total(row.left_over for row in food.purchases if row.food == name)
        both = of_lots + of_packs
        if both:
            larger = larger_words(both, units[name], programme.measures)
            rows.append(Row((name, of_lots, of_packs, both, units[name], larger)))
    columns = (
        Column("Ingredient", width=24),
        Column("Of stock", "amount", 11),
        Column("Of packs bought", "amount", 11),
        Column("Left", "amount", 11),
        _UNIT,
        Column("Left, in larger units", width=22),
    )
    return Table(
        "Left at the end",
        "What is left after the last session",
        columns,
        tuple(rows),
        notes=("Lots that are out of date, on hold, or chilled without a date are not in it.",),
        empty="Nothing is left after the last session.",
    )
