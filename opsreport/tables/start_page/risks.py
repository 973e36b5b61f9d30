"""What is short, what has gone out of date, and what somebody must not get."""

from collections.abc import Iterable, Sequence
from typing import Final

from opsreport.findings import Finding, in_order
from opsreport.plan.model import FoodPlan, Plan
from opsreport.programme import Programme
from opsreport.rules import Family, Severity
from opsreport.shown import day_words, decimal_words
from opsreport.tables.naming import counted, listed
from opsreport.tables.table import Column, Row, Table

_PACKED: Final = "packed-kit-against-need"


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


def _to_pull(findings: Sequence[Finding]) -> Iterable[Row]:
    """Every packed kit that someone must not get, one row a kit, before all else."""
    for finding in in_order(findings):
        if finding.code == _PACKED:
            yield Row(("Pull", f"kit {finding.details['kit']}", f"{finding.message} {finding.fix}"), "warning")


def _about_needs(findings: Sequence[Finding]) -> Iterable[Row]:
    """Findings on what people must not get and on what foods hold, one row a sort."""
    sorts: dict[str, list[Finding]] = {}
    for finding in in_order(findings):
        if _is_about_needs(finding) and finding.severity is not Severity.NOTE:
            sorts.setdefault(finding.code, []).append(finding)
    for each in sorts.values():
        unsafe = each[0].severity is Severity.ERROR
        cells = listed([finding.where for finding in each], 4)
        more = f" And {len(each) - 1:,} more like it." if len(each) > 1 else ""
        yield Row(
            ("Unsafe" if unsafe else "To be asked", cells, f"{each[0].message} {each[0].fix}{more}"),
            "warning" if unsafe else "",
        )


def _is_about_needs(finding: Finding) -> bool:
    """Its code says `need`, `needs` or `contains`; or a food that nobody knows is given instead of another."""
    words = set(finding.code.split("-"))
    unknown_substitute = finding.code == "ingredient-unknown" and finding.place.sheet == "Swaps"
    return finding.code != _PACKED and bool(words & {"need", "needs", "contains"} or unknown_substitute)


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
