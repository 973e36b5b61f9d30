"""The start page: what to do next, what is short or unsafe, money, the term by weeks, every document."""

from collections.abc import Iterable, Sequence
from typing import Final

from opsreport.findings import Finding, in_order, stopped
from opsreport.plan.model import Plan
from opsreport.programme import Programme
from opsreport.rules import ALL_FAMILIES, Family, Severity
from opsreport.shown import day_words
from opsreport.tables.naming import counted, head_line, listed
from opsreport.tables.orders.changes import change_words
from opsreport.tables.start_page.next_steps import ToDo, all_to_do, first_day_words, later_table, next_table
from opsreport.tables.start_page.risks import risk_table, short_words, unsafe_words
from opsreport.tables.start_page.spending import money_tables, money_words
from opsreport.tables.start_page.weeks import term_table
from opsreport.tables.table import Column, Document, Facts, Part, Prose, Row, Table

_PAGES_ONLY: Final = frozenset({"findings"})
"""Documents without a spreadsheet."""
_MOST_ERRORS: Final = 20


def start_page(
    programme: Programme,
    plan: Plan,
    findings: Sequence[Finding],
    documents: Sequence[Document],
    others: Sequence[tuple[str, str]] = (),
) -> Document:
    """The page a coordinator opens first.

    Args:
        plan: a family that findings stop is left out of every table, whatever the plan holds of it.
        findings: of the workbook and of the plan.
        documents: all that are written, in the order in which they are linked.
        others: further files of the folder, (words, path with ending).
    """
    known = _known(plan, findings)
    todo = all_to_do(programme, plan, known)
    risks = risk_table(programme, plan, findings, known)
    for_all = plan.food is not None and plan.food.pooled == "all"
    parts: list[Part] = [
        _facts(programme, plan, todo, findings, known, risks, for_all=for_all),
        *_not_written(plan, findings),
        next_table(todo, programme.as_of, known, for_all=for_all),
        risks,
        *money_tables(programme, plan, known),
        term_table(programme, plan, known),
        *later_table(todo, programme.as_of),
    ]
    return Document(
        "index",
        "Orders for all" if for_all else "Start here",
        "the coordinator",
        tuple(parts),
        head_line(programme),
        links=(*_links(documents), *others),
    )


def _links(documents: Sequence[Document]) -> Iterable[tuple[str, str]]:
    for document in documents:
        if document.path == "index":
            continue
        yield document.title, f"{document.path}.html"
        if document.path not in _PAGES_ONLY:
            yield document.title, f"{document.path}.xlsx"


def _known(plan: Plan, findings: Sequence[Finding]) -> frozenset[Family]:
    """Families that the plan holds and no error stops."""
    held = set(ALL_FAMILIES)
    if plan.food is None:
        held -= {Family.ORDERS, Family.PACKING}
    elif plan.food.pooled == "all":
        held -= {Family.PACKING}
    if plan.people is None:
        held -= {Family.REPORTS}
    return frozenset(held - (stopped(findings) - plan.partly))


# --- the head ---


def _facts(
    programme: Programme, plan: Plan, todo: Sequence[ToDo], findings: Sequence[Finding], known: frozenset[Family],
    risks: Table, *, for_all: bool,
) -> Facts:  # fmt: skip
    coming = [
        session
        for session in programme.sessions.values()
        if session.status == "planned" and session.day >= programme.as_of
    ]
    soon = min(coming, key=lambda session: (session.day, session.session), default=None)
    written = [family.value for family in Family if family in known]
    since = plan.changes
    food = plan.food if Family.ORDERS in known else None
    return Facts(
        (
            *(((f"Since {day_words(since.since)}", change_words(since)),) if since is not None else ()),
            *_to_do(todo, programme),
            ("Next session", f"{soon.session}, {day_words(soon.day)}" if soon else "none is planned"),
            *((("Unsafe", unsafe_words(risks)),) if not for_all else ()),
            ("Short", short_words(risks) if food is not None else "could not be worked out"),
            *((("Money", money_words(programme, food)),) if food is not None else ()),
            ("Findings", _counts(findings, "none: the workbooks agree" if for_all else _NOTHING_FOUND)),
            ("Written", listed(written) or "nothing but the findings"),
        )
    )


def _to_do(todo: Sequence[ToDo], programme: Programme) -> list[tuple[str, str]]:
    """What comes first, and all that the same day holds."""
    if not todo:
        return [("To do", "nothing")]
    day = todo[0].day
    when = "today" if day == programme.as_of else f"on {day_words(day)}"
    return [(f"To do {when}", first_day_words(todo)), ("Do first", f"{todo[0].what}: {day_words(day)}")]


def _counts(findings: Sequence[Finding], none: str) -> str:
    each = in_order(findings)
    said = [
        counted(number, severity.value)
        for severity in Severity
        if (number := sum(finding.severity is severity for finding in each))
    ]
    return ", ".join(said) or none


_NOTHING_FOUND: Final = "none: nothing in the workbook needs a look"


# --- what is missing and why ---


def _not_written(plan: Plan, findings: Sequence[Finding]) -> list[Part]:
    """Families that errors stop, and these errors with their cells."""
    families = [family for family in Family if family in stopped(findings) - plan.partly]
    if not families:
        return []
    errors = [finding for finding in in_order(findings) if finding.stops]
    names = listed([family.value for family in families])
    are = "is" if len(families) == 1 else "are"
    sentence = f"{names.capitalize()} {are} not written: they would rest on {counted(len(errors), 'error')}."
    more = len(errors) - _MOST_ERRORS
    return [
        Prose((sentence, "Put these cells right and run again."), "Documents are missing", "warning"),
        Table(
            "Errors",
            "Why documents are missing",
            (
                Column("Cells", "code", 14),
                Column("What is wrong", width=46),
                Column("What to do", width=40),
                Column("Stops", width=12),
            ),
            tuple(_error_row(finding) for finding in errors[:_MOST_ERRORS]),
            notes=(f"{more:,} more are listed with the findings.",) if more > 0 else (),
        ),
    ]


def _error_row(finding: Finding) -> Row:
    stops = ", ".join(family.value for family in Family if family in finding.stops)
    return Row((finding.where or "the workbook", finding.message, finding.fix, stops))
