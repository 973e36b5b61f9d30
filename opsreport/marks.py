"""Attendance in wide form, kept a column at a time: a large term has millions of marks and few different ones."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import overload

from opsreport.kinds import Mark
from opsreport.shapes import ElsewherePlace
from opsreport.sheets import AttendanceRow


@dataclass(frozen=True, slots=True)
class SessionMarks:
    """One column: the marks of one session, aligned with the sheet's participants; None where there is none.

    columns / rows: where its records' cells stand, as `ElsewherePlace` has them.
    """

    session: str
    marks: Sequence[Mark | None]
    columns: Mapping[str, int]
    rows: Mapping[str, int]


class WideMarks(Sequence[AttendanceRow]):
    """The records of a wide sheet, column by column; each is made when it is asked for, none is kept.

    participants: one a row, None where its cell has a finding. rows: their rows in the sheet. sessions: the columns.
    """

    def __init__(
        self, order: int, sheet: str, participants: Sequence[str | None], rows: Sequence[int],
        sessions: Sequence[SessionMarks],
    ) -> None:  # fmt: skip
        self.order = order
        self.sheet = sheet
        self.participants = participants
        self.rows = rows
        self.sessions = sessions

    def record(self, session: SessionMarks, at: int) -> AttendanceRow:
        """The record of a session's `at`-th participant, where there is a mark."""
        place = ElsewherePlace(self.order, self.sheet, self.rows[at], session.columns, session.rows)
        named = self.participants[at] or ""
        return AttendanceRow(place=place, session=session.session, participant=named, mark=session.marks[at], kit=None)

    def first_records(self) -> Iterator[AttendanceRow]:
        """Enough records to see every session and every participant that has a mark, the first of each among them."""
        unseen = set(range(len(self.participants)))
        for session in self.sessions:
            here = {at for at in unseen if session.marks[at] is not None}
            first = next((at for at, mark in enumerate(session.marks) if mark is not None), None)
            unseen -= here
            for at in sorted(here if first is None else here | {first}):
                yield self.record(session, at)

    def __len__(self) -> int:
        return sum(sum(mark is not None for mark in session.marks) for session in self.sessions)

    def __iter__(self) -> Iterator[AttendanceRow]:
        for session in self.sessions:
            for at, mark in enumerate(session.marks):
                if mark is not None:
                    yield self.record(session, at)

    @overload
    def __getitem__(self, index: int) -> AttendanceRow: ...
    @overload
    def __getitem__(self, index: slice) -> Sequence[AttendanceRow]: ...
    def __getitem__(self, index: int | slice) -> AttendanceRow | Sequence[AttendanceRow]:
        if isinstance(index, slice):
            return tuple(self)[index]
        at = index if index >= 0 else len(self) + index
        found = next(islice(iter(self), at, None), None) if at >= 0 else None
        if found is None:
            raise IndexError(index)
        return found

    def __eq__(self, other: object) -> bool:
        return isinstance(other, Sequence) and tuple(self) == tuple(other)

    __hash__ = None  # type: ignore[assignment]
