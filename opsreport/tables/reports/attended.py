"""What attendance adds up to besides marks: people by what they state, who stayed, every kit, what a unit costs."""

from collections.abc import Iterator

from opsreport.money import Money
from opsreport.plan.buying.costs import NOBODY
from opsreport.plan.people_model import PeoplePlan, SessionCost, SessionKitsGiven
from opsreport.programme import Programme
from opsreport.tables.naming import group_words
from opsreport.tables.reports.definitions import FOOD_COST_WORDS
from opsreport.tables.table import Column, Row, Table, Total, money_cell
from opsreport.words import fold


def breakdown_tables(people: PeoplePlan) -> Iterator[Table]:
    """People of the whole programme by each Report-by column; those who state nothing are a row of their own."""
    for heading, rows in people.breakdowns.items():
        yield Table(
            f"By {heading}",
            f"People by {heading.casefold()}",
            (
                Column(heading, width=28),
                Column("People", "count", 10),
                Column("Contacts", "count", 10),
                Column("Completers", "count", 11),
            ),
            tuple(Row((row.value, row.people, row.contacts, row.completers)) for row in rows),
            totals=tuple(
                Total(
                    name.casefold(), "All", name, sum(getattr(row, name.casefold()) for row in rows), f"SUM([{name}])"
                )
                for name in ("People", "Contacts", "Completers")
            ),
            empty="Nobody was present yet.",
        )


def retention_table(programme: Programme, people: PeoplePlan) -> Table:
    """Session by session of each group: who came, and who had not come for the last time yet."""
    rows: list[Row] = []
    group = None
    for each in people.retention:
        if each.group != group:
            group = each.group
            rows.append(Row((group_words(programme, group), None, None, None), "heading"))
        rows.append(Row((each.number, each.present, each.still, each.still / each.ever if each.ever else None)))
    return Table(
        "Who stayed",
        "Who stayed, by number of the session",
        (
            Column("Session number", "count", 14),
            Column("Present", "count", 10),
            Column("Came then or later", "count", 14),
            Column("Of those ever present", "percent", 14),
        ),
        tuple(rows),
        notes=(
            "Visits apart. Came then or later: people whose last time was this session or a later one. At the "
            "sessions held last it can still rise, as somebody who stayed away may come again.",
        )
        if rows
        else (),
        empty="No session has been delivered yet.",
    )


_KITS = (
    ("Packed", "packed"), ("Spare", "spare"), ("Collected", "collected"), ("Passed on", "passed_on"), ("Left", "left"),
    ("Discarded", "discarded"), ("Not accounted for", "unaccounted"), ("Demo", "demo"),
)  # fmt: skip


def kits_table(programme: Programme, people: PeoplePlan) -> Table:
    """Every kit of every delivered session: what was packed against what became of it."""
    return Table(
        "Kits given out",
        "What became of the kits",
        (
            Column("Date", "date", 16),
            Column("Session", "code", 10),
            Column("Group", width=24),
            *(
                Column(
                    heading, "count", 10,
                    "[Packed]+[Spare]-[Collected]-[Passed on]-[Left]-[Discarded]" if what == "unaccounted" else "",
                )
                for heading, what in _KITS
            ),
        ),
        tuple(
            Row(
                (each.day, each.session, group_words(programme, each.group), *(getattr(each, w) for _, w in _KITS)),
                "warning" if each.unaccounted else "",
            )
            for each in people.kits
        ),
        totals=tuple(
            Total(what, "All", heading, _sum(people.kits, what), f"SUM([{heading}])") for heading, what in _KITS
        )
        if people.kits
        else (),
        notes=(
            "Packed: one a household (or participant) on the list that day, or the session's Kits. Not accounted for: "
            "packed and spare kits of which nothing is recorded; below zero more are recorded than were packed. Demo "
            "kits stay with the instructor and are in none of the other columns. Empty: nobody recorded it.",
        ),
        empty="No kit was packed for a delivered session.",
    )  # fmt: skip


def _sum(kits: tuple[SessionKitsGiven, ...], what: str) -> int:
    return sum(getattr(each, what) or 0 for each in kits)


_UNITS = {
    "kit": "kit, spare and demo kits included",
    "contact": "expected contact",
    "participant": "expected participant",
    "completer": "expected completer",
}
_HELD_UNITS = {
    "kit": "kit packed, spare and demo kits included",
    "contact": "contact",
    "participant": "participant",
    "completer": "completer",
}
_COSTS = (("Orders that came", "received"), ("Orders on their way", "coming"), ("Orders to place", "planned"))


def cost_tables(programme: Programme, people: PeoplePlan) -> Iterator[Table]:
    """Food and in-kind value by funder and by unit; nothing where orders were stopped."""
    if not people.charged:
        return
    names = {fold(row.funder): row.name or row.funder for row in programme.funders}
    yield Table(
        "Charged to funders",
        "Food cost and donated food, by who bears it",
        (
            Column("Funder", width=36),
            Column("Food cost", "money", 14),
            Column("Of sessions delivered", "money", 14),
            Column("In-kind value", "money", 14),
        ),
        tuple(
            Row(
                (
                    names.get(fold(each.funder), each.funder) if each.funder != NOBODY else "Unassigned",
                    money_cell(each.food), money_cell(each.held), money_cell(each.in_kind),
                )
            )
            for each in people.charged
        ),
        totals=(
            Total("food", "All", "Food cost", sum(each.food for each in people.charged), "SUM([Food cost])"),
            Total(
                "held", "All", "Of sessions delivered", sum(each.held for each in people.charged),
                "SUM([Of sessions delivered])",
            ),
            Total(
                "in_kind", "All", "In-kind value", sum(each.in_kind for each in people.charged), "SUM([In-kind value])"
            ),
        ),
        notes=(
            FOOD_COST_WORDS,
            "By the session's date, the first and last day of a period included. Unassigned: sessions of groups that "
            "no funder pays for, or held on days outside their funder's period, and packs that no session takes; it is "
            "nobody's and moved to nobody.",
        ),
    )  # fmt: skip
    yield Table(
        "Food cost by session",
        "Food cost by session, and where it comes from",
        (
            Column("Date", "date", 16),
            Column("Session", "code", 10),
            Column("Group", width=24),
            *(Column(heading, "money", 12) for heading, _ in _COSTS),
            Column("Food cost", "money", 12, "[Orders that came]+[Orders on their way]+[Orders to place]"),
            Column("In-kind value", "money", 12),
        ),
        tuple(_session_cost(programme, each) for each in people.session_costs),
        totals=tuple(
            Total(what, "All", heading, sum(getattr(each, what) for each in people.session_costs), f"SUM([{heading}])")
            for heading, what in (*_COSTS, ("Food cost", "food"), ("In-kind value", "in_kind"))
        )
        if people.session_costs
        else (),
        empty="No food is charged to any session.",
    )  # fmt: skip
    yield Table(
        "Cost of one",
        "What one kit, contact, participant and completer costs",
        (
            Column("One", width=36),
            Column("How many", "amount", 12),
            Column("Food cost", "money", 12),
            Column("Food cost of one", "money", 12),
            Column("In-kind value", "money", 12),
            Column("In-kind value of one", "money", 12),
        ),
        tuple(
            Row(
                (
                    (_HELD_UNITS if each.held else _UNITS)[each.unit], each.units, money_cell(each.food),
                    _money(each.food_each), money_cell(each.in_kind), _money(each.in_kind_each),
                )
            )
            for each in people.unit_costs
        ),
        notes=(
            "Expected: of the sessions to come that food is charged to, and of nobody else: contacts and participants "
            "are those on their lists, completers as many of these as have completed so far of all who came. The "
            "others: of the sessions delivered that food is charged to: who came to them, and the kits packed for "
            "them.",
        ),
    )  # fmt: skip


def _session_cost(programme: Programme, cost: SessionCost) -> Row:
    session = programme.sessions[cost.session]
    return Row(
        (
            session.day, cost.session, group_words(programme, session.group),
            *(money_cell(getattr(cost, what)) for _, what in _COSTS), money_cell(cost.food), money_cell(cost.in_kind),
        )
    )  # fmt: skip


def _money(money: Money | None) -> int | None:
    return None if money is None else money_cell(money)
