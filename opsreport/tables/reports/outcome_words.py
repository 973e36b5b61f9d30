"""One question's outcome in a sentence that claims no more than its interval or test allows."""

from typing import Final

from opsreport.plan.people_model import Outcome
from opsreport.shown import share_words

_UNUSUAL: Final = 0.05
"""A p below this is called unusual under chance alone."""


def sentence(outcome: Outcome) -> str:
    """What can be said of one question; figures that are None (hidden, or not to be had) are left unsaid."""
    if not outcome.n:
        return "Nobody answered both before and after: too few pairs to say."
    if outcome.n == 1:
        return "One person answered both before and after: too few pairs to say."
    if _nobody_changed(outcome):
        return _unchanged(outcome)
    return _yes_or_no(outcome) if outcome.kind == "yes-no" else _measured(outcome)


def p_words(p: float) -> str:
    """`p = 0.031`, `p < 0.001`."""
    if p < 0.001:
        return "p < 0.001"
    return f"p = {p:.3f}" if p < 0.1 else f"p = {p:.2f}"


def _nobody_changed(outcome: Outcome) -> bool:
    return outcome.p is None and outcome.improved == 0 and outcome.worse == 0


def _unchanged(outcome: Outcome) -> str:
    said = f"None of the {outcome.n:,} people changed their answer"
    if outcome.kind == "yes-no" and outcome.before is not None:
        return f"{said}: {share_words(outcome.before)} said yes both times."
    return f"{said}."


def _measured(outcome: Outcome) -> str:
    """Scales and numbers: who improved, the average change, its interval, and what that leaves open."""
    people = f"{outcome.n:,} people"
    lower_is_better = outcome.better == "lower"
    change, low, high = outcome.change, outcome.low, outcome.high
    if change is None:
        return f"{people} answered both times; the change is not shown."
    if low is None or high is None:
        if None in (outcome.improved, outcome.same, outcome.worse):
            average = _signed(change, _places(change))
            return (
                f"{people} answered both times; the average change is {average}, without its interval, as small counts "
                "would follow from it: how sure that is cannot be said here."
            )
        by = _signed(change, _places(change))
        return f"All {people} changed by the same {by}, so there is no interval to give."
    places = _places(change, low, high)
    average = (
        f"the average change is {_signed(change, places)} "
        f"(95% interval {_plain(low, places)} to {_plain(high, places)})"
    )
    if low <= 0 <= high:
        return f"{_both_ways(outcome)}; {average}: the interval includes no change."
    if (change < 0) != lower_is_better:
        lead = _lead(outcome.worse, outcome.n, "got worse")
        return f"{lead}; {average}, a change for the worse{_doubt(outcome)}."
    lead = _lead(outcome.improved, outcome.n, "improved")
    return f"{lead}; {average}{', and lower is better' if lower_is_better else ''}{_doubt(outcome)}."


def _yes_or_no(outcome: Outcome) -> str:
    """Yes-no: who moved which way, the shares, and whether chance alone would do."""
    parts = [_both_ways(outcome), *_shares(outcome)]
    if outcome.p is None:
        return f"{'; '.join(parts)}. The test is not shown, as small counts would follow from it."
    if outcome.p < _UNUSUAL:
        return f"{'; '.join(parts)}. Chance alone would seldom do this ({p_words(outcome.p)})."
    return f"{'; '.join(parts)}. Chance alone could do this ({p_words(outcome.p)})."


def _shares(outcome: Outcome) -> list[str]:
    said = []
    if outcome.before is not None:
        said.append(f"{share_words(outcome.before)} before")
    if outcome.after is not None:
        interval = ""
        if outcome.low is not None and outcome.high is not None:
            interval = f" (95% interval {share_words(outcome.low)} to {share_words(outcome.high)})"
        said.append(f"{share_words(outcome.after)} after{interval}")
    return [f"yes: {', '.join(said)}"] if said else []


def _lead(count: int | None, n: int, did: str) -> str:
    return f"{n:,} people answered both times" if count is None else f"{count:,} of {n:,} people {did}"


def _both_ways(outcome: Outcome) -> str:
    if outcome.improved is None or outcome.worse is None:
        return _lead(None, outcome.n, "")
    worse = f"{outcome.worse:,}" if outcome.worse else "none"
    return f"{_lead(outcome.improved, outcome.n, 'improved')} and {worse} got worse"


def _doubt(outcome: Outcome) -> str:
    """Said where the test by ranks does not bear the interval out."""
    if outcome.p is None or outcome.p < _UNUSUAL:
        return ""
    return f"; the test by ranks is less sure ({p_words(outcome.p)})"


def _places(*values: float) -> int:
    """Decimals at which nothing but zero reads as zero: at least 1, at most 4."""
    return next((at for at in (1, 2, 3) if all(value == 0 or round(abs(value), at) for value in values)), 4)


def _plain(value: float, places: int) -> str:
    text = f"{abs(value):,.{places}f}"
    return f"−{text}" if value < 0 and float(text.replace(",", "")) else text


def _signed(value: float, places: int) -> str:
    return f"+{_plain(value, places)}" if value > 0 else _plain(value, places)
