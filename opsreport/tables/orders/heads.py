"""What the documents about ordering share: their first lines, their names, and when a session is."""

import re
import unicodedata
from collections.abc import Iterable
from fractions import Fraction

from opsreport.plan.model import FoodPlan, Order, PlannedSession
from opsreport.programme import Programme
from opsreport.tables.table import day_words

LONGEST_NAME = 60
"""Characters of an order's id that a file's name keeps."""
_TAKEN = ("orders/order-calendar",)


def head_line(programme: Programme, *, contact: bool = True) -> str:
    """`Fennelbridge Kits · Spring 2027 · planned on Mon 8 Feb 2027 · 555-0100`, without what is blank."""
    settings = programme.settings
    parts = [settings.programme, settings.term, f"planned on {day_words(programme.as_of)}"]
    if contact:  # an order has it among its own lines
        parts.append(settings.contact)
    return " · ".join(part for part in parts if part)


def supplier_name(programme: Programme, supplier: str) -> str:
    """The supplier's name as printed; its code where it has none."""
    known = programme.suppliers.get(supplier)
    return (known.name if known else "") or supplier


def order_paths(orders: Iterable[Order]) -> dict[str, str]:
    """Every order's document path, by order id: letters, digits, hyphens, no two alike on any disk."""
    paths: dict[str, str] = {}
    taken = set(_TAKEN)
    for order in orders:
        wanted = f"orders/order-{_plain(order.order)}"
        path, number = wanted, 1
        while path.casefold() in taken:
            number += 1
            path = f"{wanted}-{number}"
        taken.add(path.casefold())
        paths[order.order] = path
    return paths


def _plain(text: str) -> str:
    bare = unicodedata.normalize("NFKD", text).encode("ascii", "ignore").decode()
    words = re.sub(r"[^A-Za-z0-9]+", "-", bare).strip("-")
    return words[-LONGEST_NAME:].strip("-") or "unnamed"


def planned_sessions(food: FoodPlan) -> dict[str, PlannedSession]:
    """Every session that needs something, by id, in order of packing day, date and id."""
    in_order = sorted(food.sessions, key=lambda session: (session.packing_day, session.day, session.session))
    return {session.session: session for session in in_order}


def total(amounts: Iterable[Fraction]) -> Fraction:
    """Exact amounts added up."""
    return sum(amounts, Fraction(0))
