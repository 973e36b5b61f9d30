"""A group's list: participants down, delivered sessions across, marks shaded so that it reads as a picture."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Sequence
from typing import Final

from opsreport.plan.people_model import MemberAttendance, PeoplePlan, SessionAttendance
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.naming import group_words
from opsreport.tables.table import Column, Row, Table, Total, Value

_SHOWN: Final = {".": "·", " ": None}
"""A mark that is not shown as itself: not recorded, not expected."""
_LEGEND: Final = (
    "P present (dark), A absent (hatched), E excused (grey), · not recorded, V came on a day when they did not belong "
    "to the group (framed); empty: not expected. V counts as a contact only. In the spreadsheet the counts follow the "
    "marks: correct them in your workbook, though, not here. Of: sessions at which they were expected. Share: times "
    "present ÷ of.",
    "Visitors who belong to another group stand in that group's list; their visits are in the contacts there.",
)


def grid_tables(programme: Programme, people: PeoplePlan) -> Iterator[Table]:
    """A list a group, in the order of the groups."""
    sessions: dict[str, list[SessionAttendance]] = defaultdict(list)
    members: dict[str, list[MemberAttendance]] = defaultdict(list)
    for session in people.sessions:
        sessions[session.group].append(session)
    for member in people.members:
        members[member.group].append(member)
    for group in people.groups:
        yield _grid_table(programme, people, group, sessions[group], members[group] if sessions[group] else [])


def _grid_table(
    programme: Programme, people: PeoplePlan, group: str, sessions: Sequence[SessionAttendance],
    members: Sequence[MemberAttendance],
) -> Table:  # fmt: skip
    """One group's marks with counts beside and below that a spreadsheet works out from them."""
    columns = [Column(f"{session.session} {_short(session.day)}", "mark", 6) for session in sessions]
    recorded = _counts_of(columns)
    totals: list[Total] = []
    for letter, label, figure in (("P", "Present", "present"), ("A", "Absent", "absent"), ("E", "Excused", "excused")):
        for session, column in zip(sessions, columns, strict=True):
            formula = f'COUNTIF([{column.heading}],"{letter}")' if recorded else ""
            totals.append(Total(f"{label} {session.session}", label, column.heading, getattr(session, figure), formula))
        if letter == "P":
            totals.append(
                Total("present", label, "Times present", people.groups[group].present, "SUM([Times present])")
            )
    return Table(
        f"List {group}",
        f"{group_words(programme, group)}: who came when",
        (
            Column("Participant", "code", 14),
            *columns,
            Column("Times present", "count", 9, recorded),
            Column("Of", "count", 6),
            Column("Share", "percent", 7, "[Times present]/[Of]"),
            Column("Completer", width=10),
        ),
        tuple(
            Row(
                (
                    member.participant, *map(_mark, member.marks), member.present, member.expected,
                    member.present / member.expected if member.expected else None,
                    "yes" if member.completer else "",
                )
            )
            for member in members
        ),
        totals=tuple(totals) if members else (),
        notes=_LEGEND if members else (),
        empty="Nobody is enrolled in this group." if sessions else "No session of this group has been delivered yet.",
        page_break=True,
    )  # fmt: skip


def _counts_of(columns: list[Column]) -> str:
    """The formula that counts a row's presents; none where a session's code would break it."""
    if not columns or any(sign in column.heading for column in columns for sign in "[]"):
        return ""
    return f'COUNTIF([{columns[0].heading}]:[{columns[-1].heading}],"P")'


def _mark(letter: str) -> Value:
    return _SHOWN.get(letter, letter)


def _short(day: dt.date) -> str:
    """`8 Feb`: the weekday and the year stand in the list of sessions."""
    return " ".join(day_words(day).split()[1:3])
