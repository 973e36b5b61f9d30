"""A packing day counted again: which kits can be full, what is missing, who goes short, what could stand in."""

from collections.abc import Sequence
from typing import Final

from opsreport.measures.kitchen import kitchen_words
from opsreport.plan.packing.recount import SHORT, FoodShort, Recount
from opsreport.plan.packing.stopgaps import Stopgap
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.naming import counted, head_line, listed
from opsreport.tables.packing.cautions import DEFER
from opsreport.tables.shelf_words import bought_words, there_words, to_take_words
from opsreport.tables.table import Column, Document, Part, Prose, Row, Table

CHOICE: Final = (
    "Demo kits give up first, then spare kits. Then as many households as possible are served; among ways to serve "
    "as many, kits with swaps come before standard ones, then those who went short before, then those who "
    "joined earlier, then household codes in order. Size of family and attendance never count."
)
SWAPS_FIRST: Final = (
    "Demo kits give up first, then spare kits. Kits with swaps are filled before standard ones, as many as possible; "
    "among ways to fill as many, those who went short before come first, then those who joined earlier, then "
    "household codes in order. Size of family and attendance never count."
)
_KITS: Final = (
    Column("Kit", "code", 10),
    Column("Planned", "count", 8),
    Column("Pack now", "count", 8),
    Column("Households", "count", 10),
    Column("Spare", "count", 7),
    Column("Demo", "count", 7),
    Column("Short", "count", 7),
    Column("If only these were packed", "count", 12),
    Column("Stopped there by", width=24),
)
_FOODS: Final = (
    Column("Food", width=26),
    Column("Needed", "amount", 11),
    Column("There", "amount", 11),
    Column("Missing", "amount", 11),
    Column("Unit", width=6),
    Column("Missing, in words", width=24),
    Column("Full kits with it that it is enough for", "count", 12),
)
_PICK_UPS: Final = (
    Column("Session", "code", 12),
    Column("Household", "code", 14),
    Column("Kit", width=10),
    Column("Reason", width=30),
)
_GAPS: Final = (
    Column("Short", width=20),
    Column("Could stand in", width=22),
    Column("There", width=20),
    Column("Each kit gets", width=30),
    Column("Kits that may get it", width=22),
    Column("Never for", width=16),
    Column("More full kits", width=16),
)
_ONCE: Final = (Column("Session", "code", 12), Column("Food", width=26), Column("Missing", width=24))


def recount_document(programme: Programme, found: Recount, gaps: Sequence[Stopgap]) -> Document:
    """The answer first, then kits, foods, stopgaps, and rows for Pick-ups; codes only, no needs."""
    lines = answer_lines(programme, found, gaps)
    parts: list[Part] = [Prose(tuple(lines), "The answer", "plain" if found.packed == found.planned else "warning")]
    parts += [_kits(found), _foods(programme, found)]
    if found.once_short:
        parts.append(_once(programme, found))
    if found.foods_short:
        parts.append(_gaps(programme, gaps))
    parts.append(_pick_ups(found))
    if found.uncounted:
        parts.append(Prose((f"Taken to be there as planned: {', '.join(found.uncounted)}.",), "Not counted"))
    return Document(
        f"recount-{found.day.isoformat()}",
        f"Recount, {day_words(found.day)}",
        "the coordinator",
        tuple(parts),
        head_line(programme),
        landscape=True,
        leaves=True,
    )


def answer_lines(programme: Programme, found: Recount, gaps: Sequence[Stopgap]) -> list[str]:
    """The whole answer in a few sentences, for the head of the page and for the terminal."""
    claims = sum(len(each.sort.claims) for each in found.sorts)
    served = sum(each.households for each in found.sorts)
    spare = (sum(each.spare for each in found.sorts), sum(each.sort.spare for each in found.sorts))
    demo = (sum(each.demo for each in found.sorts), sum(each.sort.demo for each in found.sorts))
    lines = [
        f"{found.packed} of {counted(found.planned, 'kit')} can be full: {served} of {claims} for households and "
        f"tables, {spare[0]} of {spare[1]} spare, {demo[0]} of {demo[1]} demo."
    ]
    if found.foods_short:
        lines.append(_stopper_words(programme, found.foods_short[0]))
    else:
        lines.append("Nothing that was counted is short.")
    lines += _other_way(found)
    lines += [
        f"{each.sort.code}: pack {each.packed} of {each.sort.kits}."
        for each in found.sorts
        if each.packed < each.sort.kits
    ]
    lines += [_gap_words(gap) for gap in gaps if gap.more]
    if not found.proven:
        lines.append("The search was cut short: a better choice may exist.")
    if found.uncounted:
        lines.append(f"Not counted, taken to be there as planned: {listed(found.uncounted)}.")
    return lines


def _other_way(found: Recount) -> list[str]:
    """What the other choice would have done, where it differs."""
    here = (
        sum(each.households for each in found.sorts),
        sum(each.households for each in found.sorts if each.sort.has_swaps),
    )
    if found.other_way == here:
        return []
    served, with_swaps = found.other_way
    return [
        f"{'Serving most households' if found.swaps_first else 'Filling kits with swaps'} first would serve {served}, "
        f"{with_swaps} of them with swaps, against {here[0]} and {here[1]} here"
        + ("." if found.swaps_first else ": --swaps-first.")
    ]


def _stopper_words(programme: Programme, first: FoodShort) -> str:
    there = there_words(programme, first.food, first.there)
    needed, missing = (to_take_words(programme, first.food, amount) for amount in (first.needed, first.missing))
    without = f" {counted(first.kits_without, 'kit')} without it." if first.kits_without else ""
    return (
        f"First to run out: {first.food}: {there} there, {needed} needed, {missing} short; "
        f"it is enough for {counted(first.kits_possible - first.kits_without, 'full kit')} with it.{without}"
    )


def _gap_words(gap: Stopgap) -> str:
    return (
        f"{gap.instead} instead of {gap.short}, as Swaps allows, fills {counted(gap.more or 0, 'more kit')} "
        f"(for {', '.join(gap.per_kit)})."
    )


def _kits(found: Recount) -> Table:
    rows = tuple(
        Row(
            (
                each.sort.code, each.sort.kits, each.packed, each.households, each.spare, each.demo,
                each.sort.kits - each.packed, each.alone, each.stopper,
            ),
            "warning" if each.packed < each.sort.kits else "",
        )
        for each in found.sorts
    )  # fmt: skip
    choice = SWAPS_FIRST if found.swaps_first else CHOICE
    return Table("Kits", "Kits to pack", _KITS, rows, notes=(choice, "Amounts in a kit are never cut to fill more."))


def _foods(programme: Programme, found: Recount) -> Table:
    rows = tuple(
        Row(
            (
                each.food, each.needed, each.there, each.missing, each.unit,
                to_take_words(programme, each.food, each.missing), each.kits_possible - each.kits_without,
            ),
            "warning" if number == 0 else "",
        )
        for number, each in enumerate(found.foods_short)
    )  # fmt: skip
    return Table(
        "Missing", "What is missing for every kit", _FOODS, rows, empty="Nothing that was counted is short.",
        notes=(
            "The first to run out stands first. Needed is what the kits hold, without packing loss; There is what is "
            "good through the session and the days after it that Settings asks for.",
        ),
    )  # fmt: skip


def _once(programme: Programme, found: Recount) -> Table:
    rows = tuple(
        Row((session, food, to_take_words(programme, food, missing)), "warning")
        for session, food, missing, _ in found.once_short
    )
    return Table("Once a session", "Missing for what is packed once a session", _ONCE, rows)


def _gaps(programme: Programme, gaps: Sequence[Stopgap]) -> Table:
    return Table(
        "Stopgaps",
        "What the pantry could stand in with",
        _GAPS,
        tuple(_gap_row(programme, gap) for gap in gaps),
        notes=(
            "More full kits is worked out for one line at a time. A kit that gets something else gets a new label and "
            "a new recipe card: read the package's label, change what it contains, ask the coordinator. "
            "Kits under “Never for” may hold someone who must not get it.",
            DEFER,
        ),
        empty="Nothing in Stock or counted stands in.",
    )


def _gap_row(programme: Programme, gap: Stopgap) -> Row:
    measures = programme.measures
    amounts: dict[str, list[str]] = {}
    for code, quantity in gap.per_kit.items():
        amounts.setdefault(kitchen_words(quantity, measures), []).append(code)
    each = "; ".join(f"{words} ({', '.join(codes)})" for words, codes in amounts.items())
    return Row(
        (
            gap.short,
            gap.instead,
            bought_words(gap.there, gap.unit, measures),
            each or ("amount not known" if gap.allowed else "alike by name only: decide how much"),
            ", ".join(gap.fits) or "none",
            ", ".join(gap.never) or "—",
            "—" if gap.more is None else str(gap.more),
        )
    )


def _pick_ups(found: Recount) -> Table:
    """Households by code; not what ran out, since what is in their kit may tell what they must not get."""
    rows = sorted(
        (claim.session, claim.holder, SHORT, "could not be packed")
        for each in found.sorts
        for claim in each.short
        if claim.holder
    )
    nameless = sum(not claim.holder for each in found.sorts for claim in each.short)
    return Table(
        "Pick-ups",
        "Who goes short: rows for Pick-ups",
        _PICK_UPS,
        tuple(Row(row) for row in rows),  # by session and code: their order tells nothing of a kit
        intro=("Paste these into the workbook: who goes short today comes first another time.",) if rows else (),
        notes=(f"Besides, {counted(nameless, 'kit')} or table box of nobody in particular: see Kits.",)
        if nameless
        else (),
        empty="No household goes short.",
    )
