"""Attendance and surveys, wide or long, made marks in columns and one answer a record."""

import dataclasses
import re
from array import array
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from opsreport.kinds import CellValue, How, Kind, Mark, Unreadable, id_text
from opsreport.marks import NOT_TOLD, LongMarks, Marks, SessionMarks, WideMarks, numbered
from opsreport.reading.cell_reader import BAD, Known, Reader, column_values, repeats, say_unread, shown
from opsreport.reading.shapes import ElsewherePlace, Table, blank, repeated_headings
from opsreport.reading.workbook import Cell, Faulty
from opsreport.sheets import RowPlace
from opsreport.words import fold, nearest


def long_marks(table: Table, reader: Reader, rows: Sequence[tuple[int, bool]]) -> tuple[Marks, bool]:
    """Attendance, one mark a row, and whether anyone has two of one session; a row without a mark and without a kit
    says nothing."""
    named: dict[str, list[Any]] = {}
    for column in table.spec.columns:
        may_lack = dataclasses.replace(column, required=column.required and column.heading != "Mark")
        named[column.name] = column_values(table, reader, may_lack, rows)
    sessions, participants, marks, kits = (named[name] for name in ("session", "participant", "mark", "kit"))
    kept = [
        at for at, (session, person, mark, kit) in enumerate(zip(sessions, participants, marks, kits, strict=True))
        if session is not BAD and person is not BAD and mark is not BAD and kit is not BAD
        and (mark is not None or kit is not None)
    ]  # fmt: skip
    if len(kept) < len(rows):
        sessions, participants, marks, kits = (
            [values[at] for at in kept] for values in (sessions, participants, marks, kits)
        )
    held, session = numbered(sessions)
    people, person = numbered(participants)
    kinds, mark = numbered(marks)
    told = b"" if "Kit" not in table.columns else bytes(NOT_TOLD if kit is None else kit for kit in kits)
    at_row = array("i", (rows[at][0] for at in kept))
    found = LongMarks(
        table.sheet.order, table.sheet.name, (held, people, kinds), (session, person, bytes(iter(mark)), told), at_row,
        table.columns,
    )  # fmt: skip
    same_session, same_person = (numbered([fold(name) for name in names])[1] for names in (held, people))
    pairs = {same_session[a] * len(people) + same_person[b] for a, b in zip(session, person, strict=True)}
    return found, len(pairs) < len(kept)


@dataclass
class _WideColumn:
    """One column of a wide sheet: where, and the id in its heading."""

    at: int
    named: str
    columns: Mapping[str, int]
    rows: Mapping[str, int]


def _wide_columns(
    table: Table, reader: Reader, rows: Sequence[tuple[int, bool]], heading: str, ids: Mapping[str, str],
    kind: Kind[Any], value: str,
) -> list[_WideColumn]:  # fmt: skip
    """The columns that are about a session or question; the others are mentioned in one note.

    A heading that is no known id is taken for one where it is near to one, or where most of what stands
    below reads as `kind`; what follows is that the id is said to be unknown.
    """
    found = []
    unread = []
    twice = {column for column, _ in repeated_headings(table)}
    for at, cell in table.others.items():
        if at in twice:
            continue
        named = _heading_id(reader, cell, table.heading_row, at)
        if fold(named) not in ids:
            filled = [below for row, _ in rows if not blank(below := table.cell(row, at))]
            fits = sum(_fits(below, kind, reader.how) for below in filled)
            near = nearest(named, ids, 80) if ids else ""
            if not filled or not (near or (fits * 2 > len(filled) and kind is not _ANY)):
                unread.append(at)
                continue
        columns = {"Participant": table.columns["Participant"], heading: at, value: at}
        if "When" in table.columns:
            columns["When"] = table.columns["When"]
        found.append(_WideColumn(at, named, columns, {heading: table.heading_row}))
    say_unread(reader, table, unread)
    return found


def _heading_id(reader: Reader, cell: Cell, row: int, column: int) -> str:
    reader.row, reader.column = row, column
    try:
        return str(id_text.read(cell, reader.how)) if not isinstance(cell, Faulty) else ""
    except Unreadable:
        return shown(cell)


def _fits(cell: Cell, kind: Kind[Any], how: How) -> bool:
    if isinstance(cell, Faulty):
        return True
    try:
        kind.read(cell, how)
    except Unreadable:
        return False
    finally:
        how.notes.clear()
    return True


def _read_survey_word(cell: CellValue, how: How) -> str:
    """Whatever looks like an answer: a number, yes or no."""
    word = fold(shown(cell))
    if re.fullmatch(r"-?[0-9]+([.,][0-9]+)?", word) or word in ("yes", "no", "y", "n"):
        return word
    raise Unreadable("answer-unreadable")


_ANY: Final = Kind[Any]("", "", "", lambda cell, how: cell)
_ANSWER: Final = Kind[str]("answer", "", "", _read_survey_word)


def wide_marks(
    table: Table, reader: Reader, rows: Sequence[tuple[int, bool]], known: Known
) -> tuple[Marks, bool]:  # fmt: skip
    """Attendance, one row a participant and one column a session, and whether either stands twice: filled marks only.

    A cell that is read like others before it is only looked up: its number is that of its mark.
    """
    of = {column.name: column for column in table.spec.columns}
    named = column_values(table, reader, of["participant"], rows)
    participants = [None if value is BAD else value for value in named]
    plain = _PlainMarks(of["mark"].kind, reader.how)
    wide = max((len(table.sheet.rows[row - 1]) for row, _ in rows), default=0)
    lines = (table.sheet.rows[row - 1] for row, _ in rows)
    numbers = b"".join([bytes(map(plain.__getitem__, cells)).ljust(wide, b"\0") for cells in lines])
    sessions = []
    some_bad = None in participants
    for column in _wide_columns(
        table, reader, rows, "Session", known.ids.get("Sessions", {}), of["mark"].kind, "Mark"
    ):  # fmt: skip
        marks = numbers[column.at - 1 :: wide] if column.at <= wide else bytes(len(rows))
        if _ODD in marks:
            marks = bytes(
                _odd_mark(table.cell(row, column.at), reader, plain, row, column.at) if number == _ODD else number
                for number, (row, _) in zip(marks, rows, strict=True)
            )
        if some_bad:
            marks = bytes(0 if person is None else number for number, person in zip(marks, participants, strict=True))
        sessions.append(SessionMarks(column.named, marks, column.columns, column.rows))
    found = WideMarks(
        table.sheet.order, table.sheet.name, participants, [row for row, _ in rows], sessions, plain.kinds
    )
    return found, repeats(participants) or repeats([column.session for column in sessions])


_ODD: Final = 255
"""The number of a cell whose mark has to be read where it stands."""


class _PlainMarks(dict[Cell, int]):
    """The number of the mark that a text is, 0 for none; `_ODD` where it is no text, or reading it has to say
    something. kinds: the mark of each number."""

    def __init__(self, kind: Kind[Any], how: How) -> None:
        super().__init__({"": 0, None: 0})
        self.kind = kind
        self.how = dataclasses.replace(how, notes=[])
        self.kinds: list[Mark | None] = [None]

    def __missing__(self, cell: Cell) -> int:
        number = _ODD
        if isinstance(cell, str):
            if blank(cell):
                number = 0
            elif _fits(cell, self.kind, self.how):
                mark = self.kind.read(cell, self.how)
                number = _ODD if self.how.notes else self.number(mark)
                self.how.notes.clear()
            self[cell] = number
        return number

    def number(self, mark: Mark) -> int:
        if mark not in self.kinds:
            self.kinds.append(mark)
        return self.kinds.index(mark)


def _odd_mark(cell: Cell, reader: Reader, plain: _PlainMarks, row: int, at: int) -> int:
    """The number of a mark that is no plain text, or has a finding."""
    mark = None if blank(cell) else reader.read(cell, plain.kind, row, at)
    return 0 if mark is BAD or mark is None else plain.number(mark)


def answers(table: Table, reader: Reader, rows: Sequence[tuple[int, bool]], known: Known) -> list[Any]:
    """Surveys, wide or long, as one answer a record."""
    spec = table.spec
    of = {column.name: column for column in spec.columns}
    sheet = table.sheet
    participants = column_values(table, reader, of["participant"], rows)
    records: list[Any] = []

    def enter(place: RowPlace, participant: Any, question: Any, when: Any, at: int) -> None:
        cell = table.cell(place.row, at)
        if blank(cell):
            return
        answer = reader.read(cell, of["answer"].kind, place.row, at)
        if not any(value is BAD for value in (participant, question, when, answer)):
            records.append(
                spec.record(place=place, participant=participant, question=question, when=when, answer=answer)
            )

    if not table.wide:
        questions = column_values(table, reader, of["question"], rows)
        for when in ("before", "after"):
            at = table.columns.get(when.capitalize(), 0)
            columns = {**table.columns, "Answer": at, "When": at}
            for (row, _), participant, question in zip(rows, participants, questions, strict=True):
                if at:
                    enter(RowPlace(sheet.order, sheet.name, row, columns), participant, question, when, at)
        return records
    times = column_values(table, reader, of["when"], rows)
    questions_known = known.ids.get("Questions", {})
    for column in _wide_columns(table, reader, rows, "Question", questions_known, _ANSWER, "Answer"):
        for (row, _), participant, when in zip(rows, participants, times, strict=True):
            place = ElsewherePlace(sheet.order, sheet.name, row, column.columns, column.rows)
            enter(place, participant, column.named, when, column.at)
    return records
