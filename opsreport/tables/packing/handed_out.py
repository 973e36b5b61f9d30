"""The loop closed: what became of the kits of past sessions, and rows for Stock of what came back."""

from typing import Final

from opsreport.plan.packing.handed_out import handed_out
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.packing.cautions import DEFER
from opsreport.tables.table import Column, Document, Row, Table

_COLUMNS: Final = (
    Column("Session", "code", 10),
    Column("Date", "date", 16),
    Column("Packed", "count", 8),
    Column("Collected", "count", 9),
    Column("Passed on", "count", 9),
    Column("Left", "count", 7),
    Column("Discarded", "count", 9),
    Column("Not known", "count", 9),
    Column("Short", "count", 7),
)
_STOCK: Final = (
    Column("Ingredient", width=26),
    Column("Amount", "amount", 10),
    Column("Unit", "code", 8),
    Column("Lot", "code", 16),
    Column("Best before", "write-in", 14),
    Column("Unopened, in date", "boxes", 10),
)


def kits_handed_out(programme: Programme) -> list[Document]:
    """One document for the term, where Pick-ups says anything of a session's kits; codes of sessions only."""
    told, back = handed_out(programme)
    if not told:
        return []
    rows = tuple(
        Row(
            (
                each.session, programme.sessions[each.session].day, each.packed, each.collected, each.passed_on,
                each.left, each.discarded, each.unknown, each.short,
            ),
            "warning" if each.unknown > each.extra or each.unknown < 0 else "",
        )
        for each in told
    )  # fmt: skip
    returned = tuple(Row((each.food, each.pieces, each.unit, f"back from {each.session}", None, 1)) for each in back)
    tables = (
        Table(
            "Kits", "What became of the kits", _COLUMNS, rows,
            notes=(
                "Packed = collected + passed on + left + discarded + not known, spare and demo kits among them; short "
                "is what could not be packed. Where a line stands out, more is not known than its spare and demo kits: "
                "type what became of those kits into Pick-ups.",
            ),
        ),
        Table(
            "Back on the shelf", "From kits that were left: rows for Stock", _STOCK, returned,
            notes=(
                "Only what is unopened and in date, kept dry and never with cold or raw food: read each package, write "
                "its date under Best before, then paste the row into Stock. Nothing measured or cold goes back.",
                DEFER,
            ),
            empty="No kit that was left holds whole pieces from the shelf.",
        ),
    )  # fmt: skip
    return [
        Document("packing/kits-handed-out", "Kits handed out", "the coordinator", tables, head_line(programme), True)
    ]
