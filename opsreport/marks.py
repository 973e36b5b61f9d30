"""Attendance kept in columns, whether it is written wide or long: a large term has millions of marks and few
different ones, so a mark is one byte, and a record is made only of those that somebody asks for.
"""

from abc import abstractmethod
from array import array
from collections.abc import Callable, Container, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING, Final, TypeVar, overload

from opsreport.kinds import Mark
from opsreport.reading.shapes import ElsewherePlace
from opsreport.sheets import AttendanceRow, RowPlace

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

_Name = TypeVar("_Name")
NOT_TOLD: Final = 2
"""In a column of kits: whether the kit was collected is not said; 0 no, 1 yes."""


@dataclass(frozen=True, slots=True)
class MarkColumns:
    """Every mark by number, in the order of the records.

    sessions, participants: the names that `session` and `person` number; kinds: the marks that `mark` numbers.
    kit: 0 no, 1 yes, `NOT_TOLD`; empty where the sheet says nothing of kits.
    """

    sessions: Sequence[str]
    participants: Sequence[str]
    kinds: Sequence[Mark | None]
    session: "NDArray[np.int64]"
    person: "NDArray[np.int64]"
    mark: "NDArray[np.uint8]"
    kit: "NDArray[np.uint8]"


class Marks(Sequence[AttendanceRow]):
    """The records of an Attendance sheet; each is made when it is asked for, none is kept.

    participants: those whom numbers mean, None where a cell has a finding.
    """

    participants: Sequence[str | None]

    @abstractmethod
    def session_names(self) -> Sequence[str]:
        """The sessions that marks are of."""

    @abstractmethod
    def columns(self) -> MarkColumns:
        """All of them as numbers."""

    @abstractmethod
    def records_where(self, doubtful: Mapping[str, Container[int]]) -> Iterator[AttendanceRow]:
        """Those with a mark, of sessions named in `doubtful` and of the participants whose numbers stand there."""

    @abstractmethod
    def renamed(self, session: Callable[[str], str], participant: Callable[[str], str]) -> "Marks":
        """The same with other spellings of the names."""

    @abstractmethod
    def outermost(self) -> list[RowPlace]:
        """The places of the first and the last record and, between them, of those highest up and lowest down."""

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


@dataclass(frozen=True, slots=True)
class SessionMarks:
    """One column of a wide sheet: a byte a participant, the number of the mark; 0 where there is none.

    columns / rows: where its records' cells stand, as `ElsewherePlace` has them.
    """

    session: str
    marks: bytes
    columns: Mapping[str, int]
    rows: Mapping[str, int]


class WideMarks(Marks):
    """The records of a wide sheet, column by column.

    participants: one a row, None where its cell has a finding. rows: their rows in the sheet. sessions: the columns.
    kinds: the mark that each number means, the first None.
    """

    def __init__(
        self, order: int, sheet: str, participants: Sequence[str | None], rows: Sequence[int],
        sessions: Sequence[SessionMarks], kinds: Sequence[Mark | None],
    ) -> None:  # fmt: skip
        self.order = order
        self.sheet = sheet
        self.participants = participants
        self.rows = rows
        self.sessions = sessions
        self.kinds = kinds

    def session_names(self) -> Sequence[str]:
        return [session.session for session in self.sessions]

    def record(self, session: SessionMarks, at: int) -> AttendanceRow:
        """The record of a session's `at`-th participant, where there is a mark."""
        place = ElsewherePlace(self.order, self.sheet, self.rows[at], session.columns, session.rows)
        named, mark = self.participants[at] or "", self.kinds[session.marks[at]]
        return AttendanceRow(place=place, session=session.session, participant=named, mark=mark, kit=None)

    def first_records(self) -> Iterator[AttendanceRow]:
        """Enough records to see every session and every participant that has a mark, the first of each among them."""
        unseen = set(range(len(self.participants)))
        for session in self.sessions:
            here = {at for at in unseen if session.marks[at]}
            first = next((at for at, mark in enumerate(session.marks) if mark), None)
            unseen -= here
            for at in sorted(here if first is None else here | {first}):
                yield self.record(session, at)

    def columns(self) -> MarkColumns:
        import numpy as np

        table = np.frombuffer(b"".join(session.marks for session in self.sessions), np.uint8)
        table = table.reshape(len(self.sessions), len(self.participants))
        session, person = np.nonzero(table)
        people = [name or "" for name in self.participants]
        return MarkColumns(
            self.session_names(), people, self.kinds, session, person, table[session, person], np.zeros(0, np.uint8)
        )

    def records_where(self, doubtful: Mapping[str, Container[int]]) -> Iterator[AttendanceRow]:
        for session in self.sessions:
            if among := doubtful.get(session.session):
                for at, mark in enumerate(session.marks):
                    if mark and at in among:
                        yield self.record(session, at)

    def renamed(self, session: Callable[[str], str], participant: Callable[[str], str]) -> "WideMarks":
        columns = [SessionMarks(session(each.session), each.marks, each.columns, each.rows) for each in self.sessions]
        people = [None if name is None else participant(name) for name in self.participants]
        return WideMarks(self.order, self.sheet, people, self.rows, columns, self.kinds)

    def outermost(self) -> list[RowPlace]:
        filled = [session for session in self.sessions if any(session.marks)]
        if not filled:
            return []
        marked = [at for at in range(len(self.rows)) if any(session.marks[at] for session in filled)]
        ends = (
            (filled[0], next(at for at, mark in enumerate(filled[0].marks) if mark)),
            (filled[0], min(marked, key=self.rows.__getitem__)),
            (filled[0], max(marked, key=self.rows.__getitem__)),
            (filled[-1], max(at for at, mark in enumerate(filled[-1].marks) if mark)),
        )
        return [self.record(session, at).place for session, at in ends]

    def __len__(self) -> int:
        return sum(len(session.marks) - session.marks.count(0) for session in self.sessions)

    def __iter__(self) -> Iterator[AttendanceRow]:
        for session in self.sessions:
            for at, mark in enumerate(session.marks):
                if mark:
                    yield self.record(session, at)


class LongMarks(Marks):
    """The records of a long sheet, one row each. All columns are aligned.

    sessions, people, kinds: what `session`, `person` and `mark` number, as `MarkColumns` has them. rows: of the
    sheet. kit: empty where the sheet has no such column. headings: where each heading's column stands.
    """

    def __init__(
        self, order: int, sheet: str, names: tuple[Sequence[str], Sequence[str], Sequence[Mark | None]],
        columns: tuple[Sequence[int], Sequence[int], bytes, bytes], rows: Sequence[int], headings: Mapping[str, int],
    ) -> None:  # fmt: skip
        self.order = order
        self.sheet = sheet
        self.sessions, self.people, self.kinds = names
        self.participants = self.people
        self.session, self.person, self.mark, self.kit = columns
        self.rows = rows
        self.headings = headings

    def session_names(self) -> Sequence[str]:
        return self.sessions

    def record(self, at: int) -> AttendanceRow:
        """The `at`-th record."""
        told = self.kit[at] if self.kit else NOT_TOLD
        return AttendanceRow(
            place=RowPlace(self.order, self.sheet, self.rows[at], self.headings),
            session=self.sessions[self.session[at]],
            participant=self.people[self.person[at]],
            mark=self.kinds[self.mark[at]],
            kit=None if told == NOT_TOLD else bool(told),
        )

    def naming(self, sessions: Container[str], participants: Container[str]) -> Iterator[AttendanceRow]:
        """The records of any of these sessions or participants."""
        held = {at for at, name in enumerate(self.sessions) if name in sessions}
        people = {at for at, name in enumerate(self.participants) if name in participants}
        for at, (session, person) in enumerate(zip(self.session, self.person, strict=True)):
            if session in held or person in people:
                yield self.record(at)

    def columns(self) -> MarkColumns:
        import numpy as np

        return MarkColumns(
            self.sessions, self.people, self.kinds,
            np.array(self.session, np.int64), np.array(self.person, np.int64),
            np.frombuffer(self.mark, np.uint8), np.frombuffer(self.kit, np.uint8),
        )  # fmt: skip

    def records_where(self, doubtful: Mapping[str, Container[int]]) -> Iterator[AttendanceRow]:
        by_number = [doubtful.get(name, ()) for name in self.sessions]
        for at, (session, person) in enumerate(zip(self.session, self.person, strict=True)):
            if person in by_number[session] and self.kinds[self.mark[at]] is not None:
                yield self.record(at)

    def renamed(self, session: Callable[[str], str], participant: Callable[[str], str]) -> "LongMarks":
        names = ([session(name) for name in self.sessions], [participant(name) for name in self.people])
        columns = (self.session, self.person, self.mark, self.kit)
        return LongMarks(self.order, self.sheet, (*names, self.kinds), columns, self.rows, self.headings)

    def outermost(self) -> list[RowPlace]:
        return [RowPlace(self.order, self.sheet, row, self.headings) for row in (*self.rows[:1], *self.rows[-1:])]

    def __len__(self) -> int:
        return len(self.rows)

    def __iter__(self) -> Iterator[AttendanceRow]:
        return map(self.record, range(len(self.rows)))


def in_columns(rows: Sequence[AttendanceRow]) -> MarkColumns:
    """Any records of attendance as numbers; those that are kept so already at no cost."""
    if isinstance(rows, Marks):
        return rows.columns()
    sessions, session = numbered([row.session for row in rows])
    participants, person = numbered([row.participant for row in rows])
    kinds, mark = numbered([row.mark for row in rows])
    kit = bytes(NOT_TOLD if row.kit is None else row.kit for row in rows)
    columns = (session, person, bytes(iter(mark)), kit)
    return LongMarks(0, "", (sessions, participants, kinds), columns, range(len(rows)), {}).columns()


def numbered(names: Sequence[_Name]) -> tuple[list[_Name], Sequence[int]]:
    """Different names in the order in which they are met, and the number of each one's name."""
    met = {id(name): name for name in names}  # equal names are few objects, of which some are slow to compare
    numbers: dict[_Name, int] = {}
    by_object = {key: numbers.setdefault(name, len(numbers)) for key, name in met.items()}
    return list(numbers), array("i", map(by_object.__getitem__, map(id, names)))
