"""How much: published scaling and yield examples carried through recipes and kits, and the rules of rounding.

Sources: USDA Recipes for Schools (factor method, E-05), US Armed Forces recipe file (general information A-1(2)), USDA
child-care recipe E-07, Iowa State University extension (2018), USDA Food Buying Guide, Gisslen's Professional Cooking,
USDA nutrient database SR28 (FOOD_DES, WEIGHT).
"""

import datetime as dt
from fractions import Fraction

import pytest
from support import read, term

from opsreport.foods import catalogue_entry
from opsreport.joining import build_programme
from opsreport.measures.units import factors
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import FoodPlan, KitLine
from opsreport.plan.needs.amounts import letter_of, needs_of, past_sessions, plan_sessions
from opsreport.plan.needs.kits import kits_of_meetings, meetings
from opsreport.rules import Severity

F = Fraction
MONDAY = dt.date(2027, 1, 4)
SESSION = "Session | Group | Date | Recipes\ns1 | g1 | @2027-01-14 | r"
OZ, LB = factors("US")["oz"], factors("US")["lb"]


def planned(lines: str, servings: str = "", settings: str = "", **sheets: str) -> FoodPlan:
    """One session, one kit: `lines` are rows `r | servings | ingredient | amount | unit` under the usual headings,
    or a whole Recipes sheet."""
    if not lines.startswith("Recipe"):
        lines = f"Recipe | Servings | Ingredient | Amount | Unit\n{lines}"
    given = {
        "Settings": f"Setting | Value\nSpare kits | 0\nDemo kits | 0\n{settings}".rstrip(),
        "Sessions": SESSION,
        "Enrolment": f"Participant | Group | Servings | Needs\np1 | g1 | {servings} | none",
        "Recipes": lines,
        "Stock": "Ingredient | Amount | Unit",
        **sheets,
    }
    rows, findings = read(term(given), MONDAY)
    assert [str(finding.message) for finding in findings if finding.severity is Severity.ERROR] == []
    food, _ = plan_food(build_programme(rows, MONDAY))
    return food


def line(food: FoodPlan, name: str, variant: int = 0) -> KitLine:
    return next(line for line in food.sessions[0].variants[variant].lines if line.food == name)


def need(food: FoodPlan, name: str) -> Fraction:
    return next(need.amount for need in food.needs if need.food == name)


def scoops(found: KitLine) -> str:
    return " + ".join(f"{scoop.times} × {scoop.tool}" for scoop in found.scoops.scoops)


# --- scaling ---


@pytest.mark.parametrize(("wanted", "ounces"), [("100", "349"), ("80", "279.2")])
def test_factor_method(wanted: str, ounces: str) -> None:
    """USDA Recipes for Schools, E-05: 100 portions of 3.49 oz; 80 wanted is a factor of 0.8."""
    food = planned("r | 100 | stew meat mix | 349 | oz", wanted, "Kit step | 1/10")
    assert food.sessions[0].variants[0].batches["r"] == F(wanted) / 100
    assert line(food, "stew meat mix").base == F(ounces) * OZ
    assert str(line(food, "stew meat mix").shown.amount) == str(F(ounces))


def test_factor_of_a_hundred_portion_file() -> None:
    """US Armed Forces recipe file, A-1(2): 348 portions of 1.25 lb a hundred are 4.35 lb, 4 lb 5.60 oz."""
    found = line(planned("r | 100 | pepper mix | 1.25 | lb", "348", "Kit step | 0.01"), "pepper mix")
    assert found.shown.amount == F("4.35")
    assert found.base == 4 * LB + F("5.6") * OZ


@pytest.mark.parametrize(
    ("rows", "doubled"),
    [
        ("3 lb; 3 oz", "6 lb; 6 oz"), ("2 qt; 2 cup", "1 gal; 1 qt"), ("11 oz", "1 lb; 6 oz"),
        ("2 1/2 cup; 2 tbsp", "1 qt; 1 1/4 cup"),
    ],
)  # fmt: skip
def test_doubling_weights_and_mixed_measures(rows: str, doubled: str) -> None:
    """USDA child-care recipe E-07, 25 to 50 servings."""

    def recipe(text: str) -> str:
        lines = [
            f"r | {'' if n else 25} | filling | {' | '.join(row.rsplit(' ', 1))}"
            for n, row in enumerate(text.split("; "))
        ]
        return "\n".join(lines)

    twice = line(planned(recipe(rows), "50"), "filling")
    assert twice.base == line(planned(recipe(doubled), "25"), "filling").base
    once = line(planned(recipe(rows), "25"), "filling")
    assert twice.base == 2 * once.base
    assert twice.shown == once.shown.times(2)


@pytest.mark.parametrize(
    ("amount", "unit", "half"),
    [("1/4", "cup", "2 tbsp"), ("1/3", "cup", "2 tbsp 2 tsp"), ("1/2", "cup", "1/4 cup"), ("1", "tbsp", "1 1/2 tsp")],
)
def test_halving(amount: str, unit: str, half: str) -> None:
    """Iowa State University extension, "Cooking for One or Two" (2018)."""
    found = line(planned(f"r | 4 | rice mix | {amount} | {unit}", "2", "Kit step | 1/2"), "rice mix")
    words = half.replace("1 1/2", "3/2").split()
    pairs = zip(words[::2], words[1::2], strict=True)
    assert found.base == sum((F(n) * factors("US")[u] for n, u in pairs), F(0))
    assert found.scoops.error == 0


def test_half_of_three_quarters_of_a_cup() -> None:
    """Iowa State University extension, "Cooking for One or Two" (2018)."""
    assert (
        scoops(line(planned("r | 4 | rice mix | 3/4 | cup", "2", "Kit step | 1/2"), "rice mix"))
        == "1 × 1/4 cup + 2 × 1 tbsp"
    )


def test_x2_multiplies_after_the_batches() -> None:
    sessions = SESSION.replace("| r", "| r x2")
    food = planned("r | 4 | rice mix | 3 | oz", "5", Sessions=sessions)
    assert food.sessions[0].variants[0].batches == {"r": 2}
    assert line(food, "rice mix").base == 12 * OZ


def test_three_thirds_are_one_cup_and_buy_one_bag() -> None:
    """Exact arithmetic: three recipes with 1/3 cup of flour each are 125 g (USDA SR28: cup 125 g)."""
    recipes = "\n".join(f"{name} | 4 | all-purpose flour | 1/3 | cup" for name in ("r", "s", "t"))
    food = planned(
        recipes, Sessions=SESSION.replace("| r", "| r; s; t"),
        Packs="Supplier | Ingredient | Pack amount | Pack unit | Price\nmill | flour | 125 | g | 1",
    )  # fmt: skip
    assert line(food, "all-purpose flour").base == 125
    assert str(line(food, "all-purpose flour").shown) == "1 cup"
    assert [(row.packs, row.left_over) for row in food.purchases] == [(1, 0)]


# --- edible share ---


def test_as_bought_is_edible_over_the_share_and_bought_in_packs() -> None:
    """USDA Food Buying Guide, App. B, example 1: 2 lb of watermelon at 0.61 are 3.28 lb; in half pounds 3.5 lb."""
    food = planned(
        "r | 4 | watermelon | 2 | lb", Ingredients="Ingredient | Edible share | Keeps\nwatermelon | 61% | 9",
        Packs="Supplier | Ingredient | Pack amount | Pack unit | Price\nfarm | watermelon | 1/2 | lb | 1",
    )  # fmt: skip
    assert need(food, "watermelon") / LB == F(2) / F("0.61")
    assert abs(need(food, "watermelon") / LB - F("3.28")) < F("0.005")
    assert [row.base for row in food.purchases] == [F("3.5") * LB]


def test_purchase_units_then_whole_cans() -> None:
    """Training slides on the USDA Food Buying Guide: 3.0 cans a hundred quarter cups, 460 half cups: 27.6, so 28."""
    food = planned(
        "r | 50 | corn cans | 3 | can", "460", "Kit step | 1/5",
        Packs="Supplier | Ingredient | Pack amount | Pack unit | Price\ndepot | corn cans | 1 | can | 1",
    )  # fmt: skip
    assert need(food, "corn cans") == F("27.6")
    assert [row.packs for row in food.purchases] == [28]


@pytest.mark.parametrize(
    ("share", "prepared", "bought"),
    [
        ("91%", "0.91", "1"),  # USDA Food Buying Guide: apples, 125-138 count, cored, unpeeled
        ("80%", "8", "10"),  # Gisslen, Professional Cooking
        ("80%", "10", "12.5"),  # the same: Brussels sprouts
    ],
)
def test_shares_in_both_directions(share: str, prepared: str, bought: str) -> None:
    food = planned(
        f"r | 4 | sprout mix | {prepared} | lb", Ingredients=f"Ingredient | Edible share\nsprout mix | {share}"
    )
    assert need(food, "sprout mix") == F(bought) * LB


@pytest.mark.parametrize(
    ("food_name", "refuse"),
    [("banana", 36), ("carrot", 11), ("onion", 10), ("celery", 11), ("orange", 27), ("egg", 12), ("apple", 10)],
)
def test_a_hundred_grams_prepared_as_bought(food_name: str, refuse: int) -> None:
    """USDA SR28, FOOD_DES: refuse of raw produce in percent of the weight as bought."""
    food = planned(f"r | 4 | {food_name} | 100 | g")
    assert need(food, food_name) == F(10000, 100 - refuse)


@pytest.mark.parametrize(
    ("lines", "name", "grams"),
    [
        ("carrot | 1 | cup", "carrot", F(12800, 89)),
        ("onion | 1 | cup", "onion", F(1600, 9)),
        ("banana | 225 | g", "banana", F("351.5625")),  # a cup mashed
    ],
)
def test_a_cup_of_produce_as_bought(lines: str, name: str, grams: Fraction) -> None:
    """USDA SR28, WEIGHT and FOOD_DES."""
    assert need(planned(f"r | 4 | {lines}"), name) == grams


@pytest.mark.parametrize(
    ("name", "share"),
    [("carrot", "0.83"), ("potato", "0.81"), ("onion", "0.88"), ("green cabbage", "0.87"), ("broccoli", "0.81"),
    ("banana", "0.64")],
)  # fmt: skip
def test_the_catalogues_shares_are_plausible(name: str, share: str) -> None:
    """Shares often quoted for the USDA Food Buying Guide: from memory, so bounds only."""
    entry = catalogue_entry(name)
    assert entry is not None
    assert entry.edible_share is not None
    assert abs(entry.edible_share - F(share)) <= F("0.1")


def test_measured_says_what_the_amount_is() -> None:
    head = "Recipe | Servings | Ingredient | Amount | Unit | Measured\n"
    share = "Ingredient | Edible share | Grams each\nroot | 80% | 100"
    for row, grams in [
        ("r | 4 | root | 100 | g |", 125), ("r | 4 | root | 100 | g | as bought", 100),
        ("r | 4 | root | 100 | g | prepared", 125),
        ("r | 4 | root | 1 | |", 100), ("r | 4 | root | 1 | | prepared", 125), ("r | 4 | root | 1 | | as bought", 100),
    ]:  # fmt: skip
        assert need(planned(head + row, Ingredients=share), "root") == grams, row


# --- whole pieces, losses, once a session ---

PIECES = """Ingredient | State | Grams each | Per kit | Edible share
egg | whole | 50 | | 100%
root | | 100 | whole |
bean | | 10 | |"""


def test_counts_of_what_comes_whole_are_rounded_up_after_the_sum() -> None:
    """Three recipes with 1/2 egg are 1 1/2, so 2: not three."""
    recipes = "\n".join(f"{name} | 4 | egg | 1/2 |" for name in ("r", "s", "t"))
    found = line(planned(recipes, Sessions=SESSION.replace("| r", "| r; s; t"), Ingredients=PIECES), "egg")
    assert (found.base, found.whole, str(found.shown)) == (100, True, "2 each")


@pytest.mark.parametrize(
    ("lines", "name", "grams", "whole"),
    [
        ("r | 4 | egg | 1 1/2 |", "egg", "100", True),  # a count, and it comes whole
        ("r | 4 | egg | 75 | g", "egg", "75", False),  # weighed: never rounded
        (
            "r | 4 | egg | 1/2 |\nr | | egg | 30 | g",
            "egg",
            "55",
            False,
        ),  # weights and counts meet: only Per kit = whole
        ("r | 4 | root | 130 | g", "root", "200", True),
        ("r | 4 | root | 1/2 |\nr | | root | 70 | g", "root", "200", True),
        ("r | 4 | root | 200 | g", "root", "200", True),
        ("r | 4 | bean | 1/2 |", "bean", "5", False),  # a count of what does not come whole
    ],
)
def test_what_is_rounded_up_to_pieces(lines: str, name: str, grams: str, whole: bool) -> None:
    found = line(planned(lines, Ingredients=PIECES), name)
    assert (found.base, found.whole) == (F(grams), whole)


def test_pieces_are_rounded_as_bought() -> None:
    """150 g trimmed of pieces of 100 g at 60 % edible: 250 g as bought, so three."""
    sheet = "Ingredient | Edible share | Grams each | Per kit\nroot | 60% | 100 | whole"
    found = line(planned("r | 4 | root | 150 | g", Ingredients=sheet), "root")
    assert (found.base, str(found.shown)) == (300, "3 each")


@pytest.mark.parametrize(
    ("second", "prepared", "bought"),
    [
        ("1/2 |", "160 g", "200"),  # half a piece of 150 g as bought is 60 g prepared
        ("50 | g | as bought", "140 g", "175"),
    ],
)
def test_prepared_and_as_bought_amounts_are_shown_prepared(second: str, prepared: str, bought: str) -> None:
    """100 g prepared at 80 % edible is 125 g as bought; a kit's amount is never a sum of the two kinds."""
    sheet = "Ingredient | State | Edible share | Grams each\nroot | whole | 80% | 150"
    recipes = (
        f"Recipe | Servings | Ingredient | Amount | Unit | Measured\nr | 4 | root | 100 | g |\nr | | root | {second}"
    )
    found = line(planned(recipes, Ingredients=sheet), "root")
    assert (str(found.shown), found.base) == (prepared, F(bought))


def test_pieces_without_a_weight_are_counted() -> None:
    sheet = "Ingredient | State\npear box | whole"
    food = planned("r | 4 | pear box | 2/3 |", Ingredients=sheet)
    assert (line(food, "pear box").base, line(food, "pear box").base_unit) == (1, "each")


def test_packing_loss_is_bought_and_never_packed() -> None:
    food = planned(
        "r | 4 | rice mix | 100 | g\nr | | egg | 1 1/2 |", settings="Packing loss | 3%", Ingredients=PIECES,
        Enrolment="Participant | Group | Needs\np1 | g1 | none\np2 | g1 | none",
    )  # fmt: skip
    assert (line(food, "rice mix").base, need(food, "rice mix")) == (100, 206)
    assert (line(food, "egg").base, need(food, "egg")) == (100, 200)


def test_once_a_session_is_neither_per_kit_nor_doubled() -> None:
    head = "Recipe | Servings | Ingredient | Amount | Unit | Scale\n"
    food = planned(
        head + "r | 4 | rice mix | 100 | g |\nr | | oil mix | 30 | mL | session\nr | | egg | 1/2 | | session",
        "9", Sessions=SESSION.replace("| r", "| r x2"), Ingredients=PIECES, Groups="Group | Demo kits\ng1 | 3",
    )  # fmt: skip
    assert [line.food for variant in food.sessions[0].variants for line in variant.lines] == ["rice mix", "rice mix"]
    assert {line.food: line.base for line in food.sessions[0].once} == {"oil mix": 30, "egg": 50}
    assert {need.food: need.amount for need in food.needs} == {"rice mix": 1200, "oil mix": 30, "egg": 50}


def test_loss_on_what_is_needed_once() -> None:
    head = "Recipe | Servings | Ingredient | Amount | Unit | Scale\n"
    food = planned(head + "r | 4 | oil mix | 100 | mL | session", settings="Packing loss | 10%")
    assert need(food, "oil mix") == 110


def test_needs_are_kits_times_the_kit_by_variant() -> None:
    food = planned(
        "r | 4 | rice mix | 100 | g\nr | | milk | 1 | cup",
        Enrolment="Participant | Group | Servings | Needs\np1 | g1 | 8 | none\np2 | g1 | | no milk\np3 | g1 | | none",
        Swaps="Ingredient | Need | Use instead | Ratio | Unit\nmilk | no milk | rice mix | 50 | g",
        Ingredients="Ingredient | Contains\nrice mix | none",
    )
    by_batches = {variant.batches["r"]: variant for variant in food.sessions[0].variants if not variant.swaps}
    assert set(by_batches) == {1, 2}
    assert need(food, "rice mix") == 200 + 100 + (100 + 50)
    swapped = next(variant for variant in food.sessions[0].variants if variant.swaps)
    assert [(line.food, line.base, line.instead_of) for line in swapped.lines] == [("rice mix", 150, ("milk",))]


def test_good_through_the_session_and_the_margin() -> None:
    food = planned("r | 4 | rice mix | 100 | g", settings="Keep margin | 3\nPacking lead | 2")
    found = food.needs[0]
    assert (found.packing_day, found.use_by_at_least) == (dt.date(2027, 1, 12), dt.date(2027, 1, 17))


def test_the_usual_lead_and_margin_are_one_day() -> None:
    found = planned("r | 4 | rice mix | 100 | g").needs[0]
    assert (found.packing_day, found.use_by_at_least) == (dt.date(2027, 1, 13), dt.date(2027, 1, 15))


@pytest.mark.parametrize(
    ("lines", "ingredients", "unit"),
    [
        ("r | 4 | thing | 1 | cup", "Ingredient | Grams per cup\nthing | 100", "g"),
        ("r | 4 | thing | 1 |", "Ingredient | Grams each\nthing | 100", "g"),
        ("r | 4 | thing | 1 | oz", "Ingredient\nthing | ", "g"),
        ("r | 4 | thing | 1 | cup", "Ingredient\nthing | ", "mL"),
        ("r | 4 | thing | 1 |", "Ingredient\nthing | ", "each"),
    ],
)
def test_base_units(lines: str, ingredients: str, unit: str) -> None:
    assert planned(lines, Ingredients=ingredients).needs[0].unit == unit


def test_the_setting_decides_the_size_of_a_cup() -> None:
    for measures, millilitres in [("US", "236.5882365"), ("label", "240"), ("metric", "250"), ("Australian", "250")]:
        assert need(planned("r | 4 | thing | 1 | cup", settings=f"Measures | {measures}"), "thing") == F(millilitres)


def test_amounts_of_one_food_are_shown_together() -> None:
    same = line(planned("r | 4 | thing | 1/3 | cup\nr | | thing | 1/6 | cup"), "thing")
    assert str(same.shown) == "1/2 cup"
    mixed = line(planned("r | 4 | thing | 1 | cup\nr | | thing | 4 | tbsp"), "thing")
    assert str(mixed.shown) == "1 1/4 cups"
    counted = line(planned("r | 4 | thing | 1 | can\nr | | thing | 2 |"), "thing")
    assert (str(counted.shown), counted.base) == ("3 cans", 3)
    both = line(
        planned("r | 4 | thing | 1 | cup\nr | | thing | 40 | g", Ingredients="Ingredient | Grams per cup\nthing | 100"),
        "thing",
    )
    assert (str(both.shown), both.base) == ("140 g", 140)


def test_scoops_stand_beside_a_measured_line_only() -> None:
    food = planned("r | 4 | thing | 2/3 | cup\nr | | other thing | 3 | oz")
    assert scoops(line(food, "thing")) == "2 × 1/3 cup"
    assert scoops(line(food, "other thing")) == ""


def test_a_liquid_is_measured_with_the_jug() -> None:
    foods = "Ingredient | State\nbroth mix | liquid"
    assert scoops(line(planned("r | 4 | broth mix | 7/4 | cup", Ingredients=foods), "broth mix")) == "1 × 1 3/4 cup"


def test_a_blend_is_named_by_recipe_and_mix() -> None:
    head = "Recipe | Servings | Ingredient | Amount | Unit | Mix\n"
    food = planned(head + "r | 4 | thing | 1 | cup | spices\nr | | other thing | 3 | oz |")
    assert (line(food, "thing").mixes, line(food, "other thing").mixes) == (("r: spices",), ())


MIX_HEAD = "Recipe | Servings | Ingredient | Amount | Unit | Mix\n"
TWENTY_FOUR = "Participant | Group | Servings | Needs\n" + "\n".join(f"p{n} | g1 | | none" for n in range(24))


def test_an_eighth_of_a_teaspoon_for_24_kits_is_one_tablespoon_in_bulk() -> None:
    """3 tsp to the tablespoon: NIST SP 430, household table."""
    food = planned(
        MIX_HEAD + "r | 4 | cumin | 1/8 | tsp | spices\nr | | paprika | 1/2 | tsp | spices", Enrolment=TWENTY_FOUR
    )
    (variant,) = food.sessions[0].variants
    assert variant.kits == 24
    (blend,) = variant.blends
    assert blend.mix == "r: spices"
    assert [(part.food, scoops(part)) for part in blend.parts] == [("cumin", "1 × 1 tbsp"), ("paprika", "1 × 1/4 cup")]
    assert [part.base for part in blend.parts] == [line(food, name).base * 24 for name in ("cumin", "paprika")]
    assert blend.volume == F(5, 8) * factors("US")["tsp"]
    assert [(scoop.tool, scoop.times) for scoop in blend.scoops.scoops] == [("1/2 tsp", 1), ("1/4 tsp", F(1, 2))]
    assert blend.grams == sum(line(food, name).base for name in ("cumin", "paprika"))


@pytest.mark.parametrize(
    ("liquid", "dry", "told"),
    [
        ("1", "3/4", [("1 3/4 cup", 1)]),
        ("3/4", "1", [("1 cup", 1), ("1/2 cup", 1), ("1/4 cup", 1)]),
        ("7/8", "7/8", [("1 cup", 1), ("1/2 cup", 1), ("1/4 cup", 1)]),
    ],
)
def test_a_blend_is_measured_with_the_jug_where_more_than_half_of_it_is_liquid(
    liquid: str, dry: str, told: list[tuple[str, int]]
) -> None:
    food = planned(
        MIX_HEAD + f"r | 4 | broth mix | {liquid} | cup | base\nr | | thing | {dry} | cup | base",
        Ingredients="Ingredient | State\nbroth mix | liquid\nthing | dry",
    )
    (blend,) = food.sessions[0].variants[0].blends
    assert [(scoop.tool, scoop.times) for scoop in blend.scoops.scoops] == told


def test_only_kits_with_the_same_swaps_share_a_blend() -> None:
    people = "Participant | Group | Servings | Needs\np1 | g1 | | none\np2 | g1 | | none\np3 | g1 | | no mustard"
    food = planned(
        MIX_HEAD + "r | 4 | ground mustard | 1 | tsp | spices\nr | | paprika | 1 | tsp | spices",
        Enrolment=people, Swaps="Ingredient | Need | Use instead\nground mustard | no mustard | ground turmeric",
    )  # fmt: skip
    found = [
        (variant.letter, variant.kits, [(part.food, str(part.shown)) for part in blend.parts])
        for variant in food.sessions[0].variants for blend in variant.blends
    ]  # fmt: skip
    assert found == [
        ("A", 2, [("ground mustard", "2 tsp"), ("paprika", "2 tsp")]),
        ("B", 1, [("ground turmeric", "1 tsp"), ("paprika", "1 tsp")]),
    ]


def test_what_stays_out_of_a_blend_is_said_beside_it() -> None:
    food = planned(MIX_HEAD + "r | 4 | paprika | 1 | tsp | spices\nr | | paprika | 1/2 | tsp |")
    found = line(food, "paprika")
    assert str(found.shown) == "1 1/2 tsp"
    assert found.beside is not None
    assert (str(found.beside.shown), scoops(found.beside)) == ("1/2 tsp", "1 × 1/2 tsp")
    assert str(food.sessions[0].variants[0].blends[0].parts[0].shown) == "1 tsp"


def test_whole_pieces_stay_out_of_a_blend() -> None:
    food = planned(
        MIX_HEAD + "r | 4 | lemon thing | 1 | each | dressing\nr | | paprika | 1 | tsp | dressing",
        Ingredients="Ingredient | State\nlemon thing | whole",
    )
    assert [part.food for part in food.sessions[0].variants[0].blends[0].parts] == ["paprika"]
    assert line(food, "lemon thing").mixes == ()


@pytest.mark.parametrize(
    ("state", "per_kit", "portioned"),
    [("dry", "measure", True), ("dry", "whole", False), ("whole", "measure", True), ("whole", "whole", True)],
)
def test_pieces_come_out_of_an_opened_pack_unless_each_is_handed_out_whole(
    state: str, per_kit: str, portioned: bool
) -> None:
    """What is a piece by itself comes out of its pack even as a whole piece."""
    ingredients = f"Ingredient | State | Grams each | Keeps open | Per kit\ncrisp mix | {state} | 10 | 3 | {per_kit}"
    assert line(planned("r | 4 | crisp mix | 8 | each", Ingredients=ingredients), "crisp mix").portioned is portioned


def test_a_weight_in_a_blend_is_portioned_on_the_scale_only() -> None:
    food = planned(
        MIX_HEAD + "r | 4 | paprika | 1 | tsp | rub\nr | | brown sugar | 50 | g | rub", Enrolment=TWENTY_FOUR
    )
    (blend,) = food.sessions[0].variants[0].blends
    assert (blend.volume, blend.scoops.scoops) == (None, ())
    assert blend.grams == line(food, "paprika").base + 50


def test_a_blend_without_a_weight_has_no_portion_in_grams() -> None:
    food = planned(MIX_HEAD + "r | 4 | thing | 1 | tsp | rub\nr | | paprika | 1 | tsp | rub")
    (blend,) = food.sessions[0].variants[0].blends
    assert blend.grams is None
    assert blend.volume == 2 * factors("US")["tsp"]


@pytest.mark.parametrize(
    ("number", "letters"),
    [(0, "A"), (1, "B"), (25, "Z"), (26, "AA"), (51, "AZ"), (52, "BA"), (701, "ZZ"), (702, "AAA")],
)
def test_letters_of_variants(number: int, letters: str) -> None:
    assert letter_of(number) == letters


def test_a_dish_gives_kits_of_many_sessions_one_line_and_another_dish_its_own() -> None:
    """Both recipes hold the same; a line's parts say which of them it came from, and in which cell it stands."""
    recipes = "r | 4 | carrot | 500 | g\nother | 4 | carrot | 500 | g"
    sessions = "\n".join([SESSION, "s2 | g1 | @2027-01-21 | r", "s3 | g1 | @2027-01-28 | other",
                          "s4 | g1 | @2027-02-04 | r x2"])  # fmt: skip
    food = planned(recipes, Sessions=sessions)
    first, again, other, twice = (each.variants[0].lines[0] for each in food.sessions)
    assert first is again
    assert [part.recipe for line in (first, other) for part in line.parts] == ["r", "other"]
    assert (other.base, twice.base) == (first.base, 2 * first.base)


def test_kits_that_are_packed_already_hold_the_same_without_scoops_and_blends() -> None:
    recipes = (
        "Recipe | Servings | Ingredient | Amount | Unit | Mix\nr | 4 | flour | 1 | cup | dry\n"
        "r | | salt | 1 | tsp | dry\nr | | water | 1.5 | cup |"
    )
    rows, _ = read(term({"Sessions": SESSION, "Recipes": recipes}), MONDAY)
    programme = build_programme(rows, MONDAY)
    kits = kits_of_meetings(programme, meetings(programme))
    [planned], [past] = plan_sessions(programme, kits), past_sessions(programme, kits)
    assert needs_of(programme, [planned]) == needs_of(programme, [past]) != ()
    held, measured = (
        [(each.food, each.shown, each.base, each.whole, each.portioned) for each in found.variants[0].lines]
        for found in (past, planned)
    )
    assert held == measured
    assert [bool(each.scoops.scoops) for each in planned.variants[0].lines] == [True, True, True]
    assert (past.variants[0].blends, {each.scoops.scoops for each in past.variants[0].lines}) == ((), {()})
    assert len(planned.variants[0].blends) == 1
