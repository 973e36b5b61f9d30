"""Foods parted where no fee and no minimum joins them; what is bought then is the same and proven."""

from plan.buying.test_deliveries import PACKS, SUPPLIERS, plan, sessions
from plan.drawn_terms import drawn

from opsreport.plan.buying.components import components
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.options import FoodOptions
from opsreport.plan.food_plan import FoodPlan

BOTH = "{0} | thing | 1 | each | 1.00\n{1} | other | 1 | each | 1.00"
TWO_SHOPS = SUPPLIERS + "v | 0 | Wed | Wed | 5.00 | {0}\nw | 0 | Wed | Wed | {1} | {0}"


def bought(shops: str, fee: str = "5.00", minimum: str = "") -> FoodPlan:
    return plan(Sessions=sessions([2, 2]), Suppliers=TWO_SHOPS.format(minimum, fee), Packs=PACKS + BOTH.format(*shops))


def test_foods_of_two_shops_cost_what_each_costs() -> None:
    """Two weeks in one delivery of 4.00 and a fee of 5.00 each."""
    buying = bought("vw").buying
    assert buying.cost == buying.lower_bound == 2 * 900
    assert bought("vv").buying.cost == 1300


def test_what_joins_foods() -> None:
    """A delivery with a fee, or with a minimum order, that may serve both; one that asks nothing does not."""
    programme, still_open = drawn(foods=12, weeks=4, groups=1)
    market = Market(programme, {each.need.packing_day for each in still_open})
    foods = {
        food: FoodOptions(market, food, [each for each in still_open if each.need.food == food])
        for food in sorted({each.need.food for each in still_open})
    }
    parted = components(programme.suppliers, foods)
    assert sorted(food for group in parted for food in group) == sorted(foods)
    asking = {
        food: {option.delivery for option in options.options if option.delivery[0] in "ab"}
        | {option.delivery for option in options.options if programme.suppliers[option.delivery[0]].delivery_fee}
        for food, options in foods.items()
    }
    of = {food: number for number, group in enumerate(parted) for food in group}
    for food, its in asking.items():
        for other, others in asking.items():
            assert of[food] == of[other] or not its & others
    free = {name: type(each)(name) for name, each in programme.suppliers.items()}
    assert components(free, foods) == [[food] for food in foods]
