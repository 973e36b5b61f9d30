"""What each funder is told: its groups' figures in its period beside its targets, small counts hidden."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from opsreport.money import Currency, Money
from opsreport.plan.people.attendance import Attended, planned_sessions
from opsreport.plan.people.breakdowns import BreakdownColumn
from opsreport.plan.people.counts import Counts, Told, count
from opsreport.plan.people.funder_counts import Shown, show_all, smalls
from opsreport.plan.people.hiding import HIDDEN
from opsreport.plan.people.kits_given import KitsGiven
from opsreport.plan.people.ledger import Ledger
from opsreport.plan.people.outcomes import Answers
from opsreport.plan.people.outcomes_together import told_together
from opsreport.plan.people_model import BreakdownRow, Charged, FunderReport, Measure, Outcome, SessionCost
from opsreport.programme import Group, Member, Programme
from opsreport.sheets import FunderRow
from opsreport.words import fold

NOT_AVAILABLE = "not available"
NOT_KNOWN = "not known"
HEADINGS = ("What went well", "What was hard", "What comes next")
"""Boxes to fill in where the workbook has no narrative for a funder."""


@dataclass(frozen=True, slots=True)
class _Paid:
    """A funder with its small count, the groups it pays for (and which part), and their members."""

    row: FunderRow
    small: int
    groups: tuple[tuple[Group, Fraction], ...]
    members: tuple[Member, ...]


def report_to_funders(
    programme: Programme, attended: Attended, columns: tuple[BreakdownColumn, ...], unusable: Sequence[str],
    answers: Sequence[Answers],
) -> tuple[FunderReport, ...]:  # fmt: skip
    """One report a row of Funders, safe to hand over as it stands, beside all the others; its food cost is charged
    later.

    A funder's groups are those whose Funders cell names it; who was present there within its period are its
    people, and completers are held to the sessions delivered within it. Survey answers are those of its
    groups' members who belonged to them on some day of the period.

    Args:
        columns: to break people down by. unusable: headings of Report by that cannot be used.
        answers: every question's, of everybody.
    """
    paid = [_paid(programme, row) for row in programme.funders]
    told = [_told(programme, attended, columns, each) for each in paid]
    small = smalls([each.small for each in paid], [each.sessions for each in told])
    paid = [replace(each, small=most) for each, most in zip(paid, small, strict=True)]
    told = [replace(each, small=most) for each, most in zip(told, small, strict=True)]
    shown = show_all(told, attended.ledger, programme.settings.completion)
    compared = told_together([[each.of(_surveyed(one)) for each in answers] for one in paid], small)
    return tuple(
        _report(programme, attended, unusable, *each, len(answers))
        for each in zip(paid, told, shown, compared, strict=True)
    )


@dataclass(frozen=True, slots=True)
class Behind:
    """The true figures behind a funder's report: the groups with its shares, counts, kits by session, and the answers
    of its people."""

    groups: tuple[tuple[Group, Fraction], ...]
    counts: Counts
    kits: Mapping[str, int]
    answers: tuple[Answers, ...]


def behind_reports(
    programme: Programme, ledger: Ledger, kits: KitsGiven, answers: Sequence[Answers]
) -> list[Behind]:  # fmt: skip
    """By report, in the order of Funders: nothing of it is hidden, so that it can be added up over workbooks.

    Args:
        answers: every question's, of everybody.
    """
    found = []
    for row in programme.funders:
        paid = _paid(programme, row)
        surveyed = _surveyed(paid)
        found.append(
            Behind(
                paid.groups, _counts(programme, ledger, paid), _kits(programme, kits, paid),
                tuple(each.of(surveyed) for each in answers),
            )
        )  # fmt: skip
    return found


def charge_funders(
    programme: Programme, reports: Sequence[FunderReport], costs: Sequence[SessionCost] | None,
    charged: Sequence[Charged] = (),
) -> tuple[FunderReport, ...]:  # fmt: skip
    """The reports, in the order of Funders, with the food cost and the in-kind value that each funder bears.

    Args:
        costs: by session; None where orders were stopped. charged: by funder, in the order of Funders.
    """
    if costs is None:
        return tuple(
            replace(report, measures=(*report.measures, *_unknown_cost(programme, row)))
            for row, report in zip(programme.funders, reports, strict=True)
        )
    paid = {each.session for each in costs if each.held and each.food}
    found = []
    for row, report, each in zip(programme.funders, reports, charged[: len(reports)], strict=True):
        without = sum(session not in paid for session in report.sessions)
        measures = (*report.measures, *_cost(programme, each, row, unknown=0 < without == len(report.sessions)))
        notes = (*report.notes, *_without_cost(without, len(report.sessions)))
        found.append(replace(report, measures=measures, notes=notes))
    return tuple(found)


def _paid(programme: Programme, row: FunderRow) -> _Paid:
    groups = tuple(
        (group, part)
        for group in programme.groups.values()
        for funder, part in group.funders
        if fold(funder) == fold(row.funder)
    )
    names = {group.group for group, _ in groups}
    small = programme.settings.small_count if row.small_count is None else row.small_count
    return _Paid(row, small, groups, tuple(m for m in programme.members if m.group in names))


def _told(programme: Programme, attended: Attended, columns: tuple[BreakdownColumn, ...], paid: _Paid) -> Told:
    """A funder's counts. Values that none of its members or people has are no rows of its breakdowns."""
    import numpy as np

    roll = attended.ledger.roll
    names = {group.group for group, _ in paid.groups}
    counts = _counts(programme, attended.ledger, paid)
    enrolled = roll.member_person[np.array([group in names for group in roll.groups], bool)[roll.member_group]]
    values = {}
    for column in columns:
        here = column.counts(counts.people)
        stated = column.counts(enrolled)[:-1]
        values[column.heading] = tuple(
            at for at, people in enumerate(here) if people or (at < len(stated) and stated[at])
        )
    return Told(counts, _kits(programme, attended.kits, paid), columns, values, paid.small)


def _counts(programme: Programme, ledger: Ledger, paid: _Paid) -> Counts:
    names = {group.group for group, _ in paid.groups}
    return count(ledger, programme.settings.completion, names, (paid.row.start, paid.row.end))


def _kits(programme: Programme, kits: KitsGiven, paid: _Paid) -> dict[str, int]:
    """Kits distributed at its groups' sessions within its period, by session."""
    names = {group.group for group, _ in paid.groups}
    return {
        name: many
        for name, many in kits.by_session.items()
        if (session := programme.sessions.get(name)) is not None
        and session.group in names
        and paid.row.start <= session.day <= paid.row.end
    }


def _report(
    programme: Programme, attended: Attended, unusable: Sequence[str], paid: _Paid, told: Told, shown: Shown,
    outcomes: tuple[Outcome, ...], questions: int,
) -> FunderReport:  # fmt: skip
    row = paid.row
    planned = _planned(programme, paid)
    return FunderReport(
        funder=row.funder,
        name=row.name or row.funder,
        start=row.start,
        end=row.end,
        groups=tuple((group.group, part) for group, part in paid.groups),
        small_count=paid.small,
        measures=tuple(_against(measure, len(told.sessions), planned) for measure in _measures(paid, told, shown)),
        sessions=tuple(session.session for session in told.counts.sessions),
        breakdowns={
            heading: tuple(
                BreakdownRow(value, people, completers)
                for (value, _, _), (people, completers) in zip(told.rows[heading], printed, strict=True)
            )
            for heading, printed in shown.people.breakdowns.items()
        },
        outcomes=outcomes,
        hidden_outcomes=questions - len(outcomes),
        notes=tuple(
            _notes(programme, attended, paid, told, (*unusable, *shown.people.left_out), questions - len(outcomes))
        ),
        planned=planned,
        narratives=_narratives(programme, row.funder),
        moves=shown.people.moves,
    )


def _planned(programme: Programme, paid: _Paid) -> int:
    """Sessions of its groups on the list for its period; a make-up counts once with what it makes up for."""
    names = {group.group for group, _ in paid.groups}
    inside = {
        name: session
        for name, session in programme.sessions.items()
        if session.group in names and paid.row.start <= session.day <= paid.row.end
    }
    return sum(planned_sessions(replace(programme, sessions=inside)).values())


def _measures(paid: _Paid, told: Told, shown: Shown) -> list[Measure]:
    """Sessions to kits, in the order of the document."""
    counts, printed, small = told.counts, shown.people, paid.small
    people, completers = len(counts.people), len(counts.completers)
    target = paid.row.completion_target
    wanted = None if target is None else float(target)
    if not people:
        completion = Measure("completion", wanted, None, "–")
    elif printed.shows_people and printed.shows_completers:
        rate = Fraction(completers, people)
        completion = Measure("completion", wanted, float(rate), percent(rate))
    else:
        completion = Measure("completion", wanted, None, HIDDEN)
    hours = counts.contact_hours
    return [
        Measure("sessions", paid.row.sessions_target, len(counts.sessions), f"{len(counts.sessions):,}"),
        Measure("people", paid.row.people_target, people if printed.shows_people else None, printed.people),
        _counted("households", len(counts.homes), small, seen=shown.households),
        _counted("contacts", counts.contacts, small, seen=shown.contacts)
        if printed.shows_people
        else Measure("contacts", None, None, HIDDEN),  # `1–10` would bound the completers too closely
        completion,
        Measure("completers", None, completers if printed.shows_completers else None, printed.completers),
        Measure("contact_hours", None, str(hours), one_decimal(hours))
        if shown.contacts
        else Measure("contact_hours", None, None, HIDDEN),
        _counted("kits", told.all_kits, small, paid.row.kits_target, seen=shown.kits),
    ]


def _counted(measure: str, value: int, small: int, target: int | None = None, *, seen: bool = True) -> Measure:
    """A count of its own. seen: whether it may be shown for all that stands beside it and in other documents."""
    if 1 <= value <= small:
        return Measure(measure, target, None, f"1–{small}" if small > 1 else HIDDEN)
    return Measure(measure, target, value, f"{value:,}") if seen else Measure(measure, target, None, HIDDEN)


_GROWING = frozenset({"sessions", "people", "kits"})
"""Measures that grow session by session, so that a pace can be told."""


def _against(measure: Measure, delivered: int, planned: int) -> Measure:
    """A measure with its share of the target, and its pace: value ÷ (target × sessions delivered ÷ planned)."""
    target = Fraction(str(measure.target or 0))  # a budget of 0.00 is a text
    if not target or measure.value is None:
        return measure
    share = Fraction(str(measure.value)) / target
    tells = measure.measure in _GROWING and delivered and planned
    return replace(measure, share=share, pace=share * Fraction(planned, delivered) if tells else None)


def _budget(programme: Programme, row: FunderRow) -> str | None:
    return None if row.budget is None else programme.currency.plain(row.budget)


def _unknown_cost(programme: Programme, row: FunderRow) -> tuple[Measure, ...]:
    return (
        Measure("cost", _budget(programme, row), None, NOT_AVAILABLE),
        *(Measure(name, None, None, NOT_AVAILABLE) for name in ("cost_held", "cost_to_come", "in_kind")),
    )


def _cost(programme: Programme, charged: Charged, row: FunderRow, *, unknown: bool) -> tuple[Measure, ...]:
    """Food cost and in-kind value charged. unknown: no order that came for its sessions held stands in Orders."""
    currency: Currency = programme.currency

    def measure(name: str, money: int, target: str | None = None) -> Measure:
        return Measure(name, target, currency.plain(Money(money)), currency.shown(Money(money)))

    return (
        _against(measure("cost", charged.food, _budget(programme, row)), 0, 0),
        Measure("cost_held", None, None, NOT_KNOWN) if unknown else measure("cost_held", charged.held),
        measure("cost_to_come", charged.food - charged.held),
        measure("in_kind", charged.in_kind),
    )


def _without_cost(without: int, held: int) -> list[str]:
    if not without:
        return []
    known = "none" if without == held else f"{held - without:,}"
    return [
        f"Food cost: orders that came stand in the workbook (sheet Orders) for {known} of the {held:,} sessions "
        "delivered. What else was paid for food is written down without the sessions that it was for, so it is in no "
        "funder's figure."
    ]


def _surveyed(paid: _Paid) -> frozenset[str]:
    """Members of its groups on some day of its period."""
    start, end = paid.row.start, paid.row.end
    return frozenset(
        member.participant
        for member in paid.members
        if member.active_on(max(start, member.joined or start)) and (member.joined is None or member.joined <= end)
    )


def _narratives(programme: Programme, funder: str) -> tuple[tuple[str, str], ...]:
    """The passages for a funder, in the order of the workbook; boxes to fill in where there is none."""
    written = tuple(
        (row.heading, row.text) for row in programme.narratives if not row.funder or fold(row.funder) == fold(funder)
    )
    return written or tuple((heading, "") for heading in HEADINGS)


def percent(share: Fraction) -> str:
    """`66.7%`, rounded half up to a tenth."""
    return f"{one_decimal(100 * share)}%"


def one_decimal(exact: Fraction) -> str:
    """`22.5`, `40`: rounded half up to a tenth, for people."""
    tenths = (20 * exact.numerator + exact.denominator) // (2 * exact.denominator)
    whole, rest = divmod(tenths, 10)
    return f"{whole:,}.{rest}" if rest else f"{whole:,}"


def _notes(
    programme: Programme, attended: Attended, paid: _Paid, told: Told, left_out: Sequence[str], hidden: int
) -> list[str]:
    notes = []
    if not paid.groups:
        notes.append("No group names this funder in its Funders cell, so there is nothing to count.")
    if paid.small:
        notes.append(f"Counts from 1 to {paid.small} are hidden, and enough others that they cannot be worked out.")
        own = programme.settings.small_count if paid.row.small_count is None else paid.row.small_count
        if own < paid.small:
            notes.append(
                f"Another report on some of the same people hides counts up to {paid.small}, so this one does too."
            )
    notes.append(f"Kits: {attended.kits.source(told.kits)}.")
    without = sum(session.minutes is None for session in told.counts.sessions)
    if without:
        notes.append(f"Contact hours leave out {without} sessions whose minutes nobody wrote down.")
    for heading in left_out:
        notes.append(f"No breakdown by {heading}: it would tell too much about single people.")
    if hidden:
        notes.append(
            f"{hidden} outcomes are not shown: too few people answered, or the answers of a few could be worked out "
            "from this report and another one."
        )
    return notes
