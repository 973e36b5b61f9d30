"""What changed between the surveys before and after, question by question, in matched pairs only."""

import math
from collections import Counter
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final, Literal

from opsreport.measures.numerals import ascii_numerals, number
from opsreport.plan.people.chance import holm, mcnemar_p, signed_rank_p, student, wilson
from opsreport.plan.people_model import Outcome, Seen
from opsreport.programme import Programme, once
from opsreport.sheets import QuestionRow

_YES: Final = frozenset({"y", "yes", "x", "✓", "✔", "1", "true"})
_NO: Final = frozenset({"n", "no", "0", "false"})


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


@once
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


def compare_all(answers: Sequence[Answers]) -> tuple[Outcome, ...]:
    """Outcomes of several questions, each p beside the one adjusted for all of them."""
    return adjusted([compare(each) for each in answers])


def adjusted(outcomes: Sequence[Outcome], hidden: int = 0) -> tuple[Outcome, ...]:
    """The same with p adjusted for the number of questions tested. hidden: tests whose p may not be shown."""
    tested = [outcome.p for outcome in outcomes if outcome.p is not None]
    after_holm = iter(holm(tested, len(tested) + hidden))
    return tuple(replace(o, p_holm=None if o.p is None else next(after_holm)) for o in outcomes)


def compare(answers: Answers) -> Outcome:
    """One question's outcome."""
    pairs = [(answer, answers.after[who]) for who, answer in answers.before.items() if who in answers.after]
    unmatched = len(answers.before) + len(answers.after) - 2 * len(pairs)
    dropped = [answer for who, answer in answers.before.items() if who not in answers.after]
    work = _yes_or_no if answers.question.kind == "yes-no" else _measured
    seen = Counter(pairs)
    return replace(
        work(answers.question, pairs, unmatched),
        better=answers.question.better,
        stayed_n=len(pairs),
        dropped_n=len(dropped),
        dropped_before=float(sum(dropped, Fraction(0)) / len(dropped)) if dropped else None,
        seen=tuple(Seen(float(before), float(after), people) for (before, after), people in sorted(seen.items())),
    )


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
        half = student(n - 1) * deviation / math.sqrt(n)
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
