"""What stands in Orders: what each row costs, what of it came, and which sessions it is for, to the cent."""

import datetime as dt
from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from opsreport.measures.units import Quantity, up_to_whole
from opsreport.money import Money, half_up, split
from opsreport.plan.buying.topping_up import order_fee
from opsreport.plan.dates import packing_day
from opsreport.plan.model import Purchase, StockUse
from opsreport.plan.needs.amounts import needs_of, past_sessions
from opsreport.plan.needs.kits import Meeting, kits_of_meetings, members_on
from opsreport.programme import OnOrder, Programme, Session, Supplier


@dataclass(frozen=True, slots=True)
class PlacedRow:
    """A row of Orders with what of it came, and what is still to come, costs; fee and tax with it."""

    row: OnOrder
    came: Money
    coming: Money


@dataclass(frozen=True, slots=True)
class PlacedCosts:
    """What Orders' rows cost by session. received: of the packs that came; coming: of the others.

    unassigned: of packs that no session takes. With it they add up to all that stands in Orders. unpriced: rows of
    which nobody says what a pack costs.
    """

    received: Mapping[str, Money] = field(default_factory=dict)
    coming: Mapping[str, Money] = field(default_factory=dict)
    unassigned: Money = Money(0)
    unpriced: int = 0


@dataclass(slots=True)
class _Take:
    """What a session takes of a food that came. packed: the packing day of a session that is packed already."""

    session: str
    left: Fraction
    packed: dt.date | None = None


def price_of(programme: Programme, row: OnOrder) -> Money | None:
    """Of one pack on order: as agreed, else that of the pack in Packs with its item and size, else with its size."""
    if row.price is not None:
        return row.price
    same = [
        offer for offer in programme.offers
        if (offer.supplier, offer.food, offer.base) == (row.supplier, row.food, row.base)
    ]  # fmt: skip
    prices = [offer.price for offer in sorted(same, key=lambda offer: (offer.item != row.item, offer.place.row))]
    return prices[0] if prices else None


def worth(programme: Programme, row: OnOrder) -> tuple[Fraction, Fraction]:
    """The goods of a row that came, and those still to come [minor units]; 0 where nobody says the price."""
    price = price_of(programme, row) or 0
    return price * row.received, price * max(row.packs, Fraction(0))


def placed_orders(programme: Programme) -> list[tuple[PlacedRow, ...]]:
    """Each delivery of the Orders sheet that costs anything, with its rows: orders of one supplier that come on a day.

    The fee and the tax are the supplier's for the whole delivery, split over what came and what is coming, then over
    the rows, in proportion to goods.
    """
    rows_of: dict[tuple[str, str], list[OnOrder]] = defaultdict(list)
    for row in programme.on_order:
        rows_of[row.order, row.supplier].append(row)
    deliveries: dict[tuple[str, dt.date], list[OnOrder]] = defaultdict(list)
    for (_, name), its_rows in rows_of.items():
        deliveries[name, max(row.due for row in its_rows)] += its_rows
    found = []
    for (name, _), rows in deliveries.items():
        came, coming = zip(*(worth(programme, row) for row in rows), strict=True)
        goods = sum(came, Fraction(0)) + sum(coming, Fraction(0))
        if not goods:
            continue
        supplier = programme.suppliers.get(name) or Supplier(name)  # one that is only in Orders has no terms
        total = Money(half_up(goods) + order_fee(supplier, half_up(goods)) + half_up(goods * supplier.tax))
        of_came, of_coming = split(total, [sum(came, Fraction(0)), sum(coming, Fraction(0))])
        parts = zip(rows, split(of_came, came), split(of_coming, coming), strict=True)
        found.append(tuple(PlacedRow(*part) for part in parts))
    return found


def charge_placed(programme: Programme, uses: Sequence[StockUse]) -> PlacedCosts:
    """What Orders' rows cost, charged to the sessions that take their food, in proportion to what they take.

    Of packs still to come a session takes what the plan gives it. From which packs a session was packed is not written
    down: of packs that came, the sessions packed since their Due take what they need of the food by their recipes and
    kits, the earliest first, as far as the packs reach; then sessions to come take what the plan gives them
    of bought food on the shelf. What is left over goes with them; what nobody takes falls to no session.
    """
    rows = [row for order in placed_orders(programme) for row in order]
    takes = _takes(programme, [each.row for each in rows if each.came], uses)
    of_open: dict[int, Counter[str]] = defaultdict(Counter)
    for use in uses:
        if use.source == "ordered":
            of_open[use.row][use.session] += use.amount  # type: ignore[assignment]
    received: Counter[str] = Counter()
    coming: Counter[str] = Counter()
    for each in sorted(rows, key=lambda each: (each.row.due, each.row.place.row)):
        _charge(programme, coming, each.coming, of_open[each.row.place.row])
        if each.came:
            _charge(programme, received, each.came, _taken(takes[each.row.food], each.row))
    charged = sum(received.values()) + sum(coming.values())
    return PlacedCosts(
        _by_date(programme, received),
        _by_date(programme, coming),
        Money(sum(each.came + each.coming for each in rows) - charged),
        sum(price_of(programme, row) is None for row in programme.on_order),
    )


def _charge(
    programme: Programme, sums: Counter[str], money: Money, amounts: Mapping[str, Fraction | int]
) -> None:  # fmt: skip
    """Add a sum to the sessions that take the food; ties of the cent by session date, then id."""
    takers = sorted(amounts, key=lambda name: (programme.sessions[name].day, name))
    if takers:
        for name, part in zip(takers, split(money, [amounts[name] for name in takers]), strict=True):
            sums[name] += part


def _taken(takes: Sequence[_Take], row: OnOrder) -> dict[str, Fraction]:
    """What each session takes of the packs of a row that came; what it took is not taken again."""
    left = row.received * row.base
    found: dict[str, Fraction] = {}
    for take in takes:
        if take.packed is not None and take.packed < row.due:
            continue
        amount = min(left, take.left)
        if amount:
            take.left -= amount
            left -= amount
            found[take.session] = found.get(take.session, Fraction(0)) + amount
    return found


def _takes(programme: Programme, came: Sequence[OnOrder], uses: Sequence[StockUse]) -> dict[str, list[_Take]]:
    """By food that came: what sessions take of it, those packed already first, each part in order of use."""
    takes: dict[str, list[_Take]] = defaultdict(list)
    if not came:
        return takes
    foods, first = {row.food for row in came}, min(row.due for row in came)
    done = [
        Meeting(session, group, packed, members)
        for session in programme.sessions.values()
        for group in [programme.groups[session.group]]
        for packed in [packing_day(session, group, programme.calendar)]
        if packed >= first
        and (session.status == "delivered" or _is_packed(programme, session, packed))
        and (members := members_on(programme, session))
    ]
    done.sort(key=lambda meeting: (meeting.packing_day, meeting.session.day, meeting.session.session))
    for need in needs_of(programme, past_sessions(programme, kits_of_meetings(programme, done))):
        if need.food in foods:
            takes[need.food].append(_Take(need.session, need.amount, need.packing_day))
    donated = {lot.place.row for lot in programme.lots if lot.donated}
    for use in uses:
        if use.source == "stock" and use.food in foods and use.row not in donated:
            takes[use.food].append(_Take(use.session, use.amount))
    return takes


def _is_packed(programme: Programme, session: Session, packed: dt.date) -> bool:
    """Whether a session's kits are packed, and it is still to be held."""
    return session.status == "planned" and packed < programme.as_of <= session.day


def _by_date(programme: Programme, sums: Mapping[str, int]) -> dict[str, Money]:
    return {name: Money(sums[name]) for name in sorted(sums, key=lambda name: (programme.sessions[name].day, name))}


@dataclass(frozen=True, slots=True)
class ToNote:
    """Packs as a workbook's sheet Orders takes them. price: of one. best_before: where it is not Due and the days that
    the food keeps, as the sheet takes it to be."""

    packs: int
    size: Quantity
    price: Money
    best_before: dt.date | None = None


def to_note(programme: Programme, row: Purchase) -> list[ToNote]:
    """What a place gets of one row of an order: its whole packs, and its part of shared ones as one pack of its own."""
    keeps = programme.foods.by_name[row.food].keeps
    usual = None if keeps is None else row.arrives + dt.timedelta(days=keeps)
    best_before = None if row.good_through == usual else row.good_through
    found = [ToNote(row.packs, row.size, row.price, best_before)] if row.packs else []
    if row.shared:
        price = Money(row.cost - row.packs * row.price)
        found.append(ToNote(1, enough(programme, row.food, row.shared), price, best_before))
    return found


def enough(programme: Programme, food: str, amount: Fraction) -> Quantity:
    """An amount [base unit] as a sheet takes it: in pieces where it is whole ones, else in base units, rounded up."""
    piece = programme.pieces.get(food)
    if piece is not None and (amount / piece.base).denominator == 1:
        return Quantity(amount / piece.base, piece.word)
    return Quantity(up_to_whole(amount), programme.base_units[food])
