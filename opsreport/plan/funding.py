"""What each funder is told: its groups' figures in its period beside its targets, small counts hidden."""

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from opsreport.money import Currency, Money, split
from opsreport.plan.hiding import HIDDEN, PrintedPeople, hide_people, hide_row
from opsreport.plan.model import BreakdownRow, FunderReport, Measure, Outcome
from opsreport.plan.outcomes import Answers, compare
from opsreport.plan.people import Attended, Counts, count
from opsreport.programme import Group, Member, Programme
from opsreport.sheets import FunderRow
from opsreport.words import fold

NOT_STATED: Final = "not stated"
NOT_AVAILABLE: Final = "not available"
MOST_VALUES: Final = 40
"""A column with more values than this is no way to break people down; it may well hold names."""
_PRIVATE: Final = re.compile(r"\b(name|names|participant|household|code|phone|e-?mail|address)\b")
"""Headings that a funder's document never breaks people down by."""


@dataclass(frozen=True, slots=True)
class _Paid:
    """A funder with its small count, the groups it pays for (and which part), and their members."""

    row: FunderRow
    small: int
    groups: tuple[tuple[Group, Fraction], ...]
    members: tuple[Member, ...]


def report_to_funders(programme: Programme, attended: Attended, answers: Sequence[Answers]) -> tuple[FunderReport, ...]:
    """One report a row of Funders, safe to hand over as it stands; its food cost is charged later.

    A funder's groups are those whose Funders cell names it; who was present there within its period are its
    people, and completers are held to the sessions delivered within it. Survey answers are those of its
    groups' members who belonged to them on some day of the period.

    Args:
        answers: every question's, of everybody.
    """
    return tuple(_report(programme, attended, answers, _paid(programme, row)) for row in programme.funders)


def charge_funders(
    programme: Programme, reports: Sequence[FunderReport], session_costs: Mapping[str, Money] | None
) -> tuple[FunderReport, ...]:
    """The reports, in the order of Funders, with the food cost that each funder bears.

    Args:
        session_costs: what the orders charge each session; None where orders were stopped.
    """
    return tuple(
        replace(report, measures=(*report.measures, _cost(programme, session_costs, _paid(programme, row))))
        for row, report in zip(programme.funders, reports, strict=True)
    )


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


def _report(
    programme: Programme, attended: Attended, answers: Sequence[Answers], paid: _Paid
) -> FunderReport:  # fmt: skip
    row = paid.row
    names = [group.group for group, _ in paid.groups]
    counts = count(attended.presents, programme.settings.completion, names, (row.start, row.end))
    columns, unusable = _breakdowns(programme, paid, counts)
    printed = hide_people(
        len(counts.people),
        len(counts.completers),
        {heading: list(values.values()) for heading, values in columns.items()},
        paid.small,
    )
    outcomes = [compare(each.of(_surveyed(paid))) for each in answers]
    told = tuple(_safe_outcome(outcome, paid.small) for outcome in outcomes if outcome.n > paid.small)
    kits = _kits(programme, attended, paid)
    return FunderReport(
        funder=row.funder,
        name=row.name or row.funder,
        start=row.start,
        end=row.end,
        groups=tuple((group.group, part) for group, part in paid.groups),
        small_count=paid.small,
        measures=(
            *_people_measures(paid, counts, printed),
            _counted("kits", kits, paid.small, row.kits_target),
        ),
        sessions=tuple(session.session for session in counts.sessions),
        breakdowns={
            heading: tuple(
                BreakdownRow(value, people, completers)
                for value, (people, completers) in zip(columns[heading], shown, strict=True)
            )
            for heading, shown in printed.breakdowns.items()
        },
        outcomes=told,
        hidden_outcomes=len(outcomes) - len(told),
        notes=tuple(_notes(attended, paid, counts, (*unusable, *printed.left_out), outcomes, told)),
    )


def _people_measures(paid: _Paid, counts: Counts, printed: PrintedPeople) -> list[Measure]:
    """Sessions to contact hours, in the order of the document."""
    people, completers = len(counts.people), len(counts.completers)
    target = paid.row.completion_target
    wanted = None if target is None else float(target)
    seen = printed.shows_people
    if not people:
        completion = Measure("completion", wanted, None, "–")
    elif seen and printed.shows_completers:
        rate = Fraction(completers, people)
        completion = Measure("completion", wanted, float(rate), percent(rate))
    else:
        completion = Measure("completion", wanted, None, HIDDEN)
    contacts = _counted("contacts", counts.contacts, paid.small, seen=seen)
    hours = counts.contact_hours
    return [
        Measure("sessions", paid.row.sessions_target, len(counts.sessions), f"{len(counts.sessions):,}"),
        Measure("people", paid.row.people_target, people if seen else None, printed.people),
        _counted("households", counts.households, paid.small, seen=seen),
        contacts,
        completion,
        Measure("completers", None, completers if printed.shows_completers else None, printed.completers),
        Measure("contact_hours", None, str(hours), one_decimal(hours))
        if contacts.value is not None
        else Measure("contact_hours", None, None, HIDDEN),
    ]


def _counted(measure: str, value: int, small: int, target: int | None = None, *, seen: bool = True) -> Measure:
    """A count that adds up to nothing else. seen: whether the people behind it may be known."""
    if 1 <= value <= small:
        return Measure(measure, target, None, f"1–{small}" if small > 1 else HIDDEN)
    return Measure(measure, target, value, f"{value:,}") if seen else Measure(measure, target, None, HIDDEN)


def _kits(programme: Programme, attended: Attended, paid: _Paid) -> int:
    """Kits distributed at its groups' sessions within its period."""
    names = {group.group for group, _ in paid.groups}
    return sum(
        kits
        for name, kits in attended.kits.by_session.items()
        if (session := programme.sessions.get(name)) is not None
        and session.group in names
        and paid.row.start <= session.day <= paid.row.end
    )


def _cost(programme: Programme, session_costs: Mapping[str, Money] | None, paid: _Paid) -> Measure:
    """Food cost charged: each group's cost within the period, split among its funders to the cent."""
    currency: Currency = programme.currency
    budget = None if paid.row.budget is None else currency.plain(paid.row.budget)
    if session_costs is None:
        return Measure("cost", budget, None, NOT_AVAILABLE)
    spent: Counter[str] = Counter()
    for name, money in session_costs.items():
        session = programme.sessions.get(name)
        if session is not None and paid.row.start <= session.day <= paid.row.end:
            spent[session.group] += money
    charged = 0
    for group, _ in paid.groups:
        parts = split(Money(spent[group.group]), [part for _, part in group.funders])
        charged += sum(
            money
            for money, (funder, _) in zip(parts, group.funders, strict=True)
            if fold(funder) == fold(paid.row.funder)
        )
    return Measure("cost", budget, currency.plain(Money(charged)), currency.shown(Money(charged)))


def _breakdowns(
    programme: Programme, paid: _Paid, counts: Counts
) -> tuple[dict[str, dict[str, tuple[int, int]]], list[str]]:
    """(people, completers) by value, by Report-by column; and the columns that cannot be used.

    A person's value is the first one stated in any of the funder's groups, else anywhere.
    """
    columns: dict[str, dict[str, tuple[int, int]]] = {}
    unusable = []
    here = {member.participant for member in paid.members}
    others = [m for m in programme.members if m.participant in counts.people and m.participant not in here]
    for heading in programme.settings.report_by:
        if _PRIVATE.search(fold(heading)):
            unusable.append(heading)
            continue
        stated: dict[str, str] = {}
        spelling: dict[str, str] = {}
        for member in (*paid.members, *others):
            value = _value(member, heading)
            if value:
                spelling.setdefault(fold(value), value)
                stated.setdefault(member.participant, fold(value))
        if len(spelling) > MOST_VALUES or _names(spelling, programme.members):
            unusable.append(heading)
            continue
        came, completed = (Counter(map(stated.get, people)) for people in (counts.people, counts.completers))
        rows = {
            value: (came[key], completed[key])
            for key, value in sorted(spelling.items(), key=lambda pair: _natural(pair[0]))
            if key != NOT_STATED
        }
        stated_people, stated_completers = (sum(row[at] for row in rows.values()) for at in (0, 1))
        if stated_people < len(counts.people):
            rows[NOT_STATED] = (
                len(counts.people) - stated_people, len(counts.completers) - stated_completers
            )  # fmt: skip
        columns[heading] = rows
    return columns, unusable


def _value(member: Member, heading: str) -> str:
    return next((value for name, value in member.extra.items() if fold(name) == fold(heading)), "").strip()


def _names(values: Mapping[str, str], members: Sequence[Member]) -> bool:
    """Whether a column holds names of people."""
    return bool({fold(member.pick_up_name) for member in members if member.pick_up_name} & set(values))


def _natural(text: str) -> tuple[tuple[int, int, str], ...]:
    """Sorts `under 5`, `5–7`, `14–17` as people count."""
    below = text.startswith(("under", "<", "less", "below"))
    number = re.search(r"\d+", text)
    if number is None:
        return ((1, 0, text),)
    return ((0, 2 * int(number[0]) - below, text),)


def _surveyed(paid: _Paid) -> frozenset[str]:
    """Members of its groups on some day of its period."""
    start, end = paid.row.start, paid.row.end
    return frozenset(
        member.participant
        for member in paid.members
        if member.active_on(max(start, member.joined or start)) and (member.joined is None or member.joined <= end)
    )


def _safe_outcome(outcome: Outcome, small: int) -> Outcome:
    """An outcome without the small counts in it, nor shares, changes and p from which they follow.

    Of yes and no everything but n hangs together: after = before + (improved − worse) / n, and every share
    gives a count. So all of it is hidden when any of it rests on few.
    """
    up, same, down = outcome.improved or 0, outcome.same or 0, outcome.worse or 0
    labels, _ = hide_row((up, same, down), small)
    shown = [value if label == f"{value:,}" else None for value, label in zip((up, same, down), labels, strict=True)]
    unmatched = outcome.unmatched
    safe = replace(outcome, unmatched=None if unmatched and unmatched <= small else unmatched)
    if outcome.kind != "yes-no":
        safe = replace(safe, improved=shown[0], same=shown[1], worse=shown[2])
        return replace(safe, p=None) if None in shown else safe
    if None not in shown and not any(
        _rests_on_few(share, outcome.n, small) for share in (outcome.before, outcome.after)
    ):
        return safe
    return replace(
        safe, before=None, before_low=None, before_high=None, after=None, low=None, high=None, change=None,
        p=None, improved=None, same=None, worse=None,
    )  # fmt: skip


def _rests_on_few(share: float | None, n: int, small: int) -> bool:
    """Whether a share, or its complement, is of few people."""
    if share is None:
        return False
    yes = round(share * n)
    return 1 <= yes <= small or 1 <= n - yes <= small


def percent(share: Fraction) -> str:
    """`66.7%`, rounded half up to a tenth."""
    return f"{one_decimal(100 * share)}%"


def one_decimal(exact: Fraction) -> str:
    """`22.5`, `40`: rounded half up to a tenth, for people."""
    tenths = (20 * exact.numerator + exact.denominator) // (2 * exact.denominator)
    whole, rest = divmod(tenths, 10)
    return f"{whole:,}.{rest}" if rest else f"{whole:,}"


def _notes(
    attended: Attended, paid: _Paid, counts: Counts, left_out: Sequence[str], outcomes: Sequence[Outcome],
    told: Sequence[Outcome],
) -> list[str]:  # fmt: skip
    notes = []
    if not paid.groups:
        notes.append("No group names this funder in its Funders cell, so there is nothing to count.")
    if paid.small:
        notes.append(f"Counts from 1 to {paid.small} are hidden, and enough others that they cannot be worked out.")
    notes.append(f"Kits: {attended.kits.source}.")
    without = sum(session.minutes is None for session in counts.sessions)
    if without:
        notes.append(f"Contact hours leave out {without} sessions whose minutes nobody wrote down.")
    for heading in left_out:
        notes.append(f"No breakdown by {heading}: it would tell too much about single people.")
    if len(told) < len(outcomes):
        notes.append(f"{len(outcomes) - len(told)} outcomes rest on too few people to be shown.")
    return notes
