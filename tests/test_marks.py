"""Attendance in columns gives the same records and figures as records one by one, wide and long."""

import dataclasses

import pytest
from support import read, term

from opsreport.joining import build_programme
from opsreport.kinds import Mark
from opsreport.marks import LongMarks, Marks, WideMarks, in_columns
from opsreport.plan.people.ledger import keep_ledger

SESSIONS = (
    "Session | Group | Date | Recipes | Status\n"
    "s1 | g1 | @2027-03-04 | soup | delivered\ns2 | g1 | @2027-03-11 | soup | delivered"
)
ENROLMENT = "Participant | Group | Needs\np1 | g1 | none\np2 | g1 | none\np3 | g1 | none"
WIDE = "Participant | s2 | s1\nP2 | x | kit only\np1 | | a\nvisitor | y | excused\np3 | |"
LONG = (
    "Session | Participant | Mark | Kit\ns2 | p2 | x | yes\nS1 | p2 | kit only |\ns1 | p1 | a | no\n"
    "s2 | visitor | y |\ns1 | p3 | | yes\ns1 | p2 | bad |\ns1 | visitor | excused |"
)


def marks_of(attendance: str) -> Marks:
    found = read(term(Sessions=SESSIONS, Enrolment=ENROLMENT, Attendance=attendance))[0].attendance
    assert isinstance(found, Marks)
    return found


def test_both_layouts_are_kept_in_columns() -> None:
    wide, long = marks_of(WIDE), marks_of(LONG)
    assert isinstance(wide, WideMarks)
    assert isinstance(long, LongMarks)
    assert (len(wide), len(long)) == (5, 6)
    assert [(row.session, row.participant, str(row.place.at("Mark"))) for row in wide] == [
        ("s2", "P2", "Attendance!B2"), ("s2", "visitor", "Attendance!B4"),
        ("s1", "P2", "Attendance!C2"), ("s1", "p1", "Attendance!C3"), ("s1", "visitor", "Attendance!C4"),
    ]  # fmt: skip
    assert [(row.session, row.participant, row.mark, row.kit, row.place.row) for row in long] == [
        ("s2", "p2", Mark("present"), True, 2), ("S1", "p2", Mark("absent", kit_only=True), None, 3),
        ("s1", "p1", Mark("absent"), False, 4), ("s2", "visitor", Mark("present"), None, 5),
        ("s1", "p3", None, True, 6), ("s1", "visitor", Mark("excused"), None, 8),
    ]  # fmt: skip


@pytest.mark.parametrize("attendance", [WIDE, LONG])
def test_columns_say_what_the_records_say(attendance: str) -> None:
    marks = marks_of(attendance)
    for columns in (marks.columns(), in_columns(tuple(marks))):
        named = [
            (columns.sessions[s], columns.participants[p], columns.kinds[m])
            for s, p, m in zip(columns.session, columns.person, columns.mark, strict=True)
        ]
        assert named == [(row.session, row.participant, row.mark) for row in marks]
    assert {place.row for place in marks.outermost()} == {
        min(row.place.row for row in marks), max(row.place.row for row in marks),
    }  # fmt: skip


@pytest.mark.parametrize("attendance", [WIDE, LONG])
def test_the_ledger_is_the_same_from_columns_and_from_records(attendance: str) -> None:
    rows = read(term(Sessions=SESSIONS, Enrolment=ENROLMENT, Attendance=attendance))[0]
    assert rows.settings.as_of is None
    programme = build_programme(rows, rows.sessions[-1].day)
    assert isinstance(programme.attendance, Marks)
    one = keep_ledger(programme)
    other = keep_ledger(dataclasses.replace(programme, attendance=tuple(programme.attendance)))
    assert one.roll.people == other.roll.people == ("p1", "p2", "p3", "visitor")
    assert one.handed.tolist() == other.handed.tolist()
    for part in ("pairs", "presents"):
        for field in dataclasses.fields(getattr(one, part)):
            ours, theirs = (getattr(getattr(each, part), field.name).tolist() for each in (one, other))
            assert ours == theirs, (part, field.name)


@pytest.mark.parametrize("attendance", [WIDE, LONG])
def test_only_the_records_that_are_asked_for_are_made(attendance: str) -> None:
    marks = marks_of(attendance)
    visitor = list(marks.participants).index("visitor")
    found = list(marks.records_where({"s2": {visitor}}))
    assert [(row.session, row.participant) for row in found] == [("s2", "visitor")]
