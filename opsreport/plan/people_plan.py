"""Everything about people, from one programme: attendance, outcomes and what funders see."""

from collections.abc import Callable, Mapping

from opsreport.money import Money
from opsreport.plan.funding import report_to_funders
from opsreport.plan.model import PeoplePlan
from opsreport.plan.outcomes import compare, gather
from opsreport.plan.people import attend
from opsreport.programme import Programme, Session


def plan_people(
    programme: Programme, kits_of: Callable[[Session], int], session_costs: Mapping[str, Money] | None
) -> PeoplePlan:
    """Work out the people's part of the plan.

    Args:
        kits_of: kits packed for a session, asked where nobody recorded what became of them.
        session_costs: what the orders charge each session; None where orders were stopped.
    """
    attended = attend(programme, kits_of)
    answers = gather(programme)
    return PeoplePlan(
        groups=attended.groups,
        sessions=attended.sessions,
        members=attended.members,
        totals=attended.totals,
        outcomes=tuple(compare(each) for each in answers),
        funders=report_to_funders(programme, attended, answers, session_costs),
    )
