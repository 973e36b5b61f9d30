"""Every order line followed back: the steps add up to it exactly, and name the cells they come from."""

from fractions import Fraction

from plan.food_support import planned, settings

from opsreport.measures.units import Quantity
from opsreport.plan.model import Trace

F = Fraction


def trace(sheets: dict[str, str] | None = None, food: str = "bean mix") -> Trace:
    return next(each for each in planned(sheets)[1].traces if each.food == food)


def test_kits_times_amount_through_stock_and_orders_to_packs() -> None:
    """400 g for four kits; 90 g lie in stock, 100 g are on order, so 210 g are bought: one pack of 250 g."""
    found = trace(
        {
            "Stock": "Ingredient | Amount | Unit | Lot\nbean mix | 90 | g | L1",
            "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
            "o1 | shop | bean mix | 1 | 100 | g | @2027-01-08",
        }
    )
    (need,) = found.needs
    assert need.per_kit == 100
    assert [(kits.kit, kits.kits, kits.needed) for kits in need.takers] == [("w2-A", 2, 200), ("w3-A", 2, 200)]
    assert found.needed == 400
    assert [(use.source, use.lot, use.cell, use.session, use.amount) for use in found.uses] == [
        ("stock", "L1", "Stock!A2", "w2", 90),
        ("ordered", "o1", "Orders!G2", "w2", 100),
    ]
    (packs,) = found.packs
    assert (packs.packs, packs.pack, packs.cell, packs.cost) == (1, "250 g", "Packs!E2", 200)
    assert dict(packs.used) == {"w2": 10, "w3": 200}
    assert packs.left_over == 40


def test_trimming_and_packing_loss_are_steps_of_their_own() -> None:
    """90 g prepared at 75 % edible are 120 g as bought; 4 kits and 5 % loss: 504 g."""
    found = trace(
        {
            "Settings": settings("Packing loss | 5%"),
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 90 | g",
            "Ingredients": "Ingredient | Contains | Edible share\nbean mix | none | 75%",
        }
    )
    need = found.needs[0]
    (part,) = need.parts
    assert (part.recipe, part.cell, part.quantity) == ("stew", "Recipes!D2", Quantity(F(90), "g"))
    assert (part.edible_share, part.base, need.per_kit, need.loss) == (F(3, 4), 120, 120, F(1, 20))
    assert found.needed == 4 * 120 * F(21, 20)


def test_two_recipes_of_a_session_are_two_parts_of_one_need() -> None:
    found = trace(
        {
            "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-11 | stew; soup x2",
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g\n"
            "soup | 4 | bean mix | 30 | g",
        }
    )
    (need,) = found.needs
    assert [(part.recipe, part.cell, part.base) for part in need.parts] == [
        ("stew", "Recipes!D2", 100),
        ("soup", "Recipes!D3", 60),
    ]
    assert need.per_kit == 160


def test_whole_pieces_are_rounded_up_in_the_kit_and_get_no_loss() -> None:
    found = trace(
        {
            "Settings": settings("Packing loss | 5%"),
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | green globe | 1 1/2 | each",
            "Ingredients": "Ingredient | State | Contains\ngreen globe | whole | none",
        },
        "green globe",
    )
    need = found.needs[0]
    assert (need.whole, need.parts[0].base, need.per_kit, need.loss) == (True, F(3, 2), 2, 0)
    assert [kits.needed for kits in need.takers] == [4, 4]
    assert dict(found.to_shop) == {"w2": 4, "w3": 4}


def test_what_a_swap_brings_says_what_it_stands_for() -> None:
    found = trace(
        {
            "Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | no bean mix",
            "Ingredients": "Ingredient | Contains\nbean mix | none\npea mix | none",
            "Swaps": "Ingredient | Need | Use instead | Ratio\nbean mix | no bean mix | pea mix | 1/2",
        },
        "pea mix",
    )
    (need,) = found.needs
    assert (need.per_kit, need.instead_of) == (50, ("bean mix",))
    assert [(kits.kit, kits.kits) for kits in need.takers] == [("w2-B", 1), ("w3-B", 1)]


def test_every_trace_of_a_shortage_adds_up() -> None:
    """Packed today, nothing to be had before: 200 g short for the first session."""
    found = trace({"Sessions": "Session | Group | Date | Recipes\nw1 | g1 | @2027-01-04 | stew"})
    assert found.needed == sum(amount for _, amount in found.short) == 200
