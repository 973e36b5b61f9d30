"""Cases of cans, taken can by can: no can stands opened, so Keeps open limits nothing.

Food codes date what was opened (US Food Code 3-501.17, day of opening day 1); a can in its case was not.
"""

from fractions import Fraction

import pytest
from plan.food_support import planned, programme_of, settings

from opsreport.plan.needs.amounts import plan_sessions
from opsreport.plan.needs.kits import kits_of_sessions
from opsreport.plan.needs.sealed import with_sealed_units

F = Fraction
RECIPES = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean tin | {}"
TINS = (
    "Ingredient | Storage | Contains | Grams each | Keeps | Keeps open | Per kit\n"
    "bean tin | shelf | none | 400 | 700 | 4 | {}"
)
PACKS = "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean tin | {} | 3.30"
STOCK = "Ingredient | Amount | Unit | Lot | Best before | Opened\nbean tin | {}"


def sheets(amount: str = "1 | can", pack: str = "6 | can", per_kit: str = "", **more: str) -> dict[str, str]:
    """Two kits a week in two weeks, so 4 cans, in cases of 6 unless said otherwise."""
    return {
        "Recipes": RECIPES.format(amount), "Ingredients": TINS.format(per_kit), "Packs": PACKS.format(pack), **more,
    }  # fmt: skip


def cases(**given: str) -> int:
    """Cases bought by hand counted as: 4 cans are one case of 6; with the limit of 4 days, one case a week."""
    return sum(row.packs for row in planned(sheets(**given))[1].purchases)


def test_a_case_of_cans_serves_two_weeks() -> None:
    assert cases() == 1


@pytest.mark.parametrize("pack", ["6 | tins", "6 x 400 g | g", "6 (400 g) cans | g"])
def test_however_the_case_is_written(pack: str) -> None:
    assert cases(pack=pack) == 1


@pytest.mark.parametrize(
    ("amount", "pack"),
    [
        ("1/2 | can", "6 | can"),  # half a can each: the other half stands opened
        ("400 | g", "2400 | g"),  # 2.4 kg may be one tub
        ("1 | can", "6 | each"),  # six of what, nobody says
    ],
)
def test_what_is_opened_or_may_be_keeps_its_limit(amount: str, pack: str) -> None:
    assert cases(amount=amount, pack=pack) == 2


def test_packing_loss_opens_a_can_unless_kits_get_whole_ones() -> None:
    lossy = {"Settings": settings("Packing loss | 3%")}
    assert cases(**lossy) == 2
    assert cases(per_kit="whole", **lossy) == 1


def test_half_cans_rounded_up_to_whole_ones_stay_sealed() -> None:
    assert cases(amount="1/2 | can", per_kit="whole") == 1


@pytest.mark.parametrize(("unit", "packs"), [("4 | can", 0), ("1600 | g", 1)])
def test_a_case_in_stock_serves_both_weeks(unit: str, packs: int) -> None:
    """1600 g may be a tub: begun on 11 January, its rest is good through 14 January."""
    assert cases(Stock=STOCK.format(f"{unit} | L1 | @2028-01-01 | ")) == packs


def test_a_lot_marked_opened_keeps_its_limit() -> None:
    """Opened on 4 January, 4 days: good through 7 January, before the first session."""
    assert cases(Stock=STOCK.format("4 | can | L1 | @2028-01-01 | @2027-01-04")) == 1


def test_one_pack_of_another_sort_brings_the_limit_back() -> None:
    both = PACKS.format("6 | can") + "\nshop | bean tin | 2600 | g | 90"
    assert cases(Packs=both) == 2


def test_what_is_left_after_whole_cans_is_whole_cans() -> None:
    _, plan = planned(sheets())
    (row,) = plan.purchases
    assert (row.base, row.left_over, [amount for _, amount in row.used]) == (2400, 800, [800, 800])


def test_only_the_mark_changes() -> None:
    programme = programme_of(sheets())
    kits, _ = kits_of_sessions(programme)
    marked = with_sealed_units(programme, plan_sessions(programme, kits)).foods
    food = marked.by_name["bean tin"]
    assert (food.stays_sealed, food.keeps_open, food.keeps_begun) == (True, 4, None)
    assert programme.foods.by_name["bean tin"].keeps_begun == 4
    assert marked.find("Bean Tins") is food
