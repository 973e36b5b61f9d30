"""What the documents about ordering share: their names, and when a session is."""

from collections.abc import Iterable
from fractions import Fraction

from opsreport.plan.model import FoodPlan, Order, PlannedSession
from opsreport.programme import Programme
from opsreport.tables.naming import file_names


def supplier_name(programme: Programme, supplier: str) -> str:
    """The supplier's name as printed; its code where it has none."""
    known = programme.suppliers.get(supplier)
    return (known.name if known else "") or supplier


def order_paths(orders: Iterable[Order]) -> dict[str, str]:
    """Every order's document path, by order id, no two alike on any disk."""
    ids = [order.order for order in orders]
    names = file_names([f"order-{name}" for name in ids], taken=("order-calendar",))
    return {name: f"orders/{file}" for name, file in zip(ids, names, strict=True)}


def planned_sessions(food: FoodPlan) -> dict[str, PlannedSession]:
    """Every session that needs something, by id, in order of packing day, date and id."""
    in_order = sorted(food.sessions, key=lambda session: (session.packing_day, session.day, session.session))
    return {session.session: session for session in in_order}


def total(amounts: Iterable[Fraction]) -> Fraction:
    """Exact amounts added up."""
    return sum(amounts, Fraction(0))
