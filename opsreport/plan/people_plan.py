"""Everything about people, from one programme: attendance, outcomes and what funders see."""

import dataclasses
from collections.abc import Mapping

from opsreport.money import Money
from opsreport.plan.buying.placed import charge_placed
from opsreport.plan.model import FoodPlan
from opsreport.plan.needs.kits import delivered_kits
from opsreport.plan.people.attendance import attend
from opsreport.plan.people.breakdowns import breakdown_columns, broken_down
from opsreport.plan.people.charges import Spent, charge_all, unit_costs
from opsreport.plan.people.funding import charge_funders, report_to_funders
from opsreport.plan.people.outcomes import compare_all, gather
from opsreport.plan.people_model import EarlierTerm, PeoplePlan
from opsreport.programme import Programme


def plan_people(programme: Programme, session_costs: Mapping[str, Money] | None) -> PeoplePlan:
    """The people's part of the plan, without donated food and without kits to come.

    Args:
        session_costs: what the orders charge each session; None where orders were stopped.
    """
    spent = None if session_costs is None else Spent(session_costs)
    return _charged(programme, uncharged_people(programme), spent, {})


def uncharged_people(programme: Programme) -> PeoplePlan:
    """The people's part as far as it needs no orders: all but the food cost of each funder."""
    attended = attend(programme, lambda session: delivered_kits(programme, session))
    columns, unusable = breakdown_columns(programme, attended.ledger.roll)
    answers = gather(programme)
    return PeoplePlan(
        groups=attended.groups,
        sessions=attended.sessions,
        members=attended.members,
        totals=attended.totals,
        outcomes=compare_all(answers),
        funders=report_to_funders(programme, attended, columns, unusable, answers),
        retention=attended.retention,
        breakdowns={column.heading: broken_down(column, attended.ledger, attended.completers) for column in columns},
        kits=attended.kits.sessions,
    )


def with_food_costs(programme: Programme, people: PeoplePlan, food: FoodPlan | None) -> PeoplePlan:
    """The people's part complete, once the orders are known."""
    if food is None:
        return _charged(programme, people, None, {})
    spent = Spent(food.costs.sessions, food.costs.in_kind, charge_placed(programme, food.stock_use))
    return _charged(programme, people, spent, {session.session: session.kits for session in food.sessions})


def beside_earlier(people: PeoplePlan | None, earlier: tuple[EarlierTerm, ...]) -> PeoplePlan | None:
    """The same with earlier terms to compare with, as named; nothing where errors stopped this term's reports."""
    return people if people is None else dataclasses.replace(people, earlier=earlier)


def _charged(
    programme: Programme, people: PeoplePlan, spent: Spent | None, kits: Mapping[str, int]
) -> PeoplePlan:  # fmt: skip
    if spent is None:
        return dataclasses.replace(people, funders=charge_funders(programme, people.funders, None))
    costs = spent.sessions(programme)
    charged = charge_all(programme, costs, spent.placed.unassigned)
    return dataclasses.replace(
        people,
        funders=charge_funders(programme, people.funders, costs, charged),
        charged=charged,
        session_costs=costs,
        unit_costs=unit_costs(programme, costs, people, lambda session: kits.get(session.session, 0)),
    )
