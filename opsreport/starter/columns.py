"""Which sheets and columns a workbook to fill in starts with, and what the notes on its headings say."""

import dataclasses
from collections.abc import Iterator, Mapping
from typing import Final

from opsreport import kinds
from opsreport.contract import default_words, range_words
from opsreport.findings import column_letters
from opsreport.rules import ALL_FAMILIES, FOOD, PEOPLE
from opsreport.sheets import SHEETS, Column, SheetSpec
from opsreport.starter.example import EXAMPLE

OFFERED_ROWS: Final = 2_000
"""Rows of a sheet whose ids are offered in other sheets."""

_TABS: Final = (
    ("Always needed", "#2E7D32", None),
    ("For the whole programme", "#6D6D6D", ALL_FAMILIES),
    ("For orders and packing", "#C77700", FOOD),
    ("For reports", "#3B5BA5", PEOPLE),
)
"""Groups of sheets in the order of the tabs: name, colour of the tab, the families that rest on them (None: core)."""


def table(text: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.split("|")] for line in text.strip("\n").split("\n")]


_EXAMPLE_SETTINGS: Final[Mapping[str, str]] = {row[0]: row[1] for row in table(EXAMPLE["Settings"])}


def tabs() -> Iterator[tuple[str, str, list[SheetSpec]]]:
    """Groups of sheets in the order of the tabs: what they are for, their colour, the sheets."""
    for title, colour, families in _TABS:
        chosen = (spec for spec in SHEETS.values() if (None if spec.core else spec.families) == families)
        yield title, colour, list(chosen)


def columns_of(spec: SheetSpec) -> tuple[Column, ...]:
    """The headings that a sheet starts with, as columns."""
    if spec.shape == "settings":
        first = spec.columns[0]
        blank_column = dataclasses.replace(first, kind=kinds.text, default="", starred=True, refers="")
        return (
            dataclasses.replace(blank_column, heading="Setting", meaning="What is set; leave the names as they are."),
            dataclasses.replace(
                blank_column, heading="Value", meaning="What holds for your programme; blank: as the third column says."
            ),
        )
    if spec.shape == "surveys":
        of = {column.name: column for column in spec.columns}
        answers = (
            dataclasses.replace(
                of["answer"], heading=when.capitalize(), meaning=f"The answer {when} the term.", starred=False,
                required=False, default="",
            )
            for when in ("before", "after")
        )  # fmt: skip
        return (of["participant"], of["question"], *answers)
    if spec.shape == "attendance":
        return tuple(dataclasses.replace(c, required=c.required and c.name != "mark") for c in spec.columns)
    return spec.columns


def offered_range(spec: SheetSpec, column: Column) -> str:
    """The cells whose values a column's cells may name, as a drop-down's source; '' where none are."""
    source = source_of(spec, column)
    if source is None:
        return ""
    named, heading = source
    headings = [other.heading for other in columns_of(SHEETS[named])]
    letters = column_letters(headings.index(heading) + 1)
    return f"={named}!${letters}$2:${letters}${OFFERED_ROWS + 1}"


def source_of(spec: SheetSpec, column: Column) -> tuple[str, str] | None:
    """The sheet and heading whose values a column names, declared or by the same heading."""
    if column.refers:
        return column.refers, SHEETS[column.refers].columns[0].heading
    for kind, named in ((kinds.instead, "Ingredients"), (kinds.funder_shares, "Funders")):
        if column.kind is kind:
            return named, SHEETS[named].columns[0].heading
    if column.kind.name != "id" or column.unique:
        return None
    others = [
        (other, theirs)
        for other in SHEETS.values() for theirs in other.columns
        if theirs.heading == column.heading and theirs.kind.name == "id" and other is not spec
    ]  # fmt: skip
    own = [other.name for other, theirs in others if theirs.unique]
    earlier = [other.name for other, _ in others if other.order < spec.order]
    return next(((name, column.heading) for name in (*own, *earlier)), None)


def note_of(spec: SheetSpec, column: Column) -> str:
    """What the note on a heading says: meaning, what may be typed, what a blank cell means, an example."""
    lines = []
    if column.fill_down:
        lines.append("* Required; a blank cell repeats the one above.")
    elif column.required:
        lines.append("* Required: every row needs it.")
    elif column.starred:
        lines.append("* The heading is required; a cell may be blank.")
    lines.append(column.meaning)
    kind = column.kind
    if kind.choices:
        lines.append(f"Allowed: {', '.join(kind.choices)}.")
    elif kind is not kinds.text:
        lines.append(kind.meaning)
    if bounds := range_words(column):
        lines.append(bounds)
    source = source_of(spec, column)
    if column.refers:
        lines.append(f"Must be in {column.refers}.")
    elif source is not None:
        also = " The built-in catalogue is known too." if source[0] == "Ingredients" else ""
        lines.append(f"Offered from {source[0]}.{also}")
    if spec.shape != "settings" and not column.required:
        lines.append(_when_blank(column))
    if example := _example_cell(spec, column):
        lines.append(f"Example: {example}")
    if column.heading == columns_of(spec)[0].heading and spec.shape in _WIDE:
        lines.append(_WIDE[spec.shape])
    return "\n".join(line for line in lines if line)


_WIDE: Final = {
    "attendance": "Instead, one row a participant is read too: Participant, then one column a session, headed by its "
    "code.",
    "surveys": "Instead, one row a participant and time is read too: Participant, When, then one column a question, "
    "headed by its code.",
}


def setting_meaning(column: Column) -> str:
    """What stands right of a setting: its meaning, what may be typed, what a blank value means."""
    default = default_words(column)
    parts = [column.meaning]
    if column.kind.choices:
        parts.append(f"Allowed: {', '.join(column.kind.choices)}.")
    elif not default and (example := _EXAMPLE_SETTINGS.get(column.heading)):
        parts.append(f"For example {example}.")
    if default:
        parts.append(f"Blank: {default}.")
    return " ".join(parts)


def _when_blank(column: Column) -> str:
    """What a blank cell means, unless the meaning says so itself."""
    default = default_words(column)
    if default and default != "see meaning":
        return f"Blank: {default}."
    if column.meaning == "Overrides Settings.":
        return "Blank: as in Settings."
    said = default or "blank" in column.meaning.casefold() or "default" in column.meaning.casefold()
    return "" if said else "May be blank."


def _example_cell(spec: SheetSpec, column: Column) -> str:
    """What the example holds under a heading, or under the one whose values it names; else the kind's example."""
    if spec.shape == "settings":
        return {"Setting": "Currency", "Value": "USD"}[column.heading]
    source = source_of(spec, column)
    for name, heading in ((spec.name, column.heading), *([source] if source else ())):
        headings, *rows = table(EXAMPLE[name])
        if heading in headings:
            at = headings.index(heading)
            if found := next((row[at] for row in rows if row[at]), ""):
                return found
    return "" if column.kind is kinds.text else column.kind.example
