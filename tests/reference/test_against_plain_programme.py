"""Whole terms, from a workbook to plan.json, against one plain integer programme; and with their rows shuffled."""

import json
import random
from fractions import Fraction
from pathlib import Path

import pytest
from reference.differences import cents, differences
from reference.plain_programme import drawn, least_cost
from reference.random_workbooks import AS_OF, random_sheets, write
from reference.reference import Reference
from reference.test_demo_against_reference import plan_of

KINDS = {
    "fees": {},
    "opened packs": {"opened": True},
    "minimum orders": {"minimums": True},
    "orders placed": {"placed": True},
    "both": {"minimums": True, "placed": True},
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("seed", [0, 2, 3, 5])
def test_orders_cost_the_optimum_of_a_plain_programme(seed: int, kind: str, tmp_path: Path) -> None:
    """Never less; the bound is one; and where the plan says that it is proven, exactly that.

    The programme opens whichever pack it likes: the bound must hold for that too, whenever the packs come. Where it
    buys packs only to reach a minimum it may be cheaper than the rules allow.
    """
    term = drawn(seed, **KINDS[kind])
    path = write(tmp_path / "term.xlsx", term.sheets())
    plan = json.loads(plan_of(path))
    assert differences(plan, Reference(path, AS_OF)) == []
    assert plan["shortages"] == plan["shopping"] == []
    below = any(order["below_minimum"] for order in plan["orders"])
    least = least_cost(term, minimums=not below)
    assert least is not None
    cost, bound = cents(plan["buying"]["cost"]), cents(plan["buying"]["lower_bound"])
    assert cost >= least.cost
    only_to_reach = not below and "minimums" in KINDS[kind] and least.spare
    if not only_to_reach:
        assert bound <= least.cost
        if cost == bound:
            assert cost == least.cost


def test_the_programme_finds_orders_that_cover_and_pay_for_themselves() -> None:
    """Its own figures: what it buys costs what it says, packs, fees and free delivery added up by hand."""
    for seed in range(6):
        term = drawn(seed)
        least = least_cost(term, minimums=True)
        assert least is not None
        prices = {pack.item: (pack.shop, pack.cents) for pack in term.packs}
        goods: dict[object, int] = {}
        for (item, day), packs in least.bought.items():
            shop, price = prices[item]
            goods[shop, day] = goods.get((shop, day), 0) + packs * price
        shops = {shop.name: shop for shop in term.shops}
        fees = sum(
            0 if shops[name].free_from is not None and its >= shops[name].free_from else shops[name].fee
            for (name, _), its in goods.items()
        )
        assert sum(goods.values()) + fees == least.cost


# --- rows shuffled ---

FOOD_PART = (
    "sessions", "needs", "stock_use", "lots", "purchases", "orders", "shortages", "shopping", "buying", "costs",
    "budget", "trace",
)  # fmt: skip


def shuffled(sheets: dict[str, list[tuple]], seed: int) -> dict[str, list[tuple]]:
    """The rows of every sheet in another order, but for Swaps, of which the first row that serves is taken; each line
    of a recipe names it, so that none depends on the one above."""
    r = random.Random(seed)
    found = {}
    for name, (head, *rows) in sheets.items():
        named = []
        for row in rows:
            above = named[-1][0] if named else None
            named.append((row[0] or above, *row[1:]) if name == "Recipes" else row)
        if name != "Swaps":
            r.shuffle(named)
        found[name] = [head, *named]
    return found


def told(value: object) -> object:
    """A part of plan.json without cells and without the order of its lists."""
    if isinstance(value, dict):
        return {key: told(its) for key, its in value.items() if key not in ("cell", "price_cells", "cells", "row")}
    if isinstance(value, list):
        return sorted((told(each) for each in value), key=lambda each: json.dumps(each, sort_keys=True))
    return value


@pytest.mark.parametrize("seed", range(100, 109))
def test_shuffled_rows_of_every_sheet_give_the_same_food(seed: int, tmp_path: Path) -> None:
    """People, stock, open orders, closures, swaps, packs: nothing about food depends on which row stands first."""
    sheets = random_sheets(seed)
    plain = json.loads(plan_of(write(tmp_path / "plain.xlsx", sheets)))
    other = json.loads(plan_of(write(tmp_path / "other.xlsx", shuffled(sheets, seed))))
    for part in FOOD_PART:
        assert told(other.get(part)) == told(plain.get(part)), part
    assert [row["order"] for row in other["orders"]] == [row["order"] for row in plain["orders"]]
    assert other["purchases"] == plain["purchases"]


@pytest.mark.parametrize("kind", KINDS)
def test_shuffled_rows_give_the_same_orders_of_several_suppliers(kind: str, tmp_path: Path) -> None:
    for seed in (4, 7):
        sheets = drawn(seed, **KINDS[kind]).sheets()
        plain = json.loads(plan_of(write(tmp_path / "plain.xlsx", sheets)))
        other = json.loads(plan_of(write(tmp_path / "other.xlsx", shuffled(sheets, seed))))
        for part in ("purchases", "orders", "buying", "costs"):
            assert other[part] == plain[part], part
        assert sum(Fraction(order["total"]) for order in other["orders"]) > 0
