"""A Document as one self-contained, printable .html page: no scripts, nothing fetched."""

import datetime as dt
import posixpath
import re
from collections.abc import Iterator
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from opsreport.money import Currency, Money
from opsreport.places import templates_folder
from opsreport.shown import day_words, decimal_words, share_words, usual_places
from opsreport.tables.table import (
    NUMBERS,
    Column,
    Document,
    Labels,
    Paper,
    Part,
    Picture,
    Row,
    Style,
    Table,
    Value,
)
from opsreport.write import clean
from opsreport.write.label_sheets import label_sheets, stock_style
from opsreport.write.one_page import MARGINS, PAPER, print_sizes
from opsreport.write.page_style import column_classes, page_style
from opsreport.write.svg import svg
from opsreport.write.xlsx import total_lines

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

_MOST_LISTED: Final = 20
"""Parts of a page that are all listed at its top."""


def html_bytes(document: Document, paper: Paper) -> bytes:
    """The document as a page; one document and paper always give the same bytes."""
    return _render("document.html", document, paper)


def index_bytes(document: Document, paper: Paper) -> bytes:
    """The start page: the document's parts, then its links grouped by folder."""
    return _render("index.html", document, paper)


def _render(template: str, document: Document, paper: Paper) -> bytes:
    labels = [isinstance(part, Labels) for part in document.parts]
    page = _environment().get_template(template).render(
        document=document,
        paper=paper,
        currency=paper.currency,
        has_labels=any(labels),
        labels_only=any(labels) and not any(isinstance(part, Table) for part in document.parts),
        folds=_folds(document),
        sizes=print_sizes(document, paper),
        tables=_contents(document),
    )  # fmt: skip
    return clean(page).encode("utf-8")


def _contents(document: Document) -> list[tuple[str, str]]:
    """Ids and titles for a list of what is on the page; of very many parts only those that begin a printed page."""
    titled = [
        (f"part-{number}", part)
        for number, part in enumerate(document.parts, 1)
        if isinstance(part, Table | Labels | Picture)
    ]
    if len(titled) > _MOST_LISTED:
        titled = titled[:1] + [(id_, part) for id_, part in titled[1:] if isinstance(part, Table) and part.page_break]
    return [(id_, part.title) for id_, part in titled]


@cache
def _environment() -> "Environment":
    """The templates, every text escaped, an unknown name refused."""
    import jinja2  # 0.2 s, not wanted by a run that only checks

    environment = jinja2.Environment(
        loader=jinja2.FileSystemLoader(templates_folder()),
        autoescape=True,
        undefined=jinja2.StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        keep_trailing_newline=True,
    )
    environment.filters |= {
        "drawn": _drawn,
        "by_folder": _by_folder,
        "cells": _cells,
        "css_text": _css_text,
        "density": _density,
        "kind": _kind,
        "label_sheets": label_sheets,
        "marked": _marked,
        "page_style": _page_style,
        "relative_to": _relative_to,
        "row_groups": _row_groups,
        "show": show,
        "stock_style": stock_style,
        "table_classes": _table_classes,
        "total_rows": _total_rows,
    }
    return environment


# --- cells ---


def show(value: Value, style: Style, currency: Currency) -> str:
    """A cell's value in words, the same on every machine."""
    if value is None:
        return ""
    if isinstance(value, str):
        return value
    if isinstance(value, dt.date):
        return day_words(value)
    if style == "money":
        return currency.shown(Money(int(value)))
    if style == "percent":
        return share_words(value)
    if style == "number" and not isinstance(value, int):
        return _statistic(float(value))
    if isinstance(value, int):
        return f"{value:,}" if style in NUMBERS else str(value)
    if isinstance(value, Fraction):
        return decimal_words(value, usual_places(value))
    return f"{value:,.3f}".rstrip("0").rstrip(".")


def _statistic(value: float) -> str:
    """A statistic: three decimals below 1, two below 100, else one; tiny ones said so."""
    size = abs(value)
    if 0 < size < 0.0005:
        return "< 0.001" if value > 0 else "≈ 0"
    places = 3 if size < 1 else 2 if size < 100 else 1
    return f"{value:,.{places}f}".replace("-", "−")


@cache
def _marked(style: Style) -> "Markup":
    """The class attribute of a total, which may stand in no column of its own."""
    from markupsafe import Markup

    return Markup(' class="right"' if style in NUMBERS else "")


def _table_classes(table: Table, dense: str) -> "Markup":
    """The class attribute of a table: how densely it is printed, and what its columns hold."""
    from markupsafe import Markup

    names = [*([dense] if dense else []), *column_classes(column.style for column in table.columns)]
    return Markup(f' class="{" ".join(names)}"' if names else "")


def _page_style(body: "Markup") -> "Markup":
    from markupsafe import Markup

    return Markup(page_style(body))


_NAMING: Final[frozenset[Style]] = frozenset({"text", "code", "date"})
"""Styles whose first cell names its row."""


def _cells(row: Row, columns: tuple[Column, ...], currency: Currency) -> "Iterator[tuple[Markup, str, Markup]]":
    """A row's cells: opening tag, what stands in it, closing tag."""
    cell, row_head = _tags()
    for index, (value, column) in enumerate(zip(row.cells, columns, strict=True)):
        opening, closing = row_head if index == 0 and value and column.style in _NAMING else cell
        if column.style == "mark":
            yield _mark_tag(str(value or "")), show(value, "text", currency), closing
        elif column.style == "boxes" and isinstance(value, int):
            yield _boxes_tag(value), _boxes(value), closing
        else:
            yield opening, show(value, column.style, currency), closing


@cache
def _tags() -> "tuple[tuple[Markup, Markup], tuple[Markup, Markup]]":
    """The tags of a cell, and those of one that names its row."""
    from markupsafe import Markup

    return (Markup("<td>"), Markup("</td>")), (Markup('<th scope="row">'), Markup("</th>"))


_MARKS: Final = {"P": " mark-p", "A": " mark-a", "E": " mark-e", "V": " mark-v"}


@cache
def _mark_tag(mark: str) -> "Markup":
    """The opening tag of an attendance mark, shaded by what it is."""
    from markupsafe import Markup

    return Markup(f'<td class="mark{_MARKS.get(mark, "")}">')


@cache
def _boxes_tag(count: int) -> "Markup":
    """The opening tag of a cell of boxes, said as a number to who cannot see them."""
    from markupsafe import Markup

    return Markup(f'<td aria-label="{count} to tick">')


@cache
def _boxes(count: int) -> "Markup":
    from markupsafe import Markup

    return Markup("<i></i>" * count)


def _drawn(picture: Picture, id_: str) -> "Markup":
    from markupsafe import Markup

    return Markup(svg(picture, id_))  # every text in it is escaped there


def _kind(part: Part) -> str:
    return type(part).__name__


def _row_groups(table: Table) -> Iterator[list[Row]]:
    """Rows in groups that each begin with a heading row; those before the first heading are a group too."""
    group: list[Row] = []
    for row in table.rows:
        if row.emphasis == "heading" and group:
            yield group
            group = []
        group.append(row)
    if group:
        yield group


def _folds(document: Document) -> dict[tuple[str, str], str]:
    """The id of every group that folds out, by its table's sheet and its heading's first cell."""
    return {
        (part.sheet, str(group[0].cells[0])): f"fold-{number}-{place}"
        for number, part in enumerate(document.parts, 1)
        if isinstance(part, Table) and part.folds
        for place, group in enumerate(_row_groups(part), 1)
    }


@dataclass(frozen=True, slots=True)
class _TotalCell:
    """A cell of a totals line: its label over `span` columns, a value, or nothing."""

    label: str | None = None
    span: int = 1
    right: bool = False
    column: Column | None = None
    value: Value = None


def _total_rows(table: Table) -> Iterator[list[_TotalCell]]:
    places = {column.heading: index for index, column in enumerate(table.columns)}
    for line in total_lines(table.totals):
        under = {places[total.under]: total for total in line}
        start = min(under)
        cells = [_TotalCell(line[0].label, start, right=True)] if start else []
        free = [index for index in range(len(table.columns)) if index not in under]
        for index in range(start, len(table.columns)):
            if index in under:
                cells.append(_TotalCell(column=table.columns[index], value=under[index].value))
            elif not start and index == free[0]:
                cells.append(_TotalCell(line[0].label))
            else:
                cells.append(_TotalCell())
        yield cells


def _density(table: Table, document: Document, paper: Paper) -> str:
    """Smaller print for a table wider than the paper: '', `dense` or `denser`."""
    inches = PAPER[paper.size][document.landscape] - MARGINS[0]
    wanted = sum(max(column.width, 3) + 2 for column in table.columns)
    ratio = wanted / (inches * 15)
    return "" if ratio <= 1 else "dense" if ratio <= 1.3 else "denser"


# --- links and page texts ---


def _relative_to(path: str, document_path: str) -> str:
    """A path from the run's folder, as the page at `document_path` must write it."""
    return quote(posixpath.relpath(path, posixpath.dirname(document_path) or "."), safe="/")


def _by_folder(document: Document) -> list[tuple[str, list[tuple[str, list[tuple[str, str]]]]]]:
    """Links in groups, by folder and by the day in the file's name; in a group by document: its words and its forms,
    page before spreadsheet."""
    groups: dict[str, dict[str, tuple[str, list[tuple[str, str]]]]] = {}
    for text, path in document.links:
        stem, ending = posixpath.splitext(path)
        folder = posixpath.dirname(path)
        title = folder.replace("/", ", ").capitalize() or "Beside this page"
        if dated := re.match(r"\d{4}-\d\d-\d\d(?=-)", posixpath.basename(path)):
            title = f"{title}, {day_words(dt.date.fromisoformat(dated[0]))}"
            text = text.partition(", ")[0]
        elif text.startswith("Purchase order "):
            title = f"{title}: purchase orders"
            text = text.removeprefix("Purchase order ")
        whole = stem if ending in _FORMS else path
        _, forms = groups.setdefault(title, {}).setdefault(whole, (text, []))
        forms.append((_FORMS.get(ending, ending.lstrip(".")), path))
    order = list(_FORMS.values())
    return [
        (
            title,
            [
                (
                    text,
                    sorted(forms, key=lambda form: order.index(form[0]) if form[0] in order else len(order)),
                )
                for text, forms in files.values()
            ],
        )
        for title, files in groups.items()
    ]


_FORMS: Final = {".html": "page", ".xlsx": "spreadsheet"}


def _css_text(text: str) -> "Markup":
    """A CSS string: every character but plain letters, digits and spaces as its code."""
    from markupsafe import Markup

    plain = " ".join(clean(text).split())
    escaped = re.sub(r"[^A-Za-z0-9 ]", lambda found: f"\\{ord(found[0]):x} ", plain)
    return Markup(f'"{escaped}"')  # nothing that means anything in HTML or CSS is left
