"""Outcomes: what changed between the surveys before and after, question by question, theme by theme."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Final

from opsreport.plan.people_model import Outcome, PeoplePlan
from opsreport.programme import Programme
from opsreport.sheets import QuestionRow
from opsreport.tables.naming import head_line
from opsreport.tables.reports.definitions import TITLE, few_pairs_note, outcome_definitions
from opsreport.tables.reports.outcome_pictures import outcome_pictures
from opsreport.tables.reports.outcome_words import sentence
from opsreport.tables.table import Chart, Column, Document, Part, Picture, Prose, Row, Table, Value
from opsreport.words import fold

HIDDEN: Final = "hidden"
_NONE: Final = "–"
_TESTS: Final = {"wilcoxon": "Wilcoxon", "mcnemar": "McNemar"}
_QUESTION: Final = Column("Question", width=34)
_ANSWERS: Final = (Column("Pairs", "count", 5), Column("Unmatched", "count", 8))
_TESTED: Final = (
    _QUESTION,
    Column("p", "number", 8),
    Column("p, Holm", "number", 8),
    Column("Test", width=10),
    Column("Improved", "count", 9),
    Column("Same", "count", 7),
    Column("Worse", "count", 7),
    Column("Note", width=18),
)
_MEASURED: Final = (
    _QUESTION,
    Column("Better", width=6),
    *_ANSWERS,
    Column("Before", "number", 6),
    Column("After", "number", 6),
    Column("Change", "number", 6),
    Column("95% interval from", "number", 7),
    Column("95% interval to", "number", 7),
    Column("Standardised change", "number", 9),
)
_SHARES: Final = (
    _QUESTION,
    Column("Better", width=6),
    *_ANSWERS,
    Column("Yes before", "percent", 6),
    Column("Before, 95% interval from", "percent", 7),
    Column("Before, 95% interval to", "percent", 7),
    Column("Yes after", "percent", 6),
    Column("After, 95% interval from", "percent", 7),
    Column("After, 95% interval to", "percent", 7),
    Column("Change in points", "number", 6),
)


def outcomes_document(programme: Programme, people: PeoplePlan) -> Document:
    """Every question of the programme, for the coordinator."""
    parts: list[Part] = [
        *outcome_parts(
            programme.questions,
            people.outcomes,
            title="What changed, in words",
            empty="The workbook asks no questions (sheet Questions), so no change can be reported.",
        ),
        *_by_theme(people.outcomes),
        *_dropped_out(people.outcomes),
        Prose(outcome_definitions(), TITLE),
    ]
    return Document(
        "reports/outcomes", "Outcomes: before and after", "the coordinator", tuple(parts),
        head_line(programme), landscape=True,
    )  # fmt: skip


def outcome_parts(
    questions: Sequence[QuestionRow],
    outcomes: Sequence[Outcome],
    *,
    title: str,
    empty: str,
    hiding: bool = False,
    tested: int = 0,
) -> list[Table | Picture]:
    """Sentences first, then pictures, then the figures behind both: scales and numbers, then yes-no questions.

    hiding: for a funder, where a count of people that is None is one that is hidden. tested: how many questions p is
    adjusted for, where these are more than those whose p is shown.
    """
    tested = max(tested, sum(outcome.p is not None for outcome in outcomes))
    words = Table(
        "Outcomes in words",
        title,
        (Column("Question", width=38), Column("What can be said", width=70)),
        _themed(outcomes, lambda o: (o.text or o.question, sentence(o))),
        notes=few_pairs_note([outcome.n for outcome in outcomes], tested),
        empty=empty,
    )
    return [words, *outcome_pictures(questions, outcomes), *outcome_figures(outcomes, hiding=hiding)]


def outcome_figures(outcomes: Sequence[Outcome], *, hiding: bool = False) -> list[Table]:
    """The figures: scales and numbers, then yes-no questions; of each the change, then its tests, so that both can be
    read on paper."""
    found = []
    measured = [outcome for outcome in outcomes if outcome.kind != "yes-no"]
    shares = [outcome for outcome in outcomes if outcome.kind == "yes-no"]
    if measured:
        rows = _themed(measured, lambda o: _measured_cells(o, hiding))
        tests = _themed(measured, lambda o: _test_cells(o, hiding))
        chart = Chart("bar", "Means before and after", "Question", ("Before", "After"), "mean answer")
        found.append(
            Table(
                "Scales and numbers", "Figures: scales and numbers", _MEASURED, rows, notes=_sign_notes(rows),
                chart=chart,
            )
        )  # fmt: skip
        found.append(_tests("Scales and numbers", tests))
    if shares:
        rows = _themed(shares, lambda o: _share_cells(o, hiding))
        tests = _themed(shares, lambda o: _test_cells(o, hiding))
        chart = Chart("bar", "Shares of yes", "Question", ("Yes before", "Yes after"), "share of yes")
        found.append(
            Table("Yes and no", "Figures: yes-no questions", _SHARES, rows, notes=_sign_notes(rows), chart=chart)
        )
        found.append(_tests("Yes and no", tests))
    return found


def _tests(sheet: str, rows: tuple[Row, ...]) -> Table:
    """Who improved, and what the tests say. sheet: of the changes."""
    return Table(f"{sheet}, tests", f"{sheet}: who improved, and the tests", _TESTED, rows, notes=_sign_notes(rows))


def _by_theme(outcomes: Sequence[Outcome]) -> list[Table]:
    """How many questions of each theme say what; nothing where there is one theme or none."""
    themes: dict[str, tuple[str, list[Outcome]]] = {}
    for outcome in outcomes:
        themes.setdefault(fold(outcome.theme), (outcome.theme.strip() or "Other questions", []))[1].append(outcome)
    if len(themes) < 2:
        return []
    directions = (("Better", "better"), ("Not clear", "open"), ("Worse", "worse"), ("Cannot be said", ""))
    return [
        Table(
            "By theme",
            "What changed, theme by theme",
            (
                Column("Theme", width=28),
                Column("Questions", "count", 10),
                *(Column(words, "count", 10) for words, _ in directions),
                Column("Pairs, from", "count", 9),
                Column("Pairs, to", "count", 9),
            ),
            tuple(
                Row(
                    (
                        theme, len(its), *(sum(o.direction == direction for o in its) for _, direction in directions),
                        min(o.n for o in its), max(o.n for o in its),
                    )
                )
                for theme, its in themes.values()
            ),
            notes=(
                "Better and worse: the 95% interval of the change (for yes-no questions a p below 0.05) leaves no "
                "change out. Not clear: it does not; that is no proof that nothing changed.",
            ),
        )
    ]  # fmt: skip


def _dropped_out(outcomes: Sequence[Outcome]) -> list[Table]:
    """Whether those who answered before only started elsewhere than those who answered both times."""
    rows = [
        Row(
            (
                o.text or o.question, o.stayed_n, o.before, o.dropped_n,
                _NONE if o.dropped_before is None else o.dropped_before,
                _NONE if o.dropped_before is None or o.before is None else o.dropped_before - o.before,
            )
        )
        for o in outcomes
        if o.n
    ]  # fmt: skip
    if not any(o.dropped_n for o in outcomes):
        return []
    return [
        Table(
            "Who did not answer again",
            "Who did not answer again",
            (
                Column("Question", width=38),
                Column("Answered twice", "count", 10),
                Column("Their mean before", "number", 10),
                Column("Answered before only", "count", 10),
                Column("Their mean before the course", "number", 12),
                Column("Difference", "number", 10),
            ),
            tuple(rows),
            notes=(
                "Where those who did not answer again started elsewhere than those who did, the changes above may tell "
                "of who stayed rather than of what they learned. For yes-no questions the means are shares of yes.",
            ),
        )
    ]


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


def _measured_cells(outcome: Outcome, hiding: bool) -> tuple[Value, ...]:
    figures = (
        outcome.before, outcome.after, outcome.change, outcome.low, outcome.high, outcome.effect
    )  # fmt: skip
    return (
        *_answer_cells(outcome, hiding),
        *_or_sign(figures, _sign_of_none(outcome, hiding)),
    )


def _share_cells(outcome: Outcome, hiding: bool) -> tuple[Value, ...]:
    points = None if outcome.change is None else 100 * outcome.change
    before = (outcome.before, outcome.before_low, outcome.before_high)
    after = (outcome.after, outcome.low, outcome.high)
    return (
        *_answer_cells(outcome, hiding),
        *_or_sign((*before, *after, points), HIDDEN if hiding else _NONE),
    )


def _answer_cells(outcome: Outcome, hiding: bool) -> tuple[Value, ...]:
    yes_no = ("yes", "no") if outcome.kind == "yes-no" else ("higher", "lower")
    return (
        outcome.text or outcome.question,
        yes_no[outcome.better == "lower"],
        outcome.n,
        _count(outcome.unmatched, hiding),
    )


def _test_cells(outcome: Outcome, hiding: bool) -> tuple[Value, ...]:
    return (
        outcome.text or outcome.question,
        *_or_sign((outcome.p, outcome.p_holm), _sign_of_none(outcome, hiding)),
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
