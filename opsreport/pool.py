"""Several workbooks that order together: one order a supplier and delivery day for all, split by place."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from opsreport.beside import Beside
from opsreport.findings import Finding, gathered, stopped
from opsreport.joining import build_programme
from opsreport.many import NothingUsed, Several, folder_names, pages_of_all, refuse_twice, side_by_side, tell
from opsreport.many import told_dead as dead
from opsreport.many import told_trouble as trouble_told
from opsreport.money import Money
from opsreport.plan.buying.costs import share_costs
from opsreport.plan.buying.netting import net
from opsreport.plan.buying.orders import buy
from opsreport.plan.buying.pooling import Joined, Place, join, parts_of, split_by_place
from opsreport.plan.explaining.notices import notices
from opsreport.plan.model import FoodPlan, Plan
from opsreport.plan.people_plan import uncharged_people, with_food_costs
from opsreport.programme import Programme
from opsreport.reading.workbook import Unusable
from opsreport.rules import FOOD, PEOPLE
from opsreport.run import Asked, make_kits, read_and_check, tell_nobody
from opsreport.tables.documents import calendar_of, with_start_page
from opsreport.tables.orders.by_place import by_place
from opsreport.tables.orders.costs import costs
from opsreport.tables.orders.needs import needs
from opsreport.tables.orders.order_calendar import order_calendar
from opsreport.tables.orders.packs import where_packs_go
from opsreport.tables.orders.purchase_orders import purchase_orders
from opsreport.tables.orders.shopping import shopping_list
from opsreport.tables.orders.stock import stock
from opsreport.tables.packing import packing_documents
from opsreport.tables.several import Told
from opsreport.tables.table import Document, Paper
from opsreport.write.files import files_of
from opsreport.write.folder import put_filled, write_files

TOGETHER = "together"


@dataclass(frozen=True, slots=True)
class Ready:
    """A workbook read and planned up to what is still open. place: None where its errors stop orders."""

    source: Path
    name: str
    programme: Programme
    findings: tuple[Finding, ...]
    place: Place | None


def build_pooled(sources: Sequence[Path], target: Path, asked: Asked, jobs: int = 1) -> Several:
    """Build every workbook into a folder of its own, and the orders of all into `together`.

    Kits, stock, packing and reports are each workbook's own. One whose errors stop its orders takes no part in those
    of all; one that cannot be used stops no other.

    Raises:
        Unusable: one workbook is named twice, or they differ in currency or planning date.
        Unwritable: the folder cannot be written; what stood there stands unchanged.
    """
    refuse_twice(sources)
    asked = replace(asked, helpers=0, tell=tell_nobody)
    told: list[Told] = []
    together: list[Told] = []

    def fill(part: Path) -> None:
        pieces = [(source, name, asked) for source, name in zip(sources, folder_names(sources), strict=True)]
        begun = list(side_by_side(_ready, pieces, jobs, lambda piece: dead(piece[0])))
        ready = [each for each in begun if isinstance(each, Ready)]
        if not ready:
            told.extend(each for each in begun if isinstance(each, Told))
            raise NothingUsed
        places = [each.place for each in ready if each.place is not None]
        joined, whole = None, FoodPlan()
        if places:
            joined, whole, of_all = _together(places, ready, asked, part / TOGETHER)
            together.append(of_all)
        own = iter(parts_of(places, joined.names, whole) if joined else ())
        ending = [(each, next(own) if each.place else None, part / each.name) for each in ready]
        done = iter(side_by_side(_finish, ending, jobs, lambda end: dead(end[0].source)))
        told.extend(next(done) if isinstance(each, Ready) else each for each in begun)
        write_files(pages_of_all(told, ready[0].programme.as_of, together[0] if together else None), part)

    try:
        kept = put_filled(fill, target)
    except NothingUsed:
        return Several(tuple(told), None, None)
    return Several(tuple(told), target, kept, together[0] if together else None)


def _ready(piece: tuple[Path, str, Asked]) -> Ready | Told:
    """One workbook up to what is still open after its own stock and open orders."""
    source, name, asked = piece
    try:
        rows, as_of, findings = read_and_check(source, asked)
        programme = build_programme(rows, as_of)
        kits, unsafe = make_kits(programme, findings)
        findings = [*findings, *unsafe]
        if kits is None or stopped(findings) & FOOD:
            return Ready(source, name, programme, tuple(findings), None)
        place = Place(name, programme, kits, net(programme, kits.needs))
    except Exception as trouble:
        return trouble_told(source, trouble)
    return Ready(source, name, programme, tuple(findings), place)


def _together(
    places: Sequence[Place], ready: Sequence[Ready], asked: Asked, folder: Path
) -> tuple[Joined, FoodPlan, Told]:  # fmt: skip
    """The orders of all, bought for as one programme and written into a folder of their own."""
    _refuse_unlike([each.programme for each in ready])
    titles = list(dict.fromkeys(place.programme.settings.programme for place in places))
    title = titles[0] if len(titles) == 1 and titles[0] else f"{len(places)} workbooks together"
    joined = join(places, title)
    programme = joined.programme
    bought = buy(programme, joined.sessions, joined.still_open, asked.effort)
    whole = FoodPlan(
        sessions=joined.sessions, needs=joined.needs, purchases=bought.purchases, orders=bought.orders,
        shortages=bought.shortages, shopping=bought.shopping, buying=bought.buying,
        costs=share_costs(programme, bought.purchases, bought.orders),
    )  # fmt: skip
    lines, shares = split_by_place(programme, [place.name for place in places], whole.purchases, whole.orders)
    findings = gathered(joined.findings)
    documents: list[Document] = [
        *purchase_orders(programme, whole), by_place(programme, whole, lines, shares),
        order_calendar(programme, whole), needs(programme, whole), where_packs_go(programme, whole),
        shopping_list(programme, whole), costs(programme, whole),
    ]  # fmt: skip
    plan = Plan(programme.as_of, programme.currency.code, whole, None)
    files = _files(programme, plan, findings, with_start_page(programme, plan, findings, documents))
    folder.mkdir()
    write_files(files, folder)
    return joined, whole, tell(Path("Orders for all"), TOGETHER, programme, plan, findings, len(files))


def _refuse_unlike(programmes: Sequence[Programme]) -> None:
    if len({programme.currency for programme in programmes}) > 1:
        raise Unusable("The workbooks count in different currencies; orders together need one.")
    if len(days := {programme.as_of for programme in programmes}) > 1:
        raise Unusable(f"The workbooks are planned as of different days ({_listed(days)}); say one with --as-of.")


def _listed(days: set[dt.date]) -> str:
    return ", ".join(day.isoformat() for day in sorted(days))


def _finish(end: tuple[Ready, FoodPlan | None, Path]) -> Told:
    """One workbook's own documents, with its part of the orders of all.

    Raises:
        OSError: the disk refuses, which stops all.
    """
    ready, food, folder = end
    programme, findings = ready.programme, list(ready.findings)
    try:
        food_documents: list[Document] = []
        if food is not None:
            findings += notices(programme, food)
            food_documents = [needs(programme, food), stock(programme, food), shopping_list(programme, food)]
            food_documents += packing_documents(programme, food)
        findings = gathered(findings)
        people = None if stopped(findings) & PEOPLE else with_food_costs(programme, uncharged_people(programme), food)
        plan = Plan(programme.as_of, programme.currency.code, food, people)
        documents = with_start_page(programme, plan, findings, food_documents)
        files = _files(programme, plan, findings, documents)
    except Exception as trouble:
        return trouble_told(ready.source, trouble)
    folder.mkdir()
    write_files(files, folder)
    told = tell(ready.source, ready.name, programme, plan, findings, len(files))
    cost = None if food is None else Money(sum(food.costs.sessions.values()))
    return replace(told, cost=cost)


def _files(
    programme: Programme, plan: Plan, findings: Sequence[Finding], documents: Sequence[Document]
) -> dict[str, bytes]:
    paper = Paper(programme.settings.paper, programme.currency, programme.as_of)
    with Beside(0, lambda: None) as nobody:
        return files_of(plan, findings, documents, calendar_of(programme, plan), paper, nobody)
