"""This term beside earlier ones: the whole programme's figures, then each question asked in both."""

from fractions import Fraction

from opsreport.money import Currency
from opsreport.plan.people_model import EarlierTerm, PeoplePlan
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.table import Column, Row, Table, Value

_FIGURES = (
    ("Sessions planned", "sessions_planned"),
    ("Sessions delivered", "sessions_delivered"),
    ("People", "people"),
    ("Households", "households"),
    ("Completers", "completers"),
    ("Contacts", "contacts"),
    ("Contact hours", "contact_hours"),
    ("Kits given out", "kits_distributed"),
)


def terms_tables(programme: Programme, people: PeoplePlan) -> list[Table]:
    """Nothing where no earlier run was named. Changes are of each term's own pairs; nobody is followed over terms."""
    if not people.earlier:
        return []
    headings = [f"As of {day_words(term.as_of)}" for term in people.earlier]
    headings = [
        f"{heading} ({headings[:at].count(heading) + 1})" if heading in headings[:at] else heading
        for at, heading in enumerate(headings)
    ]
    figures = [
        Row((words, _now(people, name), *(term.figures.get(name) for term in people.earlier)))
        for words, name in _FIGURES
    ]
    groups = people.groups.values()
    present, absent, excused = (sum(getattr(g, what) for g in groups) for what in ("present", "absent", "excused"))
    figures.append(
        Row(
            (
                "Attendance rate", _rate(Fraction(present), Fraction(absent), Fraction(excused)),
                *(
                    _rate(*(term.figures.get(name, Fraction(0)) for name in ("present", "absent", "excused")))
                    for term in people.earlier
                ),
            )
        )
    )  # fmt: skip
    spent = [_spent(programme.currency, term) for term in people.earlier]
    figures.append(Row(("Cost of what was ordered", "see What the orders cost", *spent)))
    columns = (
        Column("Figure", width=30),
        Column("This term", "amount", 16),
        *(Column(h, "amount", 18) for h in headings),
    )
    questions = [
        Row(
            (
                o.text or o.question,
                *_change(o.n, o.change),
                *(v for t in people.earlier for v in _change(*t.outcomes.get(o.question, (0, None))[:2])),
            )
        )
        for o in people.outcomes
    ]
    found = [
        Table(
            "Terms", "This term beside earlier ones", columns, tuple(figures),
            notes=("Empty: the earlier run does not say it.",),
        )
    ]  # fmt: skip
    if questions:
        found.append(
            Table(
                "Changes by term",
                "Changes beside those of earlier terms",
                (
                    Column("Question", width=38),
                    Column("Pairs", "count", 7),
                    Column("Change", "number", 9),
                    *(
                        column
                        for heading in headings
                        for column in (
                            Column(f"Pairs, {heading}", "count", 12),
                            Column(f"Change, {heading}", "number", 12),
                        )
                    ),
                ),
                tuple(questions),
                notes=(
                    "Each term's own people, before and after. Different terms are different people: a greater change "
                    "in one of them need not be due to what was done differently.",
                ),
            )
        )
    return found


def _now(people: PeoplePlan, name: str) -> Value:
    return getattr(people.totals, name)  # type: ignore[no-any-return]


def _rate(present: Fraction, absent: Fraction, excused: Fraction) -> str | None:
    recorded = present + absent + excused
    return f"{float(100 * present / recorded):.0f}%" if recorded else None


def _change(n: int, change: float | None) -> tuple[Value, Value]:
    return (n or None, change)


def _spent(currency: Currency, term: EarlierTerm) -> str | None:
    if term.spent is None:
        return None
    money = currency.exact(Fraction(term.spent)) if term.currency == currency.code else None
    return f"{term.spent} {term.currency}" if money is None else currency.shown(money)
