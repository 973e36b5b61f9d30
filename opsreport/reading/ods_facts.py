"""The facts of every table of an .ods file."""

import re
from collections.abc import Mapping

from opsreport.reading.sheet_facts import MOST_CELLS, Facts, Faulty, parse_xml
from opsreport.reading.zipped import Unusable, Zipped, too_large


class _OdsParser:
    """Facts of every table of an .ods file's content, and the number formats of its cells."""

    def __init__(self) -> None:
        self.facts: dict[str, Facts] = {}
        self.formats: dict[str, dict[tuple[int, int], str]] = {}
        self.codes: dict[str, str] = {}
        self.cell_styles: dict[str, str] = {}
        self.table = ""
        self.row = self.column = self.row_span = self.span = 0
        self.column_styles: list[tuple[int, str]] = []
        self.number_style = self.table_style = ""
        self.hidden_tables: set[str] = set()
        self.row_hidden = False
        self.cell: dict[str, str] | None = None
        self.text = ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag in ("number:number-style", "number:percentage-style", "number:currency-style"):
            self.number_style = attributes.get("style:name", "")
            self.codes[self.number_style] = "%" if "percentage" in tag else ""
        elif tag == "number:number" and self.number_style and not self.codes[self.number_style]:
            digits = attributes.get("number:min-integer-digits", "1")
            if digits.isdigit() and 1 < int(digits) < 20 and not int(attributes.get("number:decimal-places", "0")):
                self.codes[self.number_style] = "0" * int(digits)
        elif tag == "style:style" and attributes.get("style:family") == "table-cell":
            self.cell_styles[attributes.get("style:name", "")] = attributes.get("style:data-style-name", "")
        elif tag == "style:style" and attributes.get("style:family") == "table":
            self.table_style = attributes.get("style:name", "")
        elif tag == "style:table-properties" and attributes.get("table:display") == "false":
            self.hidden_tables.add(self.table_style)
        elif tag == "table:table":
            self.table = attributes.get("table:name", "")
            self.facts[self.table] = Facts(hidden=attributes.get("table:style-name") in self.hidden_tables)
            self.formats[self.table] = {}
            self.row = self.row_span = 0
            self.column_styles = []
        elif tag == "table:table-column":
            repeated = _repeated(attributes, "table:number-columns-repeated")
            self.column_styles.append((repeated, attributes.get("table:default-cell-style-name", "")))
        elif tag == "table:table-row":
            self.row += self.row_span or 1
            self.row_span = _repeated(attributes, "table:number-rows-repeated")
            self.column = self.span = 0
            self.row_hidden = attributes.get("table:visibility", "visible") != "visible"
        elif tag in ("table:table-cell", "table:covered-table-cell"):
            self.column += self.span or 1
            self.span = _repeated(attributes, "table:number-columns-repeated")
            self.cell, self.text = attributes, ""

    def data(self, text: str) -> None:
        if self.cell is not None and len(self.text) < 1000:
            self.text += text

    def end(self, tag: str) -> None:
        if tag.startswith("number:") and tag.endswith("-style"):
            self.number_style = ""
        elif tag == "table:table":
            self.table = ""
        elif tag in ("table:table-cell", "table:covered-table-cell") and self.cell is not None and self.table:
            self._cell(self.cell)
            self.cell = None

    def _cell(self, cell: dict[str, str]) -> None:
        kind = cell.get("calcext:value-type") or cell.get("office:value-type", "")
        shown = self.text.strip()
        formula = cell.get("table:formula", "")
        if not (kind or shown or formula):
            return
        found = self.facts[self.table]
        found.cells += self.span * self.row_span
        found.rows = max(found.rows, self.row + self.row_span - 1)
        if self.row_hidden and self.row not in found.hidden_rows[-1:]:
            found.hidden_rows.append(self.row)
        found.columns = max(found.columns, self.column + self.span - 1)
        if found.cells > MOST_CELLS:
            raise too_large()
        fault = None
        if kind == "error" or (formula and re.fullmatch(r"#[A-Z0-9/]+[!?]?|Err:[0-9]+", shown)):
            fault = Faulty("error", shown or "#?")
        elif formula and not kind and not shown:
            fault = Faulty("unsaved", "=" + formula.partition("=")[2])
        code = "%" if kind == "percentage" else ""
        if not code and kind == "float":
            code = self.codes.get(self.cell_styles.get(cell.get("table:style-name") or self._column_style(), ""), "")
        if fault is not None or code:
            for row in range(self.row, self.row + self.row_span):
                for column in range(self.column, self.column + self.span):
                    if fault is not None:
                        found.faults[row, column] = fault
                    if code:
                        self.formats[self.table][row, column] = code

    def _column_style(self) -> str:
        left = self.column
        for repeated, style in self.column_styles:
            left -= repeated
            if left <= 0:
                return style
        return ""


def _repeated(attributes: Mapping[str, str], name: str) -> int:
    number = attributes.get(name, "1")
    return max(int(number), 1) if number.isdigit() and len(number) < 9 else 1


def ods_facts(zipped: Zipped) -> dict[str, Facts]:
    if b"encryption-data" in zipped.read("META-INF/manifest.xml"):
        raise Unusable("The workbook is protected by a password: save a copy without one.")
    reader = _OdsParser()
    for part in ("styles.xml", "content.xml"):
        if content := zipped.read(part):
            parse_xml(content, reader.start, reader.end, reader.data)
    for name, found in reader.facts.items():
        found.formats = lambda name=name: reader.formats[name]  # type: ignore[misc]
    return reader.facts
