"""Where in the workbook the figures about people come from: the cells behind each of them."""

from collections.abc import Iterable, Sequence

from opsreport.findings import Place, column_letters
from opsreport.marks import Marks
from opsreport.programme import Programme
from opsreport.sheets import RowPlace
from opsreport.tables.table import Column, Row, Table


def sources_table(programme: Programme, *, hidden: bool = False) -> Table:
    """Figure by figure the cells that it is counted from. hidden: for a funder, who has no workbook to look into."""
    seen = programme.attendance
    marks = _rows(seen.outermost() if isinstance(seen, Marks) else [row.place for row in seen])
    members = _rows([member.needs_place for member in programme.members])
    sessions = _rows([session.place for session in programme.sessions.values()])
    pick_ups = _rows([row.place for row in programme.pick_ups])
    rows = (
        ("Sessions planned and delivered", sessions),
        ("Present, absent, excused, not recorded; rates, contacts, completers", _joined(marks, members, sessions)),
        ("People, households, breakdowns", _joined(marks, members)),
        ("Contact hours", _joined(marks, sessions)),
        ("Kits given out", _joined(pick_ups or marks, members, sessions)),
        ("Outcomes", _joined(
            _rows([row.place for row in programme.surveys]), _rows([row.place for row in programme.questions])
        )),
        ("Targets", _rows([row.place for row in programme.funders])),
        ("Food cost and in-kind value", _joined(
            _rows([row.place for row in programme.on_order]), _rows([lot.place for lot in programme.lots]),
            "what the orders to place cost (orders/cost)",
        )),
    )  # fmt: skip
    return Table(
        "Sources",
        "Which cells the figures come from",
        (Column("Figure", width=44), Column("Cells of the workbook", width=60)),
        tuple(Row((figure, cells or "nothing is written there")) for figure, cells in rows),
        notes=("The report is made from the coordinator's workbook, who can show these cells.",) if hidden else (),
    )


def _rows(places: Sequence[RowPlace | Place]) -> str:
    """`Attendance!A5:J66`: from the first row that holds one to the last, over the columns that are read."""
    written = [place for place in places if place.sheet]
    if not written:
        return ""
    first, last = min(place.row for place in written), max(place.row for place in written)
    columns = [column for place in (written[0], written[-1]) for column in _columns(place)]
    widest = (
        f"{column_letters(min(columns))}{first}:{column_letters(max(columns))}{last}" if columns else f"{first}:{last}"
    )
    return f"{written[0].sheet}!{widest}"


def _columns(place: RowPlace | Place) -> Iterable[int]:
    return [at for at in place.columns.values() if at] if isinstance(place, RowPlace) else ()


def _joined(*ranges: str) -> str:
    return "; ".join(each for each in ranges if each)
