"""The whole plan, one line a step."""

import dataclasses

from opsreport.findings import Finding
from opsreport.plan.buying.additions import additions, forwards, numbered_apart
from opsreport.plan.buying.costs import share_costs, share_in_kind
from opsreport.plan.buying.effort import USUAL, Effort
from opsreport.plan.buying.netting import net
from opsreport.plan.buying.orders import buy, shortages
from opsreport.plan.explaining.budget import budget, surplus
from opsreport.plan.explaining.levers import levers
from opsreport.plan.explaining.mending import mended
from opsreport.plan.explaining.notices import notices
from opsreport.plan.explaining.replay import replays
from opsreport.plan.explaining.room import rooms
from opsreport.plan.explaining.trace import traces
from opsreport.plan.model import FoodPlan, PriceKnown
from opsreport.plan.needs.amounts import needs_of, plan_sessions
from opsreport.plan.needs.figures import figures_used
from opsreport.plan.needs.kits import kits_of_sessions
from opsreport.plan.needs.sealed import with_sealed_units
from opsreport.programme import Programme


def unsafe_kits(programme: Programme) -> list[Finding]:
    """Every need that a kit would not meet: no swap for a food, or a food that nobody knows."""
    return kits_of_sessions(programme)[1]


def plan_kits(programme: Programme) -> tuple[FoodPlan, list[Finding]]:
    """Who gets what: kits and what sessions need; nothing is netted or ordered yet. With `unsafe_kits`."""
    kits, unsafe = kits_of_sessions(programme)
    sessions = plan_sessions(programme, kits)
    return FoodPlan(sessions=sessions, needs=needs_of(programme, sessions)), unsafe


def plan_orders(programme: Programme, kits: FoodPlan, effort: Effort = USUAL) -> tuple[FoodPlan, list[Finding]]:
    """The same with where it comes from, at what cost, and what that means; with what a coordinator must know.

    Args:
        effort: of buying.
    """
    programme = with_sealed_units(programme, kits.sessions)
    netted = net(programme, kits.needs)
    bought = numbered_apart([row.order for row in programme.on_order], buy(programme, netted.still_open, effort))
    costs = share_costs(programme, bought.purchases, bought.orders)
    costs = dataclasses.replace(costs, in_kind=share_in_kind(programme, netted.uses))
    plan = dataclasses.replace(
        kits,
        stock_use=netted.uses,
        lots=netted.lots,
        purchases=bought.purchases,
        orders=bought.orders,
        shortages=shortages(programme, kits.sessions, bought.uncovered),
        shopping=bought.shopping,
        buying=bought.buying,
        costs=costs,
        figures=figures_used(programme, kits.sessions, bought.purchases),
        prices=_prices(programme),
        additions=additions(programme, bought.orders),
    )
    plan = explained(programme, plan)
    return plan, notices(programme, plan)


def plan_food(programme: Programme, effort: Effort = USUAL) -> tuple[FoodPlan, list[Finding]]:
    """Kits and orders, one after the other."""
    kits, unsafe = plan_kits(programme)
    plan, told = plan_orders(programme, kits, effort)
    return plan, [*unsafe, *told]


def explained(programme: Programme, plan: FoodPlan) -> FoodPlan:
    """The plan with what it means beside: mends, room, money against the cap, and where every line comes from."""
    mends, conflicts = mended(programme, plan)
    again = replays(programme, plan)
    return dataclasses.replace(
        plan,
        mends=mends,
        conflicts=conflicts,
        room=rooms(programme, plan, again),
        budget=budget(programme, plan, levers(programme, plan, again)),
        surplus=surplus(programme, plan),
        traces=traces(programme, plan),
        forwards=forwards(programme, plan),
    )


def explained_part(programme: Programme, plan: FoodPlan) -> FoodPlan:
    """The same of a workbook's part of orders for several: without what only a plan for it alone could say."""
    mends, conflicts = mended(programme, plan)
    return dataclasses.replace(
        plan,
        mends=mends,
        conflicts=conflicts,
        figures=figures_used(programme, plan.sessions, plan.purchases),
        budget=budget(programme, plan),
        surplus=surplus(programme, plan),
        traces=traces(programme, plan),
    )


def _prices(programme: Programme) -> tuple[PriceKnown, ...]:
    """Every price of Packs, by supplier, food, item and size, so that rows may stand in any order."""
    offers = sorted(programme.offers, key=lambda o: (o.supplier, o.food, o.item, o.base, o.size.unit, o.price))
    return tuple(PriceKnown(o.supplier, o.food, o.item, o.size, o.price, o.priced) for o in offers)
