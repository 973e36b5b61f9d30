"""A Document as one self-contained, printable .html page: no scripts, nothing fetched."""

import datetime as dt
import posixpath
import re
from collections.abc import Mapping
from functools import cache
from typing import TYPE_CHECKING, Final
from urllib.parse import quote

from opsreport.money import Currency
from opsreport.places import templates_folder
from opsreport.shown import day_words
from opsreport.tables.table import Document, Labels, Paper, Part, Picture, Row, Style, Table
from opsreport.write import clean
from opsreport.write.html_table import Known, class_names, head_line, row_groups, row_lines, show, totals
from opsreport.write.label_sheets import label_sheets, stock_style
from opsreport.write.one_page import MARGINS, PAPER, print_sizes
from opsreport.write.page_style import UNBROKEN, Shapes, css_text, page_style, shape, shapes_of, size_class
from opsreport.write.svg import svg
from opsreport.write.text_width import measured, text_width

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

_NARROW: Final = 34.0
"""A table that can do with so much fits on any screen on which its rows stand as rows: 40rem less the page's padding,
and less a tenth for type that is wider than ours [of the type's size]."""
_PADDING: Final = 1.0
"""Left and right in a cell together, as templates/style.css sets it [of the type's size]."""
_LEAST: Final[dict[Style, float]] = {"mark": 2.2, "write-in": 5.0}
"""Cells that are never narrower, as templates/style.css and page_style.py set it [of the type's size]."""
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
    folds = _folds(document)
    sizes = print_sizes(document, paper)
    known: Known = {}

    def way(row: Row) -> str:
        return _way(row, folds, document)

    def lines(rows: list[Row], part: Table) -> "Markup":
        return row_lines(rows, part.columns, paper.currency, way, known)

    page = _environment().get_template(template).render(
        document=document,
        paper=paper,
        currency=paper.currency,
        has_labels=any(labels),
        labels_only=any(labels) and not any(isinstance(part, Table) for part in document.parts),
        folds=folds,
        lines=lines,
        shapes=shapes_of(
            (part, place in sizes) for place, part in enumerate(document.parts) if isinstance(part, Table)
        ),
        sizes=sizes,
        tables=_contents(document),
    )  # fmt: skip
    return clean(page).replace("&#39;", "'").encode("utf-8")  # no attribute is quoted by it


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
        "class_names": class_names,
        "css_text": _css_text,
        "density": _density,
        "head_line": head_line,
        "is_wide": _is_wide,
        "kind": _kind,
        "label_sheets": label_sheets,
        "page_style": _page_style,
        "relative_to": _relative_to,
        "row_groups": row_groups,
        "shape": shape,
        "size_class": size_class,
        "stock_style": stock_style,
        "totals": totals,
    }
    return environment


# --- parts ---


def _page_style(body: "Markup", shapes: Shapes) -> "Markup":
    from markupsafe import Markup

    return Markup(page_style(body, shapes))


def _css_text(text: str) -> "Markup":
    from markupsafe import Markup

    return Markup(css_text(text))


def _drawn(picture: Picture, id_: str) -> "Markup":
    from markupsafe import Markup

    return Markup(svg(picture, id_))  # every text in it is escaped there


def _is_wide(table: Table, currency: Currency) -> bool:
    """Whether the table may be wider than a small screen on which it still stands as a table."""
    headings = [max(measured(each.heading, bold=True).longest_word, _LEAST.get(each.style, 0.0)) + _PADDING
                for each in table.columns]  # fmt: skip
    least = sum(headings)
    rows = [row.cells for row in table.rows if row.emphasis != "heading"]
    for place, column in enumerate(table.columns):
        if least > _NARROW:
            break
        shown = {show(value, column.style, currency) for value in {cells[place] for cells in rows}}
        words = shown if column.style in UNBROKEN else {word for text in shown for word in text.split()}
        widest = max((text_width(word, bold=True) for word in words), default=0.0)
        least += max(widest + _PADDING - headings[place], 0.0)
    return least > _NARROW


def _kind(part: Part) -> str:
    return type(part).__name__


def _folds(document: Document) -> dict[tuple[str, str], str]:
    """The id of every group that folds out, by its table's sheet and its heading's first cell."""
    return {
        (part.sheet, str(group[0].cells[0])): f"f{number}-{place}"
        for number, part in enumerate(document.parts, 1)
        if isinstance(part, Table) and part.folds
        for place, group in enumerate(row_groups(part), 1)
    }


def _way(row: Row, folds: Mapping[tuple[str, str], str], document: Document) -> str:
    """The address to which a row's first words lead, as the document's page must write it; '' for none."""
    if row.leads_to is not None and row.leads_to in folds:
        return f"#{folds[row.leads_to]}"
    return _relative_to(row.links_to, document.path) if row.links_to else ""


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
