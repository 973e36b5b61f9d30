"""What changed between the surveys before and after, question by question, in matched pairs only."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from opsreport.numerals import ascii_numerals, number
from opsreport.plan.model import Outcome
from opsreport.programme import Programme
from opsreport.sheets import QuestionRow

_YES: Final = frozenset({"y", "yes", "x", "✓", "✔", "1", "true"})
_NO: Final = frozenset({"n", "no", "0", "false"})
_Z: Final = 1.959963984540054
"""The standard normal's 97.5% point."""
MOST_EXACT: Final = 1000
"""Changed pairs up to which the signed-rank p is exact; beyond, the normal curve is as good."""


@dataclass(frozen=True, slots=True)
class Answers:
    """One question's readable answers by participant."""

    question: QuestionRow
    before: Mapping[str, Fraction]
    after: Mapping[str, Fraction]

    def of(self, people: Collection[str]) -> "Answers":
        """The same, of some people only."""
        return Answers(
            self.question,
            {who: answer for who, answer in self.before.items() if who in people},
            {who: answer for who, answer in self.after.items() if who in people},
        )


def gather(programme: Programme) -> tuple[Answers, ...]:
    """Every question's answers, in the order of Questions.

    What cannot be read, or lies outside Lowest to Highest, is missing. Of two answers of one person to one
    question at one time the last readable one counts. A person in several groups is one person.
    """
    questions = {row.question: row for row in programme.questions}
    times: dict[str, dict[str, dict[str, Fraction]]] = {question: {"before": {}, "after": {}} for question in questions}
    read: dict[tuple[str, str], Fraction | None] = {}
    comma = programme.settings.decimal_comma
    for row in programme.surveys:
        question = questions.get(row.question)
        if question is None:
            continue
        key = (row.question, row.answer)
        if key not in read:
            read[key] = read_answer(row.answer, question, decimal_comma=comma)
        answer = read[key]
        if answer is not None:
            times[row.question][row.when][row.participant] = answer
    return tuple(Answers(row, **times[row.question]) for row in questions.values())


def compare_all(programme: Programme) -> tuple[Outcome, ...]:
    """Outcomes of the whole programme, in the order of Questions."""
    return tuple(compare(answers) for answers in gather(programme))


def compare(answers: Answers) -> Outcome:
    """One question's outcome."""
    pairs = [(answer, answers.after[who]) for who, answer in answers.before.items() if who in answers.after]
    unmatched = len(answers.before) + len(answers.after) - 2 * len(pairs)
    if answers.question.kind == "yes-no":
        return _yes_or_no(answers.question, pairs, unmatched)
    return _measured(answers.question, pairs, unmatched)


def read_answer(text: str, question: QuestionRow, *, decimal_comma: bool) -> Fraction | None:
    """An answer as a number, 1 and 0 for yes and no; None where it is missing."""
    word = " ".join(text.split()).casefold()
    if question.kind == "yes-no":
        if word in _YES or _number(word, decimal_comma) == 1:
            return Fraction(1)
        return Fraction(0) if word in _NO or _number(word, decimal_comma) == 0 else None
    value = _number(word, decimal_comma)
    if value is None:
        return None
    low, high = question.lowest, question.highest
    return None if (low is not None and value < low) or (high is not None and value > high) else value


def _number(word: str, decimal_comma: bool) -> Fraction | None:
    """`4`, `4.5`, `1/2`, `1 1/2`; None where it is no number."""
    found = number(ascii_numerals(word), decimal_comma)
    return None if found is None else found.value


def _measured(question: QuestionRow, pairs: Sequence[tuple[Fraction, Fraction]], unmatched: int) -> Outcome:
    """Means, change, t interval and signed-rank p of scale and number answers."""
    n = len(pairs)
    if not n:
        return _outcome(question, 0, unmatched, note="no matched pairs")
    scale = math.lcm(*(value.denominator for pair in pairs for value in pair))
    before = sum(int(pair[0] * scale) for pair in pairs)
    changes = [int((after - earlier) * scale) for earlier, after in pairs]
    total = sum(changes)
    mean = float(Fraction(total, n * scale))
    spread = n * sum(change * change for change in changes) - total * total
    low = high = effect = None
    if spread:
        deviation = math.sqrt(Fraction(spread, n * (n - 1))) / scale
        half = _student(n - 1) * deviation / math.sqrt(n)
        low, high, effect = mean - half, mean + half, mean / deviation
    p, approximate = signed_rank_p(changes)
    notes = [
        "all changes are zero" if not any(changes) else "all changes are equal" if n > 1 and not spread else "",
        "one matched pair" if n == 1 else "",
        "p from the normal curve" if approximate else "",
    ]
    return _outcome(
        question, n, unmatched,
        before=float(Fraction(before, n * scale)), after=float(Fraction(before + total, n * scale)),
        change=mean, low=low, high=high, effect=effect, p=p, test="wilcoxon",
        up=sum(change > 0 for change in changes), down=sum(change < 0 for change in changes),
        note="; ".join(note for note in notes if note),
    )  # fmt: skip


def _yes_or_no(question: QuestionRow, pairs: Sequence[tuple[Fraction, Fraction]], unmatched: int) -> Outcome:
    """Shares of yes with their Wilson intervals, and McNemar's exact p."""
    n = len(pairs)
    if not n:
        return _outcome(question, 0, unmatched, note="no matched pairs")
    before, after = (sum(int(pair[time]) for pair in pairs) for time in (0, 1))
    up = sum(earlier < later for earlier, later in pairs)
    down = sum(earlier > later for earlier, later in pairs)
    low, high = wilson(after, n) if n > 1 else (None, None)
    before_low, before_high = wilson(before, n) if n > 1 else (None, None)
    notes = ["all changes are zero" if not up + down else "", "one matched pair" if n == 1 else ""]
    return _outcome(
        question, n, unmatched,
        before=before / n, after=after / n, change=(after - before) / n, low=low, high=high,
        before_low=before_low, before_high=before_high, p=mcnemar_p(up, down), test="mcnemar",
        up=up, down=down, note="; ".join(note for note in notes if note),
    )  # fmt: skip


def _outcome(
    question: QuestionRow, n: int, unmatched: int, *, before: float | None = None, after: float | None = None,
    change: float | None = None, low: float | None = None, high: float | None = None,
    before_low: float | None = None, before_high: float | None = None, effect: float | None = None,
    p: float | None = None, test: Literal["wilcoxon", "mcnemar", ""] = "", up: int = 0, down: int = 0,
    note: str = "",
) -> Outcome:  # fmt: skip
    improved, worse = (down, up) if question.better == "lower" else (up, down)
    return Outcome(
        question.question, question.text, question.kind, question.theme, n, unmatched, before, after, change,
        low, high, before_low, before_high, effect, p, test, improved, n - up - down, worse, note,
    )  # fmt: skip


def _student(degrees: int) -> float:
    """The 97.5% point of Student's t."""
    from scipy.special import stdtrit

    return float(stdtrit(degrees, 0.975))


def wilson(yes: int, n: int) -> tuple[float, float]:
    """Wilson's 95% interval of a share.

    Source: Wilson, Journal of the American Statistical Association 22 (1927) 209-212.
    """
    share, square = yes / n, _Z * _Z
    centre = share + square / (2 * n)
    half = _Z * math.sqrt(share * (1 - share) / n + square / (4 * n * n))
    low, high = (centre - half) / (1 + square / n), (centre + half) / (1 + square / n)
    return (0.0 if yes == 0 else low), (1.0 if yes == n else high)


def mcnemar_p(up: int, down: int) -> float | None:
    """Exact two-sided p of the pairs that changed: the lesser binomial tail, doubled, at most 1.

    None where none changed.
    """
    changed = up + down
    if not changed:
        return None
    term = tail = 1
    for lesser in range(min(up, down)):
        term = term * (changed - lesser) // (lesser + 1)
        tail += term
    return min(1.0, float(Fraction(2 * tail, 2**changed)))


def signed_rank_p(changes: Sequence[int]) -> tuple[float | None, bool]:
    """Wilcoxon's exact two-sided signed-rank p, and whether it is an approximation after all.

    Zeros are dropped, equal sizes share the middle of their ranks. Under no effect each rank is up or down
    with equal chance: the share of all 2^n signings whose lesser rank sum is no greater than the one seen.
    Sums are built up rank by rank over doubled (so whole) ranks.
    """
    import numpy as np

    changed = [change for change in changes if change]
    n = len(changed)
    if not n:
        return None, False
    doubled = doubled_ranks([abs(change) for change in changed])
    up = sum(rank for rank, change in zip(doubled, changed, strict=True) if change > 0)
    lesser = min(up, n * (n + 1) - up)
    if n > MOST_EXACT:
        variance = sum(rank * rank for rank in doubled) / 4
        away = max(n * (n + 1) / 2 - lesser - 1, 0) / math.sqrt(variance)
        return min(1.0, math.erfc(away / math.sqrt(2))), True
    chances = np.zeros(lesser + 1)
    chances[0] = 1.0
    reached = 0
    for rank in sorted(doubled):
        reached = min(reached + rank, lesser)
        moved = chances[: max(reached - rank + 1, 0)] / 2
        chances[: reached + 1] /= 2
        chances[rank : rank + len(moved)] += moved
    return min(1.0, 2 * float(chances.sum())), False


def doubled_ranks(sizes: Sequence[int]) -> list[int]:
    """Twice the rank of each, from the smallest; equal ones share the mean of their ranks."""
    order = sorted(range(len(sizes)), key=sizes.__getitem__)
    ranks = [0] * len(sizes)
    start = 0
    while start < len(order):
        stop = start
        while stop < len(order) and sizes[order[stop]] == sizes[order[start]]:
            stop += 1
        for place in range(start, stop):
            ranks[order[place]] = start + 1 + stop
        start = stop
    return ranks
