"""A table's rows as part of a page: cells in words.

End tags and line breaks are left out, as HTML allows, and so is `scope` where a heading's place already says what it
heads.
"""

import datetime as dt
import re
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from functools import cache
from typing import Final

from markupsafe import Markup, escape

from opsreport.money import Currency, Money
from opsreport.shown import day_words, decimal_words, share_words, usual_places
from opsreport.tables.table import NAMING, NUMBERS, Column, Row, Style, Table, Value
from opsreport.write import SHOWN_ALIKE, boxes
from opsreport.write.xlsx import total_lines

_MARKS: Final = {"P": " class=p", "A": " class=a", "E": " class=e", "V": " class=v"}


_ESCAPED: Final = re.compile("[&<>'\"]")


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
        if style == "boxes":
            return boxes(value)
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


def escaped(text: str) -> str:
    """The one escape, as plain text; most texts have nothing to escape."""
    return str(escape(text)) if _ESCAPED.search(text) else text


def class_names(names: Iterable[str]) -> Markup:
    """A class attribute; nothing where there is no name. names: plain words."""
    joined = " ".join(filter(None, names))
    return Markup(f' class="{joined}"' if " " in joined else f" class={joined}" if joined else "")


def row_groups(table: Table) -> Iterator[list[Row]]:
    """Rows in groups that each begin with a heading row; those before the first heading are a group too."""
    group: list[Row] = []
    for row in table.rows:
        if row.emphasis == "heading" and group:
            yield group
            group = []
        group.append(row)
    if group:
        yield group


def head_line(columns: Iterable[Column]) -> Markup:
    """The headings."""
    return Markup(f"<tr>{''.join(f'<th>{escape(column.heading)}' for column in columns)}")


Known = dict[Style, dict[Value, str]]
"""The cells of values that came before on a page, by style."""


def row_lines(
    rows: Iterable[Row],
    columns: tuple[Column, ...],
    currency: Currency,
    way: Callable[[Row], str],
    known: Known | None = None,
) -> Markup:
    """Rows one after the other. way: the address to which a row's first words lead; '' for none. known: of the whole
    page."""
    known = {} if known is None else known
    in_column = [(known.setdefault(column.style, {}), column.style) for column in columns]
    named = columns[0].style in NAMING
    lines = []
    for row in rows:
        opening = f"<tr class={row.emphasis}>" if row.emphasis else "<tr>"
        if row.emphasis == "heading" and all(value in (None, "") for value in row.cells[1:]):
            words = escaped(show(row.cells[0], columns[0].style, currency))
            lines.append(f"{opening}<th scope=rowgroup colspan={len(columns)}>{words}")
            continue
        cells = [
            (type(value) in SHOWN_ALIKE and before.get(value)) or _cell(value, style, currency, before)
            for value, (before, style) in zip(row.cells, in_column, strict=True)
        ]
        if named and row.cells[0]:
            cells[0] = f"<th>{cells[0].removeprefix('<td>')}"
        if address := way(row):
            first = next((at for at, column in enumerate(columns) if row.leads_to or column.style == "text"), None)
            if first is not None:
                tag, _, linked = cells[first].partition(">")
                cells[first] = f'{tag}><a href="{escape(address)}">{linked}</a>'
        lines.append(f"{opening}{''.join(cells)}")
    written = "".join(lines)  # every text is escaped in it
    closing = "</tr>" if written.endswith("<td>") else ""  # or what follows would stand in that cell
    return Markup(written + closing)


def _cell(value: Value, style: Style, currency: Currency, before: dict[Value, str]) -> str:
    """A cell's opening tag and what stands in it; kept in `before` where it will do again."""
    tag = f"<td{_MARKS.get(str(value), '')}>" if style == "mark" else "<td>"
    words = escaped(show(value, style, currency)).replace("\n", "<br>")
    if type(value) in SHOWN_ALIKE:
        before[value] = tag + words
    return tag + words


def totals(table: Table, currency: Currency) -> Markup:
    """The lines under a table: each total in its column, its label over those before it."""
    return Markup("\n".join(_total_line(table, currency)))


@cache
def _right(style: Style) -> Markup:
    """The class attribute of a total, which may stand in no column of its own."""
    return class_names(["right"] if style in NUMBERS else [])


def _total_line(table: Table, currency: Currency) -> Iterator[str]:
    places = {column.heading: index for index, column in enumerate(table.columns)}
    for line in total_lines(table.totals):
        under = {places[total.under]: total for total in line}
        start = min(under)
        label = escape(line[0].label)
        cells = [f"<th scope=row colspan={start} class=right>{label}"] if start else []
        labelled = bool(start)
        for index in range(start, len(table.columns)):
            style = table.columns[index].style
            if index in under:
                cells.append(f"<td{_right(style)}>{escape(show(under[index].value, style, currency))}")
            elif not labelled:
                cells.append(f"<th scope=row>{label}")
                labelled = True
            else:
                cells.append("<td>")
        yield f"<tr>{''.join(cells)}"
