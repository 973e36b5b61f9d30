"""plan.json against an independent calculator of the written rules, on the shipped and on random workbooks."""

import datetime as dt
import json
import random
import subprocess
import sys
import tempfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from reference.brute_force import least_cost, small_sheets
from reference.differences import cents, differences
from reference.random_workbooks import AS_OF, random_sheets, write
from reference.reference import Reference, key

from opsreport.beside import Beside
from opsreport.findings import in_order
from opsreport.joining import build_programme
from opsreport.plan.model import Plan
from opsreport.run import (
    Asked,
    begin_people_plan,
    build,
    check,
    finish_people_plan,
    make_food_plan,
    make_kits,
    read_and_check,
)
from opsreport.write.files import prepare_to_write
from opsreport.write.json_file import plan_json

WORKBOOKS = Path(__file__).resolve().parents[2] / "workbooks"
ASKED = Asked(today=AS_OF, as_of=AS_OF)


def plan_of(path: Path) -> bytes:
    """The bytes of plan.json without the documents, which take most of a run."""
    with Beside(0, prepare_to_write) as beside:
        rows, as_of, findings = read_and_check(path, ASKED)
        programme = build_programme(rows, as_of)
        food, told = make_food_plan(programme, *make_kits(programme, findings))
        people = finish_people_plan(programme, begin_people_plan(programme, findings, beside), food)
        plan = Plan(as_of, programme.currency.code, food, people)
        return plan_json(plan, in_order([*findings, *told]))


def plan_and_reference(path: Path):
    return json.loads(plan_of(path)), Reference(path, AS_OF)


@pytest.mark.parametrize("name", ["fennelbridge-spring-2027", "four-sheets"])
def test_shipped_workbook_agrees_with_the_reference(name: str, tmp_path: Path) -> None:
    source = WORKBOOKS / f"{name}.xlsx"
    command = [sys.executable, "-m", "opsreport", "build", str(source), "--as-of", "2027-03-01", "--out"]
    done = subprocess.run([*command, str(tmp_path / "out")], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
    plan = json.loads((tmp_path / "out" / "plan.json").read_text(encoding="utf-8"))
    assert differences(plan, Reference(source, dt.date(2027, 3, 1))) == []


@pytest.mark.parametrize("day", ["2027-02-08"])
def test_demo_agrees_on_other_planning_days(day: str) -> None:
    source, as_of = WORKBOOKS / "fennelbridge-spring-2027.xlsx", dt.date.fromisoformat(day)
    rows, _, findings = read_and_check(source, Asked(today=as_of, as_of=as_of))
    programme = build_programme(rows, as_of)
    food, told = make_food_plan(programme, *make_kits(programme, findings))
    with Beside(0, prepare_to_write) as beside:
        people = finish_people_plan(programme, begin_people_plan(programme, findings, beside), food)
    plan = json.loads(plan_json(Plan(as_of, "USD", food, people), [*findings, *told]))
    assert differences(plan, Reference(source, as_of)) == []


@pytest.mark.parametrize("seed", range(100, 160))
def test_random_workbook_agrees_with_the_reference(seed: int, tmp_path: Path) -> None:
    path = write(tmp_path / "random.xlsx", random_sheets(seed))
    plan, reference = plan_and_reference(path)
    assert not [f for f in plan["findings"] if f["severity"] == "error"]
    assert differences(plan, reference) == []


@pytest.mark.parametrize("seed", range(100, 103))
def test_same_workbook_gives_same_bytes_and_row_order_same_orders(seed: int, tmp_path: Path) -> None:
    sheets = random_sheets(seed)
    first = plan_of(write(tmp_path / "one.xlsx", sheets))
    assert plan_of(write(tmp_path / "two.xlsx", sheets)) == first
    for name in ("Packs", "Stock", "Suppliers"):
        if name in sheets:
            rows = sheets[name][1:]
            random.Random(seed).shuffle(rows)
            sheets[name] = [sheets[name][0], *rows]
    plan, shuffled = json.loads(first), json.loads(plan_of(write(tmp_path / "three.xlsx", sheets)))
    for part in ("sessions", "needs", "stock_use", "purchases", "orders", "shortages", "shopping", "buying", "costs"):
        assert shuffled[part] == plan[part], part


def test_build_writes_the_plan_that_is_compared_here(tmp_path: Path) -> None:
    path = write(tmp_path / "random.xlsx", random_sheets(103))
    build(path, tmp_path / "out", ASKED)
    assert (tmp_path / "out" / "plan.json").read_bytes() == plan_of(path)


@pytest.mark.parametrize("seed", range(10))
def test_goods_of_one_food_cost_the_least_there_is(seed: int, tmp_path: Path) -> None:
    plan, reference = plan_and_reference(write(tmp_path / "small.xlsx", small_sheets(seed, fees=False)))
    assert differences(plan, reference) == []
    best = least_cost(reference)
    if best == "too many":
        pytest.skip("too many ways to try")
    assert bool(plan["shortages"]) == (best is None)
    if best is not None:
        assert cents(plan["buying"]["cost"]) == best


@pytest.mark.parametrize(
    "seed",
    [1, 2, 3, 4, 21, 39, 55, 72, 76],
)
def test_goods_and_fees_cost_the_least_there_is(seed: int, tmp_path: Path) -> None:
    plan, reference = plan_and_reference(write(tmp_path / "small.xlsx", small_sheets(seed, fees=True)))
    assert differences(plan, reference) == []
    if not plan["shortages"]:
        assert cents(plan["buying"]["cost"]) == least_cost(reference)


@pytest.mark.parametrize("seed", [7, 12, 22, 27, 37, 50, 70])
def test_the_least_that_minimum_orders_allow_is_found_and_proven(seed: int, tmp_path: Path) -> None:
    plan, reference = plan_and_reference(write(tmp_path / "small.xlsx", small_sheets(seed, fees=True, minimum=True)))
    assert differences(plan, reference) == []
    best = least_cost(reference, minimum=True)
    if isinstance(best, int) and not plan["shortages"]:
        assert not [order for order in plan["orders"] if order["below_minimum"]]
        assert cents(plan["buying"]["cost"]) == cents(plan["buying"]["lower_bound"]) == best


@settings(max_examples=25, derandomize=True, deadline=None)
@given(seed=st.integers(10_000, 10**6), fees=st.booleans(), minimum=st.booleans())
def test_any_small_term_is_bought_by_the_rules(seed: int, fees: bool, minimum: bool) -> None:
    """In time, in good date, in multiples and from minimums on, every balance exact; the bound is one, and without
    minimum orders nothing costs more than each session on its own."""
    with tempfile.TemporaryDirectory() as folder:
        path = write(Path(folder) / "small.xlsx", small_sheets(seed, fees=fees, minimum=minimum))
        plan, reference = plan_and_reference(path)
    assert differences(plan, reference) == []
    cost, alone = cents(plan["buying"]["cost"]), cents(plan["buying"]["session_by_session_cost"])
    assert cents(plan["buying"]["lower_bound"]) <= cost
    if not minimum:
        assert cost <= alone


def test_plan_costs_no_more_than_each_session_on_its_own(tmp_path: Path) -> None:
    plan, _ = plan_and_reference(write(tmp_path / "small.xlsx", small_sheets(89, fees=True)))
    assert cents(plan["buying"]["cost"]) <= cents(plan["buying"]["session_by_session_cost"])


@pytest.mark.parametrize("seed", [47, 52, 82])
def test_no_order_below_minimum_where_an_earlier_one_could_carry_it(seed: int, tmp_path: Path) -> None:
    plan, reference = plan_and_reference(write(tmp_path / "small.xlsx", small_sheets(seed, fees=False, minimum=True)))
    assert least_cost(reference, minimum=True) is not None
    assert not [o for o in plan["orders"] if o["below_minimum"]]


def test_no_substitute_conflicts_with_the_needs_of_its_kit(tmp_path: Path) -> None:
    bad = []
    for seed in range(100, 106):
        plan, reference = plan_and_reference(write(tmp_path / "random.xlsx", random_sheets(seed)))
        for v in (v for s in plan["sessions"] for v in s["variants"]):
            needs = [key(n) for n in v["needs"]]
            given = [w for w in v["swaps"] if w["instead"] != "leave out"]
            bad += [(needs, w) for w in given if reference.conflict(key(w["instead"]), needs)]
    assert bad == []


def test_price_of_an_urgent_order_holds_on_its_order_by_day(tmp_path: Path) -> None:
    plan, reference = plan_and_reference(write(tmp_path / "random.xlsx", random_sheets(47)))
    starts = {key(r["item"]): r["from"].date() for r in reference.t["Packs"] if r["from"]}
    by = {o["order"]: dt.date.fromisoformat(o["order_by"]) for o in plan["orders"]}
    assert not [p for p in plan["purchases"] if by[p["order"]] < starts.get(key(p["item"]), dt.date.min)]


def test_equal_changes_have_no_interval(tmp_path: Path) -> None:
    """Changes without any spread: no interval or t, but the change itself."""
    sheets = random_sheets(100)
    sheets["Questions"] = [("Question", "Text", "Kind", "Lowest", "Highest"), ("Q1", "How?", "scale", 1, 5)]
    people = [row[0] for row in sheets["Enrolment"][1:4]]
    answers = [(who, when, value) for who in people for when, value in (("before", 2), ("after", 3))]
    sheets["Surveys"] = [("Participant", "When", "Q1"), *answers]
    plan, _ = plan_and_reference(write(tmp_path / "equal.xlsx", sheets))
    outcome = plan["outcomes"][0]
    assert (outcome["change"], outcome["low"], outcome["high"]) == (1, None, None)


@pytest.mark.parametrize("seen", ["n/a", "?"])
def test_unanswered_need_is_quoted_as_it_stands(seen: str, tmp_path: Path) -> None:
    sheets = random_sheets(100)
    first = list(sheets["Enrolment"][1])
    first[4] = seen
    sheets["Enrolment"] = [sheets["Enrolment"][0], tuple(first), *sheets["Enrolment"][2:]]
    found = [f for f in check(write(tmp_path / "na.xlsx", sheets), ASKED) if str(f.place) == "Enrolment!E2"]
    assert any(seen in f.message for f in found)
