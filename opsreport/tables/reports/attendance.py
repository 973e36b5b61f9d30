"""Attendance: who came, group by group and session by session, and whose marks are still missing."""

import datetime as dt
from collections.abc import Iterable
from typing import Final

from opsreport.plan.people_model import GroupAttendance, MemberAttendance, PeoplePlan, SessionAttendance
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.naming import counted, group_words, head_line
from opsreport.tables.reports.definitions import attendance_definitions
from opsreport.tables.table import Column, Document, Facts, Part, Prose, Row, Table, Total, decimal_words

_WHOLE: Final = "Whole programme"
_ONCE: Final = "Whole programme, people counted once"
_RATE: Final = "[Present]/([Present]+[Absent]+[Excused])"
_MARK_COLUMNS: Final = (
    Column("Expected", "count", 9),
    Column("Present", "count", 9),
    Column("Absent", "count", 8),
    Column("Excused", "count", 8),
    Column("Not recorded", "count", 9),
)
_NOT_RECORDED: Final = "·"
_LEGEND: Final = (
    "P present, A absent, E excused, · not recorded, V came on a day when they did not belong to the "
    "group; empty: not expected. V counts as a contact only.",
    "Visitors who belong to another group stand in that group's list; their visits are in the contacts here.",
)


def attendance_document(programme: Programme, people: PeoplePlan) -> Document:
    """Totals, figures by group and session, what is missing, then one list a group. Codes, never names."""
    parts: list[Part] = [
        _programme_facts(people),
        *_nothing_recorded(programme, people),
        _marks_by_group(programme, people),
        _people_by_group(programme, people),
        _by_session(people),
        still_to_record(programme, people),
        *(_grid(programme, people, group) for group in people.groups),
        attendance_definitions(programme.settings.completion, people.totals.kits_source),
    ]
    return Document(
        "reports/attendance",
        "Attendance",
        "the coordinator",
        tuple(parts),
        head_line(programme),
        landscape=True,
    )


def _programme_facts(people: PeoplePlan) -> Facts:
    totals = people.totals
    hours = decimal_words(totals.contact_hours, 1)
    if totals.sessions_without_minutes:
        without = counted(totals.sessions_without_minutes, "delivered session")
        hours += f" ({without} without minutes left out)"
    source = f" ({totals.kits_source})" if totals.kits_source else ""
    return Facts(
        (
            ("Sessions delivered", f"{totals.sessions_delivered:,} of {totals.sessions_planned:,} planned"),
            ("People", f"{totals.people:,} in {counted(totals.households, 'household')}"),
            ("Completers", f"{totals.completers:,}"),
            ("Contacts", f"{totals.contacts:,}"),
            ("Contact hours", hours),
            ("Kits given out", f"{totals.kits_distributed:,}{source}"),
        ),
        "The whole programme, people counted once",
    )


def _nothing_recorded(programme: Programme, people: PeoplePlan) -> list[Prose]:
    if programme.attendance or not people.sessions:
        return []
    return [
        Prose(
            (
                "Sessions were delivered, but no attendance mark stands in the workbook: every figure "
                "below waits for it.",
            ),
            "Nothing is recorded yet",
            "warning",
        )
    ]


def _marks_by_group(programme: Programme, people: PeoplePlan) -> Table:
    groups = people.groups
    sums: dict[str, int] = {
        "Planned": people.totals.sessions_planned,
        "Delivered": people.totals.sessions_delivered,
        "Expected": sum(group.expected for group in groups.values()),
        "Present": sum(group.present for group in groups.values()),
        "Absent": sum(group.absent for group in groups.values()),
        "Excused": sum(group.excused for group in groups.values()),
        "Not recorded": sum(group.not_recorded for group in groups.values()),
    }
    return Table(
        "Marks by group",
        "Sessions and marks by group",
        (
            Column("Group", width=26),
            Column("Planned", "count", 9),
            Column("Delivered", "count", 9),
            *_MARK_COLUMNS,
            Column("Rate", "percent", 8, _RATE),
        ),
        tuple(Row((group_words(programme, name), *_marks(group))) for name, group in groups.items()),
        totals=tuple(
            Total(heading.lower(), _WHOLE, heading, value, f"SUM([{heading}])") for heading, value in sums.items()
        ),
        empty="The workbook has no group.",
    )


def _marks(group: GroupAttendance) -> tuple[int | float | None, ...]:
    return (
        group.planned, group.delivered, group.expected, group.present, group.absent, group.excused,
        group.not_recorded, group.rate,
    )  # fmt: skip


def _people_by_group(programme: Programme, people: PeoplePlan) -> Table:
    totals = people.totals
    return Table(
        "People by group",
        "People, contacts and hours by group",
        (
            Column("Group", width=26),
            Column("Contacts", "count", 10),
            Column("People", "count", 9),
            Column("Households", "count", 11),
            Column("Completers", "count", 11),
            Column("Completers by own sessions", "count", 14),
            Column("Contact hours", "amount", 10),
        ),
        tuple(
            Row(
                (
                    group_words(programme, name), group.contacts, group.people, group.households,
                    group.completers, group.own_sessions_completers, group.contact_hours,
                )
            )
            for name, group in people.groups.items()
        ),
        totals=(
            Total("contacts", _ONCE, "Contacts", totals.contacts, "SUM([Contacts])"),
            Total("people", _ONCE, "People", totals.people),
            Total("households", _ONCE, "Households", totals.households),
            Total("completers", _ONCE, "Completers", totals.completers),
            Total("hours", _ONCE, "Contact hours", totals.contact_hours, "SUM([Contact hours])"),
        ),
        empty="The workbook has no group.",
    )  # fmt: skip


def _by_session(people: PeoplePlan) -> Table:
    """A session without a single mark needs an eye; so does nothing else here."""
    return Table(
        "Sessions",
        "Delivered sessions by date",
        (
            Column("Date", "date", 16),
            Column("Session", "code", 10),
            Column("Group", "code", 10),
            *_MARK_COLUMNS,
            Column("Contacts", "count", 9),
            Column("Kits given out", "count", 10),
        ),
        tuple(
            Row(
                (
                    session.day, session.session, session.group, session.expected,
                    session.present, session.absent, session.excused, session.not_recorded, session.contacts,
                    session.kits_collected,
                ),
                "warning" if session.expected and session.not_recorded == session.expected else "",
            )
            for session in people.sessions
        ),
        notes=("Kits given out is empty where nobody recorded what became of the kits.",)
        if any(session.kits_collected is None for session in people.sessions)
        else (),
        empty="No session has been delivered yet.",
    )  # fmt: skip


def still_to_record(programme: Programme, people: PeoplePlan) -> Table:
    """Delivered sessions with people whose mark is missing: codes only."""
    missing: dict[str, list[str]] = {}
    for member in people.members:
        for session, mark in member.marks.items():
            if mark == "":
                missing.setdefault(session, []).append(member.participant)
    return Table(
        "Still to be recorded",
        "Still to be recorded",
        (
            Column("Date", "date", 16),
            Column("Session", "code", 10),
            Column("Group", width=24),
            Column("Missing", "count", 8),
            Column("Of", "count", 8),
            Column("Participants", width=60),
        ),
        tuple(
            Row(
                (
                    session.day, session.session, group_words(programme, session.group), session.not_recorded,
                    session.expected, ", ".join(missing.get(session.session, ())),
                )
            )
            for session in people.sessions
            if session.not_recorded
        ),
        intro=("Ask for these marks: until they are in, these people are neither present nor absent.",),
        empty="Every expected person of every delivered session has a mark.",
    )  # fmt: skip


def _grid(programme: Programme, people: PeoplePlan, group: str) -> Table:
    """Participants down, delivered sessions across."""
    sessions = [session for session in people.sessions if session.group == group]
    columns = [Column(f"{session.session} {_short(session.day)}", width=7) for session in sessions]
    members = [member for member in people.members if member.group == group] if sessions else []
    return Table(
        f"List {group}",
        f"{group_words(programme, group)}: who came when",
        (
            Column("Participant", "code", 14),
            *columns,
            Column("Times present", "count", 9),
            Column("Of", "count", 6),
            Column("Completer", width=10),
        ),
        tuple(_grid_row(member, sessions) for member in members),
        totals=(
            *(
                Total(session.session, "Present", column.heading, session.present)
                for session, column in zip(sessions, columns, strict=True)
            ),
            Total("present", "Present", "Times present", people.groups[group].present, "SUM([Times present])"),
        )
        if members
        else (),
        notes=_LEGEND if members else (),
        empty="Nobody is enrolled in this group." if sessions else "No session of this group has been delivered yet.",
        page_break=True,
    )


def _grid_row(member: MemberAttendance, sessions: Iterable[SessionAttendance]) -> Row:
    marks = (member.marks.get(session.session) for session in sessions)
    return Row(
        (
            member.participant,
            *(_NOT_RECORDED if mark == "" else mark for mark in marks),
            member.present,
            member.expected,
            "yes" if member.completer else "",
        )
    )


def _short(day: dt.date) -> str:
    """`8 Feb`: the weekday and the year stand in the list of sessions."""
    return " ".join(day_words(day).split()[1:3])
