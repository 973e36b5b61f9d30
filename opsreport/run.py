"""The whole job on one screen: a workbook in, one folder of documents out."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

from opsreport.check import check_rows
from opsreport.findings import Finding, in_order, stopped
from opsreport.plan.food_plan import plan_food
from opsreport.plan.kits import delivered_kits
from opsreport.plan.model import FoodPlan, PeoplePlan, Plan
from opsreport.plan.people_plan import plan_people
from opsreport.programme import Programme, build_programme
from opsreport.read import read_rows
from opsreport.rules import FOOD, PEOPLE
from opsreport.sheets import Rows
from opsreport.tables.documents import documents_of
from opsreport.workbook import open_workbook
from opsreport.write.files import files_of
from opsreport.write.folder import put_in_place


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks of a run. as_of: the planning date, which wins over Settings; today: the
    planning date where nobody gives one."""

    today: dt.date
    as_of: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run found and wrote. folder: where; kept: where an earlier folder of that name is now."""

    findings: tuple[Finding, ...]
    plan: Plan
    folder: Path
    kept: Path | None = None
    files: tuple[str, ...] = field(default=())


def read_and_check(source: Path, asked: Asked) -> tuple[Rows, dt.date, list[Finding]]:
    """The workbook's good rows, the planning date, and everything wrong with the rest."""
    rows, unread = read_rows(open_workbook(source))
    as_of = asked.as_of or rows.settings.as_of or asked.today
    return rows, as_of, [*unread, *check_rows(rows, as_of)]


def make_plan(programme: Programme, findings: Sequence[Finding]) -> tuple[Plan, list[Finding]]:
    """Every figure of the families that no error stops, with what the planning itself found."""
    food: FoodPlan | None = None
    people: PeoplePlan | None = None
    told: list[Finding] = []
    if not stopped(findings) & FOOD:
        food, told = plan_food(programme)
        if stopped(told) & FOOD:
            food = None
    if not stopped(findings) & PEOPLE:
        spent = None if food is None else food.costs.sessions
        people = plan_people(programme, lambda session: delivered_kits(programme, session), spent)
    return Plan(programme.as_of, programme.currency.code, food, people), told


def check(source: Path, asked: Asked) -> tuple[Finding, ...]:
    """The findings alone, those that planning adds included.

    Raises:
        Unusable: the file is no workbook that can be read.
    """
    rows, as_of, findings = read_and_check(source, asked)
    _, told = make_plan(build_programme(rows, as_of), findings)
    return tuple(in_order([*findings, *told]))


def build(source: Path, target: Path | None, asked: Asked) -> Outcome:
    """Read, check, plan, lay out, write: read → check → demand → netting → buying → packing → people → write.

    Args:
        source: the workbook; never changed.
        target: the folder to write; None: beside the workbook, named after it and the planning date.
    Raises:
        Unusable: the file is no workbook that can be read.
        Unwritable: the folder cannot be written; what stood there stands unchanged.
    """
    rows, as_of, findings = read_and_check(source, asked)
    programme = build_programme(rows, as_of)
    plan, told = make_plan(programme, findings)
    findings = in_order([*findings, *told])
    documents = documents_of(programme, plan, findings)
    files = files_of(programme, plan, findings, documents)
    folder = target or source.with_name(f"{source.stem}-{as_of.isoformat()}")
    kept = put_in_place(files, folder)
    return Outcome(tuple(findings), plan, folder, kept, tuple(files))
