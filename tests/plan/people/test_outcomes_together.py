"""Outcomes of several funders side by side; tests/test_small_counts_attack.py looks for what these cases miss."""

import random
from collections import Counter
from collections.abc import Mapping, Sequence
from fractions import Fraction

import pytest
from plan.people_support import answers, programme, question

from opsreport.plan.people.outcomes import Answers, gather
from opsreport.plan.people.outcomes_together import told_together
from opsreport.plan.people_model import Outcome


def told(
    changes: Mapping[str, Sequence[int]], documents: Sequence[str], kind: str = "number", once: Sequence[str] = (),
    step: Fraction = Fraction(1),
) -> list[Outcome | None]:  # fmt: skip
    """What each document tells of one question. changes: of people of a group, a letter; documents: their groups; once:
    by document, as many people who answered before only as it has letters. step: what a change of 1 is.

    Answers before are 3, or no; somebody whose change is 0 stays with it.
    """
    before: dict[str, object] = {}
    after: dict[str, object] = {}
    for name, of in changes.items():
        for at, change in enumerate(of):
            before[f"{name}{at}"] = "n" if kind == "yes-no" else 3
            after[f"{name}{at}"] = ("y" if change else "n") if kind == "yes-no" else 3 + change * step
    before |= dict.fromkeys((f"{name}-{at}" for at, name in enumerate(once)), "n" if kind == "yes-no" else 3)
    book = programme(questions=[question("q", kind)], surveys=answers("q", before, after))  # type: ignore[arg-type]
    everybody: Answers = gather(book)[0]
    of_each = [[everybody.of({who for who in before if who[0] in groups})] for groups in documents]
    return [next(iter(each), None) for each in told_together(of_each, [10] * len(documents))]


def sides(outcome: Outcome | None) -> tuple[int | None, ...] | None:
    return None if outcome is None else (outcome.improved, outcome.same, outcome.worse)


MANY = [1] * 20 + [0] * 20


def test_a_rest_of_many_is_told() -> None:
    assert [sides(each) for each in told({"A": MANY, "B": MANY}, ["A", "AB"])] == [(20, 20, 0), (40, 40, 0)]


@pytest.mark.parametrize("step", [Fraction(1), Fraction(1, 2), Fraction(1, 4)])
def test_three_more_who_improved(step: Fraction) -> None:
    """20 and 23 would tell of the 3 of group B: one document does not say how many improved, be it by parts of a
    point."""
    part, whole = told({"A": MANY, "B": [1] * 3 + [0] * 20}, ["A", "AB"], step=step)
    assert None in (*(sides(part) or (None,)), *(sides(whole) or (None,)))


def test_a_rest_of_two_pairs() -> None:
    """40 and 42 pairs would tell everything of the 2: the smaller document does not tell the outcome."""
    part, whole = told({"A": MANY, "B": [-1] * 2}, ["A", "AB"])
    assert part is None
    assert whole is not None


@pytest.mark.parametrize("kind", ["number", "yes-no"])
def test_each_of_three_groups_in_two_documents(kind: str) -> None:
    """(A + B) + (B + C) - (A + C) is twice the 3 of B, whom no two documents tell."""
    of = {"A": MANY, "B": [1] * 3, "C": [1] * 15 + [0] * 15}
    assert None in told(of, ["AB", "BC", "AC"], kind)
    assert None not in told(of, ["AB", "AC"], kind)


def test_yes_and_no_of_the_rest() -> None:
    """2 more said yes after: one of the two says nothing but its number of pairs."""
    part, whole = told({"A": MANY, "B": [1] * 2 + [0] * 20}, ["A", "AB"], "yes-no")
    assert part is not None
    assert whole is not None
    assert None in (part.after, whole.after)
    assert (part.n, whole.n) == (40, 62)


def test_who_answered_once_in_one_document_only() -> None:
    """12 and 14 unmatched would tell of the 2 of group B."""
    part, whole = told({"A": MANY, "B": MANY}, ["A", "AB"], once=["A"] * 12 + ["B"] * 2)
    assert part is not None
    assert whole is not None
    assert None in (part.unmatched, whole.unmatched)
    apart = told({"A": MANY, "B": MANY}, ["A", "AB"], once=["A"] * 12 + ["B"] * 20)
    assert [each.unmatched for each in apart if each] == [12, 32]


def test_who_answered_once_in_two_of_three_documents() -> None:
    """14 of A and B, 14 of B and C, 24 of A and C: 14 + 14 - 24 is twice the 2 of B. One number hidden is enough."""
    of = {"A": MANY, "B": MANY, "C": MANY}
    found = told(of, ["AB", "BC", "AC"], once=["A"] * 12 + ["B"] * 2 + ["C"] * 12)
    assert [each and each.unmatched for each in found] == [None, 14, 24]


def test_documents_of_different_people_tell_all() -> None:
    assert [sides(each) for each in told({"A": MANY, "B": MANY}, ["A", "B"])] == [(20, 20, 0)] * 2


def test_tests_that_are_not_shown_are_counted_all_the_same() -> None:
    """One question asked of enough people and one of few: the p of the first is adjusted for both."""
    few = answers("few", ["1"] * 5, ["2"] * 5)
    rows = [*few, *answers("many", ["1"] * 40, [str(1 + change) for change in MANY])]
    asked = gather(programme(questions=[question("many"), question("few")], surveys=rows))
    (shown,) = told_together([asked], [10])[0]
    assert shown.p is not None
    assert shown.p_holm == pytest.approx(float(2 * Fraction(shown.p)))


def test_so_much_is_told_in_thirty_drawn_cases() -> None:
    """Of two or three documents about up to 105 people. A solver looks for other answers: another release may find one
    or two fewer."""
    shown: Counter[str] = Counter()
    for seed in range(30):
        r = random.Random(seed)
        changes = {name: [r.choice([-1, 0, 0, 1, 1, 2]) for _ in range(r.choice([3, 8, 20, 35]))] for name in "ABC"}
        documents = r.sample(["A", "AB", "BC", "AC", "ABC", "B"], r.randint(2, 3))
        kind = r.choice(["number", "number", "yes-no"])
        once = [r.choice("ABC") for _ in range(r.randint(0, 50))]
        for each in told(changes, documents, kind, once):
            if each is not None:
                shown["outcomes"] += 1
                shown["sides"] += sum(value is not None for value in (each.improved, each.same, each.worse))
                shown.update(name for name in ("low", "change", "unmatched") if getattr(each, name) is not None)
    assert shown["outcomes"] >= 42
    assert shown["sides"] >= 45
    assert shown["low"] >= 21
    assert shown["change"] >= 37
    assert shown["unmatched"] >= 26
