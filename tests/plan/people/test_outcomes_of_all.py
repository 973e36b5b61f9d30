"""Outcomes of several workbooks: when they are put together, and what is told of them then."""

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from plan.people_support import answers, funder, group, member, programme, question, session

from opsreport.plan.people.outcomes_of_all import ASKED_ONCE, ASKED_OTHERWISE, NOBODY, TOO_FEW, OutcomesOfAll
from opsreport.plan.people.outcomes_of_all import outcomes_of_all as put_together
from opsreport.plan.people.sites import FunderPart, site_of
from opsreport.plan.people_plan import plan_people

FIVE = {"lowest": Fraction(1), "highest": Fraction(5)}


def part(before: Sequence[int], after: Sequence[int], small: int = 0, name: str = "Q", **asked: Any) -> FunderPart:
    """One workbook of one funder and one question: answers of people 0, 1, 2 …"""
    text = asked.pop("text", name)
    row = replace(question(name, asked.pop("kind", "scale"), **(FIVE | asked)), text=text)
    members = [member(str(at), "A") for at in range(max(len(before), len(after)))]
    book = programme(
        [group("A", funders=(("F", Fraction(1)),))], members,
        [session("s1", "A", 1)], funders=[funder("F")], small=small, report_by=(), questions=[row],
        surveys=answers(name, before, after),
    )  # fmt: skip
    return site_of("w", book, plan_people(book, {})).funders[0]


def told(*parts: FunderPart) -> OutcomesOfAll:
    return put_together(parts, [True] * len(parts))


def test_pairs_of_all_workbooks_are_put_together() -> None:
    """Changes 1, 1, 0 and 2, -1: 3 of 5 in all. The three of size 1 share rank 2, so the negative ranks add up to 2: by
    4 of 16 choices of signs they add up to no more, or the positive ones do."""
    found = told(part([1, 2, 3], [2, 3, 3]), part([1, 4, 5], [3, 3]))
    (outcome,) = found.outcomes
    assert (outcome.n, outcome.unmatched, outcome.improved, outcome.same, outcome.worse) == (5, 1, 3, 1, 1)
    assert (outcome.before, outcome.change) == (2.2, 0.6)
    assert outcome.p == 0.5
    assert found.workbooks == ((2, 2),)


@pytest.mark.parametrize(
    ("other", "why"),
    [
        ({"highest": Fraction(7)}, ASKED_OTHERWISE),
        ({"better": "lower"}, ASKED_OTHERWISE),
        ({"text": "How sure are you?"}, ASKED_OTHERWISE),
        ({"kind": "number"}, ASKED_OTHERWISE),
        ({"name": "R"}, ASKED_ONCE),
    ],
)
def test_other_questions_are_not_put_together(other: dict[str, Any], why: str) -> None:
    found = told(part([1, 2], [2, 3]), part([1, 2], [2, 3], **other))
    assert found.outcomes == ()
    assert {reason for _, reason in found.apart} == {why}


def test_a_question_that_nobody_answered_twice_says_so() -> None:
    assert told(part([1, 2], []), part([], [3])).apart == (("Q", NOBODY),)


def test_workbooks_where_few_answered_are_told_of_together_only() -> None:
    """8, 7 and 6 pairs, of each at least one that improves and one that stays; 12 improve and 9 stay in all."""
    few = [part([1] * n, [2] * up + [1] * (n - up), small=8) for n, up in ((8, 4), (7, 4), (6, 4))]
    assert [each.report.outcomes for each in few] == [(), (), ()]
    (outcome,) = told(*few).outcomes
    assert (outcome.n, outcome.improved, outcome.same, outcome.worse) == (21, 12, 9, 0)
    assert outcome.unmatched is None  # it would be of few
    assert told(*few[:1], *few[:1]).apart == (("Q", TOO_FEW),)  # 8 improve in both


def test_one_workbook_where_few_answered_is_left_out() -> None:
    """20 and 20 pairs are told of; 4 would follow from 44."""
    large = part([1] * 20, [2] * 20, small=5)
    found = told(large, part([2] * 4, [3] * 4, small=5), large)
    assert ([outcome.n for outcome in found.outcomes], found.workbooks) == ([40], ((2, 3),))


def test_where_another_document_tells_of_the_same_people_few_are_left_out() -> None:
    few = [part([1] * n, [2] * 4 + [1] * (n - 4), small=8) for n in (8, 7, 6)]
    assert put_together(few, [True, False, True]).outcomes == ()


def test_what_one_workbook_hides_of_a_question_is_hidden_of_all() -> None:
    """3 get worse of 23 in one, so how many stayed is hidden as well, and both are of all; the change adds up."""
    one = part([2] * 23, [3] * 12 + [2] * 8 + [1] * 3, small=5)
    other = part([2] * 20, [3] * 10 + [2] * 10, small=5)
    assert one.report.outcomes[0].same is one.report.outcomes[0].worse is None
    assert other.report.outcomes[0].same == 10
    (outcome,) = told(one, other).outcomes
    assert (outcome.n, outcome.improved, outcome.same, outcome.worse, outcome.p) == (43, 22, None, None, None)
    assert outcome.change == pytest.approx((12 - 3 + 10) / 43, abs=0.0005)
