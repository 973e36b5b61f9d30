"""Outcomes: what changed between the surveys before and after, question by question, theme by theme."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Final

from opsreport.plan.people_model import Outcome, PeoplePlan
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.reports.definitions import TITLE, few_pairs_note, outcome_definitions
from opsreport.tables.reports.outcome_words import sentence
from opsreport.tables.table import Column, Document, Part, Prose, Row, Table, Value
from opsreport.words import fold

HIDDEN: Final = "hidden"
_NONE: Final = "–"
_TESTS: Final = {"wilcoxon": "Wilcoxon", "mcnemar": "McNemar"}
_QUESTION: Final = Column("Question", width=34)
_ANSWERS: Final = (Column("Pairs", "count", 7), Column("Unmatched", "count", 10))
_TESTED: Final = (
    Column("p", "number", 8),
    Column("Test", width=10),
    Column("Improved", "count", 9),
    Column("Same", "count", 7),
    Column("Worse", "count", 7),
    Column("Note", width=18),
)
_MEASURED: Final = (
    _QUESTION,
    Column("Better", width=8),
    *_ANSWERS,
    Column("Before", "number", 8),
    Column("After", "number", 8),
    Column("Change", "number", 8),
    Column("95% interval from", "number", 10),
    Column("95% interval to", "number", 10),
    Column("Standardised change", "number", 12),
    *_TESTED,
)
_SHARES: Final = (
    _QUESTION,
    Column("Better", width=8),
    *_ANSWERS,
    Column("Yes before", "percent", 8),
    Column("Before, 95% interval from", "percent", 10),
    Column("Before, 95% interval to", "percent", 10),
    Column("Yes after", "percent", 8),
    Column("After, 95% interval from", "percent", 10),
    Column("After, 95% interval to", "percent", 10),
    Column("Change in points", "number", 9),
    *_TESTED,
)


def outcomes_document(programme: Programme, people: PeoplePlan) -> Document:
    """Every question of the programme, for the coordinator."""
    parts: list[Part] = [
        *outcome_tables(
            people.outcomes,
            lower_is_better(programme),
            title="What changed, in words",
            empty="The workbook asks no questions (sheet Questions), so no change can be reported.",
        ),
        Prose(outcome_definitions(), TITLE),
    ]
    return Document(
        "reports/outcomes", "Outcomes: before and after", "the coordinator", tuple(parts),
        head_line(programme), landscape=True,
    )  # fmt: skip


def lower_is_better(programme: Programme) -> frozenset[str]:
    """Questions on which a lower answer is an improvement."""
    return frozenset(row.question for row in programme.questions if row.better == "lower")


def outcome_tables(
    outcomes: Sequence[Outcome], lower: frozenset[str], *, title: str, empty: str, hiding: bool = False
) -> list[Table]:
    """Sentences first, then the figures behind them: scales and numbers, then yes-no questions.

    hiding: for a funder, where a count of people that is None is one that is hidden.
    """
    tested = sum(outcome.p is not None for outcome in outcomes)
    words = Table(
        "Outcomes in words",
        title,
        (Column("Question", width=38), Column("What can be said", width=70)),
        _themed(outcomes, lambda o: (o.text or o.question, sentence(o, lower_is_better=o.question in lower))),
        notes=few_pairs_note([outcome.n for outcome in outcomes], tested),
        empty=empty,
    )
    found = [words]
    measured = [outcome for outcome in outcomes if outcome.kind != "yes-no"]
    shares = [outcome for outcome in outcomes if outcome.kind == "yes-no"]
    if measured:
        rows = _themed(measured, lambda o: _measured_cells(o, o.question in lower, hiding))
        found.append(
            Table("Scales and numbers", "Figures: scales and numbers", _MEASURED, rows, notes=_sign_notes(rows))
        )
    if shares:
        rows = _themed(shares, lambda o: _share_cells(o, o.question in lower, hiding))
        found.append(Table("Yes and no", "Figures: yes-no questions", _SHARES, rows, notes=_sign_notes(rows)))
    return found


def _themed(outcomes: Sequence[Outcome], cells: Callable[[Outcome], tuple[Value, ...]]) -> tuple[Row, ...]:
    """Rows under their themes, in the order in which themes first come; without a theme last."""
    themes: dict[str, tuple[str, list[Outcome]]] = {}
    for outcome in outcomes:
        themes.setdefault(fold(outcome.theme), (outcome.theme, []))[1].append(outcome)
    rows: list[Row] = []
    for theme, its in sorted(themes.values(), key=lambda pair: not pair[0].strip()):
        filled = [cells(outcome) for outcome in its]
        if len(themes) > 1 or theme.strip():
            rows.append(Row((theme.strip() or "Other questions", *[None] * (len(filled[0]) - 1)), "heading"))
        rows.extend(Row(each) for each in filled)
    return tuple(rows)


def _measured_cells(outcome: Outcome, lower: bool, hiding: bool) -> tuple[Value, ...]:
    figures = (
        outcome.before, outcome.after, outcome.change, outcome.low, outcome.high, outcome.effect
    )  # fmt: skip
    return (
        *_answer_cells(outcome, lower, hiding),
        *_or_sign(figures, _sign_of_none(outcome, hiding)),
        *_test_cells(outcome, hiding),
    )


def _share_cells(outcome: Outcome, lower: bool, hiding: bool) -> tuple[Value, ...]:
    points = None if outcome.change is None else 100 * outcome.change
    before = (outcome.before, outcome.before_low, outcome.before_high)
    after = (outcome.after, outcome.low, outcome.high)
    return (
        *_answer_cells(outcome, lower, hiding),
        *_or_sign((*before, *after, points), HIDDEN if hiding else _NONE),
        *_test_cells(outcome, hiding),
    )


def _answer_cells(outcome: Outcome, lower: bool, hiding: bool) -> tuple[Value, ...]:
    yes_no = ("yes", "no") if outcome.kind == "yes-no" else ("higher", "lower")
    return (outcome.text or outcome.question, yes_no[lower], outcome.n, _count(outcome.unmatched, hiding))


def _test_cells(outcome: Outcome, hiding: bool) -> tuple[Value, ...]:
    return (
        *_or_sign((outcome.p,), _sign_of_none(outcome, hiding)),
        _TESTS.get(outcome.test, outcome.test) or _NONE,
        *(_count(number, hiding) for number in (outcome.improved, outcome.same, outcome.worse)),
        outcome.note,
    )


def _sign_of_none(outcome: Outcome, hiding: bool) -> str:
    """What stands for None: to a funder the figure is hidden, unless the note says why there is none."""
    return HIDDEN if hiding and not outcome.note else _NONE


def _count(number: int | None, hiding: bool) -> Value:
    if number is None:
        return HIDDEN if hiding else _NONE
    return number


def _or_sign(figures: Iterable[float | None], sign: str) -> Iterable[Value]:
    return (sign if figure is None else figure for figure in figures)


_SIGNS: Final[Mapping[str, str]] = {
    _NONE: "–: cannot be worked out.",
    HIDDEN: "hidden: small, or one from which a small one would follow.",
}


def _sign_notes(rows: Iterable[Row]) -> tuple[str, ...]:
    """The meaning of the signs that stand in the rows."""
    cells = {cell for row in rows for cell in row.cells if isinstance(cell, str)}
    return tuple(meaning for sign, meaning in _SIGNS.items() if sign in cells)
