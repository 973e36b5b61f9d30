"""Scoop plans against brute force, published coin problems and the examples of the rules."""

import itertools
from collections.abc import Sequence
from fractions import Fraction
from functools import cache

import pytest

from opsreport.plan.model import ScoopPlan
from opsreport.plan.scoops import MOST_SCOOPS, Scooper, default_tools, plan_scoops
from opsreport.programme import Tool
from opsreport.units import Quantity, factors

F = Fraction
US = factors("US")
TSP = US["tsp"]


def tools(*volumes: str) -> list[Tool]:
    """Tools of so many mL, named by it."""
    return [Tool(volume, F(volume), "both") for volume in volumes]


def cups_and_spoons(without: Sequence[str] = ()) -> list[Tool]:
    """The usual dry set."""
    return [tool for tool in default_tools("US") if tool.serves != "liquid" and tool.name not in without]


def told(plan: ScoopPlan) -> str:
    """`2 × 1/3 cup + 1 × 1 tbsp`."""
    return " + ".join(f"{scoop.times} × {scoop.tool}" for scoop in plan.scoops)


def fills(plan: ScoopPlan) -> Fraction:
    return sum((scoop.times for scoop in plan.scoops), F(0))


def is_whole(plan: ScoopPlan) -> bool:
    """Exact, by whole fills alone."""
    return plan.error == 0 and all(scoop.times.denominator == 1 for scoop in plan.scoops)


# --- coin problems ---


def test_fewest_coins_for_every_sum_below_a_dollar() -> None:
    """Shallit, Mathematical Intelligencer 25:2 (2003): 4.70 coins on average with 1, 5, 10, 25; worst 9."""
    coins = tools("1", "5", "10", "25")
    counts = {amount: fills(plan_scoops(F(amount), coins)) for amount in range(1, 100)}
    assert all(is_whole(plan_scoops(F(amount), coins)) for amount in counts)
    assert sum(counts.values()) == 470
    assert [amount for amount, count in counts.items() if count == max(counts.values())] == [94, 99]
    assert counts[99] == 9


def test_thirty_is_two_coins() -> None:
    """Shallit, Mathematical Intelligencer 25:2 (2003)."""
    assert told(plan_scoops(F(30), tools("1", "5", "10", "25"))) == "1 × 25 + 1 × 5"


def test_largest_first_is_not_fewest() -> None:
    """Textbook counter-examples: from memory, recomputed."""
    assert told(plan_scoops(F(6), tools("1", "3", "4"))) == "2 × 3"
    assert told(plan_scoops(F(15), tools("1", "5", "11"))) == "3 × 5"


@pytest.mark.parametrize(
    ("sizes", "never"),
    [((2, 5), [1, 3]), ((3, 5), [1, 2, 4, 7])],
)
def test_amounts_that_cannot_be_made(sizes: tuple[int, int], never: list[int]) -> None:
    """The coin problem (Sylvester: the largest is ab − a − b)."""
    own = tools(*(str(size) for size in sizes))
    found = [amount for amount in range(1, 25) if not is_whole(plan_scoops(F(amount), own))]
    assert found == never
    assert never[-1] == sizes[0] * sizes[1] - sum(sizes)


def test_the_largest_that_seven_and_ten_cannot_make() -> None:
    """The coin problem: 53."""
    own = tools("7", "10")
    assert not is_whole(plan_scoops(F(53), own))
    assert all(is_whole(plan_scoops(F(amount), own)) for amount in range(54, 71))


# --- kitchen examples ---


@pytest.mark.parametrize(
    ("amount", "unit", "without", "plan"),
    [
        ("2/3", "cup", (), "2 × 1/3 cup"),  # not 1/2 + 2 tbsp + 2 tsp
        ("3/4", "cup", ("1/4 cup", "1/3 cup"), "1 × 1/2 cup + 4 × 1 tbsp"),
        ("3/4", "cup", ("1/4 cup",), "2 × 1/3 cup + 1 × 1 tbsp + 1 × 1 tsp"),
        ("3/4", "cup", (), "1 × 1/2 cup + 1 × 1/4 cup"),
        # half of 3/4 cup: both forms in Iowa State University extension, "Cooking for One or Two" (2018)
        ("3/8", "cup", (), "1 × 1/4 cup + 2 × 1 tbsp"),  # not 1/3 cup + 2 tsp, as few but with a smaller tool
        ("3/8", "cup", ("1 cup", "1/2 cup", "1/3 cup", "1/4 cup"), "6 × 1 tbsp"),
        ("2", "tsp", ("1 tsp",), "4 × 1/2 tsp"),
        ("1/8", "cup", (), "2 × 1 tbsp"),
        ("1/6", "cup", (), "2 × 1 tbsp + 2 × 1 tsp"),  # USDA equivalents table
        ("2 1/4", "cup", (), "2 × 1 cup + 1 × 1/4 cup"),
        ("1/8", "tsp", (), "1/2 × 1/4 tsp"),
        ("3/8", "tsp", (), "1 × 1/4 tsp + 1/2 × 1/4 tsp"),
        ("1/8", "cup", ("1 tbsp",), "6 × 1 tsp"),
    ],
)
def test_kitchen_amounts(amount: str, unit: str, without: tuple[str, ...], plan: str) -> None:
    exact = sum((F(part) for part in amount.split()), F(0)) * US[unit]
    found = plan_scoops(exact, cups_and_spoons(without))
    assert (told(found), found.error) == (plan, 0)


def test_a_jug_mark_is_one_scoop() -> None:
    jug = [tool for tool in default_tools("US") if tool.serves != "dry"]
    assert told(plan_scoops(US["cup"] * F(7, 4), jug)) == "1 × 1 3/4 cup"
    assert told(plan_scoops(US["cup"] * F(5, 3), jug)) == "1 × 1 2/3 cup"
    assert told(plan_scoops(US["cup"] * 2, jug)) == "1 × 2 cup"
    assert fills(plan_scoops(US["cup"] * 6, jug)) == 3


def test_the_usual_set() -> None:
    """Common practice, no source: the sets sold for home kitchens; the jug in quarters and thirds up to 2 cups."""
    names = {serves: [t.name for t in default_tools("US") if t.serves == serves] for serves in ("dry", "liquid", "both")}
    assert names == {
        "dry": ["1 cup", "1/2 cup", "1/3 cup", "1/4 cup"],
        "liquid": ["2 cup", "1 3/4 cup", "1 2/3 cup", "1 1/2 cup", "1 1/3 cup", "1 1/4 cup", "1 cup", "3/4 cup", "2/3 cup",
                   "1/2 cup", "1/3 cup", "1/4 cup"],
        "both": ["1 tbsp", "1 tsp", "1/2 tsp", "1/4 tsp"],
    }  # fmt: skip
    australian = {tool.name: tool.volume for tool in default_tools("Australian")}
    assert (australian["1 tbsp"], australian["1 cup"], australian["1/3 cup"]) == (20, 250, F(250, 3))


def test_dry_goods_use_dry_tools_and_liquids_liquid_ones() -> None:
    scooper = Scooper.with_tools([Tool("scoop", F(60), "dry"), Tool("jug", F(60), "liquid"), Tool("spoon", F(5), "both")], "US")
    sixty_five = Quantity(F(65), "mL")
    assert told(scooper.plan(sixty_five, liquid=False)) == "1 × scoop + 1 × spoon"
    assert told(scooper.plan(sixty_five, liquid=True)) == "1 × jug + 1 × spoon"


@pytest.mark.parametrize("unit", ["g", "oz", "each", "clove"])
def test_what_is_weighed_or_counted_is_not_scooped(unit: str) -> None:
    scooper = Scooper.with_tools(default_tools("US"), "US")
    assert scooper.plan(Quantity(F(3), unit), liquid=False) == ScoopPlan()
    assert scooper.plan(Quantity(F(0), "cup"), liquid=False) == ScoopPlan()


def test_the_order_of_the_tools_does_not_matter() -> None:
    own = cups_and_spoons()
    assert plan_scoops(US["cup"] * F(11, 8), own[::-1]) == plan_scoops(US["cup"] * F(11, 8), own)


# --- no exact plan ---


def test_twelve_fills_are_the_most() -> None:
    assert (told(plan_scoops(F(120), tools("10"))), plan_scoops(F(120), tools("10")).error) == ("12 × 10", 0)
    thirteen = plan_scoops(F(130), tools("10"))
    assert (told(thirteen), thirteen.error) == ("12 × 10", F(-1, 13))


def test_half_a_fill_counts_as_one() -> None:
    eleven = plan_scoops(F(115), tools("10"))
    assert (told(eleven), eleven.error) == ("11 × 10 + 1/2 × 10", 0)
    twelve = plan_scoops(F(125), tools("10"))
    assert (told(twelve), twelve.error) == ("12 × 10", F(-1, 25))


@pytest.mark.parametrize(
    ("volume", "plan", "error"),
    [
        ("7", "1/2 × 10", F(-2, 7)), ("8", "1 × 10", F(1, 4)), ("1", "1/2 × 10", F(4)), ("21", "2 × 10", F(-1, 21)),
        ("24", "2 × 10 + 1/2 × 10", F(1, 24)), ("12.5", "1 × 10", F(-1, 5)),
    ],
)  # fmt: skip
def test_else_the_closest_with_its_signed_error(volume: str, plan: str, error: Fraction) -> None:
    found = plan_scoops(F(volume), tools("10"))
    assert (told(found), found.error) == (plan, error)


def test_no_tool_leaves_all_of_it() -> None:
    assert plan_scoops(F(10), []) == ScoopPlan((), F(-1))


# --- brute force ---

SETS = {
    "usual": ("48", "24", "16", "12", "3", "1", "1/2", "1/4"),
    "without thirds and quarters": ("48", "24", "3", "1", "1/2", "1/4"),
    "odd": ("10", "7", "3/2", "1/4"),
}
"""Tools in teaspoons."""


@cache
def reachable(name: str) -> dict[int, dict[int, list[tuple[int, ...]]]]:
    """By fills, by volume in 1/8 tsp: every multiset of tools, as ascending sizes; all combinations tried."""
    sizes = [int(F(size) * 8) for size in SETS[name]]
    found: dict[int, dict[int, list[tuple[int, ...]]]] = {}
    for count in range(1, 6):
        volumes = found.setdefault(count, {})
        for chosen in itertools.combinations_with_replacement(sorted(sizes), count):
            volumes.setdefault(sum(chosen), []).append(chosen)
    return found


@cache
def fewest(name: str, most: int) -> list[int | None]:
    """Fewest fills for every volume in 1/8 tsp: sets of volumes reached with so many fills, widened fill by fill."""
    sizes = [int(F(size) * 8) for size in SETS[name]]
    counts: list[int | None] = [None] * (most + 1)
    reached = {0}
    for count in range(1, MOST_SCOOPS + 1):
        reached = {volume + size for volume in reached for size in sizes if volume + size <= most}
        for volume in reached:
            if counts[volume] is None:
                counts[volume] = count
    return counts


@pytest.mark.parametrize("name", SETS)
def test_every_eighth_of_a_teaspoon_up_to_two_cups(name: str) -> None:
    """Counts against plain widening, and up to five fills the very tools against every combination."""
    own = [Tool(size, F(size) * TSP, "both") for size in SETS[name]]
    two_cups = 8 * 96
    counts, combinations = fewest(name, two_cups), reachable(name)
    eighth = TSP / 8
    for volume in range(1, two_cups + 1):
        plan = plan_scoops(volume * eighth, own)
        made = sum((scoop.times * F(scoop.tool) * 8 for scoop in plan.scoops), F(0))
        assert plan.error == (made - volume) / volume
        assert sum(-(-scoop.times // 1) for scoop in plan.scoops) <= MOST_SCOOPS
        count = counts[volume]
        if count is None:
            near = [v for v in range(1, two_cups + 1) if counts[v] is not None]
            assert not is_whole(plan)
            assert abs(made - volume) <= min(abs(v - volume) for v in near)
            continue
        assert is_whole(plan)
        assert fills(plan) == count, volume
        if count <= 5:
            used = sorted(int(F(s.tool) * 8) for s in plan.scoops for _ in range(int(s.times)))
            assert tuple(used) == max(combinations[count][volume]), volume  # the larger smallest tool first
