"""What is short, what has gone out of date, and what somebody must not get."""

from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from opsreport.findings import Finding, in_order
from opsreport.plan.model import FoodPlan, Plan
from opsreport.programme import Programme
from opsreport.rules import Family, Severity
from opsreport.shown import day_words, decimal_words
from opsreport.tables.naming import counted, listed
from opsreport.tables.table import Column, Row, Table

_PACKED: Final = "packed-kit-against-need"
_UNSAFE: Final = {
    "Pull": ("packed kit", "to pull"),
    "Unsafe": ("fault", "about needs to put right"),
    "To be asked": ("question", "about needs to ask"),
    "Remove": ("lot", "out of date to remove"),
    "Not used": ("lot", "without a date"),
}
_SHORT: Final = {"Short": ("food", "short of what a session needs")}
"""By the first cell of a row: the thing, and what is said of it."""
_MORE: Final = "And more"
_MOST_TOLD: Final = 4
"""Rows that findings of one sort take."""


def risk_table(programme: Programme, plan: Plan, findings: Sequence[Finding], known: frozenset[Family]) -> Table:
    rows = [*_to_pull(findings), *_about_needs(findings)]
    food = plan.food if Family.ORDERS in known else None
    if food is not None:
        rows += [*_shortages(programme, food), *_lots(food)]
    return Table(
        "Short or unsafe",
        "What is short or unsafe",
        (Column("What", width=18), Column("Which", width=30), Column("More", width=52)),
        tuple(rows),
        notes=() if food is not None else ("What is short could not be worked out: orders are not written.",),
        empty="Nothing is short, and nothing unsafe is known." if food is not None else "Nothing unsafe is known.",
    )


def unsafe_words(risks: Table) -> str:
    """`1 packed kit to pull, 9 questions about needs to ask`, as the table lists them."""
    return _said(risks, _UNSAFE) or "nothing is known"


def short_words(risks: Table) -> str:
    """`2 foods short`, as the table lists them."""
    return _said(risks, _SHORT) or "nothing"


def _said(risks: Table, kinds: Mapping[str, tuple[str, str]]) -> str:
    number = Counter(str(row.cells[0]) for row in risks.rows)
    said = [f"{counted(number[kind], thing)} {words}" for kind, (thing, words) in kinds.items() if number[kind]]
    return ", ".join([*said, *(["and more"] if kinds is _UNSAFE and number[_MORE] else [])])


def _to_pull(findings: Sequence[Finding]) -> Iterable[Row]:
    """Every packed kit that someone must not get, one row a kit, before all else."""
    for finding in in_order(findings):
        if finding.code == _PACKED:
            yield Row(("Pull", f"kit {finding.details['kit']}", f"{finding.message} {finding.fix}"), "warning")


def _about_needs(findings: Sequence[Finding]) -> Iterable[Row]:
    """Findings on what people must not get and on what foods hold, sort by sort, the first few of each."""
    sorts: dict[str, list[Finding]] = {}
    for finding in in_order(findings):
        if _is_about_needs(finding) and finding.severity is not Severity.NOTE:
            sorts.setdefault(finding.code, []).append(finding)
    for each in sorts.values():
        told = each if len(each) <= _MOST_TOLD else each[: _MOST_TOLD - 1]
        for finding in told:
            unsafe = finding.severity is Severity.ERROR
            kind = "Unsafe" if unsafe else "To be asked"
            yield Row((kind, finding.where, f"{finding.message} {finding.fix}"), "warning" if unsafe else "")
        if others := each[len(told) :]:
            cells = listed([finding.where for finding in others], 4)
            yield Row((_MORE, cells, f"{len(others):,} more like the last: see the findings"))


def _is_about_needs(finding: Finding) -> bool:
    """Its code says `need`, `needs`, `contains` or `opened`; or nobody knows the food that is given instead."""
    words = set(finding.code.split("-"))
    unknown_substitute = finding.code == "ingredient-unknown" and finding.place.sheet == "Swaps"
    return finding.code != _PACKED and bool(words & {"need", "needs", "contains", "opened"} or unknown_substitute)


def _shortages(programme: Programme, food: FoodPlan) -> Iterable[Row]:
    for short in food.shortages:
        session = programme.sessions.get(short.session)
        when = f", {day_words(session.day)}" if session else ""
        possible = counted(short.full_kits_possible, "full kit")
        more = f"{decimal_words(short.amount)} {short.unit} missing; {possible} possible"
        yield Row(("Short", f"{short.food}, {short.session}{when}", more), "warning")


def _lots(food: FoodPlan) -> Iterable[Row]:
    for lot in food.lots:
        if not lot.on_hand:
            continue
        name = f"{lot.food}{f', lot {lot.lot}' if lot.lot else ''}"
        where = f" ({lot.location})" if lot.location else ""
        amount = f"{decimal_words(lot.on_hand)} {lot.unit}{where}"
        if lot.expired:
            good = f": good through {day_words(lot.good_through)}" if lot.good_through else ""
            yield Row(("Remove", name, f"{amount}, out of date{good}"), "warning")
        elif lot.undated:
            yield Row(("Not used", name, f"{amount}, chilled and without a date: add one, or remove it"))
