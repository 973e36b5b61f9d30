"""Several programmes that order together: joined for buying, and each one's part taken out again.

Kits and stock stay each place's own; only what is still open is bought for together. A session of a place is
`PLACE/SESSION` in the joined programme, and so are its groups. Packs of a food are shared by the places that list the
same packs of it; a place with other packs buys its own, on the same orders.
"""

import dataclasses
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, TypeVar

from opsreport.findings import NOWHERE, Finding
from opsreport.foods import Food, Foods, fold, name_key
from opsreport.kinds.days import weekday_words
from opsreport.measures.units import BaseUnit, Quantity
from opsreport.money import Currency, Money, split
from opsreport.plan.buying.costs import funder_costs, order_by_session, share_in_kind
from opsreport.plan.buying.netting import Netted, Open
from opsreport.plan.buying.orders import shortages
from opsreport.plan.model import (
    Costs,
    FoodPlan,
    KitLine,
    NeedOf,
    Order,
    PlannedSession,
    Purchase,
    Shortage,
    StockUse,
    ToShop,
    Variant,
)
from opsreport.programme import Calendar, Offer, OnOrder, Programme, Supplier
from opsreport.sheets import STORAGES, Storage
from opsreport.shown import decimal_words

E = TypeVar("E", Food, Offer)
R = TypeVar("R", Shortage, ToShop)
_MOST_NAMED: Final = 3
"""Workbooks named that say the same; the others are counted."""


@dataclass(frozen=True, slots=True)
class Place:
    """What one programme that takes part wants, and no more of it than buying for all looks at.

    name: told from the others. programme: without its people, recipes and stock. sessions: each with how many kits, and
    not with what they hold. needs, still_open: before its own stock and after it; stock_use: what lies between.
    on_order: its Orders sheet.
    """

    name: str
    programme: Programme
    sessions: tuple[PlannedSession, ...]
    needs: tuple[NeedOf, ...]
    stock_use: tuple[StockUse, ...]
    still_open: tuple[Open, ...]
    on_order: tuple[OnOrder, ...]

    def joined(self, own: str) -> str:
        """A session's or group's id among all places."""
        return f"{self.name}/{own}"


def place_of(name: str, programme: Programme, kits: FoodPlan, netted: Netted) -> Place:
    """A programme with its own plan so far, as one that takes part."""
    wanting = dataclasses.replace(
        programme, members=(), recipes={}, lots=(), on_order=(), swaps=(), attendance=(), pick_ups=(), questions=(),
        surveys=(), narratives=(),
        sessions={
            session: dataclasses.replace(each, dishes=(), replaces="", lesson="", note="")
            for session, each in programme.sessions.items()
        },
    )  # fmt: skip
    sessions = tuple(map(_counted, kits.sessions))
    return Place(name, wanting, sessions, kits.needs, netted.uses, netted.still_open, programme.on_order)


def _counted(session: PlannedSession) -> PlannedSession:
    """A session with its kits by sort, and nothing in them."""
    return dataclasses.replace(
        session,
        once=(),
        variants=tuple(
            Variant(each.letter, each.kits, (), each.spare, each.demo, {}, (), (), ()) for each in session.variants
        ),
    )


class Sharing:
    """Foods and packs of many places, those that are equal kept once."""

    def __init__(self) -> None:
        self._foods: dict[str, list[Food]] = defaultdict(list)
        self._offers: dict[str, list[Offer]] = defaultdict(list)

    def shared(self, place: Place) -> Place:
        """The same place, with what an earlier one said just so taken from there."""
        programme = place.programme
        foods = {name: _first_equal(self._foods[name], food) for name, food in programme.foods.by_name.items()}
        offers = tuple(_first_equal(self._offers[offer.food], offer) for offer in programme.offers)
        sharing = dataclasses.replace(programme, foods=Foods(foods, programme.foods.ids), offers=offers)
        return dataclasses.replace(place, programme=sharing)


def _first_equal(known: list[E], value: E) -> E:
    for each in known:
        if each == value:
            return each
    known.append(value)
    return value


@dataclass(frozen=True, slots=True)
class Joined:
    """All places as one. names: (place, its food) -> the food's joined id. on_order: what is placed, which
    each place counts for itself. findings: where workbooks disagree."""

    programme: Programme
    sessions: tuple[PlannedSession, ...]
    needs: tuple[NeedOf, ...]
    stock_use: tuple[StockUse, ...]
    still_open: tuple[Open, ...]
    names: Mapping[tuple[str, str], str]
    on_order: tuple[OnOrder, ...]
    findings: tuple[Finding, ...]


def join(places: Sequence[Place], title: str) -> Joined:
    """One programme to buy for. title: what it is called on orders.

    Places agree on currency and planning date; the caller sees to that. Where they disagree about a food, a pack or a
    supplier, the careful one decides, and a finding names them.

    Findings: pool-ingredient-differs, pool-price-differs, pool-supplier-differs.
    """
    findings: list[Finding] = []
    kin = _kinship(places)
    findings += _different_figures(places, kin)
    offers_of, told = _agreed_offers(places, kin)
    findings += told
    names, foods, base_units, offers = _joined_foods(places, kin, offers_of)
    suppliers, told = _suppliers(places)
    findings += told
    spelt = {fold(name): name for name in suppliers}
    offers = [dataclasses.replace(offer, supplier=spelt[fold(offer.supplier)]) for offer in offers]
    first = places[0].programme
    settings = dataclasses.replace(
        first.settings,
        programme=title,
        term=_same([place.programme.settings.term for place in places]),
        contact=_same([place.programme.settings.contact for place in places]),
        receive_lead=max(place.programme.settings.receive_lead for place in places),
        packing_loss=max(place.programme.settings.packing_loss for place in places),
        budget=None,
        spent=None,
        deliver_to=_same([place.programme.settings.deliver_to for place in places]),
    )
    programme = dataclasses.replace(
        first, settings=settings,
        groups={
            place.joined(name): dataclasses.replace(group, group=place.joined(name))
            for place in places for name, group in place.programme.groups.items()
        },
        sessions={
            place.joined(name): dataclasses.replace(
                session, session=place.joined(name), group=place.joined(session.group)
            )
            for place in places for name, session in place.programme.sessions.items()
        },
        foods=Foods(foods, {}), base_units=base_units, suppliers=suppliers, offers=tuple(offers),
        calendar=_common_days([place.programme.calendar for place in places]),
        funders=tuple(
            {fold(row.funder): row for place in reversed(places) for row in place.programme.funders}.values()
        ),
    )  # fmt: skip

    def need(place: Place, own: NeedOf) -> NeedOf:
        return dataclasses.replace(own, food=names[place.name, own.food], session=place.joined(own.session))

    def use(place: Place, own: StockUse) -> StockUse:
        lot = place.joined(own.lot) if own.lot else ""
        return dataclasses.replace(own, food=names[place.name, own.food], session=place.joined(own.session), lot=lot)

    def on_order(place: Place, own: OnOrder) -> OnOrder:
        supplier = spelt.get(fold(own.supplier), own.supplier)
        return dataclasses.replace(own, food=names.get((place.name, own.food), own.food), supplier=supplier)

    return Joined(
        programme,
        tuple(_session(place.name, session, names) for place in places for session in place.sessions),
        tuple(need(place, own) for place in places for own in place.needs),
        tuple(use(place, own) for place in places for own in place.stock_use),
        tuple(Open(need(place, each.need), each.amount) for place in places for each in place.still_open),
        names,
        tuple(on_order(place, row) for place in places for row in place.on_order),
        tuple(findings),
    )


def _same(words: Sequence[str]) -> str:
    """What all say; nothing where they differ."""
    return words[0] if len(set(words)) == 1 else ""


def _session(place: str, session: PlannedSession, names: Mapping[tuple[str, str], str]) -> PlannedSession:
    def renamed(lines: Sequence[KitLine]) -> tuple[KitLine, ...]:
        return tuple(dataclasses.replace(line, food=names[place, line.food]) for line in lines)

    return dataclasses.replace(
        session,
        session=f"{place}/{session.session}",
        group=f"{place}/{session.group}",
        once=renamed(session.once),
        variants=tuple(dataclasses.replace(each, lines=renamed(each.lines)) for each in session.variants),
    )


def shortages_of_all(
    joined: Joined, uncovered: Sequence[Open], kits_of: Callable[[str], Sequence[PlannedSession]]
) -> tuple[Shortage, ...]:
    """What nothing covers, with how many kits can be filled all the same.

    kits_of: a place's own sessions with what their kits hold; asked for once a place that is short.
    """
    short: dict[str, list[int]] = defaultdict(list)
    for at, lacking in enumerate(uncovered):
        short[_parted(lacking.need.session)[0]].append(at)
    found: dict[int, Shortage] = {}
    for place, rows in short.items():
        sessions = [_session(place, session, joined.names) for session in kits_of(place)]
        found |= zip(rows, shortages(joined.programme, sessions, [uncovered[at] for at in rows]), strict=True)
    return tuple(found[at] for at in range(len(uncovered)))


def _parted(joined: str) -> tuple[str, str]:
    """A session's or group's place, and its id there."""
    place, _, own = joined.partition("/")
    return place, own


# --- foods ---


def _kinship(places: Sequence[Place]) -> dict[tuple[str, str], str]:
    """(place, its food) -> the food as the first place writes it that names it, by any of its names."""
    known: dict[str, str] = {}
    kin: dict[tuple[str, str], str] = {}
    for place in places:
        keys: dict[str, list[str]] = defaultdict(list)
        for key, name in place.programme.foods.ids.items():
            keys[name].append(key)
        for name in place.programme.foods.by_name:
            same = next((known[key] for key in (name_key(name), *keys[name]) if key in known), name)
            kin[place.name, name] = same
            for key in keys[name]:
                known.setdefault(key, same)
    return kin


_FIGURES: tuple[tuple[str, Callable[[Food], object]], ...] = (
    ("Grams per cup", lambda food: food.bridge.grams_per_ml.get("cup")),
    ("Grams each", lambda food: food.bridge.grams_each),
    ("Edible share", lambda food: food.edible_share),
    ("Contains", lambda food: tuple(sorted(food.contains))),
    ("Keeps", lambda food: food.keeps),
    ("Keeps open", lambda food: food.keeps_open),
    ("Storage", lambda food: food.storage),
)


def _different_figures(places: Sequence[Place], kin: Mapping[tuple[str, str], str]) -> list[Finding]:
    """Foods that take part in some need and of which two places say different things."""
    found = []
    for food in sorted({kin[place.name, need.food] for place in places for need in place.needs}):
        its = [
            (place.name, known) for place in places for name, known in place.programme.foods.by_name.items()
            if kin[place.name, name] == food
        ]  # fmt: skip
        for heading, figure in _FIGURES:
            said = _differing([(place, _words(heading, figure(known))) for place, known in its])
            if said:
                found.append(Finding(NOWHERE, "pool-ingredient-differs", food, {"heading": heading, "said": said}))
    return found


def _differing(rows: Sequence[tuple[str, str]]) -> str:
    """Who says what, in the order of the workbooks: `180 in north, east and 7 more; 190 in south`; nothing where all
    say the same. rows: (place, what it says)."""
    by_words: dict[str, list[str]] = defaultdict(list)
    for place, words in rows:
        by_words[words].append(place)
    if len(by_words) < 2:
        return ""
    return "; ".join(f"{words} in {_named(places)}" for words, places in by_words.items())


def _named(places: Sequence[str]) -> str:
    more = len(places) - _MOST_NAMED
    if more > 0:
        return f"{', '.join(places[:_MOST_NAMED])} and {more} more"
    return " and ".join(part for part in (", ".join(places[:-1]), places[-1]) if part)


def _words(heading: str, value: object) -> str:
    if value is None or value == ():
        return "nothing"
    if isinstance(value, tuple):
        return ", ".join(value)
    if heading == "Grams per cup" and isinstance(value, Fraction):
        return decimal_words(value * Fraction("236.5882365"))
    if heading == "Edible share" and isinstance(value, Fraction):
        return _percent(value)
    return decimal_words(value) if isinstance(value, Fraction) else str(value)


def _percent(share: Fraction) -> str:
    return f"{decimal_words(share * 100, 2)}%"


OfferKey = tuple[str, str, Fraction, object, object]


def _key(offer: Offer) -> OfferKey:
    """What makes two rows of Packs the same pack: supplier, item, contents, and the days of the price."""
    return fold(offer.supplier), fold(offer.item), offer.base, offer.price_from, offer.price_until


def _agreed_offers(
    places: Sequence[Place], kin: Mapping[tuple[str, str], str]
) -> tuple[dict[str, dict[OfferKey, Offer]], list[Finding]]:
    """Every pack by food, with one price: the one asked for last, else the dearer."""
    agreed: dict[str, dict[OfferKey, Offer]] = defaultdict(dict)
    asked: dict[tuple[str, OfferKey], list[tuple[str, Offer]]] = defaultdict(list)
    for place in places:
        for offer in place.programme.offers:
            asked[kin[place.name, offer.food], _key(offer)].append((place.name, offer))
    found = []
    for (food, key), rows in asked.items():
        chosen = max((offer for _, offer in rows), key=lambda offer: (str(offer.priced or ""), offer.price))
        agreed[food][key] = chosen
        shown = places[0].programme.currency.shown
        said = _differing([(f"{place_name} ({offer.place})", shown(offer.price)) for place_name, offer in rows])
        if said:
            pack = " ".join(part for part in (chosen.supplier, chosen.item, food) if part)
            details = {"said": said, "used": shown(chosen.price)}
            found.append(Finding(NOWHERE, "pool-price-differs", pack, details))
    return agreed, found


def _joined_foods(
    places: Sequence[Place], kin: Mapping[tuple[str, str], str], agreed: Mapping[str, Mapping[OfferKey, Offer]]
) -> tuple[dict[tuple[str, str], str], dict[str, Food], dict[str, BaseUnit], list[Offer]]:
    """One id for a food among the places that count it in the same unit and list the same packs of it."""
    names: dict[tuple[str, str], str] = {}
    foods: dict[str, Food] = {}
    base_units: dict[str, BaseUnit] = {}
    offers: list[Offer] = []
    sorts: dict[tuple[str, BaseUnit, frozenset[OfferKey]], str] = {}
    for place in places:
        listed: dict[str, set[OfferKey]] = defaultdict(set)
        for offer in place.programme.offers:
            listed[offer.food].add(_key(offer))
        for name, food in place.programme.foods.by_name.items():
            unit = place.programme.base_units.get(name, "each")
            sort = (kin[place.name, name], unit, frozenset(listed[name]))
            if sort not in sorts:
                taken = sort[0] in foods
                sorts[sort] = joined = f"{sort[0]} ({place.name})" if taken else sort[0]
                foods[joined] = dataclasses.replace(food, name=joined)
                base_units[joined] = unit
                offers += [
                    dataclasses.replace(agreed[sort[0]][key], food=joined) for key in sorted(listed[name], key=str)
                ]
            joined = names[place.name, name] = sorts[sort]
            foods[joined] = _careful(foods[joined], food)
    return names, foods, base_units, offers


def _careful(one: Food, other: Food) -> Food:
    """What two places say of one food, as is safe for both."""
    return dataclasses.replace(
        one,
        keeps=_least(one.keeps, other.keeps),
        keeps_open=_least(one.keeps_open, other.keeps_open),
        contains=tuple(dict.fromkeys((*one.contains, *other.contains))),
        storage=_coldest(one.storage, other.storage),
        stays_sealed=one.stays_sealed and other.stays_sealed,
    )


def _least(one: int | None, other: int | None) -> int | None:
    return min((days for days in (one, other) if days is not None), default=None)


def _coldest(one: Storage | None, other: Storage | None) -> Storage | None:
    return max((kept for kept in (one, other) if kept is not None), key=STORAGES.index, default=None)


# --- suppliers and days ---


def _suppliers(places: Sequence[Place]) -> tuple[dict[str, Supplier], list[Finding]]:
    """Every supplier once, under its first spelling; where places differ, the terms that hold for all of them."""
    said: dict[str, list[tuple[str, Supplier]]] = defaultdict(list)
    for place in places:
        for name, supplier in place.programme.suppliers.items():
            said[fold(name)].append((place.name, supplier))
    joined, found = {}, []
    for rows in said.values():
        first = rows[0][1]
        of_all = [supplier for _, supplier in rows]
        terms = dataclasses.replace(
            first,
            lead_days=max(each.lead_days for each in of_all),
            order_days=_common([each.order_days for each in of_all]),
            delivery_days=_common([each.delivery_days for each in of_all]),
            minimum_order=max(each.minimum_order for each in of_all),
            delivery_fee=max(each.delivery_fee for each in of_all),
            free_from=None
            if any(s.free_from is None for s in of_all)
            else max(s.free_from or Money(0) for s in of_all),
            tax=max(each.tax for each in of_all),
        )
        joined[first.supplier] = terms
        currency = places[0].programme.currency
        for heading, term in _TERMS:
            differing = _differing([(place, term(each, currency)) for place, each in rows])
            if differing:
                details = {"heading": heading, "said": differing, "used": term(terms, currency)}
                found.append(Finding(NOWHERE, "pool-supplier-differs", first.supplier, details))
    return joined, found


_TERMS: tuple[tuple[str, Callable[[Supplier, Currency], str]], ...] = (
    ("Order to", lambda supplier, _: supplier.order_to or "nothing"),
    ("Account", lambda supplier, _: supplier.account or "nothing"),
    ("Lead days", lambda supplier, _: str(supplier.lead_days)),
    ("Order days", lambda supplier, _: weekday_words(supplier.order_days).replace(";", ",")),
    ("Delivery days", lambda supplier, _: weekday_words(supplier.delivery_days).replace(";", ",")),
    ("Cut-off", lambda supplier, _: supplier.cut_off or "nothing"),
    ("Minimum order", lambda supplier, currency: currency.shown(supplier.minimum_order)),
    ("Delivery fee", lambda supplier, currency: currency.shown(supplier.delivery_fee)),
    (
        "Free delivery from",
        lambda supplier, currency: "never" if supplier.free_from is None else currency.shown(supplier.free_from),
    ),
    ("Tax", lambda supplier, _: _percent(supplier.tax)),
)
"""Columns of Suppliers in which workbooks may differ, each in words."""


def _common(days: Sequence[tuple[int, ...]]) -> tuple[int, ...]:
    """Weekdays on which all can; the first's where there is none."""
    return tuple(day for day in days[0] if all(day in other for other in days)) or days[0]


def _common_days(calendars: Sequence[Calendar]) -> Calendar:
    """Days on which every place can take in a delivery."""
    return Calendar(
        frozenset.intersection(*(each.open_days for each in calendars)),
        frozenset.union(*(each.closed_for_deliveries for each in calendars)),
        frozenset.union(*(each.closed_for_packing for each in calendars)),
    )


# --- each place's part ---


@dataclass(frozen=True, slots=True)
class PlaceLine:
    """What one place gets of one row of an order. packs: whole ones for it alone. shared: the rest of its amount, out
    of packs that several places share. used: both, in the base unit. size, words: of a pack, as in Purchase."""

    order: str
    place: str
    item: str
    food: str
    size: Quantity
    words: str
    packs: int
    shared: Fraction
    used: Fraction


@dataclass(frozen=True, slots=True)
class PlaceShare:
    """What one place pays of an order's goods, fee and tax; the shares add up to each."""

    order: str
    place: str
    goods: Money
    fee: Money
    tax: Money

    @property
    def cost(self) -> Money:
        return Money(self.goods + self.fee + self.tax)


def split_by_place(
    joined: Programme, places: Sequence[str], purchases: Sequence[Purchase], orders: Sequence[Order]
) -> tuple[tuple[PlaceLine, ...], tuple[PlaceShare, ...]]:  # fmt: skip
    """Every order split by place: amounts as its sessions use them, cost as `share_costs` charges its sessions."""
    lines, shares = [], []
    rows_of: dict[str, list[Purchase]] = defaultdict(list)
    for row in purchases:
        rows_of[row.order].append(row)
    for order in orders:
        for row in rows_of[order.order]:
            of_one = row.base / row.packs
            for place, used in _by_place(row.used).items():
                whole, shared = divmod(used, of_one)
                lines.append(
                    PlaceLine(order.order, place, row.item, row.food, row.size, row.words, int(whole), shared, used)
                )
        paid: dict[str, list[tuple[Money, Money, Money]]] = defaultdict(list)
        for name, parts in order_by_session(joined, rows_of[order.order], order).items():
            paid[_parted(name)[0]].append(parts)
        for place in places:
            if place in paid:
                goods, fee, tax = (Money(sum(column)) for column in zip(*paid[place], strict=True))
                shares.append(PlaceShare(order.order, place, goods, fee, tax))
    return tuple(lines), tuple(shares)


def _by_place(used: Sequence[tuple[str, Fraction]]) -> dict[str, Fraction]:
    """What each place's sessions use together, the places in order of name."""
    amounts: dict[str, Fraction] = defaultdict(Fraction)
    for name, amount in used:
        amounts[_parted(name)[0]] += amount
    return dict(sorted(amounts.items()))


@dataclass(frozen=True, slots=True)
class PlacePart:
    """What one place gets of the orders of all, by its own names. orders: those that it pays a part of, with that
    part."""

    orders: tuple[Order, ...]
    purchases: tuple[Purchase, ...]
    shortages: tuple[Shortage, ...]
    shopping: tuple[ToShop, ...]
    costs: Costs


def parts_of(
    places: Sequence[str], names: Mapping[tuple[str, str], str], whole: FoodPlan, shares: Sequence[PlaceShare]
) -> list[PlacePart]:  # fmt: skip
    """Each place's part. names: as in Joined. shares: of the orders.

    A purchase holds what the place uses of it and the cost of that: `packs` are the whole ones for it alone, and the
    rest is `shared`.
    """
    own_names = {(place, joined): own for (place, own), joined in names.items()}
    purchases: dict[str, list[Purchase]] = defaultdict(list)
    for row in whole.purchases:
        amounts = _by_place(row.used)
        uses: dict[str, list[tuple[str, Fraction]]] = defaultdict(list)
        for session, amount in row.used:
            place, own = _parted(session)
            uses[place].append((own, amount))
        of_one = row.base / row.packs
        for (place, amount), cost in zip(amounts.items(), split(row.cost, list(amounts.values())), strict=True):
            its = dataclasses.replace(
                row,
                food=own_names[place, row.food],
                packs=int(amount // of_one),
                base=amount,
                shared=amount % of_one,
                cost=cost,
                used=tuple(uses[place]),
                left_over=Fraction(0),
            )
            purchases[place].append(its)

    def own_rows(rows: Sequence[R]) -> dict[str, list[R]]:
        found: dict[str, list[R]] = defaultdict(list)
        for row in rows:
            place, own = _parted(row.session)
            found[place].append(dataclasses.replace(row, session=own, food=own_names[place, row.food]))
        return found

    def own_costs(costs: Mapping[str, Money]) -> dict[str, dict[str, Money]]:
        found: dict[str, dict[str, Money]] = defaultdict(dict)
        for name, cost in costs.items():
            place, own = _parted(name)
            found[place][own] = cost
        return found

    paid = {(share.place, share.order): share for share in shares}

    def own_orders(place: str) -> tuple[Order, ...]:
        return tuple(
            dataclasses.replace(order, goods=share.goods, fee=share.fee, tax=share.tax, total=share.cost)
            for order in whole.orders
            if (share := paid.get((place, order.order))) is not None
        )

    short, shopping = own_rows(whole.shortages), own_rows(whole.shopping)
    sessions, groups = own_costs(whole.costs.sessions), own_costs(whole.costs.groups)
    return [
        PlacePart(
            own_orders(place),
            tuple(purchases[place]),
            tuple(short[place]),
            tuple(shopping[place]),
            Costs(sessions[place], groups[place]),
        )
        for place in places
    ]


def with_part(programme: Programme, kits: FoodPlan, netted: Netted, part: PlacePart) -> FoodPlan:
    """A place's own plan: its kits and stock, and what it gets of the orders of all.

    It has no orders of its own, since the place places none.
    """
    return dataclasses.replace(
        kits,
        stock_use=netted.uses,
        lots=netted.lots,
        purchases=part.purchases,
        shortages=part.shortages,
        shopping=part.shopping,
        costs=dataclasses.replace(
            part.costs,
            funders=funder_costs(programme, part.costs.groups),
            in_kind=share_in_kind(programme, netted.uses),
        ),
        pooled="part",
        shared=part.orders,
    )
