"""An earlier run's plan as its `plan.json` tells it: what a later run compares itself with."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Any

from opsreport.money import Currency, Money
from opsreport.plan.model import PackedSession, PackedVariant

LineKey = tuple[str, str, str, str]
"""Order, food, item and pack: `5 lb`."""
PriceKey = tuple[str, str, str, str]
"""Supplier, food, item and pack."""


@dataclass(frozen=True, slots=True)
class EarlierLine:
    """A row of an order."""

    supplier: str
    arrives: dt.date
    packs: int
    cost: Money


@dataclass(frozen=True, slots=True)
class EarlierPlan:
    """sessions: those that still needed something; packed: those packed before it and still to be held.
    needs: (amount, unit) by food and session. order_by: by order. total: of the orders to place, and of parts of orders
    for several; promised: spent and on order besides, None where it is not told."""

    as_of: dt.date
    currency: str
    sessions: Mapping[str, PackedSession]
    packed: Mapping[str, PackedSession]
    needs: Mapping[tuple[str, str], tuple[Fraction, str]]
    lines: Mapping[LineKey, EarlierLine]
    order_by: Mapping[str, dt.date]
    prices: Mapping[PriceKey, Money]
    total: Money
    promised: Money | None = None


def earlier_plan(told: Any) -> EarlierPlan | None:
    """The plan that a parsed `plan.json` holds; None where it is none, or holds no orders (a stopped run)."""
    try:
        return _plan(told) if told["format"] == 1 and told["buying"] else None
    except (KeyError, TypeError, ValueError, AttributeError, ZeroDivisionError):
        return None


def _plan(told: Any) -> EarlierPlan:
    day = dt.date.fromisoformat
    currency = Currency(told["currency"])

    def money(text: str) -> Money:
        exact = currency.exact(Fraction(text))
        if exact is None:
            raise ValueError(text)
        return exact

    return EarlierPlan(
        as_of=day(told["as_of"]),
        currency=currency.code,
        sessions=_sessions(told["sessions"]),
        packed=_sessions(told.get("packed", ())),
        needs={(n["ingredient"], n["session"]): (Fraction(n["amount"]), n["unit"]) for n in told["needs"]},
        lines={
            (row["order"], row["ingredient"], row["item"], f"{row['pack_amount']} {row['pack_unit']}"): EarlierLine(
                row["supplier"], day(row["arrives"]), row["packs"], money(row["cost"])
            )
            for row in told["purchases"]
        },
        order_by={row["order"]: day(row["order_by"]) for row in told["orders"]},
        prices={
            (row["supplier"], row["ingredient"], row["item"], f"{row['pack_amount']} {row['pack_unit']}"):
            money(row["price"])
            for row in (*told["purchases"], *told.get("prices", ()))
        },
        total=Money(sum(money(row["total"]) for row in (*told["orders"], *told.get("shared_orders", ())))),
        promised=Money(money(known["spent"]) + money(known["committed"])) if (known := told.get("budget")) else None,
    )  # fmt: skip


def _sessions(told: Any) -> dict[str, PackedSession]:
    day = dt.date.fromisoformat
    return {
        each["session"]: PackedSession(
            each["session"], day(each["date"]), day(each["packing_day"]),
            tuple(_variant(variant) for variant in each["variants"]),
        )
        for each in told
    }  # fmt: skip


def _variant(told: Any) -> PackedVariant:
    contents = frozenset((line["ingredient"], Fraction(line["base_amount"])) for line in told["lines"])
    return PackedVariant(told["variant"], told["kits"], tuple(told.get("holders", ())), contents)
