"""Other answers that agree with what is said, held against trying all of them."""

import itertools
from collections import Counter

from hypothesis import given, settings
from hypothesis import strategies as st

from opsreport.plan.people.answer_worlds import Pair, Said, Sort, Worlds

ONE, BOTH = (0,), (0, 1)
PAIRS = [*itertools.product((0, 1), repeat=2)]
UP, SAME = {(0, 1): 1}, {(0, 0): 1, (1, 1): 1}
EVERYBODY = dict.fromkeys(PAIRS, 1)


def test_a_sum_that_is_said_is_pinned_and_its_parts_are_not() -> None:
    """Of 8 people 5 improved, 3 of these in one document only: their 5 are known, not whose they are."""
    true = Counter({(ONE, (0, 1)): 3, (BOTH, (0, 1)): 2, (BOTH, (0, 0)): 3})
    both = frozenset({ONE, BOTH})
    said = [Said(both, EVERYBODY), Said(both, UP)]
    all_up, few = Said(both, UP), Said(frozenset({ONE}), UP)
    assert Worlds(true, said).pinned([all_up, few]) == ([all_up], [few])
    assert Worlds(true, [*said, Said(frozenset({BOTH}), UP)]).pinned([few]) == ([few], [])


def test_what_is_said_to_be_one_at_least() -> None:
    """One of four got worse; three the same are said: without the 1 there could be 1 improved and nobody worse."""
    true = Counter({(ONE, (1, 0)): 1, (ONE, (0, 0)): 3})
    here, worse = frozenset({ONE}), {(1, 0): 1}
    said = [Said(here, EVERYBODY), Said(here, SAME)]
    assert Worlds(true, said).pinned([Said(here, worse)]) == ([], [Said(here, worse)])
    assert Worlds(true, [*said, Said(here, worse, 1)]).pinned([Said(here, worse)]) == ([Said(here, worse)], [])


def test_a_sum_of_nothing_is_known() -> None:
    nothing = Said(frozenset({(9,)}), EVERYBODY)
    assert Worlds(Counter({(ONE, (0, 1)): 3}), []).pinned([nothing]) == ([nothing], [])


cells = st.sampled_from([(sort, pair) for sort in (ONE, BOTH) for pair in PAIRS])
sums = st.builds(
    Said,
    st.sampled_from([frozenset({ONE}), frozenset({BOTH}), frozenset({ONE, BOTH})]),
    st.sampled_from([EVERYBODY, UP, SAME, {(1, 0): 1}, {(0, 1): 1, (1, 1): 1}, {(0, 1): 1, (1, 0): -1}]),
)


def total(world: Counter[tuple[Sort, Pair]], of: Said) -> int:
    return sum(people * of.weights.get(pair, 0) for (sort, pair), people in world.items() if sort in of.sorts)


@settings(deadline=None, max_examples=60)
@given(st.lists(cells, min_size=1, max_size=5), st.lists(sums, max_size=4), sums)
def test_against_trying_all(people: list[tuple[Sort, Pair]], said: list[Said], secret: Said) -> None:
    """All worlds of as many people; answers that nobody gave are none that are tried."""
    true = Counter(people)
    answers = {answer for _, pair in people for answer in pair}
    sorts = {sort for sort, _ in people}
    known = [Said(frozenset({ONE, BOTH}), EVERYBODY), *said]
    possible = [(sort, pair) for sort in sorts for pair in PAIRS if set(pair) <= answers]
    worlds = map(Counter, itertools.combinations_with_replacement(possible, len(people)))
    agree = [world for world in worlds if all(total(world, each) == total(true, each) for each in known)]
    open_ = len({total(world, secret) for world in agree}) > 1
    assert Worlds(true, known).pinned([secret]) == (([], [secret]) if open_ else ([secret], []))
