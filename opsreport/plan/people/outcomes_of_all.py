"""One funder's outcomes over several workbooks: the same question on the same scale, all pairs of answers together.

What the workbooks' own documents say of a question adds up; a reader can do that as well. The figures of all tell more
only of those workbooks whose documents leave the question out, as too few answered there: they are taken together as
one more document, which must hide nothing, and in each of them any pair of answers could have been another one's. Else
they are left out, and so are workbooks whose documents hide the change.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from opsreport.plan.people.outcomes import Answers, adjusted, compare
from opsreport.plan.people.sites import FunderPart
from opsreport.plan.people.told_outcomes import safe_outcome
from opsreport.plan.people_model import Outcome
from opsreport.sheets import QuestionRow
from opsreport.words import fold

ASKED_ONCE: Final = "asked in one workbook only, whose own report tells of it"
ASKED_OTHERWISE: Final = "the workbooks do not ask it in the same words, on the same scale"
NOBODY: Final = "nobody answered both before and after"
TOO_FEW: Final = "too few people answered, or the answers of a few could be worked out"
_FIGURES: Final = (
    "unmatched", "before", "after", "change", "low", "high", "before_low", "before_high", "effect", "p", "improved",
    "same", "worse",
)  # fmt: skip
_SIDES: Final = ("improved", "same", "worse")


@dataclass(frozen=True, slots=True)
class OutcomesOfAll:
    """outcomes: with p adjusted for all questions that were asked alike. questions: theirs. workbooks: how many are in
    each outcome, of how many that ask. apart: the other questions, and why they are not told."""

    outcomes: tuple[Outcome, ...]
    questions: tuple[QuestionRow, ...]
    workbooks: tuple[tuple[int, int], ...]
    apart: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class _Asked:
    """One question in one workbook. told: what its own document says, None where it says nothing. small: its Small
    count. free: no other document tells of some of the same people's answers only."""

    answers: Answers
    told: Outcome | None
    true: Outcome
    small: int
    free: bool


def outcomes_of_all(parts: Sequence[FunderPart], free: Sequence[bool]) -> OutcomesOfAll:
    """Every question's outcome, in the order in which the workbooks ask them. Somebody who answered in several
    workbooks is in it once for each.

    Args:
        free: by part, whether no other document tells of some of the same people's answers only.
    """
    asked: dict[str, list[_Asked]] = {}
    for part, alone in zip(parts, free, strict=True):
        told = {outcome.question: outcome for outcome in part.report.outcomes}
        for each in part.answers:
            name = each.question.question
            asked.setdefault(fold(name), []).append(
                _Asked(each, told.get(name), compare(each), part.report.small_count, alone)
            )
    found: list[tuple[QuestionRow, Outcome, tuple[int, int]]] = []
    apart = []
    for of in asked.values():
        question = min((each.answers.question for each in of), key=lambda row: (row.text, row.theme, row.question))
        if len(of) == 1:
            why = ASKED_ONCE
        elif len({_wording(each.answers.question) for each in of}) > 1:
            why = ASKED_OTHERWISE
        elif not any(each.true.n for each in of):
            why = NOBODY
        elif len(inside := _inside(question, of)) < 2:
            why = TOO_FEW
        else:
            found.append((question, _of_all(question, inside), (len(inside), len(of))))
            continue
        apart.append((question.text or question.question, why))
    untold = sum(why == TOO_FEW for _, why in apart) + sum(outcome.p is None for _, outcome, _ in found)
    questions, outcomes, workbooks = zip(*found, strict=True) if found else ((), (), ())
    return OutcomesOfAll(adjusted(outcomes, untold), questions, workbooks, tuple(apart))


def _wording(question: QuestionRow) -> tuple[object, ...]:
    return fold(question.text), question.kind, question.lowest, question.highest, question.better


def _inside(question: QuestionRow, asked: Sequence[_Asked]) -> list[_Asked]:
    """The workbooks whose answers can be told of together."""
    untold = [each for each in asked if each.told is None and each.true.n]
    small = max(each.small for each in asked)
    together = _could_be_others(question, untold, small)
    return [
        each
        for each in asked
        if (together and each in untold) or (each.told is not None and each.told.change is not None)
    ]


def _of_all(question: QuestionRow, asked: Sequence[_Asked]) -> Outcome:
    """One question's outcome over some workbooks, without what one of their own documents hides."""
    outcome = compare(_joined(question, asked))
    hidden = {name for each in asked if each.told is not None for name in _FIGURES if _hides(each, name)}
    if any(each.told is None for each in asked):
        hidden.add("unmatched")
    shown = safe_outcome(outcome, max(each.small for each in asked))
    found: Outcome = replace(shown, **dict.fromkeys(hidden))  # type: ignore[arg-type]
    return found


def _joined(question: QuestionRow, asked: Sequence[_Asked]) -> Answers:
    """All answers, each workbook's people apart from the others'."""
    before: dict[str, Fraction] = {}
    after: dict[str, Fraction] = {}
    for at, each in enumerate(asked):
        before.update((f"{at} {who}", answer) for who, answer in each.answers.before.items())
        after.update((f"{at} {who}", answer) for who, answer in each.answers.after.items())
    return Answers(question, before, after)


def _hides(asked: _Asked, name: str) -> bool:
    """Whether a document that tells of a question hides this figure of it."""
    return getattr(asked.told, name) is None and getattr(asked.true, name) is not None


def _could_be_others(question: QuestionRow, untold: Sequence[_Asked], small: int) -> bool:
    """Whether workbooks that say nothing of a question can be told of together: nothing of all of them is few, and each
    of their numbers could be another one, as a pair of answers could be one workbook's as well as another's."""
    if len(untold) < 2 or not all(each.free for each in untold):
        return False
    together = compare(_joined(question, untold))
    seen = safe_outcome(together, small)
    if together.n <= small or any(getattr(seen, side) is None for side in _SIDES) or seen.change is None:
        return False
    sides = [Counter({side: getattr(each.true, side) for side in _SIDES}) for each in untold]
    return all(
        _varies(side, at, untold, sides)
        for at in range(len(untold))
        for side in (*_SIDES, "n")
        if _many(sides[at], side)
    )


def _many(sides: Counter[str], side: str) -> int:
    return sides.total() if side == "n" else sides[side]


def _varies(side: str, at: int, untold: Sequence[_Asked], sides: Sequence[Counter[str]]) -> bool:
    """Whether one workbook's number could be one less or one more, another's making up for it and both staying small:
    a pair is given to another one, taken from it, or changed for one of another side."""
    others = [other for other in range(len(untold)) if other != at]
    if any(sides[other].total() < untold[other].small for other in others):
        return True
    if sides[at].total() < untold[at].small and any(_many(sides[other], side) for other in others):
        return True
    return side != "n" and any(sides[other].total() > sides[other][side] for other in others)
