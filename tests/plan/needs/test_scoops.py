"""Scoop plans against brute force, published coin problems and the examples of the rules."""

import bisect
import itertools
import tracemalloc
from collections.abc import Sequence
from fractions import Fraction
from functools import cache
from math import lcm

import pytest
from plan.food_support import programme_of

from opsreport.measures.units import MeasureSet, Quantity, factors
from opsreport.plan.model import ScoopPlan
from opsreport.plan.needs.scoops import MOST_SCOOPS, MOST_WAYS, Scooper, _Fills, all_plans, default_tools, plan_scoops
from opsreport.programme import Tool

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
    names = {
        serves: [t.name for t in default_tools("US") if t.serves == serves] for serves in ("dry", "liquid", "both")
    }
    assert names == {
        "dry": ["1 cup", "1/2 cup", "1/3 cup", "1/4 cup"],
        "liquid": ["2 cup", "1 3/4 cup", "1 2/3 cup", "1 1/2 cup", "1 1/3 cup", "1 1/4 cup", "1 cup", "3/4 cup",
                   "2/3 cup", "1/2 cup", "1/3 cup", "1/4 cup"],
        "both": ["1 tbsp", "1 tsp", "1/2 tsp", "1/4 tsp"],
    }  # fmt: skip
    australian = {tool.name: tool.volume for tool in default_tools("Australian")}
    assert (australian["1 tbsp"], australian["1 cup"], australian["1/3 cup"]) == (20, 250, F(250, 3))


def test_dry_goods_use_dry_tools_and_liquids_liquid_ones() -> None:
    scooper = Scooper.with_tools(
        [Tool("scoop", F(60), "dry"), Tool("jug", F(60), "liquid"), Tool("spoon", F(5), "both")], "US"
    )
    sixty_five = Quantity(F(65), "mL")
    assert told(scooper.plan(sixty_five, liquid=False)) == "1 × scoop + 1 × spoon"
    assert told(scooper.plan(sixty_five, liquid=True)) == "1 × jug + 1 × spoon"


def test_a_programme_s_own_tools_or_the_usual_set() -> None:
    cup = Quantity(F(1), "cup")
    usual, own = (
        Scooper.of(programme_of(sheets))
        for sheets in ({}, {"Tools": "Tool | Amount | Unit | For\nmug | 1/2 | cup | dry"})
    )
    assert (told(usual.plan(cup, liquid=False)), told(usual.plan(cup, liquid=True))) == ("1 × 1 cup", "1 × 1 cup")
    assert (told(own.plan(cup, liquid=False)), told(own.plan(cup, liquid=True))) == ("2 × mug", "")


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
    assert [told(way) for way in all_plans(F(115), tools("10"))] == ["11 × 10 + 1/2 × 10"]
    assert all_plans(F(125), tools("10")) == all_plans(F(130), tools("10")) == []


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


# --- any set of tools: mixed systems, every way, bounded work ---

NAMED_SETS: dict[str, tuple[MeasureSet, Sequence[str]]] = {
    "US cups and spoons": ("US", ("1 cup", "1/2 cup", "1/3 cup", "1/4 cup", "1 tbsp", "1 tsp", "1/2 tsp", "1/4 tsp")),
    "a jug marked in quarters and thirds": (
        "US",
        ("2 cup", "7/4 cup", "5/3 cup", "3/2 cup", "4/3 cup", "5/4 cup", "1 cup", "3/4 cup", "2/3 cup", "1/2 cup",
         "1/3 cup", "1/4 cup", "1 tbsp", "1 tsp", "1/2 tsp", "1/4 tsp"),
    ),
    "one cup, no half teaspoon": ("US", ("1 cup", "1 tbsp", "1 tsp", "1/4 tsp")),
    "Australian": ("Australian", ("1 cup", "1/2 cup", "1/3 cup", "1/4 cup", "1 tbsp", "1 tsp", "1/2 tsp", "1/4 tsp")),
    "a metric jug beside US spoons": ("US", ("100 mL", "50 mL", "1 tbsp", "1 tsp", "1/4 tsp")),
}  # fmt: skip


def named(measures: MeasureSet, names: Sequence[str]) -> list[Tool]:
    sizes = factors(measures)
    return [Tool(name, F(name.split()[0]) * sizes[name.split()[1]], "both") for name in names]


def widened(sizes: Sequence[int], most: int) -> list[set[int]]:
    """Sums of exactly 0 to 12 fills up to `most`: plain widening, one fill at a time."""
    levels = [{0}]
    for _ in range(MOST_SCOOPS):
        levels.append({total + size for total in levels[-1] for size in sizes if total + size <= most})
    return levels


@pytest.mark.parametrize("name", NAMED_SETS)
def test_brute_force_agrees_on_eighths_of_a_teaspoon_up_to_two_cups(name: str) -> None:
    """Fewest fills, and else the least error, over every sum of up to twelve fills."""
    measures, names = NAMED_SETS[name]
    own = named(measures, names)
    eighth = factors(measures)["tsp"] / 8
    parts = lcm(*(2 * tool.volume.denominator for tool in own), eighth.denominator)
    sizes, step = [int(tool.volume * parts) for tool in own], int(eighth * parts)
    half = sizes[-1] // 2
    levels = widened(sizes, 8 * 96 * step + 2 * max(sizes))
    fewest_of: dict[int, int] = {}
    for count, level in enumerate(levels):
        for total in level:
            fewest_of.setdefault(total, count)
    sums = sorted(fewest_of)
    short = sorted(total for total, count in fewest_of.items() if count < MOST_SCOOPS)
    for number in range(1, 8 * 96 + 1):
        target = number * step
        plan = plan_scoops(number * eighth, own)
        if target in fewest_of:
            assert (plan.error, fills(plan), is_whole(plan)) == (0, fewest_of[target], True), number
            continue
        near = []
        for choices, extra in ((sums, 0), (short, half)):
            at = bisect.bisect_left(choices, target - extra)
            for total in choices[max(0, at - 1) : at + 1]:
                if total + extra:
                    near.append((abs(total + extra - target), fewest_of[total] + (1 if extra else 0), total + extra))
        wrong, made, total = min(near)
        assert abs(plan.error) == F(wrong, target), number
        assert sum(-(-scoop.times // 1) for scoop in plan.scoops) <= MOST_SCOOPS
        if wrong:
            assert (plan.error, sum(-(-s.times // 1) for s in plan.scoops)) == (F(total - target, target), made), number


def all_multisets(own: Sequence[Tool], volume: Fraction, most: int) -> list[tuple[Fraction, ...]]:
    """Every combination of up to `most` fills that makes a volume, as ascending sizes; best first by the rule."""
    found = [
        sizes
        for count in range(1, most + 1)
        for sizes in itertools.combinations_with_replacement(sorted(tool.volume for tool in own), count)
        if sum(sizes) == volume
    ]
    return sorted(found, key=lambda sizes: (len(sizes), [-size for size in sizes]))


@pytest.mark.parametrize("amount", ["1/4", "3/8", "2/3", "3/4", "1", "11/8"])
def test_every_way_in_order_agrees_with_all_combinations(amount: str) -> None:
    own = cups_and_spoons(["1/2 tsp", "1/4 tsp"])
    size = {tool.name: tool.volume for tool in own}
    volume = F(amount) * US["cup"]
    wanted = all_multisets(own, volume, 7)
    found = [
        tuple(sorted(size[scoop.tool] for scoop in plan.scoops for _ in range(int(scoop.times))))
        for plan in all_plans(volume, own, 10_000)
    ]
    assert found[: len(wanted)] == wanted
    assert all(len(sizes) > 7 for sizes in found[len(wanted) :])
    assert len(set(found)) == len(found)


def test_the_first_way_is_the_plan_and_there_are_twenty_at_most() -> None:
    own = cups_and_spoons()
    for eighths in range(1, 200, 9):
        volume = eighths * TSP / 8
        ways = all_plans(volume, own)
        assert ways[0] == plan_scoops(volume, own)
        assert len(ways) <= MOST_WAYS
        assert all(way.error == 0 for way in ways)
    assert len(all_plans(US["cup"], own)) == MOST_WAYS
    assert len(all_plans(US["cup"], own, 3)) == 3


def test_ways_with_half_a_spoon_only_where_no_whole_fills_are_exact() -> None:
    assert [told(way) for way in all_plans(TSP / 8, cups_and_spoons())] == ["1/2 × 1/4 tsp"]
    assert [told(way) for way in all_plans(TSP / 4, cups_and_spoons())] == ["1 × 1/4 tsp"]
    assert all_plans(TSP / 7, cups_and_spoons()) == []
    assert all_plans(TSP, []) == []


def test_a_metric_jug_beside_us_cups() -> None:
    own = [*cups_and_spoons(), *tools("50")]
    assert told(plan_scoops(F(150), own)) == "3 × 50"
    both = plan_scoops(US["cup"] * F(3, 4) + 100, own)
    assert (told(both), both.error) == ("1 × 1/2 cup + 1 × 1/4 cup + 2 × 50", 0)
    near = plan_scoops(F(120), own)
    assert 0 < abs(near.error) < F(1, 500)


def odd_tools(count: int) -> list[Tool]:
    """Tools without a common measure: each a fraction with a prime of its own below, 1 to 90 mL."""
    primes = [n for n in range(101, 1009) if all(n % d for d in range(2, 32))]
    return [Tool(f"tool {at}", F(primes[at] + 37 * at * at % 9000, primes[at]), "both") for at in range(count)]


@pytest.mark.parametrize("count", [1, 2, 8, 15, 16, 24, 40, 120])
def test_tools_without_a_common_measure_take_bounded_work(count: int) -> None:
    own = odd_tools(count)
    target = sum((tool.volume for tool in own[:6]), F(0))
    tracemalloc.start()
    plans = [plan_scoops(volume, own) for volume in (target, target + F(1, 7), 40 * own[0].volume)]
    _, peak = tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert peak < 50_000_000
    assert sum(map(len, _Fills(own).levels)) <= 60_001
    assert plans[0].error == 0 or count > 69  # six fills are searched in full up to there
    assert plans == [plan_scoops(volume, own[::-1]) for volume in (target, target + F(1, 7), 40 * own[0].volume)]
    for plan in plans:
        assert sum(-(-scoop.times // 1) for scoop in plan.scoops) <= MOST_SCOOPS


def test_past_the_searched_depth_the_further_fills_are_of_the_largest_tool() -> None:
    own = odd_tools(40)
    largest = max(own, key=lambda tool: tool.volume)
    smallest = min(own, key=lambda tool: tool.volume)
    assert _Fills(own).depth == 3
    plan = plan_scoops(11 * largest.volume + smallest.volume, own)
    assert (told(plan), plan.error) == (f"11 × {largest.name} + 1 × {smallest.name}", 0)


@pytest.mark.parametrize(
    ("measures", "cup", "tbsp", "tsp"),
    [
        ("US", "236.5882365", "14.78676478125", "4.92892159375"),  # NIST Handbook 44 App. C
        ("label", "240", "15", "5"),  # 21 CFR 101.9(b)(5)(viii)
        ("metric", "250", "15", "5"),  # Canadian cups and spoons
        ("Australian", "250", "20", "5"),  # New South Wales Health
    ],
)
def test_the_usual_tools_are_those_of_the_measures(measures: MeasureSet, cup: str, tbsp: str, tsp: str) -> None:
    size = {tool.name: tool.volume for tool in default_tools(measures)}
    assert (size["1 cup"], size["1 tbsp"], size["1 tsp"]) == (F(cup), F(tbsp), F(tsp))
    assert (3 * size["1/3 cup"], 4 * size["1/4 cup"], 4 * size["1/4 tsp"]) == (F(cup), F(cup), F(tsp))
    scooper = Scooper.with_tools(default_tools(measures), measures)
    told_of = {
        (unit, liquid): told(scooper.plan(Quantity(F(1), unit), liquid=liquid))
        for unit in ("cup", "tbsp", "tsp")
        for liquid in (False, True)
    }
    assert told_of == {(unit, liquid): f"1 × 1 {unit}" for unit in ("cup", "tbsp", "tsp") for liquid in (False, True)}


def test_four_teaspoons_are_an_australian_tablespoon() -> None:
    """New South Wales Health: a 20 mL tablespoon and a 5 mL teaspoon."""
    for measures, plan in (("Australian", "1 × 1 tbsp"), ("metric", "1 × 1 tbsp + 1 × 1 tsp")):
        scooper = Scooper.with_tools(default_tools(measures), measures)  # type: ignore[arg-type]
        assert told(scooper.plan(Quantity(F(4), "tsp"), liquid=False)) == plan


@pytest.mark.parametrize("sizes", [(3, 10), (4, 6, 9), (7,), (5, 12, 31)])
@pytest.mark.parametrize("most", [1, 2, 5, 11, 12])
def test_the_nearest_sums_below_and_above_are_what_plain_widening_finds(sizes: tuple[int, ...], most: int) -> None:
    made = _Fills(tools(*map(str, sizes)))
    sums = sorted(set().union(*widened(sizes, 10_000)[: most + 1]) - {0})
    for target in (*range(1, 60), 200, 371):
        below, above = [s for s in sums if s <= target], [s for s in sums if s > target]
        assert made.around(F(target), most) == {*below[-1:], *above[:1]}, target
        between = F(2 * target + 1, 2)
        assert made.around(between, most) == {*below[-1:], *above[:1]}, between


def test_the_closest_plan_past_the_searched_depth_has_the_largest_tool_too() -> None:
    """A millionth of a millilitre more than eleven fills of the largest and one of the smallest: no plan is exact, and
    none is further away than that."""
    own = odd_tools(40)
    largest, smallest = (choose(tool.volume for tool in own) for choose in (max, min))
    for more in (F(1, 10**6), -F(1, 10**6)):
        volume = 11 * largest + smallest + more
        error = plan_scoops(volume, own).error
        assert 0 < abs(error) * volume <= abs(more)
