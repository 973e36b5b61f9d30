"""Outcomes drawn: changes with their intervals, and where people stood before and after."""

from collections.abc import Sequence
from fractions import Fraction

from opsreport.plan.people_model import Outcome
from opsreport.sheets import QuestionRow
from opsreport.shown import share_words
from opsreport.tables.table import Picture, PictureRow


def outcome_pictures(questions: Sequence[QuestionRow], outcomes: Sequence[Outcome]) -> list[Picture]:
    """A picture of all changes, then one of the answers on each scale; only what is shown in figures too."""
    return [*_changes(outcomes), *_scales(questions, outcomes), *_shares(outcomes)]


def _changes(outcomes: Sequence[Outcome]) -> list[Picture]:
    """Standardised changes with their intervals, better to the right, so that different scales stand on one axis."""
    rows = []
    for outcome in outcomes:
        change, low, high, effect = outcome.change, outcome.low, outcome.high, outcome.effect
        if outcome.kind == "yes-no" or not change or low is None or high is None or effect is None:
            continue
        deviation = change / effect if outcome.better == "higher" else -change / effect
        ends = sorted((low / deviation, high / deviation))
        middle = change / deviation
        rows.append(
            PictureRow(
                f"{outcome.text or outcome.question} (n = {outcome.n})",
                f"{outcome.text or outcome.question}: {_number(middle)}, interval {_number(ends[0])} to "
                f"{_number(ends[1])}, {outcome.n} pairs.",
                start=ends[0],
                end=ends[1],
                full=middle,
            )
        )
    if not rows:
        return []
    reach = max(0.5, *(abs(end) for row in rows for end in (row.start or 0, row.end or 0))) * 1.05
    return [
        Picture(
            "What changed, and how sure that is",
            "change ÷ standard deviation of the changes; better to the right",
            tuple(rows),
            -reach,
            reach,
            zero=0,
            notes=("Dot: average change. Line: its 95% interval; where it crosses the dashed line, no change at all is "
                   "among the possibilities.",),
        )
    ]  # fmt: skip


def _scales(questions: Sequence[QuestionRow], outcomes: Sequence[Outcome]) -> list[Picture]:
    """Means before and after, a picture a scale."""
    ends = {row.question: (row.lowest, row.highest) for row in questions if row.kind == "scale"}
    scales: dict[tuple[Fraction, Fraction], list[Outcome]] = {}
    for outcome in outcomes:
        low, high = ends.get(outcome.question, (None, None))
        if low is not None and high is not None and low < high and None not in (outcome.before, outcome.after):
            scales.setdefault((low, high), []).append(outcome)
    return [
        Picture(
            f"Before and after, on the scale from {_number(float(low))} to {_number(float(high))}",
            "mean answer of those who answered both times",
            tuple(_way(outcome, _number(outcome.before or 0), _number(outcome.after or 0)) for outcome in of_scale),
            float(low),
            float(high),
            notes=("Open dot: before. Full dot: after.",),
        )
        for (low, high), of_scale in scales.items()
    ]


def _shares(outcomes: Sequence[Outcome]) -> list[Picture]:
    shown = [o for o in outcomes if o.kind == "yes-no" and o.before is not None and o.after is not None]
    if not shown:
        return []
    return [
        Picture(
            "Who said yes, before and after",
            "share of those who answered both times",
            tuple(_way(o, share_words(o.before or 0), share_words(o.after or 0)) for o in shown),
            0,
            1,
            percent=True,
            notes=("Open dot: before. Full dot: after.",),
        )
    ]


def _way(outcome: Outcome, before: str, after: str) -> PictureRow:
    label = outcome.text or outcome.question
    side = "" if outcome.better == "higher" else ", lower is better"
    return PictureRow(
        f"{label} (n = {outcome.n}{side})", f"{label}: {before} before, {after} after.",
        open=outcome.before, full=outcome.after,
    )  # fmt: skip


def _number(value: float) -> str:
    return f"{value:.2f}".rstrip("0").rstrip(".").replace("-", "−")
