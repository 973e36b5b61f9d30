"""A funder's document: what was promised, what was delivered, and what may not be shown and why.

What it says about people comes from the funder's report in the plan, where small counts are already hidden.
"""

from collections.abc import Iterable, Mapping, Sequence
from fractions import Fraction
from typing import Final

from opsreport.money import Currency
from opsreport.plan.people_model import FunderReport, Measure
from opsreport.programme import Programme
from opsreport.shown import day_words, decimal_words, share_words
from opsreport.tables.naming import counted, head_line, listed
from opsreport.tables.reports.definitions import funder_definitions
from opsreport.tables.reports.outcomes import HIDDEN, outcome_parts
from opsreport.tables.reports.sources import sources_table
from opsreport.tables.table import Column, Document, Facts, Part, Picture, Prose, Row, Table, Total, Value

MEASURE_NAMES: Final[Mapping[str, str]] = {
    "sessions": "Sessions delivered",
    "people": "People, each counted once",
    "households": "Households, each counted once",
    "contacts": "Contacts",
    "completion": "Completion",
    "completers": "Completers",
    "contact_hours": "Contact hours",
    "kits": "Kits given out",
    "cost": "Food cost, delivered and to come",
    "cost_held": "Food cost of sessions delivered",
    "cost_to_come": "Food cost of sessions to come",
    "in_kind": "In-kind value, sessions to come",
}


def funder_document(programme: Programme, report: FunderReport, path: str) -> Document:
    """One funder's document. path: under `reports/`, without an ending."""
    outcomes = outcome_parts(
        programme.questions,
        report.outcomes,
        title="What changed for people, before and after",
        empty=_no_outcomes(report),
        hiding=True,
        tested=len(report.outcomes) + report.hidden_outcomes,
    )
    said = [part for part in outcomes if isinstance(part, Picture) or part.sheet == "Outcomes in words"]
    parts: list[Part] = [
        _facts(programme, report),
        _promised(programme.currency, report),
        *said,
        _narratives(report),
        _sessions(programme, report),
        *_breakdowns(report),
        *(part for part in outcomes if part not in said),
        _hidden(report),
        sources_table(programme, hidden=True),
        funder_definitions(programme.settings.completion),
    ]
    head = head_line(programme)
    return Document(path, f"Report to {report.name}", report.name, tuple(parts), head, landscape=True, leaves=True)


def _facts(programme: Programme, report: FunderReport) -> Facts:
    named = {name: group.name or name for name, group in programme.groups.items()}
    groups = [(named.get(group, group), share) for group, share in report.groups]
    return Facts(
        (
            ("Period", f"{day_words(report.start)} to {day_words(report.end)}"),
            ("Sessions", f"{len(report.sessions):,} delivered of {report.planned:,} planned in the period"),
            ("Groups and the funder's share", shares_words(groups)),
        )
    )


def _promised(currency: Currency, report: FunderReport) -> Table:
    """Measures with a target first, each against it; then the others."""
    promised = [measure for measure in report.measures if measure.target is not None]
    others = [measure for measure in report.measures if measure.target is None]
    rows: list[Row] = []
    if promised and others:
        rows.append(Row(("Promised", *[None] * 4), "heading"))
    rows.extend(Row((_name(m), _target(m, currency), delivered(m), _share(m), pace_words(m, report))) for m in promised)
    if promised and others:
        rows.append(Row(("Also delivered", *[None] * 4), "heading"))
    rows.extend(Row((_name(m), None, delivered(m), None, None)) for m in others)
    return Table(
        "Promised and delivered",
        "Promised and delivered",
        (
            Column("Measure", width=38),
            Column("Promised", "count", 12),
            Column("Delivered", "count", 12),
            Column("Share of promise", "percent", 10),
            Column("Pace", width=72),
        ),
        tuple(rows),
        notes=() if promised else ("The workbook states no target for this funder.",),
        empty="Nothing is measured for this funder.",
    )


def pace_words(measure: Measure, report: FunderReport) -> str | None:
    """Where a measure is heading, in words; nothing where nothing can be told."""
    share, pace = measure.share, measure.pace
    if share is None:
        return None
    if measure.measure == "cost":
        return _cost_words(measure, report)
    if measure.measure == "completion":
        return "as promised so far" if share >= 1 else "below what was promised so far"
    if measure.measure == "sessions":
        missing = Fraction(str(measure.target)) - report.planned
        if share >= 1:
            return "reached"
        planned = f"{report.planned:,} are on the list for the period"
        return f"{planned}, {decimal_words(missing, 0)} fewer than promised" if missing > 0 else f"on pace: {planned}"
    if share >= 1:
        return "reached"
    if pace is None:
        return None
    words = "ahead of pace" if pace > _EVEN[1] else "on pace" if pace >= _EVEN[0] else "behind pace"
    end = decimal_words(pace * Fraction(str(measure.target)), 0).removeprefix("≈ ")
    return f"{words}: {share_words(pace)}; going on like this, about {end} by the last session planned"


def _cost_words(measure: Measure, report: FunderReport) -> str:
    """What of the cost is for sessions delivered, and how much of the budget is left."""
    shown = {each.measure: each.shown for each in report.measures}
    over = "; more than the budget" if (measure.share or 0) > 1 else ""
    return f"sessions delivered: {shown['cost_held']}; sessions to come: {shown['cost_to_come']}{over}"


_EVEN: Final = (Fraction(95, 100), Fraction(105, 100))
"""A pace between these is as good as promised."""


def _narratives(report: FunderReport) -> Table:
    """Passages in the coordinator's own words, and boxes for those still to be written."""
    return Table(
        "In our own words",
        "In our own words",
        (Column("About", width=24), Column("Text", "write-in", 90)),
        tuple(Row((heading, text or None)) for heading, text in report.narratives),
        notes=("Texts of the workbook's sheet Narratives stand here again on the next run; a blank one is a box to "
               "fill in by hand.",),
    )  # fmt: skip


def _name(measure: Measure) -> str:
    return MEASURE_NAMES.get(measure.measure, measure.measure.replace("_", " ").capitalize())


def _target(measure: Measure, currency: Currency) -> Value:
    """As promised: a number, a percentage, or money."""
    target = measure.target
    if isinstance(target, float):
        return f"{decimal_words(Fraction(str(target)) * 100, 1)}%"
    if isinstance(target, str) and measure.measure == "cost":
        money = currency.exact(Fraction(target))
        return target if money is None else currency.shown(money)
    return target


def delivered(measure: Measure) -> Value:
    """As shown; a number where that is a plain count."""
    return number_or_words(measure.shown)


def number_or_words(shown: str) -> Value:
    """A printed count as a number, so that it is one in a spreadsheet too; anything else as printed."""
    digits = shown.replace(",", "")
    return int(digits) if digits.isascii() and digits.isdigit() else shown


def _share(measure: Measure) -> Value:
    """Delivered ÷ promised; not where the value is hidden."""
    return "not shown" if measure.value is None else measure.share


def _sessions(programme: Programme, report: FunderReport) -> Table:
    rows = []
    for name in report.sessions:
        session = programme.sessions.get(name)
        if session is None:
            continue
        group = programme.groups.get(session.group)
        rows.append(
            Row((session.day, session.session, (group.name if group else "") or session.group,
                 group.site if group else "", session.lesson))
        )  # fmt: skip
    return Table(
        "Sessions",
        "Sessions delivered",
        (
            Column("Date", "date", 16),
            Column("Session", "code", 10),
            Column("Group", width=24),
            Column("Place", width=24),
            Column("Lesson", width=28),
        ),
        tuple(rows),
        empty="No session of these groups was delivered within the period.",
    )


def _breakdowns(report: FunderReport) -> Iterable[Table]:
    """One table a column that people are broken down by, as the plan says it may be printed."""
    everybody = {measure.measure: measure.shown for measure in report.measures}
    for heading, rows in report.breakdowns.items():
        yield Table(
            f"By {heading}",
            f"People by {heading.casefold()}",
            (Column(heading, width=28), Column("People", "count", 12), Column("Completers", "count", 12)),
            tuple(Row((row.value, number_or_words(row.people), number_or_words(row.completers))) for row in rows),
            totals=tuple(
                Total(name, "All", under, number_or_words(everybody[name]))
                for name, under in (("people", "People"), ("completers", "Completers"))
                if name in everybody and rows
            ),
            empty="Nobody was present within the period.",
        )


def hidden_words(most: int) -> str:
    """How hidden figures read. most: the small count."""
    small = f"“1–{most}” stands for a count from 1 to {most}; " if most > 1 else ""
    return (
        f"{small}“{HIDDEN}” stands for a figure that rests on few people or would let a small count be worked out. "
        "This is done so that nobody can be recognised."
    )


def shares_words(groups: Sequence[tuple[str, Fraction]]) -> str:
    """The groups that a funder pays for, each with its share: `Parkside (60%) and Ash Lane (100%)`."""
    return listed([f"{name} ({decimal_words(100 * share, 1)}%)" for name, share in groups], most=len(groups)) or "none"


def _no_outcomes(report: FunderReport) -> str:
    if not report.hidden_outcomes:
        return "No survey question was asked."
    rest = "rests" if report.hidden_outcomes == 1 else "rest"
    return f"{counted(report.hidden_outcomes, 'outcome')} {rest} on too few people to be shown."


def _hidden(report: FunderReport) -> Prose:
    """The plan's own notes, and how hidden figures read."""
    sentences = list(report.notes)
    if report.small_count:
        sentences.append(hidden_words(report.small_count))
    return Prose(tuple(sentences) or ("Nothing had to be hidden.",), "What is not shown, and why")
