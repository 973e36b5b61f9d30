"""The whole plan, one line a step."""

import dataclasses

from opsreport.findings import Finding
from opsreport.plan.amounts import needs_of, plan_sessions
from opsreport.plan.buying import buy
from opsreport.plan.costs import share_costs, share_in_kind
from opsreport.plan.effort import USUAL, Effort
from opsreport.plan.figures import figures_used
from opsreport.plan.kits import kits_of_sessions
from opsreport.plan.model import FoodPlan
from opsreport.plan.netting import net
from opsreport.plan.notices import notices
from opsreport.programme import Programme


def unsafe_kits(programme: Programme) -> list[Finding]:
    """Every need that a kit would not meet: no swap for a food, or a food that nobody knows."""
    return kits_of_sessions(programme)[1]


def plan_food(programme: Programme, effort: Effort = USUAL) -> tuple[FoodPlan, list[Finding]]:
    """Who gets what, from where, at what cost; with what a coordinator must know about it. effort: of buying."""
    kits, unsafe = kits_of_sessions(programme)
    sessions = plan_sessions(programme, kits)
    needs = needs_of(programme, sessions)
    netted = net(programme, needs)
    bought = buy(programme, sessions, netted.still_open, effort)
    costs = share_costs(programme, bought.purchases, bought.orders)
    costs = dataclasses.replace(costs, in_kind=share_in_kind(programme, netted.uses))
    plan = FoodPlan(
        sessions=sessions,
        needs=needs,
        stock_use=netted.uses,
        lots=netted.lots,
        purchases=bought.purchases,
        orders=bought.orders,
        shortages=bought.shortages,
        shopping=bought.shopping,
        buying=bought.buying,
        costs=costs,
        figures=figures_used(programme, sessions, bought.purchases),
    )
    return plan, [*unsafe, *notices(programme, plan)]
