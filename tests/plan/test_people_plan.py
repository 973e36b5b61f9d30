"""Everything about people from one programme: the pieces hold together."""

from fractions import Fraction

from plan.people_support import cents, funder, group, marks, member, programme, session

from opsreport.money import Money
from opsreport.plan.model import Costs, FoodPlan
from opsreport.plan.people_plan import plan_people, uncharged_people, with_food_costs
from opsreport.programme import Programme


def two_households() -> Programme:
    """Group A of kits format, two households of two; two sessions delivered; F pays for A."""
    members = [member("a1", "A", "H1"), member("a2", "A", "H1"), member("a3", "A", "H2"), member("a4", "A", "H2")]
    sessions = [session("A1", "A", 1), session("A2", "A", 8)]
    grid = marks({"a1": "PP", "a2": "PA", "a3": "PP", "a4": "AA"}, ["A1", "A2"])
    return programme([group("A", funders=(("F", Fraction(1)),))], members, sessions, grid, funders=[funder("F")])


def test_one_figure_for_the_group_the_programme_and_the_funder() -> None:
    plan = plan_people(two_households(), {})
    assert plan.groups["A"].contacts == plan.totals.contacts == sum(each.contacts for each in plan.sessions) == 5
    assert plan.groups["A"].people == plan.totals.people == 3
    (report,) = plan.funders
    assert report.sessions == ("A1", "A2")


def test_without_records_the_kits_of_delivered_sessions_count() -> None:
    """One a household and session; spare and demo kits were handed to nobody in particular."""
    totals = plan_people(two_households(), {}).totals
    assert totals.kits_distributed == 4
    assert "nobody recorded" in totals.kits_source


def test_food_costs_are_not_available_where_orders_were_stopped() -> None:
    def cost(spent: dict[str, Money] | None) -> str:
        (report,) = plan_people(two_households(), spent).funders
        return next(measure.shown for measure in report.measures if measure.measure == "cost")

    assert cost(None) == "not available"
    assert cost({"A1": cents(1250), "A2": cents(50)}) == "$13.00"


def test_food_costs_come_from_the_food_plan_once_that_is_known() -> None:
    """Without a food plan nothing of it is known; with an empty one nothing was spent."""
    programme = two_households()
    people = uncharged_people(programme)

    def cost(food: FoodPlan | None) -> str:
        (report,) = with_food_costs(programme, people, food).funders
        return next(measure.shown for measure in report.measures if measure.measure == "cost")

    assert cost(None) == "not available"
    assert cost(FoodPlan(costs=Costs({"A1": cents(1250)}))) == "$12.50"
