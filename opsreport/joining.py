"""The checked rows joined into one programme.

Joining only: what could be wrong was said by the checks. Rows that point to nothing are left out here,
since their findings already stand.
"""

import dataclasses
import datetime as dt
from collections.abc import Iterator, Mapping, Sequence
from fractions import Fraction

from opsreport.findings import Place
from opsreport.foods import Foods, Need, build_foods, fold
from opsreport.kinds import Amount, unit_inside
from opsreport.marks import Marks
from opsreport.measures.units import SEALED_WORDS, BaseUnit, NoBridge, Quantity
from opsreport.money import Money
from opsreport.programme import (
    Calendar,
    Group,
    Line,
    Lot,
    Member,
    Offer,
    OnOrder,
    Programme,
    Recipe,
    Session,
    Step,
    Supplier,
    Swap,
    Tool,
)
from opsreport.sheets import (
    AttendanceRow,
    PickUpRow,
    Rows,
    SessionRow,
    Settings,
    SurveyRow,
    SwapRow,
)


def base_unit(foods: Foods, name: str, uses: tuple[Quantity, ...]) -> BaseUnit:
    """What a food is counted in: grams where a figure leads there or something weighs it; else mL if
    every use is a volume; else each.

    Where every use is a count and some count has no weight, each too: nothing then needs a bridge, whatever a cup
    of it weighs.
    """
    food = foods.by_name[name]
    dimensions = {quantity.dimension for quantity in uses}
    if dimensions == {"count"} and any(food.bridge.counted(quantity.unit) is None for quantity in uses):
        return "each"
    if food.bridge.weighs() or "weight" in dimensions:
        return "g"
    return "mL" if dimensions == {"volume"} else "each"


def uses_of(rows: Rows, foods: Foods) -> dict[str, list[tuple[Quantity, Place]]]:
    """Every amount that a sheet states of a food, with its cell, by food id."""
    uses: dict[str, list[tuple[Quantity, Place]]] = {name: [] for name in foods.by_name}

    def use(written: str, quantity: Quantity | None, place: Place) -> None:
        food = foods.find(written)
        if food is not None and quantity is not None:
            uses[food.name].append((quantity, place))

    for row in rows.recipes:
        use(row.ingredient, quantity_of(row.amount, row.unit), row.place.at("Amount"))
    for pack in rows.packs:
        use(pack.ingredient, quantity_of(pack.amount, pack.unit), pack.place.at("Pack amount"))
    for lot in rows.stock:
        use(lot.ingredient, quantity_of(lot.amount, lot.unit), lot.place.at("Amount"))
    for order in rows.orders:
        use(order.ingredient, quantity_of(order.amount, order.unit), order.place.at("Pack amount"))
    units = [
        (food.name, quantity.unit)
        for row in rows.recipes
        if (food := foods.find(row.ingredient)) and (quantity := quantity_of(row.amount, row.unit))
    ]
    for swap, unit in _units_of_substitutes(rows, foods, units):
        use(swap.instead or "", Quantity(swap.ratio, unit), swap.place.at("Unit" if swap.unit else "Use instead"))
    return uses


def _units_of_substitutes(
    rows: Rows, foods: Foods, units: list[tuple[str, str]]
) -> Iterator[tuple[SwapRow, str]]:  # fmt: skip
    """Each row of Swaps with the units its substitute is measured in: its own, else those of what it stands for,
    which may stand for something else in turn. units: (food, unit) of the recipes' amounts."""
    by_food: dict[str, list[tuple[SwapRow, str]]] = {}
    for swap in rows.swaps:
        food, instead = foods.find(swap.ingredient), swap.instead and foods.find(swap.instead)
        if food and instead:
            by_food.setdefault(food.name, []).append((swap, instead.name))
    seen = {(name, unit) for name, unit in units if name in by_food}
    pending = sorted(seen)
    while pending:
        name, unit = pending.pop()
        for swap, its_food in by_food.get(name, ()):
            step = (its_food, swap.unit or unit)
            yield swap, step[1]
            if step not in seen:
                seen.add(step)
                pending.append(step)


def quantity_of(amount: Amount, unit: str | None) -> Quantity | None:
    """Amount and Unit cells together; None where nothing is bought, or where they contradict each other. A blank
    unit is each, unless the amount cell names one."""
    if amount.value is None or (unit and amount.unit not in (None, unit)):
        return None
    return Quantity(amount.value, unit or amount.unit or "each")


class _Spellings:
    """One spelling for every id of one sort: as first written."""

    def __init__(self) -> None:
        self._first: dict[str, str] = {}

    def __call__(self, written: str) -> str:
        return self._first.setdefault(fold(written), written)

    def knows(self, written: str) -> bool:
        return fold(written) in self._first


def build_programme(rows: Rows, as_of: dt.date) -> Programme:
    """Join checked rows; a row that points to nothing is left out, since its finding already stands.

    Args:
        rows: what read.py and check.py let through.
        as_of: the planning date; the command line's wins over Settings before it comes here.
    """
    foods = build_foods(rows)
    group_id, session_id, recipe_id, supplier_id = (_Spellings() for _ in range(4))
    groups = _groups(rows, group_id)
    recipes = _recipes(rows, foods, recipe_id)
    suppliers = _suppliers(rows, supplier_id)
    session_ids = [session_id(row.session) for row in rows.sessions]
    sessions = {
        name: _session(row, name, session_id, group_id, recipe_id)
        for name, row in zip(session_ids, rows.sessions, strict=True)
    }
    members = _members(rows, foods, group_id)
    for group in (*(session.group for session in sessions.values()), *(member.group for member in members)):
        groups.setdefault(group, _default_group(group, rows.settings))
    base_units = {
        name: base_unit(foods, name, tuple(quantity for quantity, _ in uses))
        for name, uses in uses_of(rows, foods).items()
    }
    join = _Joiner(rows, foods, base_units, supplier_id, suppliers)
    people = _PeopleIds(rows, session_id, members)
    return Programme(
        settings=rows.settings,
        as_of=as_of,
        groups=groups,
        members=members,
        sessions=sessions,
        recipes=recipes,
        foods=foods,
        base_units=base_units,
        suppliers=suppliers,
        offers=join.offers(),
        lots=join.lots(),
        on_order=join.on_order(),
        swaps=join.swaps(),
        tools=_tools(rows),
        calendar=_calendar(rows),
        attendance=people.attendance(),
        pick_ups=people.pick_ups(),
        questions=rows.questions,
        surveys=people.surveys(),
        funders=rows.funders,
        narratives=rows.narratives,
        present=rows.present,
    )


def _groups(rows: Rows, group_id: _Spellings) -> dict[str, Group]:
    settings = rows.settings
    funder_id = _Spellings()
    for funder in rows.funders:
        funder_id(funder.funder)
    found = {}
    for row in rows.groups:
        plain = _default_group(group_id(row.group), settings)
        kits = row.format == "kits"
        parts = row.funders
        found[plain.group] = Group(
            group=plain.group,
            name=row.name,
            site=row.site,
            kits=kits,
            kit_for_participant=row.kit_for == "participant",
            people_per_table=row.people_per_table,
            spare=row.spare_kits if row.spare_kits is not None else plain.spare,
            demo=row.demo_kits if row.demo_kits is not None else (plain.demo if kits else 0),
            packing_lead=row.packing_lead if row.packing_lead is not None else plain.packing_lead,
            pick_up_lead=row.pick_up_lead,
            pick_up_place=row.pick_up_place,
            pick_up_time=row.pick_up_time,
            funders=tuple((funder_id(part.funder), Fraction(1) if part.part is None else part.part) for part in parts),
        )
    return found


def _default_group(group: str, settings: Settings) -> Group:
    return Group(
        group, spare=settings.spare_kits, demo=settings.demo_kits, packing_lead=settings.packing_lead
    )  # fmt: skip


def _session(
    row: SessionRow, session: str, session_id: _Spellings, group_id: _Spellings, recipe_id: _Spellings
) -> Session:  # fmt: skip
    return Session(
        session=session,
        group=group_id(row.group),
        day=row.day,
        start=row.start,
        minutes=row.minutes,
        lesson=row.lesson,
        dishes=tuple((recipe_id(dish.recipe), dish.times) for dish in row.recipes if recipe_id.knows(dish.recipe)),
        status=row.status,
        packing_date=row.packing_date,
        kits=row.kits,
        replaces=session_id(row.replaces) if session_id.knows(row.replaces) else "",
        note=row.note,
        place=row.place.at("Session"),
        packed_at=row.place.at("Packing date" if row.packing_date else "Session"),
    )


def _members(rows: Rows, foods: Foods, group_id: _Spellings) -> tuple[Member, ...]:
    person_id, household_id = _Spellings(), _Spellings()
    found = []
    for row in rows.enrolment:
        person = person_id(row.participant)
        found.append(
            Member(
                participant=person,
                group=group_id(row.group),
                household=household_id(row.household or person),
                servings=row.servings,
                asked=row.needs.asked,
                needs=tuple(need for text in row.needs.needs if (need := foods.need(text)) is not None),
                status=row.status,
                joined=row.joined,
                left=row.left,
                pick_up_name=row.pick_up_name,
                extra={"Age band": row.age_band, **row.extra},
                needs_place=row.place.at("Needs"),
                name=row.name,
            )
        )
    return tuple(found)


def _recipes(rows: Rows, foods: Foods, recipe_id: _Spellings) -> dict[str, Recipe]:
    lines: dict[str, list[Line]] = {}
    servings: dict[str, Fraction] = {}
    for row in rows.recipes:
        recipe = recipe_id(row.recipe)
        if row.servings is not None:
            servings.setdefault(recipe, row.servings)
        food = foods.find(row.ingredient)
        if food is None:
            continue
        lines.setdefault(recipe, []).append(
            Line(
                food=food.name,
                quantity=quantity_of(row.amount, row.unit),
                words=row.amount.words,
                preparation=row.preparation,
                once_a_session=row.scale == "session",
                from_home=row.supplied == "home",
                mix=row.mix,
                as_bought=None if not row.measured else row.measured == "as bought",
                place=row.place.at("Amount"),
                named=row.place.at("Ingredient"),
            )
        )
    # where nobody says how many it feeds, nothing is ordered, but what is in it may still harm somebody
    steps: dict[str, list[Step]] = {}
    for method in rows.methods:
        if recipe_id.knows(method.recipe):
            steps.setdefault(recipe_id(method.recipe), []).append(Step(method.step, method.text, method.caution))
    return {
        recipe: Recipe(
            recipe, servings.get(recipe, Fraction(1)), tuple(its_lines),
            tuple(sorted(steps.get(recipe, []), key=lambda step: step.number)),
        )
        for recipe, its_lines in lines.items()
    }  # fmt: skip


def _suppliers(rows: Rows, supplier_id: _Spellings) -> dict[str, Supplier]:
    found = {}
    for row in rows.suppliers:
        name = supplier_id(row.supplier)
        found[name] = Supplier(
            supplier=name,
            name=row.name,
            order_to=row.order_to,
            account=row.account,
            lead_days=row.lead_days,
            order_days=row.order_days,
            delivery_days=row.order_days if row.delivery_days is None else row.delivery_days,
            cut_off=row.cut_off,
            minimum_order=row.minimum_order or Money(0),
            delivery_fee=row.delivery_fee,
            free_from=row.free_from,
            tax=row.tax,
        )
    for pack in rows.packs:
        name = supplier_id(pack.supplier)
        found.setdefault(name, Supplier(name))
    return found


class _Joiner:
    """The rows that speak of amounts of food, each carried into the food's base unit."""

    def __init__(
        self, rows: Rows, foods: Foods, base_units: Mapping[str, BaseUnit], supplier_id: _Spellings,
        suppliers: Mapping[str, Supplier],
    ) -> None:  # fmt: skip
        self.rows = rows
        self.foods = foods
        self.base_units = base_units
        self.supplier_id = supplier_id
        self.suppliers = suppliers

    def _food_amount(self, ingredient: str, amount: Amount, unit: str | None) -> tuple[str, Quantity, Fraction] | None:
        """Food, amount as written and in its base unit; None where no figure leads there."""
        food, quantity = self.foods.find(ingredient), quantity_of(amount, unit)
        if food is None or quantity is None:
            return None
        try:
            base = food.bridge.convert(quantity, self.base_units[food.name], self.rows.settings.measures)
        except NoBridge:
            return None
        return food.name, quantity, base

    def _sealed(self, food: str, quantity: Quantity, words: str) -> Fraction | None:
        """One sealed unit of a pack in the base unit: a can of `12 cans`, 400 g of `6 x 400 g`; else None."""
        settings = self.rows.settings
        one = unit_inside(words, settings.decimal_comma)
        if one is None or one.dimension == "count":
            one = Quantity(Fraction(1), quantity.unit) if quantity.unit in SEALED_WORDS else None
        if one is None:
            return None
        try:
            return self.foods.by_name[food].bridge.convert(one, self.base_units[food], settings.measures)
        except NoBridge:
            return None

    def offers(self) -> tuple[Offer, ...]:
        found = []
        for row in self.rows.packs:
            known = self._food_amount(row.ingredient, row.amount, row.unit)
            if known is not None:
                name, size, base = known
                found.append(
                    Offer(
                        self.supplier_id(row.supplier), name, row.item, size, base, row.price, row.sold_by, row.minimum,
                        row.keeps, row.price_from, row.price_until, row.priced, row.preferred, row.place.at("Price"),
                        row.amount.words, self._sealed(name, size, row.amount.words),
                    )
                )  # fmt: skip
        return tuple(found)

    def lots(self) -> tuple[Lot, ...]:
        found = []
        for row in self.rows.stock:
            known = self._food_amount(row.ingredient, row.amount, row.unit)
            if known is not None:
                name, quantity, base = known
                found.append(
                    Lot(
                        name, row.lot, quantity, base, row.best_before, row.opened, row.location,
                        row.source == "donated", row.value, row.hold, row.place.at("Ingredient"),
                        self._sealed(name, quantity, row.amount.words), row.packs or 1,
                    )
                )  # fmt: skip
        return tuple(found)

    def on_order(self) -> tuple[OnOrder, ...]:
        found = []
        for row in self.rows.orders:
            known = self._food_amount(row.ingredient, row.amount, row.unit)
            if known is not None:
                name, size, base = known
                found.append(
                    OnOrder(
                        row.order, self.supplier_id(row.supplier), name, row.item, row.packs - row.received, size, base,
                        row.due, row.best_before, row.place.at("Due"), row.received, row.price,
                        self._sealed(name, size, row.amount.words),
                    )
                )  # fmt: skip
        return tuple(found)

    def swaps(self) -> tuple[Swap, ...]:
        found = []
        for row in self.rows.swaps:
            food = self.foods.find(row.ingredient)
            needs = [self.foods.need(text) for text in row.need]
            instead = None if row.instead is None else self.foods.find(row.instead)
            if food is None or None in needs or (row.instead is not None and instead is None):
                continue
            covers = frozenset(atom for need in needs if need is not None for atom in need.covers)
            need = Need("; ".join(row.need), covers)
            found.append(Swap(food.name, need, instead.name if instead else None, row.ratio, row.unit, row.note))
        return tuple(found)


def _tools(rows: Rows) -> tuple[Tool, ...]:
    found = []
    for row in rows.tools:
        quantity = quantity_of(row.amount, row.unit)
        if quantity is not None and quantity.dimension == "volume":
            found.append(Tool(row.tool, quantity.in_base(rows.settings.measures), row.serves))
    return tuple(found)


def _calendar(rows: Rows) -> Calendar:
    closed: dict[str, set[dt.date]] = {"deliveries": set(), "packing": set()}
    for row in rows.closures:
        last = row.until or row.day
        days = {row.day + dt.timedelta(days=number) for number in range((last - row.day).days + 1)}
        for what, its_days in closed.items():
            if row.what in (what, "all"):
                its_days |= days
    return Calendar(frozenset(rows.settings.open_days), frozenset(closed["deliveries"]), frozenset(closed["packing"]))


class _PeopleIds:
    """Attendance, pick-ups and surveys with every id as first written."""

    def __init__(self, rows: Rows, session_id: _Spellings, members: tuple[Member, ...]) -> None:
        self.rows = rows
        self.session_id = session_id
        self.person_id, self.household_id, self.question_id = _Spellings(), _Spellings(), _Spellings()
        for member in members:
            self.person_id(member.participant)
            self.household_id(member.household)
        for question in rows.questions:
            self.question_id(question.question)

    def attendance(self) -> Sequence[AttendanceRow]:
        rows = self.rows.attendance
        if isinstance(rows, Marks):
            return rows.renamed(self.session_id, self.person_id)
        return tuple(
            dataclasses.replace(row, session=self.session_id(row.session), participant=self.person_id(row.participant))
            for row in rows
        )

    def pick_ups(self) -> tuple[PickUpRow, ...]:
        return tuple(
            dataclasses.replace(row, session=self.session_id(row.session), household=self.household_id(row.household))
            for row in self.rows.pick_ups
        )

    def surveys(self) -> tuple[SurveyRow, ...]:
        return tuple(
            dataclasses.replace(
                row, participant=self.person_id(row.participant), question=self.question_id(row.question)
            )
            for row in self.rows.surveys
        )
