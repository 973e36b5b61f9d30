"""Everything about people, from one programme: attendance, outcomes and what funders see."""

import dataclasses
from collections.abc import Mapping

from opsreport.money import Money
from opsreport.plan.funding import charge_funders, report_to_funders
from opsreport.plan.kits import delivered_kits
from opsreport.plan.model import PeoplePlan
from opsreport.plan.outcomes import compare, gather
from opsreport.plan.people import attend
from opsreport.programme import Programme


def plan_people(programme: Programme, session_costs: Mapping[str, Money] | None) -> PeoplePlan:
    """Work out the people's part of the plan.

    Args:
        session_costs: what the orders charge each session; None where orders were stopped.
    """
    return with_food_costs(programme, uncharged_people(programme), session_costs)


def uncharged_people(programme: Programme) -> PeoplePlan:
    """The people's part as far as it needs no orders: all but the food cost of each funder."""
    attended = attend(programme, lambda session: delivered_kits(programme, session))
    answers = gather(programme)
    return PeoplePlan(
        groups=attended.groups,
        sessions=attended.sessions,
        members=attended.members,
        totals=attended.totals,
        outcomes=tuple(compare(each) for each in answers),
        funders=report_to_funders(programme, attended, answers),
    )


def with_food_costs(programme: Programme, people: PeoplePlan, session_costs: Mapping[str, Money] | None) -> PeoplePlan:
    """The people's part complete, once the orders are known."""
    return dataclasses.replace(people, funders=charge_funders(programme, people.funders, session_costs))
