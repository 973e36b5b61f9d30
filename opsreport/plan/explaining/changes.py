"""What changed since an earlier run: unsafe kits first, then kits, needs, orders, prices and cost."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Literal

from opsreport.findings import NOWHERE
from opsreport.foods import Need
from opsreport.money import Money
from opsreport.plan.explaining.earlier import EarlierLine, EarlierPlan, LineKey
from opsreport.plan.model import (
    Changes,
    FoodPlan,
    KitChange,
    NeedChange,
    OrderChange,
    PackedSession,
    PlannedSession,
    PriceMove,
    PulledKit,
    Purchase,
)
from opsreport.plan.needs.kits import LEAVE_OUT, members_on, replacement_for
from opsreport.programme import Member, Programme

WORTH_A_WORD = Fraction(1, 10)
"""A price that moved by more than this share of what it was is said."""


def changes(programme: Programme, plan: FoodPlan, earlier: EarlierPlan) -> Changes:
    """This plan beside the earlier one; sums of money only where both count in one currency.

    Where workbooks order together, orders and their prices are beside the earlier ones of all, kits beside each
    workbook's own.
    """
    same_money = programme.currency.code == earlier.currency
    own, to_order = plan.pooled != "all", plan.pooled != "part"
    promised = earlier.promised if own and same_money else None
    budget = plan.budget
    packed = tuple(_packed(programme, earlier)) if own else ()
    return Changes(
        since=earlier.as_of,
        packed=packed,
        pull=tuple(_kits_to_pull(programme, packed)),
        kits=tuple(_kits(programme, plan, earlier)) if own else (),
        needs=tuple(_needs(programme, plan, earlier)),
        orders=tuple(_orders(programme, plan, earlier)) if to_order else (),
        prices=tuple(_prices(programme, plan, earlier)) if to_order and same_money else (),
        cost_before=earlier.total if same_money else None,
        cost_now=Money(sum(order.total for order in plan.paid)) if same_money else None,
        all_before=None if promised is None else Money(promised + earlier.total),
        all_now=None if promised is None else Money(budget.spent + budget.committed + budget.planned),
    )


# --- safety: kits packed before a need was known ---


def _packed(programme: Programme, earlier: EarlierPlan) -> Iterator[PackedSession]:
    """Sessions still to be held whose packing day has come, as they were planned when they were packed."""
    for was in {**earlier.packed, **earlier.sessions}.values():
        session = programme.sessions.get(was.session)
        if session is not None and session.status == "planned" and was.packing_day <= programme.as_of <= session.day:
            yield was


def _kits_to_pull(programme: Programme, packed: Sequence[PackedSession]) -> Iterator[PulledKit]:
    """Kits that are packed, or may be by now, and hold what someone they are made for must not get."""
    for was in packed:
        session = programme.sessions[was.session]
        group = programme.groups[session.group]
        holders: dict[str, list[Member]] = defaultdict(list)
        for member in members_on(programme, session):
            holders[member.participant if group.kit_for_participant else member.household].append(member)
        for variant in was.variants:
            kit = f"{was.session}-{variant.letter}"
            for holder in variant.holders:
                yield from _pulled(programme, was, kit, holder, holders.get(holder, []), variant.foods)
        if not group.kits:
            yield from _tables_to_pull(programme, was, [m for its in holders.values() for m in its])


def _pulled(
    programme: Programme, was: PackedSession, kit: str, holder: str, members: list[Member], foods: frozenset[str]
) -> Iterator[PulledKit]:  # fmt: skip
    """The kit, where it holds something that the needs of its members, as known now, do not allow."""
    needs = tuple(dict.fromkeys(need for member in members for need in member.needs))
    offending = sorted(food for food in foods if _offends(programme, food, needs))
    if not offending:
        return
    causing = tuple(
        dict.fromkeys(need.text for need in needs if any(_offends(programme, food, (need,)) for food in offending))
    )
    place = next(member.needs_place for member in members if set(causing) & {need.text for need in member.needs})
    yield PulledKit(
        kit, was.session, was.day, was.packing_day, holder, tuple(offending),
        tuple(_instead(programme, food, needs) for food in offending), causing, place,
    )  # fmt: skip


def _tables_to_pull(programme: Programme, was: PackedSession, members: list[Member]) -> Iterator[PulledKit]:
    """The box of a table, where someone has a need for which no table was made."""
    for member in members:
        boxes = [
            (variant, {f for f in variant.foods if _offends(programme, f, member.needs)}) for variant in was.variants
        ]
        if boxes and all(found for _, found in boxes):
            variant, _ = boxes[-1]
            yield from _pulled(programme, was, f"{was.session}-{variant.letter}", "", [member], variant.foods)
            return


def _offends(programme: Programme, food: str, needs: tuple[Need, ...]) -> bool:
    known = programme.foods.by_name.get(food)
    if not needs:
        return False
    return known is None or not known.listed or any(need.covers & known.atoms for need in needs)


def _instead(programme: Programme, food: str, needs: tuple[Need, ...]) -> str:
    if food not in programme.foods.by_name:
        return ""
    found = replacement_for(programme, food, needs)
    return "" if found is None or found.food == food else found.food or LEAVE_OUT


# --- kits and needs ---


def _kits(programme: Programme, plan: FoodPlan, earlier: EarlierPlan) -> Iterator[KitChange]:
    now = {session.session: session for session in plan.sessions}
    for name, was in earlier.sessions.items():
        if name not in now:
            yield KitChange(name, _what_became(programme, was), was.kits, None)
    for session in plan.sessions:
        before = earlier.sessions.get(session.session)
        if before is None:
            yield KitChange(session.session, "new", None, session.kits)
            continue
        differs = tuple(
            words
            for words, same in (
                ("session day", before.day == session.day),
                ("packing day", before.packing_day == session.packing_day),
                ("contents", set(_contents_before(before)) == set(_contents(session))),
                ("how many of each sort", _contents_before(before) == _contents(session)),
            )
            if not same
        )
        if before.kits != session.kits or "contents" in differs:  # then the numbers differ as a matter of course
            differs = tuple(words for words in differs if words != "how many of each sort")
        if differs or before.kits != session.kits:
            yield KitChange(session.session, "changed", before.kits, session.kits, differs)


def _what_became(
    programme: Programme, was: PackedSession
) -> Literal["packed", "delivered", "cancelled", "gone"]:  # fmt: skip
    session = programme.sessions.get(was.session)
    if session is None:
        return "gone"
    if session.status != "planned":
        return session.status
    return "packed" if was.packing_day < programme.as_of else "gone"


Sorts = dict[frozenset[tuple[str, Fraction]], int]
"""Kits by what they hold, whatever their letters."""


def _contents_before(session: PackedSession) -> Sorts:
    sorts: Sorts = defaultdict(int)
    for variant in session.variants:
        if variant.kits:
            sorts[variant.contents] += variant.kits
    return sorts


def _contents(session: PlannedSession) -> Sorts:
    sorts: Sorts = defaultdict(int)
    for variant in session.variants:
        if variant.kits:
            sorts[frozenset((line.food, line.base) for line in variant.lines)] += variant.kits
    return sorts


def _needs(programme: Programme, plan: FoodPlan, earlier: EarlierPlan) -> Iterator[NeedChange]:
    """By food, over the sessions that are not packed yet; a food now counted in another unit is left out."""
    before: dict[str, Fraction] = defaultdict(Fraction)
    now: dict[str, Fraction] = defaultdict(Fraction)
    units = {need.food: need.unit for need in plan.needs}
    for (food, session), (amount, unit) in earlier.needs.items():
        was = earlier.sessions.get(session)
        if was is not None and was.packing_day >= programme.as_of and units.setdefault(food, unit) == unit:
            before[food] += amount
    for need in plan.needs:
        now[need.food] += need.amount
    for food in sorted({*before, *now}):
        if before[food] != now[food]:
            yield NeedChange(food, units[food], before[food], now[food])


# --- orders ---


def _orders(programme: Programme, plan: FoodPlan, earlier: EarlierPlan) -> Iterator[OrderChange]:
    """Rows of orders that are new, larger, smaller or gone, by order-by day as far as they are to be placed."""
    now: dict[LineKey, list[Purchase]] = defaultdict(list)
    for row in plan.purchases:
        now[row.order, row.food, row.item, str_of(row)].append(row)
    placed = {(row.supplier, row.due): row.order for row in programme.on_order if row.packs > 0}
    place = {order.order: number for number, order in enumerate(plan.orders)}
    for key in sorted({*now, *earlier.lines}, key=lambda key: (place.get(key[0], len(place)), *key)):
        rows, was = now.get(key, []), earlier.lines.get(key)
        packs, cost = sum(row.packs for row in rows), sum(row.cost for row in rows)
        if was is None or packs != was.packs:
            yield _order_change(programme, earlier, key, rows, was, packs, cost, placed)


def str_of(row: Purchase) -> str:
    """A pack as `plan.json` tells it: `5 lb`."""
    return f"{row.size.amount} {row.size.unit}"


def _order_change(
    programme: Programme, earlier: EarlierPlan, key: LineKey, rows: list[Purchase], was: EarlierLine | None,
    packs: int, cost: int, placed: Mapping[tuple[str, dt.date], str],
) -> OrderChange:  # fmt: skip
    supplier, arrives = (was.supplier, was.arrives) if was is not None else (rows[0].supplier, rows[0].arrives)
    on_sheet = placed.get((supplier, arrives), "")
    before, paid = (was.packs, was.cost) if was is not None else (0, 0)
    what: Literal["place", "raise", "cut", "drop", "placed", "past"]
    if packs > before:
        what = "raise" if before else "place"
    elif packs:
        what = "placed" if on_sheet else "cut"
    elif on_sheet or any((row.supplier, row.food) == (supplier, key[1]) for row in programme.on_order):
        what = "placed"
    else:
        what = "past" if earlier.order_by.get(key[0], arrives) < programme.as_of else "drop"
    return OrderChange(
        what, key[0], supplier, arrives, key[1], key[2], key[3], before, packs, Money(cost - paid), on_sheet
    )  # fmt: skip


# --- prices ---


def _prices(programme: Programme, plan: FoodPlan, earlier: EarlierPlan) -> Iterator[PriceMove]:
    """Packs bought now whose price moved by more than a tenth of what it was."""
    bought: dict[tuple[str, str, str, str], list[Purchase]] = defaultdict(list)
    for row in plan.purchases:
        bought[row.supplier, row.food, row.item, str_of(row)].append(row)
    for key, rows in bought.items():
        before = earlier.prices.get(key)
        price = rows[0].price
        if before is not None and abs(price - before) > before * WORTH_A_WORD:
            packs = sum(row.packs for row in rows)
            place = NOWHERE if plan.pooled else rows[0].place
            yield PriceMove(rows[0].supplier, rows[0].food, rows[0].item, key[3], before, price, packs, place)
