"""Terms of several foods, sessions and suppliers from a seed, and the least that their orders can cost as one plain
integer programme over suppliers x deliveries x packs x sessions, written from the rules alone.

Variables: sales of each pack at each delivery, amounts from each of these to each session, whether a delivery is asked
for and whether it is free. It knows nothing of opened packs beyond the days they keep (which pack is opened when is its
own choice, while a kitchen opens the soonest expiring), and cannot forbid packs bought only to reach a minimum; where
either matters its optimum is a bound below.
"""

import datetime as dt
import random
from collections import defaultdict
from dataclasses import dataclass, field

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

AS_OF = dt.date(2027, 3, 1)  # a Monday
DAY = dt.timedelta(1)
WEEKDAYS = ("Mon", "Tue", "Wed", "Thu", "Fri", "Sat", "Sun")
NEVER = dt.date(2999, 1, 1)


@dataclass(frozen=True)
class Shop:
    name: str
    lead: int
    days: tuple[int, ...]
    fee: int
    minimum: int
    free_from: int | None


@dataclass(frozen=True)
class Pack:
    shop: str
    food: str
    item: str
    grams: int
    cents: int
    sold_by: int
    least: int
    keeps: int | None
    first: dt.date | None
    last: dt.date | None


@dataclass(frozen=True)
class Term:
    """needs: (food, session) -> grams; placed: (shop, day) -> cents of goods ordered before."""

    sessions: dict[str, dt.date]
    needs: dict[tuple[str, str], int]
    keeps_open: dict[str, int | None]
    shops: tuple[Shop, ...]
    packs: tuple[Pack, ...]
    closed: dt.date | None
    receive_lead: int
    margin: int
    placed: dict[tuple[str, dt.date], int] = field(default_factory=dict)

    def packing(self, session: str) -> dt.date:
        """The day before, on an open day that is not closed."""
        day = self.sessions[session] - DAY
        while not self.is_open(day):
            day -= DAY
        return day

    def is_open(self, day: dt.date) -> bool:
        return day.weekday() < 5 and day != self.closed

    def order_by(self, shop: Shop, day: dt.date) -> dt.date:
        left = shop.lead
        while left:
            day -= DAY
            left -= self.is_open(day)
        return day

    def sheets(self) -> dict[str, list[tuple[object, ...]]]:
        """The workbook: each session makes a dish of its own, in stated kits of one batch."""
        foods = sorted({food for food, _ in self.needs})
        recipes: list[tuple[object, ...]] = []
        for session in self.sessions:
            lines = [(food, grams) for (food, its), grams in self.needs.items() if its == session]
            for at, (food, grams) in enumerate(lines):
                named = (f"Dish {session}", 1) if not at else (None, None)
                recipes.append((*named, food, grams // 10, "g"))
        return {
            "Settings": [("Setting", "Value"), ("Receive lead", self.receive_lead), ("Keep margin", self.margin),
                         ("Spare kits", 0), ("Demo kits", 0)],
            "Sessions": [("Session", "Group", "Date", "Recipes", "Kits"),
                         *((name, "g", day, f"Dish {name}", 10) for name, day in self.sessions.items())],
            "Enrolment": [("Participant", "Group", "Needs"), ("p1", "g", "none")],
            "Recipes": [("Recipe", "Servings", "Ingredient", "Amount", "Unit"),
                        *recipes],
            "Ingredients": [("Ingredient", "State", "Storage", "Contains", "Keeps open"),
                            *((food, "dry", "shelf", "none", self.keeps_open[food]) for food in foods),
                            ("quartz salt", "dry", "shelf", "none", None)],
            "Stock": [("Ingredient", "Amount", "Unit")],
            "Suppliers": [("Supplier", "Lead days", "Delivery days", "Delivery fee", "Minimum order",
                           "Free delivery from"),
                          *((shop.name, shop.lead, "; ".join(WEEKDAYS[day] for day in shop.days), shop.fee / 100,
                             shop.minimum / 100, None if shop.free_from is None else shop.free_from / 100)
                            for shop in self.shops)],
            "Packs": [("Supplier", "Ingredient", "Item", "Pack amount", "Pack unit", "Price", "Sold by", "Minimum",
                       "Keeps", "From", "Until"),
                      *((p.shop, p.food, p.item, p.grams, "g", p.cents / 100, p.sold_by, p.least, p.keeps, p.first,
                         p.last) for p in self.packs)],
            "Orders": [("Order", "Supplier", "Ingredient", "Packs", "Pack amount", "Pack unit", "Due", "Price"),
                       *((f"placed {shop}", shop, "quartz salt", 1, 500, "g", day, cents / 100)
                         for (shop, day), cents in self.placed.items())],
            "Closures": [("Date", "What"), *([(self.closed, "all")] if self.closed else [])],
        }  # fmt: skip


def drawn(seed: int, *, minimums: bool = False, opened: bool = False, placed: bool = False) -> Term:
    """A term that can be covered: one shop comes on every open day with a pack of every food that keeps."""
    r = random.Random(seed)
    foods = [f"food {letter}" for letter in "abcd"[: r.randint(3, 4)]]
    first = AS_OF + DAY * r.choice([8, 9, 10])
    sessions = {f"s{n}": first + 7 * DAY * n + DAY * r.choice([0, 0, 1]) for n in range(r.randint(3, 4))}
    needs = {
        (food, session): 10 * r.randint(8, 60)
        for food in foods for session in sessions if r.random() < 0.75
    } or {(foods[0], "s0"): 300}  # fmt: skip
    sessions = {name: day for name, day in sessions.items() if any(its == name for _, its in needs)}

    def shop(name: str, days: tuple[int, ...]) -> Shop:
        minimum = r.choice([0, 800, 1500]) if minimums else 0
        return Shop(name, r.choice([1, 2]), days, r.choice([300, 450, 700]), minimum, r.choice([None, 1800, 3000]))

    shops = (
        shop("every", (0, 1, 2, 3, 4)),
        shop("weekly", (r.choice([0, 1, 2]),)),
        shop("twice", (r.choice([0, 1]), r.choice([3, 4]))),
    )[: r.randint(2, 3)]
    packs = []
    for food in foods:
        unit = r.uniform(0.3, 1.2)  # cents a gram
        for number, name in enumerate(each.name for each in shops):
            for size in r.sample([250, 400, 500, 1000, 1500], 1 if number == 0 else r.randint(0, 2)):
                cents = max(round(size * unit * r.uniform(0.75, 1.1) * (1.15 if number == 0 else 1)), 1)
                dated = number > 0 and r.random() < 0.3
                packs.append(
                    Pack(
                        name, food, f"{food[-1]}{name}{size}", size, cents, r.choice([1, 1, 1, 2]),
                        r.choice([0, 0, 0, 3]), None if number == 0 else r.choice([None, 5, 9, 16]),
                        AS_OF + DAY * r.randint(0, 8) if dated and r.random() < 0.5 else None,
                        AS_OF + DAY * r.randint(9, 20) if dated else None,
                    )
                )  # fmt: skip
    keeps_open = {food: r.choice([None, 3, 8]) if opened else None for food in foods}
    term = Term(
        sessions, needs, keeps_open, shops, tuple(packs), first + DAY * r.randint(0, 9) if r.random() < 0.5 else None,
        r.choice([0, 1]), r.choice([0, 1]),
    )  # fmt: skip
    if not placed:
        return term
    coming = [
        (each.name, day)
        for each in shops
        for day in (AS_OF + DAY * n for n in range(3, 24))
        if day.weekday() in each.days and term.is_open(day)
    ]
    chosen = {delivery: r.choice([250, 900]) for delivery in r.sample(coming, 2)}
    return Term(
        term.sessions, term.needs, term.keeps_open, term.shops, term.packs, term.closed, term.receive_lead,
        term.margin, chosen,
    )  # fmt: skip


@dataclass(frozen=True)
class Least:
    """cost: goods and fees [cents]. bought: (item, day) -> packs. spare: whether some sale of a pack could be left out
    although its delivery is not free, so that the rules might not allow it."""

    cost: int
    bought: dict[tuple[str, dt.date], int]
    spare: bool


@dataclass
class _Programme:
    cost: list[float] = field(default_factory=list)
    most: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    rows: list[tuple[dict[int, float], float, float]] = field(default_factory=list)

    def variable(self, cost: float = 0, most: float = np.inf, whole: int = 0) -> int:
        self.cost.append(cost)
        self.most.append(most)
        self.whole.append(whole)
        return len(self.cost) - 1

    def row(self, terms: dict[int, float], low: float = -np.inf, high: float = np.inf) -> None:
        self.rows.append((terms, low, high))

    def solved(self) -> np.ndarray | None:
        index = [column for row, _, _ in self.rows for column in row]
        data = [value for row, _, _ in self.rows for value in row.values()]
        starts = np.cumsum([0, *(len(row) for row, _, _ in self.rows)])
        matrix = csr_array((data, index, starts), shape=(len(self.rows), len(self.cost)))
        limits = LinearConstraint(matrix, [low for _, low, _ in self.rows], [high for _, _, high in self.rows])
        found = milp(
            self.cost, integrality=self.whole, bounds=Bounds(0, self.most), constraints=limits,
            options={"mip_rel_gap": 0},
        )  # fmt: skip
        assert found.status in (0, 2), found.message
        return found.x


def least_cost(term: Term, *, minimums: bool) -> Least | None:
    """The optimum of the plain programme; None where minimum orders cannot all be reached."""
    made = _Programme()
    shops = {shop.name: shop for shop in term.shops}
    lead, last = term.receive_lead * DAY, max(term.packing(session) for session in term.sessions)
    served: dict[tuple[str, str], dict[int, float]] = defaultdict(dict)
    sales: dict[tuple[Pack, dt.date], int] = {}
    of_delivery: dict[tuple[str, dt.date], list[tuple[Pack, dt.date]]] = defaultdict(list)
    for pack in term.packs:
        shop, day = shops[pack.shop], AS_OF
        while day <= last:
            by = term.order_by(shop, day)
            holds = (pack.first or by) <= by <= (pack.last or by)
            good = NEVER if pack.keeps is None else day + pack.keeps * DAY
            fits = [
                session for food, session in term.needs
                if food == pack.food and day + lead <= term.packing(session)
                and term.sessions[session] + term.margin * DAY <= good
            ]  # fmt: skip
            if day.weekday() in shop.days and term.is_open(day) and by >= AS_OF and holds and fits:
                sales[pack, day] = made.variable(pack.cents * pack.sold_by, whole=1)
                of_delivery[pack.shop, day].append((pack, day))
                _amounts(term, made, served, pack, sales[pack, day], fits)
            day += DAY
    for need, grams in term.needs.items():
        made.row(served[need], low=grams)
    for (name, day), its in of_delivery.items():
        _delivery(term, made, shops[name], day, [(pack, sales[pack, day]) for pack, day in its], minimums)
    found = made.solved()
    if found is None:
        return None
    bought = {
        (pack.item, day): round(found[column]) * pack.sold_by for (pack, day), column in sales.items()
        if round(found[column])
    }  # fmt: skip
    cost = round(sum(value * price for value, price in zip(found, made.cost, strict=True)))
    return Least(cost, bought, _holds_spare(term, bought))


def _amounts(
    term: Term, made: _Programme, served: dict[tuple[str, str], dict[int, float]], pack: Pack, sale: int,
    fits: list[str],
) -> None:  # fmt: skip
    """What the packs of a sale give to each session: in all no more than they hold; once opened, while they keep."""
    keeps_open = term.keeps_open[pack.food]
    if keeps_open is None:
        given = {made.variable(): session for session in fits}
        for column, session in given.items():
            served[pack.food, session][column] = 1
        made.row({**dict.fromkeys(given, 1.0), sale: -float(pack.grams * pack.sold_by)}, high=0)
        return
    opened_in_all = {}
    for start in sorted({term.packing(session) for session in fits}):
        opened = made.variable(whole=1)
        opened_in_all[opened] = 1.0
        row = {opened: -float(pack.grams)}
        for session in fits:
            day, until = term.packing(session), term.sessions[session] + term.margin * DAY
            if day == start or (day > start and until <= start + (keeps_open - 1) * DAY):
                column = made.variable()
                row[column] = served[pack.food, session][column] = 1.0
        made.row(row, high=0)
    made.row({**opened_in_all, sale: -float(pack.sold_by)}, high=0)


def _delivery(
    term: Term, made: _Programme, shop: Shop, day: dt.date, its: list[tuple[Pack, int]], minimums: bool
) -> None:  # fmt: skip
    """Fee once where anything comes, none from a sum on or where an order placed pays it; the minimum order."""
    placed = term.placed.get((shop.name, day))
    asked = made.variable(0 if placed is not None else shop.fee, most=1, whole=1)
    much = sum(term.needs.values())
    goods = {column: float(pack.cents * pack.sold_by) for pack, column in its}
    for pack, column in its:
        most = max(-(-much // pack.grams), pack.least) + pack.sold_by
        if shop.free_from is not None:
            most += shop.free_from // pack.cents + 1
        made.row({column: 1.0, asked: -float(most)}, high=0)
        if pack.least > 1:
            some = made.variable(most=1, whole=1)
            made.row({column: 1.0, some: -float(most)}, high=0)
            made.row({column: float(pack.sold_by), some: -float(pack.least)}, low=0)
    if minimums:
        made.row({**goods, asked: -float(max(shop.minimum - (placed or 0), 0))}, low=0)
    if shop.free_from is not None and placed is None:
        free = made.variable(-shop.fee, most=1, whole=1)
        made.row({free: 1.0, asked: -1.0}, high=0)
        made.row({**goods, free: -float(shop.free_from)}, low=0)


def _holds_spare(term: Term, bought: dict[tuple[str, dt.date], int]) -> bool:
    """Whether a smaller purchase of some pack, all else as it is, would cover every need."""
    by_item = {pack.item: pack for pack in term.packs}
    for (item, day), packs in bought.items():
        pack = by_item[item]
        fewer = packs - pack.sold_by
        if fewer < max(pack.least, 1):
            fewer = 0
        less = {**bought, (item, day): fewer}
        if _covers(term, pack.food, less):
            return True
    return False


def _covers(term: Term, food: str, bought: dict[tuple[str, dt.date], int]) -> bool:
    """By a programme over amounts alone."""
    made = _Programme()
    served: dict[tuple[str, str], dict[int, float]] = defaultdict(dict)
    for pack in (pack for pack in term.packs if pack.food == food):
        for (item, day), packs in bought.items():
            good = NEVER if pack.keeps is None else day + pack.keeps * DAY
            fits = [
                session for its, session in term.needs
                if its == food and day + term.receive_lead * DAY <= term.packing(session)
                and term.sessions[session] + term.margin * DAY <= good
            ]  # fmt: skip
            if item == pack.item and packs and fits:
                sale = made.variable(most=packs // pack.sold_by, whole=1)
                _amounts(term, made, served, pack, sale, fits)
    for need, grams in term.needs.items():
        if need[0] == food:
            if not served[need]:
                return False
            made.row(served[need], low=grams)
    return made.solved() is not None
