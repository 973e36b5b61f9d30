"""Which sums may be told where some documents hide their part."""

from collections.abc import Mapping

import pytest

from opsreport.plan.people.other_ways import Way
from opsreport.plan.people.sites import MEASURES
from opsreport.plan.people.sums_of_all import Summand, open_sums


def part(values: Mapping[str, int], *ways: Way, hidden: str = "") -> Summand:
    """A document; figures that are not given are 0. hidden: the measures, parted by spaces."""
    return Summand(frozenset(hidden.split()), dict.fromkeys(MEASURES, 0) | dict(values), frozenset(ways))


def told(*parts: Summand, small: int = 10) -> set[str]:
    """Of the measures that somebody hides, those of which the sum is told."""
    of_all = {measure: sum(part.values[measure] for part in parts) for measure in MEASURES}
    return set(open_sums(parts, of_all, small)) & {measure for part in parts for measure in part.hidden}


MORE, LESS = (0, 0, 0, 0, 1), (0, 0, 0, 0, -1)
"""Kits."""


@pytest.mark.parametrize(
    ("ways", "open_"),
    [
        (((MORE,), (LESS,)), {"kits"}),
        (((MORE, LESS), (MORE,)), {"kits"}),
        (((MORE,), (MORE,)), set()),  # both could only be more
        (((MORE, LESS), ()), set()),  # one could not be otherwise
        (((), ()), set()),
    ],
)
def test_one_more_needs_one_less_elsewhere(ways: tuple[tuple[Way, ...], ...], open_: set[str]) -> None:
    assert told(*(part({"kits": 8}, *of, hidden="kits") for of in ways)) == open_


def test_a_part_alone_makes_up_for_nothing() -> None:
    assert told(part({"kits": 80}, MORE, LESS, hidden="kits"), part({"kits": 50})) == set()


def test_what_is_small_together_is_not_told() -> None:
    few = [part({"kits": 4}, MORE, LESS, hidden="kits") for _ in range(2)]
    assert told(*few) == told(*few, part({"kits": 90})) == set()
    assert told(*few, few[0]) == {"kits"}


def test_a_sum_that_a_way_would_change_is_given_up_for_the_others() -> None:
    """One more who came once here, one less who came twice there: contacts cannot be told, people can."""
    here = part({"people": 8, "contacts": 20}, (1, 0, 0, 1, 0), (-1, 0, 0, -1, 0), hidden="people contacts")
    there = part({"people": 8, "contacts": 20}, (1, 0, 0, 2, 0), (-1, 0, 0, -2, 0), hidden="people contacts")
    assert told(here, there) == {"people"}
    assert told(here, here, there, there) == {"people", "contacts"}


def test_completers_are_not_told_where_few_others_would_follow() -> None:
    """12 of 15 and 12 of 16 complete: 7 do not, who are hidden in both."""
    ways = (0, 1, 0, 0, 0), (0, -1, 0, 0, 0)
    some = [part({"people": people, "completers": 12}, *ways, hidden="completers") for people in (15, 16)]
    assert told(*some) == set()
    assert told(*some, *some) == {"completers"}
