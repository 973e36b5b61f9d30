"""What food costs whom, worked by hand to the cent."""

from fractions import Fraction

from plan.people_support import cents, funder, group, marks, member, no_kits, programme, session

from opsreport.plan.people.attendance import attend
from opsreport.plan.people.charges import Spent, charge_all, charged_to, unit_costs
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
    charged = charge_all(book(), Spent(FOOD, {"A20": cents(5)}))
    assert [(each.funder, each.food, each.in_kind) for each in charged] == [
        ("f", 301, 3), ("G", 850, 2), ("H", 0, 0), ("", 1778 - 301 - 850, 0),
    ]  # fmt: skip


def test_one_of_each_over_the_same_sessions() -> None:
    """p is expected four times in A and once in B, q on days 20 and 21, r has left: 7 contacts of 2 people."""
    spent = Spent(FOOD, {"A20": cents(70)})
    totals = attend(book(), no_kits).totals
    found = {each.unit: each for each in unit_costs(book(), spent, totals, lambda _: 2)}
    assert [found[unit].units for unit in ("kit", "contact", "participant", "completer")] == [10, 7, 2, None]
    assert (found["contact"].food_each, found["contact"].in_kind_each) == (254, 10)
    assert (found["participant"].food_each, found["completer"].food_each) == (889, None)


def test_as_many_complete_as_have_so_far() -> None:
    held = [session("A1", "A", 1), session("A2", "A", 2), session("A3", "A", 9, "planned")]
    people = [member(who, "A") for who in "pqrs"]
    grid = marks({"p": "PP", "q": "PP", "r": "PA", "s": "PA"}, ["A1", "A2"])
    some = programme([group("A")], people, held, grid)
    totals = attend(some, no_kits).totals
    spent = Spent({"A3": cents(100)})
    assert unit_costs(some, spent, totals, lambda _: 0)[3].units == 2
