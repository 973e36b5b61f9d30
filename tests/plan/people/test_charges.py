"""What food costs whom, worked by hand to the cent."""

from fractions import Fraction

from plan.people_support import cents, funder, group, marks, member, no_kits, programme, session

from opsreport.kinds import Share
from opsreport.money import Money
from opsreport.plan.buying.placed import PlacedCosts
from opsreport.plan.people.charges import Spent, charge_all, charged_to, unit_costs
from opsreport.plan.people_plan import uncharged_people
from opsreport.programme import Programme

HALF = Fraction(1, 2)


def book() -> Programme:
    """F and G share A; nobody pays for B; F's days are 10 to 20, G's 1 to 100; H pays for nothing."""
    groups = [group("A", funders=(("F", HALF), ("G", HALF))), group("B")]
    sessions = [session(f"A{day}", "A", day, "planned") for day in (9, 10, 20, 21)] + [
        session("B1", "B", 10, "planned")
    ]
    return programme(
        groups, [member("p", "A"), member("q", "A", joined=20), member("p", "B"), member("r", "B", left=9)], sessions,
        funders=[funder("f", 10, 20), funder("G"), funder("H")],
    )  # fmt: skip


FOOD = {"A9": cents(100), "A10": cents(201), "A20": cents(400), "A21": cents(1000), "B1": cents(77)}


def test_edges_of_a_period_belong_to_it_and_the_rest_is_unassigned() -> None:
    """F: half of 2.01 + 4.00, the odd cent its own. G: half of 17.01. The other halves of days 9 and 21 and all of B
    are nobody's."""
    f, g, h = (charged_to(book(), row, FOOD) for row in book().funders)
    assert (f, g, h) == (301, 850, 0)
    charged = charge_all(book(), Spent(FOOD, {"A20": cents(5)}).sessions(book()), Money(0))
    assert [(each.funder, each.food, each.in_kind) for each in charged] == [
        ("f", 301, 3), ("G", 850, 2), ("H", 0, 0), ("", 1778 - 301 - 850, 0),
    ]  # fmt: skip


def test_one_of_each_over_the_same_sessions() -> None:
    """p is expected four times in A and once in B, q on days 20 and 21, r has left: 7 contacts of 2 people."""
    costs = Spent(FOOD, {"A20": cents(70)}).sessions(book())
    found = {each.unit: each for each in unit_costs(book(), costs, uncharged_people(book()), lambda _: 2)}
    assert [found[unit].units for unit in ("kit", "contact", "participant", "completer")] == [10, 7, 2, None]
    assert (found["contact"].food_each, found["contact"].in_kind_each) == (254, 10)
    assert (found["participant"].food_each, found["completer"].food_each) == (889, None)


def test_spare_and_demo_kits_of_sessions_held_are_kits_as_well() -> None:
    """p and q get a kit each; with 1 spare and 2 demo kits that are 5, at 10.00 in all."""
    kits = group("A", spare=Share(number=Fraction(1)), demo=2)
    some = programme([kits], [member(who, "A") for who in "pq"], [session("A1", "A", 1)], marks({"p": "P"}, ["A1"]))
    costs = Spent({}, placed=PlacedCosts({"A1": cents(1000)}, {}, cents(0))).sessions(some)
    (kit,) = (
        each for each in unit_costs(some, costs, uncharged_people(some), no_kits) if each.held and each.unit == "kit"
    )
    assert (kit.units, kit.food_each) == (5, 200)


def test_as_many_complete_as_have_so_far() -> None:
    held = [session("A1", "A", 1), session("A2", "A", 2), session("A3", "A", 9, "planned")]
    people = [member(who, "A") for who in "pqrs"]
    grid = marks({"p": "PP", "q": "PP", "r": "PA", "s": "PA"}, ["A1", "A2"])
    some = programme([group("A")], people, held, grid)
    costs = Spent({"A3": cents(100)}).sessions(some)
    assert unit_costs(some, costs, uncharged_people(some), no_kits)[3].units == 2


def test_sessions_held_are_charged_with_what_came_for_them() -> None:
    """A1 and A2 were held, A3 is to come. 3.00 and 1.00 came for A1 and A3, 0.50 is on its way to A3, 2.00 is to be
    ordered; 0.25 of what came nobody takes. F's days end before A3. p and q completed, r and s came once."""
    held = [session("A1", "A", 1), session("A2", "A", 2), session("A3", "A", 9, "planned")]
    grid = marks({"p": "PP", "q": "PP", "r": "PA", "s": "PA"}, ["A1", "A2"])
    paid = group("A", funders=(("F", Fraction(1)),))
    some = programme([paid], [member(who, "A") for who in "pqrs"], held, grid, funders=[funder("F", 1, 8)])
    placed = PlacedCosts({"A1": cents(300), "A3": cents(100)}, {"A3": cents(50)}, cents(25))
    costs = Spent({"A3": cents(200)}, placed=placed).sessions(some)
    assert [(each.session, each.held, each.received, each.coming, each.planned, each.food) for each in costs] == [
        ("A1", True, 300, 0, 0, 300), ("A3", False, 100, 50, 200, 350),
    ]  # fmt: skip
    charged = charge_all(some, costs, placed.unassigned)
    assert [(each.funder, each.food, each.held) for each in charged] == [("F", 300, 300), ("", 375, 0)]
    units = unit_costs(some, costs, uncharged_people(some), no_kits)
    of_held = {each.unit: (each.units, each.food_each) for each in units if each.held}
    assert of_held == {"kit": (4, 75), "contact": (4, 75), "participant": (4, 75), "completer": (2, 150)}
    assert [each.food for each in units if not each.held] == [350] * 4
