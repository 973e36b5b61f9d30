"""The whole job on one screen: a workbook in, one folder of documents out."""

import datetime as dt
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from pathlib import Path

from opsreport.beside import Beside, Later
from opsreport.checking.check import check_rows
from opsreport.earlier import read_earlier
from opsreport.findings import Finding, gathered, stopped
from opsreport.joining import build_programme
from opsreport.look_back import Since, earlier_run
from opsreport.partial import Part, food_part, people_part, together
from opsreport.plan.buying.effort import USUAL, Effort
from opsreport.plan.explaining.changes import changes
from opsreport.plan.explaining.notices import change_notices
from opsreport.plan.food_plan import plan_kits, plan_orders, unsafe_kits
from opsreport.plan.model import Changes, FoodPlan, Plan
from opsreport.plan.people_model import PeoplePlan
from opsreport.plan.people_plan import beside_earlier, uncharged_people, with_food_costs
from opsreport.programme import Programme
from opsreport.reading.read import read_rows
from opsreport.reading.workbook import open_workbook
from opsreport.rules import FOOD, PEOPLE, Severity
from opsreport.sheets import Rows
from opsreport.tables.documents import calendar_of, food_documents_of, with_start_page
from opsreport.tables.packing import kit_documents
from opsreport.tables.table import Document, Paper
from opsreport.write.files import Begun, begin_writing, files_of, prepare_to_write
from opsreport.write.folder import put_file, put_in_place, refuse_foreign
from opsreport.write.marked_copy import marked_copy, marked_name, marked_or_nothing, marked_path
from opsreport.write.rendered import Rendered


def tell_nobody(_step: str) -> None:
    """What is told of a step where nobody listens."""


@dataclass(frozen=True, slots=True)
class Asked:
    """What the command line asks of a run. as_of: the planning date, which wins over Settings; today: the
    planning date where nobody gives one; helpers: processes beside this one (the bytes are the same);
    partial: whether to leave out what is faulty and write the rest; effort: how long cheaper orders are looked for;
    since: the earlier run to compare with."""

    today: dt.date
    as_of: dt.date | None = None
    helpers: int = 0
    partial: bool = False
    earlier: tuple[Path, ...] = ()
    """plan.json files of earlier runs, to be put beside this one."""
    effort: Effort = USUAL
    since: Since = field(default_factory=Since)
    tell: Callable[[str], None] = tell_nobody
    """Hears what the run is at, in words."""
    changed: bool = False
    """Whether documents that are as in the folder that stands there are taken over from it, not rendered again."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """What a run found and wrote. folder: where; kept: where an earlier folder of that name is now."""

    findings: tuple[Finding, ...]
    plan: Plan
    folder: Path
    kept: Path | None
    files: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Made:
    """What a run found and made, not yet written. files: content by name, relative to `folder`."""

    findings: tuple[Finding, ...]
    programme: Programme
    plan: Plan
    folder: Path
    files: dict[str, bytes]


def read_and_check(source: Path, asked: Asked) -> tuple[Rows, dt.date, list[Finding]]:
    """The workbook's good rows, the planning date, and everything wrong with the rest."""
    rows, unread = read_rows(open_workbook(source))
    as_of = asked.as_of or rows.settings.as_of or asked.today
    return rows, as_of, [*unread, *check_rows(rows, as_of)]


def make_kits(programme: Programme, findings: Sequence[Finding]) -> tuple[FoodPlan | None, list[Finding]]:
    """Who gets what, and whom a kit would harm; no kits where an error stops them.

    Whom a kit would harm is said all the same, unless a fault in Swaps or in the food's own row may be why.
    """
    if not stopped(findings) & FOOD:
        return plan_kits(programme)
    if any(finding.place.sheet == "Swaps" and finding.stops for finding in findings):
        return None, []
    unread = programme.foods.unread
    return None, [each for each in unsafe_kits(programme) if each.details.get("ingredient", each.seen) not in unread]


def make_food_plan(
    programme: Programme, kits: FoodPlan | None, unsafe: Sequence[Finding], effort: Effort = USUAL
) -> tuple[FoodPlan | None, list[Finding]]:  # fmt: skip
    """Orders for the kits, with all that planning found; no plan where an error stops it."""
    if kits is None:
        return None, list(unsafe)
    food, told = plan_orders(programme, kits, effort)
    told = [*unsafe, *told]
    return (None if stopped(told) & FOOD else food), told


def begin_people_plan(programme: Programme, findings: Sequence[Finding], beside: Beside) -> Later[PeoplePlan] | None:
    """Attendance, outcomes and funders, worked out beside while food is planned; None where an error stops them."""
    return None if stopped(findings) & PEOPLE else beside.start(uncharged_people, programme)


def finish_people_plan(
    programme: Programme, people: Later[PeoplePlan] | None, food: FoodPlan | None
) -> PeoplePlan | None:
    """The same with each funder's food cost, which waits for the orders."""
    return None if people is None else with_food_costs(programme, people.result(), food)


def parts_of(
    source: Path, rows: Rows, findings: Sequence[Finding], programme: Programme, asked: Asked
) -> tuple[Part, Part]:  # fmt: skip
    """What orders and packing, and what reports are built from: all of it, or what is left without the faults."""
    if not asked.partial:
        whole = Part(programme, tuple(findings))
        return whole, whole
    workbook = open_workbook(source)
    return food_part(workbook, rows, findings, programme), people_part(workbook, rows, findings, programme)


def begin_kit_documents(
    part: Part, kits: FoodPlan | None, unsafe: Sequence[Finding], paper: Paper, beside: Beside, rendered: Rendered
) -> tuple[list[Document], list[Begun]]:
    """The documents that rest on the kits alone, being written beside while orders are planned.

    None where a kit would harm someone; not yet where something is left out, since every document then says what.
    """
    if kits is None or stopped(unsafe) & FOOD:
        return [], []
    documents = kit_documents(part.programme, kits)
    return documents, [] if part.left_out else begin_writing(documents, paper, beside, rendered)


def begin_marked_copy(source: Path, findings: Sequence[Finding], beside: Beside) -> Later[bytes | None] | None:
    """The workbook with its findings at the cells, made beside; None where no cell holds an error."""
    faulty = any(finding.place.cell and finding.severity is Severity.ERROR for finding in findings)
    return beside.start(marked_or_nothing, source, tuple(findings)) if faulty else None


def marked_file(source: Path, copy: Later[bytes | None] | None) -> dict[str, bytes]:
    """The marked copy by its name in the folder, if there is one."""
    content = copy.result() if copy else None
    return {} if content is None else {marked_name(source.stem): content}


def look_back(source: Path, folder: Path, programme: Programme, food: FoodPlan | None, since: Since) -> Changes | None:
    """What changed since the earlier run asked for, or the newest one in the same place; None without one."""
    if food is None:
        return None
    plan = Plan(programme.as_of, programme.currency.code, food, None)
    stem = source.stem if folder.parent == source.parent else ""
    earlier = earlier_run(since, folder, stem, plan, frozenset(programme.sessions))
    return None if earlier is None else changes(programme, food, earlier)


def check(source: Path, asked: Asked) -> tuple[Finding, ...]:
    """The findings alone, those that planning adds included.

    Raises:
        Unusable: the file is no workbook that can be read.
    """
    rows, as_of, findings = read_and_check(source, asked)
    programme = build_programme(rows, as_of)
    _, told = make_food_plan(programme, *make_kits(programme, findings))
    return tuple(gathered([*findings, *told]))


def mark(source: Path, findings: Sequence[Finding]) -> Path:
    """Write a marked copy of the workbook beside it, under a name that is free.

    Raises:
        Unusable: the file is no workbook that can be read.
        Unwritable: it is too large, or the disk refuses.
    """
    content = marked_copy(open_workbook(source), findings)
    path = marked_path(source)
    put_file(content, path)
    return path


def build(source: Path, target: Path | None, asked: Asked) -> Outcome:
    """Read, check, plan, lay out, write: read → check → demand → netting → buying → packing → people → write.

    Args:
        source: the workbook; never changed.
        target: the folder to write; None: beside the workbook, named after it and the planning date.
    Raises:
        Unusable: the file is no workbook that can be read, or an earlier run's is no plan.json.
        Unwritable: the folder cannot be written; what stood there stands unchanged.
    """
    if target is not None:
        refuse_foreign(target, [source])
    made = make(source, target, asked)
    kept = put_in_place(made.files, made.folder)
    return Outcome(made.findings, made.plan, made.folder, kept, tuple(made.files))


def make(source: Path, target: Path | None, asked: Asked) -> Made:
    """All that `build` writes, before anything is written; arguments and errors as there."""
    earlier = tuple(read_earlier(path) for path in asked.earlier)
    with Beside(asked.helpers, prepare_to_write) as beside:
        asked.tell("Reading and checking the workbook")
        rows, as_of, findings = read_and_check(source, asked)
        programme = build_programme(rows, as_of)
        for_food, for_people = parts_of(source, rows, findings, programme, asked)
        paper = Paper(programme.settings.paper, programme.currency, as_of)
        people = begin_people_plan(for_people.programme, for_people.stopping, beside)
        kits, unsafe = make_kits(for_food.programme, for_food.stopping)
        folder = target or source.with_name(f"{source.stem}-{as_of.isoformat()}")
        rendered = Rendered(folder if asked.changed else None)
        of_kits, begun = begin_kit_documents(for_food, kits, unsafe, paper, beside, rendered)
        asked.tell("Planning the orders")
        food, told = make_food_plan(for_food.programme, kits, unsafe, asked.effort)
        since = look_back(source, folder, for_food.programme, food, asked.since)
        told += change_notices(for_food.programme, since) if since else []
        findings = gathered([*findings, *for_food.told, *told])
        copy = begin_marked_copy(source, findings, beside)
        food_documents = food_documents_of(for_food.programme, food, since, of_kits)
        whole = None if for_food.left_out else food  # a part of the food is no figure for a funder
        reports = beside_earlier(finish_people_plan(for_people.programme, people, whole), earlier)
        left_out = together(*([for_food] if food else []), *([for_people] if reports else []))
        plan = Plan(as_of, programme.currency.code, food, reports, left_out, since)
        marked = marked_file(source, copy)
        asked.tell("Writing the documents")
        documents = with_start_page(programme, plan, findings, food_documents, "".join(marked))
        entries = calendar_of(programme, plan)
        files = files_of(plan, findings, documents, entries, paper, beside, begun, rendered) | marked
    return Made(tuple(findings), programme, plan, folder, files)
