"""How the cells, headings, notes and drop-downs of a workbook to fill in look; all of it from the declarations."""

import textwrap
from collections.abc import Mapping
from typing import Any, Final

from opsreport import kinds
from opsreport.kinds import Kind
from opsreport.sheets import Column, SheetSpec
from opsreport.starter.columns import offered_range, source_of
from opsreport.starter.contents import number_format
from opsreport.write import cut
from opsreport.write.sheet_looks import SOFT, WASH

_LONGEST_OFFER: Final = 255
"""A spreadsheet takes no longer list of words written into a drop-down [characters]."""

Look = Mapping[str, Any]

FONT: Final[Look] = {"font_name": "Arial", "font_size": 11, "valign": "top"}
DARK: Final = "#404040"

HEADING: Final[Look] = {"bold": True, "text_wrap": True, "valign": "bottom", "bg_color": WASH, "top": 1, "bottom": 2}
_REQUIRED: Final[Look] = {"bg_color": DARK, "font_color": "#FFFFFF"}
QUIET: Final[Look] = {"font_color": SOFT, "text_wrap": True}
FURTHER: Final[Look] = {"text_wrap": True}
FURTHER_WIDTH, MEANING_WIDTH = 24.0, 92.0
_WIDE_KINDS: Final = ("text", "list of recipes", "list of needs", "list of funders", "list", "list of allergens")


def column_look(kind: Kind[Any]) -> Look:
    wrap = {"text_wrap": True} if kind.name in _WIDE_KINDS else {}
    right = {"align": "right", "indent": 1} if _is_quantity(kind) else {}
    return {"num_format": number_format(kind), **wrap, **right}


def _is_quantity(kind: Kind[Any]) -> bool:
    return kind.number_format != "General" or kind.name in ("amount", "number", "percent or number")


def heading_look(column: Column) -> Look:
    right = {"align": "right", "indent": 1} if _is_quantity(column.kind) else {}
    return {**HEADING, **right, **(_REQUIRED if column.required or column.starred else {})}


def width(spec: SheetSpec, column: Column) -> float:
    """Width in characters: what its kind usually holds, never less than the heading's longest word."""
    if spec.shape == "settings":
        return {"Setting": 20, "Value": 40}[column.heading]
    kind = column.kind
    usual = {"date": 13, "id": 16, "text": 24, "amount": 10, "money": 11, "time": 9, "whole number": 9, "days": 9}
    width = 30 if kind.name.startswith("list of") else usual.get(kind.name, 12)
    sentence = kind is kinds.text and column.required and not column.unique and column.heading == "Text"
    return max(56 if sentence else width, max(map(len, column.heading.split())) * 1.2 + 3)


def lines_of(text: str, width: float) -> int:
    return len(textwrap.wrap(text, max(int(width), 1)))


def note_size(note: str) -> Mapping[str, Any]:
    """A note as large as what it says [pixels]."""
    lines = sum(len(textwrap.wrap(line, 42)) or 1 for line in note.split("\n"))
    return {"width": 270, "height": lines * 16 + 14, "font_name": "Arial", "font_size": 9, "color": "#FFFBE6"}


def offer(page: Any, spec: SheetSpec, column: Column, rows: range, at: int) -> None:
    """A drop-down where values come from a list or from another sheet; every other value may be typed.

    A value outside a list of words that alone may stand there is asked about, and one that its kind reads
    though the list does not offer it (`✓`, `tbs`) is remarked upon. An id that must be on another
    sheet is asked about; one that may be defined nowhere or in the catalogue passes, as do cells of several entries.
    """
    source: list[str] | str = offered_range(spec, column) or list(column.kind.choices)
    if not source or (isinstance(source, list) and len(",".join(source)) > _LONGEST_OFFER):
        return
    several = column.kind.name.startswith("list")
    closed = bool(column.refers) or " or " in column.kind.name
    named = source_of(spec, column)
    said = f"It is not in {named[0]} yet." if named else f"Usual here: {', '.join(column.kind.choices)}."
    refused = page.data_validation(
        rows.start, at, rows.stop - 1, at,
        {
            "validate": "list",
            "source": source,
            "error_type": "warning" if closed else "information",
            "error_title": "Not in the list",
            "error_message": cut(said, _LONGEST_OFFER - 30),
            "show_error": not several and (not named or bool(column.refers)),
        },
    )  # fmt: skip
    if refused:
        raise ValueError(f"the drop-down of {spec.name} {column.heading} was refused ({refused})")
