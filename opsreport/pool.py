"""Several workbooks that order together: one order a supplier and delivery day for all, split by place."""

import datetime as dt
import pickle
import shutil
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final

from opsreport.beside import Beside
from opsreport.earlier import runs_in
from opsreport.findings import Finding, gathered, stopped
from opsreport.joining import build_programme
from opsreport.look_back import Since
from opsreport.many import (
    TOGETHER,
    NothingUsed,
    Several,
    folder_names,
    missing_of,
    named_apart,
    pages_of_all,
    refuse_twice,
    side_by_side,
    since_of,
    tell,
)
from opsreport.many import told_dead as dead
from opsreport.many import told_trouble as trouble_told
from opsreport.money import Currency
from opsreport.plan.buying.additions import additions, forwards, numbered_apart
from opsreport.plan.buying.costs import share_costs
from opsreport.plan.buying.effort import Effort
from opsreport.plan.buying.netting import Netted, net
from opsreport.plan.buying.orders import buy
from opsreport.plan.buying.pooling import (
    Place,
    PlacePart,
    Sharing,
    join,
    parts_of,
    place_of,
    shortages_of_all,
    split_by_place,
    with_part,
)
from opsreport.plan.explaining.budget import budget
from opsreport.plan.explaining.notices import change_notices, notices, order_notices
from opsreport.plan.food_plan import explained_part, plan_orders
from opsreport.plan.model import FoodPlan, Plan, PlannedSession
from opsreport.plan.needs.sealed import with_sealed_units
from opsreport.plan.people_plan import uncharged_people, with_food_costs
from opsreport.programme import Programme
from opsreport.rules import FOOD, PEOPLE
from opsreport.run import Asked, begin_marked_copy, look_back, make_kits, marked_file, read_and_check, tell_nobody
from opsreport.shown import day_words
from opsreport.tables.documents import calendar_of, food_documents_of, with_start_page
from opsreport.tables.orders.by_place import by_place
from opsreport.tables.orders.changes import changes
from opsreport.tables.orders.costs import costs
from opsreport.tables.orders.needs import needs
from opsreport.tables.orders.order_calendar import order_calendar
from opsreport.tables.orders.packs import where_packs_go
from opsreport.tables.orders.purchase_orders import purchase_orders
from opsreport.tables.orders.shopping import shopping_list
from opsreport.tables.several import Told
from opsreport.tables.table import Document, Paper
from opsreport.write.files import files_of
from opsreport.write.folder import put_filled, refuse_foreign, write_anew, write_files

_SET_ASIDE: Final = ".set-aside"
"""The folder, within the one that is being written, that workbooks already read wait in; no workbook's folder has such
a name."""


@dataclass(frozen=True, slots=True)
class Ready:
    """A workbook read and planned up to what is still open; all but this of it is set aside.

    takes_part: whether its errors leave orders alone.
    """

    source: Path
    name: str
    currency: Currency
    as_of: dt.date
    takes_part: bool


@dataclass(frozen=True, slots=True)
class _Ending:
    """What is still to be done for a workbook. aside: where it was set aside. folder: to write; stands: where that will
    stand. since: what it is compared with. part: what it gets of the orders of all. apart: why it orders by itself,
    where it does."""

    ready: Ready
    aside: Path
    folder: Path
    stands: Path
    since: Since
    effort: Effort
    part: PlacePart | None = None
    apart: str = ""


@dataclass(frozen=True, slots=True)
class _SetAside:
    """What only the workbook's own documents need, kept on the disk meanwhile: memory holds few workbooks at a time.

    planned: its kits, and what its stock and open orders cover; None where its errors stop orders.
    """

    programme: Programme
    findings: tuple[Finding, ...]
    planned: tuple[FoodPlan, Netted] | None


def build_pooled(sources: Sequence[Path], target: Path, asked: Asked, jobs: int = 1) -> Several:
    """Build every workbook into a folder of its own, and the orders of all into `together`.

    Kits, stock, packing and reports are each workbook's own. One whose errors stop its orders takes no part in those
    of all; one of another currency or planning date than most orders by itself; one that cannot be used stops no other.

    Raises:
        Unusable: one workbook is named twice.
        Unwritable: the folder cannot be written; what stood there stands unchanged.
    """
    refuse_twice(sources)
    asked = replace(asked, helpers=0, tell=tell_nobody)
    told: list[Told] = []
    together: list[Told] = []

    def fill(part: Path) -> None:
        aside = part / _SET_ASIDE
        aside.mkdir(0o700)  # what is read back from it must be ours
        pieces = [
            (source, name, asked, aside / name) for source, name in zip(sources, folder_names(sources), strict=True)
        ]
        begun: list[Ready | Told] = []
        places: list[Place] = []
        sharing = Sharing()
        for each, place in side_by_side(_ready, pieces, jobs, lambda piece: (dead(piece[0]), None)):
            begun.append(each)
            places += [sharing.shared(place)] if place else []
        ready = [each for each in begun if isinstance(each, Ready)]
        if not ready:
            told.extend(named_apart([each for each in begun if isinstance(each, Told)], sources))
            raise NothingUsed
        apart = _apart(ready)
        places = [place for place in places if place.name not in apart]
        parts: list[PlacePart] = []
        if places:
            parts, of_all = _together(places, part / TOGETHER, target / TOGETHER, aside, asked)
            together.append(of_all)
        own = iter(parts)
        ending = [
            _Ending(
                each, aside / each.name, part / each.name, target / each.name, since_of(each.name, asked.since),
                asked.effort,
                next(own) if each.takes_part and each.name not in apart else None, apart.get(each.name, ""),
            )
            for each in ready
        ]  # fmt: skip
        done = iter(side_by_side(_finish, ending, jobs, lambda end: dead(end.ready.source)))
        told.extend(named_apart([next(done) if isinstance(each, Ready) else each for each in begun], sources))
        shutil.rmtree(aside)
        write_files(pages_of_all(told, together[0] if together else None), part)

    refuse_foreign(target, sources)
    earlier = runs_in(target)
    try:
        kept = put_filled(fill, target)
    except NothingUsed:
        return Several(tuple(told), None, None)
    return Several(tuple(told), target, kept, together[0] if together else None, missing_of(earlier, sources))


def _ready(piece: tuple[Path, str, Asked, Path]) -> tuple[Ready | Told, Place | None]:
    """One workbook up to what is still open after its own stock and open orders, if it takes part in the orders of all;
    the rest is set aside.

    Raises:
        OSError: the disk refuses, which stops all.
    """
    source, name, asked, aside = piece
    place: Place | None = None
    planned: tuple[FoodPlan, Netted] | None = None
    try:
        rows, as_of, findings = read_and_check(source, asked)
        programme = build_programme(rows, as_of)
        kits, unsafe = make_kits(programme, findings)
        findings = [*findings, *unsafe]
        if kits is not None and not stopped(findings) & FOOD:
            buying = with_sealed_units(programme, kits.sessions)
            planned = kits, net(buying, kits.needs)
            place = place_of(name, buying, *planned)
    except Exception as trouble:
        return trouble_told(source, trouble), None
    with aside.open("wb") as file:
        pickle.dump(_SetAside(programme, tuple(findings), planned), file, pickle.HIGHEST_PROTOCOL)
    return Ready(source, name, programme.currency, as_of, place is not None), place


def _taken_up(aside: Path) -> _SetAside:
    """What `_ready` of this run set aside."""
    with aside.open("rb") as file:
        found: _SetAside = pickle.load(file)
    return found


def _apart(ready: Sequence[Ready]) -> dict[str, str]:
    """By name, why workbooks order by themselves: they count in another currency than most, or are planned as of
    another day (than the first, of equally many)."""
    terms = Counter((each.currency.code, each.as_of) for each in ready if each.takes_part)
    if not terms:
        return {}
    (code, day), _ = terms.most_common(1)[0]
    why = {}
    for each in ready:
        differing = []
        if each.currency.code != code:
            differing.append(f"its money is {each.currency.code}, theirs {code}")
        if each.as_of != day:
            differing.append(f"it is planned as of {day_words(each.as_of)}, they are as of {day_words(day)}")
        if each.takes_part and differing:
            why[each.name] = "; ".join(differing)
    return why


def _together(
    places: list[Place], folder: Path, stands: Path, aside: Path, asked: Asked
) -> tuple[list[PlacePart], Told]:  # fmt: skip
    """The orders of all, bought for as one programme and written into a folder of their own; and each place's part.

    places: empty at the end, as what is joined need not be kept apart. stands: where the folder will stand. aside:
    where what was read waits.
    """
    titles = list(dict.fromkeys(place.programme.settings.programme for place in places))
    title = titles[0] if len(titles) == 1 and titles[0] else f"{len(places)} kitchens together"
    joined, names = join(places, title), [place.name for place in places]
    places.clear()
    programme = joined.programme
    beside_placed = replace(programme, on_order=joined.on_order)
    placed = [row.order for row in joined.on_order]
    bought = numbered_apart(placed, buy(programme, joined.still_open, asked.effort))

    def kits_of(place: str) -> tuple[PlannedSession, ...]:
        planned = _taken_up(aside / place).planned
        return planned[0].sessions if planned else ()

    whole = FoodPlan(
        sessions=joined.sessions, needs=joined.needs, stock_use=joined.stock_use, purchases=bought.purchases,
        orders=bought.orders,
        shortages=shortages_of_all(joined, bought.uncovered, kits_of), shopping=bought.shopping, buying=bought.buying,
        costs=share_costs(programme, bought.purchases, bought.orders),
        additions=additions(beside_placed, bought.orders), pooled="all",
    )  # fmt: skip
    whole = replace(whole, budget=budget(programme, whole), forwards=forwards(programme, whole))
    lines, shares = split_by_place(programme, names, whole.purchases, whole.orders)
    since = look_back(Path(TOGETHER), stands, beside_placed, whole, since_of(TOGETHER, asked.since))
    told = change_notices(programme, since) if since else []
    findings = gathered([*joined.findings, *order_notices(programme, whole), *told])
    documents: list[Document] = [
        *purchase_orders(programme, whole), by_place(programme, whole, lines, shares), changes(programme, whole, since),
        order_calendar(programme, whole), needs(programme, whole), where_packs_go(programme, whole),
        shopping_list(programme, whole), costs(programme, whole),
    ]  # fmt: skip
    plan = Plan(programme.as_of, programme.currency.code, whole, None, changes=since)
    files = _files(programme, plan, findings, with_start_page(programme, plan, findings, documents))
    write_anew(files, folder)
    of_all = tell(Path("Orders for all"), TOGETHER, programme, plan, findings, len(files))
    return parts_of(names, joined.names, whole, shares), of_all


def _finish(end: _Ending) -> Told:
    """One workbook's own documents, with its part of the orders of all, or with orders of its own.

    Raises:
        OSError: the disk refuses, which stops all.
    """
    source, name = end.ready.source, end.ready.name
    read = _taken_up(end.aside)
    programme, findings = read.programme, list(read.findings)
    food: FoodPlan | None = None
    try:
        if read.planned and end.apart:
            food, noticed = plan_orders(programme, read.planned[0], end.effort)
            findings += noticed
        elif read.planned and end.part:
            food = explained_part(programme, with_part(programme, *read.planned, end.part))
            findings += notices(programme, food)
        since = look_back(source, end.stands, programme, food, end.since)
        findings += change_notices(programme, since) if since else []
        food_documents = food_documents_of(programme, food, since)
        findings = gathered(findings)
        people = None if stopped(findings) & PEOPLE else with_food_costs(programme, uncharged_people(programme), food)
        plan = Plan(programme.as_of, programme.currency.code, food, people, changes=since)
        with Beside(0, lambda: None) as nobody:
            marked = marked_file(source, begin_marked_copy(source, findings, nobody))
        documents = with_start_page(programme, plan, findings, food_documents, "".join(marked))
        files = _files(programme, plan, findings, documents) | marked
    except Exception as trouble:
        return trouble_told(source, trouble)
    write_anew(files, end.folder)
    return replace(tell(source, name, programme, plan, findings, len(files)), apart=end.apart)


def _files(
    programme: Programme, plan: Plan, findings: Sequence[Finding], documents: Sequence[Document]
) -> dict[str, bytes]:
    paper = Paper(programme.settings.paper, programme.currency, programme.as_of)
    with Beside(0, lambda: None) as nobody:
        return files_of(plan, findings, documents, calendar_of(programme, plan), paper, nobody)
