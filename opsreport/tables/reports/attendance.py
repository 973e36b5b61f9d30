"""Attendance: who came, group by group and session by session, and whose marks are still missing."""

from typing import Final

from opsreport.plan.people_model import GroupAttendance, PeoplePlan
from opsreport.programme import Programme
from opsreport.tables.naming import counted, group_words, head_line
from opsreport.tables.reports.attended import breakdown_tables, cost_tables, kits_table, retention_table
from opsreport.tables.reports.definitions import attendance_definitions
from opsreport.tables.reports.grid import grid_tables
from opsreport.tables.reports.sources import sources_table
from opsreport.tables.reports.terms import terms_tables
from opsreport.tables.table import Chart, Column, Document, Facts, Part, Prose, Row, Table, Total, decimal_words

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


def attendance_document(programme: Programme, people: PeoplePlan) -> Document:
    """Totals, figures by group and session, what is missing, then one list a group. Codes, never names."""
    parts: list[Part] = [
        _programme_facts(people),
        *_nothing_recorded(programme, people),
        _marks_by_group(programme, people),
        _people_by_group(programme, people),
        _by_session(people),
        still_to_record(programme, people),
        *breakdown_tables(people),
        retention_table(programme, people),
        kits_table(programme, people),
        *cost_tables(programme, people),
        *grid_tables(programme, people),
        *terms_tables(programme, people),
        sources_table(programme),
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
        chart=Chart("bar", "Attendance rate by group", "Group", ("Rate",), "present ÷ recorded"),
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
    held: dict[str, list[str]] = {}
    for each in people.sessions:
        held.setdefault(each.group, []).append(each.session)
    missing: dict[str, list[str]] = {}
    for member in people.members:
        for place, mark in enumerate(member.marks):
            if mark == ".":
                missing.setdefault(held[member.group][place], []).append(member.participant)
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
