"""The facts of every sheet of an .xlsx file: by searching its XML where it is written as usual, else by parsing it."""

import posixpath
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator, Mapping
from typing import Final

from opsreport.reading.sheet_facts import MOST_CELLS, Facts, Faulty, column_number, parse_xml
from opsreport.reading.zipped import Zipped, damaged, too_large

MOST_TEXT: Final = 1 << 30
"""Bytes: the longest shared text times the cells that may show it."""

_REFERENCE: Final = re.compile(rb"([A-Za-z]{1,3})([1-9][0-9]{0,6})")
_ODD_REFERENCE: Final = re.compile(rb'<c r="(?![A-Za-z]{1,3}[1-9][0-9]{0,6}")')
_FAR_OUT: Final = re.compile(rb'<c r="(?:[A-Z]{3}|[A-Z]{1,2}(?:[0-9]{5}|[^1-9A-Z])|[^A-Z])')
_NOT_NARROW: Final = re.compile(rb'<c r="(?![A-S][1-9][0-9]{0,5}")')
"""A cell further out than a sheet may reach that is long, but as few columns wide as most; or one that is nowhere."""
_FILLED_COLUMN: Final = re.compile(rb'<c r="([A-Za-z]{1,3})[0-9]{1,7}"[^>/]*>')
_FILLED_ROW: Final = re.compile(rb'<c r="[A-Za-z]{1,3}([0-9]{1,7})"[^>/]*>')
_NO_RESULT: Final = re.compile(rb"(?:</f>|<f [^<>]*/>)\s*(<v\s*/>|<v[^<>]*></v>)?\s*</c>")
_STYLED: Final = re.compile(rb'<c r="([A-Z]{1,3})([0-9]{1,7})" s="([0-9]{1,6})"')
_HIDDEN_ROW: Final = re.compile(rb'<row (?=[^<>]*hidden="(?:1|true)")(?:[^<>]* )?r="([0-9]{1,7})"')
_CHUNK: Final = 16 << 20


def xlsx_facts(zipped: Zipped) -> dict[str, Facts]:
    """What each sheet's XML says, by the sheet's name."""
    workbook_part = _target(zipped, "_rels/.rels", "", "/officeDocument") or "xl/workbook.xml"
    root = _parsed(zipped, workbook_part)
    relations = _relations(zipped, workbook_part)
    texts = zipped.read(next((part for kind, part in relations.values() if kind.endswith("/sharedStrings")), ""))
    longest = max(map(len, texts.split(b"</si>"))) if texts else 0
    del texts
    styles = next((part for kind, part in relations.values() if kind.endswith("/styles")), "")
    facts: dict[str, Facts] = {}
    for element in root.iter():
        if _local(element.tag) != "sheet":
            continue
        reference = next((value for key, value in element.attrib.items() if key.endswith("}id")), "")
        kind, part = relations.get(reference, ("", ""))
        if kind.endswith("/worksheet"):
            found = facts[element.attrib.get("name", "")] = _sheet_facts(
                zipped.read(part), MOST_TEXT // max(longest, 1)
            )
            found.part = part
            found.hidden = element.attrib.get("state", "visible") != "visible"
            if found.formats is dict:
                found.formats = _formats_reader(zipped, part, styles)
            if found.texts * longest > MOST_TEXT:
                raise too_large()
    return facts


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def _parsed(zipped: Zipped, part: str) -> ET.Element:
    content = zipped.read(part)
    try:
        return ET.fromstring(content)
    except ET.ParseError:
        raise damaged() from None


def _relations(zipped: Zipped, part: str) -> dict[str, tuple[str, str]]:
    """Kind and part of each relation of a part, by its id."""
    folder, name = posixpath.split(part)
    path = posixpath.join(folder, "_rels", f"{name}.rels")
    if not zipped.read(path):
        return {}
    found = {}
    for element in _parsed(zipped, path):
        target = element.attrib.get("Target", "")
        absolute = target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
        found[element.attrib.get("Id", "")] = (element.attrib.get("Type", ""), absolute)
    return found


def _target(zipped: Zipped, path: str, folder: str, kind: str) -> str:
    if not zipped.read(path):
        return ""
    for element in _parsed(zipped, path):
        if element.attrib.get("Type", "").endswith(kind):
            return posixpath.normpath(posixpath.join(folder, element.attrib.get("Target", "").lstrip("/")))
    return ""


def _sheet_facts(content: bytes, most_texts: int) -> Facts:
    """Count cells and extent and find cells without a value: by searching where the XML is written as
    spreadsheet programs write it, else by parsing it.

    most_texts: how many cells may show a shared text; they are not counted where even all cells are no more.
    """
    start, end = content.find(b"<sheetData"), content.rfind(b"</sheetData>")
    if start < 0 and content.find(b":sheetData") < 0:
        return Facts()
    if end < 0 and re.match(rb"<sheetData\s*/>", content[start : start + 40] if start >= 0 else b""):
        return Facts()
    cells = content.count(b"<c", start, end)
    usual = (
        0 <= start < end
        and content.count(b'<c r="', start, end) == cells
        and not _holds(content, b"='", b"'", start, end)
        and not _holds(content, b"<!", b"!", start, end)
    )
    if not usual:
        return _facts_parsed(content)
    found = Facts(cells=cells)
    if cells > most_texts:
        found.texts = content.count(b't="s"', start, end)
    if _holds(content, b'hidden="', b"d", start, end):
        found.hidden_rows = sorted(map(int, _HIDDEN_ROW.findall(content, start, end)))
    if cells > MOST_CELLS:
        raise too_large()
    if _FAR_OUT.search(content, start, end) is None:
        found.rows, found.columns = 9_999, column_number(b"ZZ")  # at most, and that is no more than may be
    elif _NOT_NARROW.search(content, start, end) is None:
        found.rows, found.columns = 999_999, column_number(b"S")  # likewise
    elif _ODD_REFERENCE.search(content, start, end) is None:
        found.rows, found.columns = _filled_extent(content, start, end)
    else:
        raise damaged()  # the library would follow it to a place that no sheet has
    at = content.find(b't="e"', start, end)
    while at >= 0:
        opened = content.rfind(b"<c ", start, at)
        value = re.compile(rb"[^>]*>(?:<f.*?(?:</f>|/>))?\s*<v>([^<]*)</v>", re.DOTALL).match(content, at)
        _enter(found, content[opened:at], Faulty("error", value[1].decode("utf-8", "replace") if value else "#?"))
        at = content.find(b't="e"', at + 5, end)
    formulas = _holds(content, b"<f", b"f", start, end)
    for match in _NO_RESULT.finditer(content, start, end) if formulas else ():
        opened = content.rfind(b"<c ", start, match.start())
        head = content[opened : content.find(b">", opened)]
        if match[1] is not None and (b't="str"' in head or b't="s"' in head):
            continue  # a formula whose saved result is an empty text
        formula = re.search(rb"<f[^>]*>([^<]*)</f>", content[opened : match.end()])
        typed = formula[1].decode("utf-8", "replace") if formula else ""
        if (found_at := _place(head)) and found_at not in found.faults:
            found.faults[found_at] = Faulty("unsaved", "=" + _unescaped(typed))
    return found


def _holds(content: bytes, marker: bytes, rarest: bytes, start: int, end: int) -> bool:
    """Whether a marker stands there. rarest: the byte of it that few sheets hold, looked for first at ten times the
    speed."""
    at = content.find(rarest, start, end)
    return at >= 0 and content.find(marker, max(at - len(marker), start), end) >= 0


def _filled_extent(content: bytes, start: int, end: int) -> tuple[int, int]:
    """The rows and columns up to the last cells that hold something, from every cell."""
    columns: set[bytes] = set()
    rows: set[bytes] = set()
    for low, high in _pieces(content, start, end):
        columns.update(_FILLED_COLUMN.findall(content, low, high))
        rows.update(_FILLED_ROW.findall(content, low, high))
    return max(map(int, rows), default=0), max(map(column_number, columns), default=0)


def _pieces(content: bytes, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Stretches of the cells, cut where a cell begins."""
    while start < end:
        cut = content.find(b"<c ", start + _CHUNK, end)
        cut = end if cut < 0 else cut
        yield start, cut
        start = cut


def _place(head: bytes) -> tuple[int, int] | None:
    named = re.search(rb'\sr="([A-Z]{1,3})([0-9]{1,7})"', head)
    return None if named is None else (int(named[2]), column_number(named[1]))


def _enter(found: Facts, head: bytes, fault: Faulty) -> None:
    if (place := _place(head)) is not None:
        found.faults[place] = fault


def _unescaped(text: str) -> str:
    for written, sign in (("&lt;", "<"), ("&gt;", ">"), ("&quot;", '"'), ("&apos;", "'"), ("&amp;", "&")):
        text = text.replace(written, sign)
    return text


class _SheetParser:
    """The same facts from XML that is written in an unusual way: prefixes, other quotes, cells without
    a reference (which stand right of the cell before)."""

    def __init__(self) -> None:
        self.found = Facts()
        self.row = self.column = 0
        self.kind = ""
        self.formula: str | None = None
        self.value: str | None = None
        self.reading = ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "row":
            self.row = int(attributes["r"]) if attributes.get("r", "").isdigit() else self.row + 1
            self.column = 0
            if attributes.get("hidden") in ("1", "true"):
                self.found.hidden_rows.append(self.row)
        elif name == "c":
            if "r" in attributes:
                place = _REFERENCE.fullmatch(attributes["r"].encode())
                if place is None:
                    raise damaged()
                self.row, self.column = int(place[2]), column_number(place[1])
            else:
                self.column += 1
            self.kind, self.formula, self.value = attributes.get("t", ""), None, None
            self.found.cells += 1
            self.found.texts += self.kind == "s"
            if self.found.cells > MOST_CELLS:
                raise too_large()
        elif name in ("f", "v", "is"):
            self.reading = name
            if name == "f":
                self.formula = ""
            else:
                self.value = self.value or ""
            self.found.rows = max(self.found.rows, self.row)
            self.found.columns = max(self.found.columns, self.column)

    def data(self, text: str) -> None:
        if self.reading == "f" and self.formula is not None:
            self.formula += text
        elif self.reading == "v" and self.value is not None:
            self.value += text

    def end(self, tag: str) -> None:
        name = tag.rpartition(":")[2]
        if name in ("f", "v", "is"):
            self.reading = ""
        elif name == "c":
            if self.kind == "e":
                self.found.faults[self.row, self.column] = Faulty("error", self.value or "#?")
            elif self.formula is not None and not self.value and not (self.kind == "str" and self.value == ""):
                self.found.faults[self.row, self.column] = Faulty("unsaved", "=" + self.formula)


def _facts_parsed(content: bytes) -> Facts:
    reader = _SheetParser()
    parse_xml(content, reader.start, reader.end, reader.data)
    return reader.found


_BUILT_IN: Final[Mapping[int, str]] = {9: "0%", 10: "0.00%"}


def _formats_reader(zipped: Zipped, part: str, styles: str) -> Callable[[], Mapping[tuple[int, int], str]]:
    def read() -> Mapping[tuple[int, int], str]:
        codes = _format_codes(zipped, styles)
        telling = {str(index).encode(): code for index, code in enumerate(codes) if code}
        if not telling:
            return {}
        content = zipped.read(part)
        found = {
            (int(row), column_number(letters)): telling[style]
            for letters, row, style in _STYLED.findall(content)
            if style in telling
        }
        return found or _formats_parsed(content, codes)

    return read


def _format_codes(zipped: Zipped, styles: str) -> list[str]:
    """The number format of each cell style; '' for the general one and other built-in ones."""
    if not zipped.read(styles):
        return []
    own: dict[int, str] = {}
    codes: list[str] = []
    for element in _parsed(zipped, styles).iter():
        name = _local(element.tag)
        if name == "numFmt" and element.attrib.get("numFmtId", "").isdigit():
            code = element.attrib.get("formatCode", "")
            own[int(element.attrib["numFmtId"])] = "" if code.casefold() == "general" else code
        elif name == "cellXfs":
            for style in element:
                number = style.attrib.get("numFmtId", "0")
                identity = int(number) if number.isdigit() else 0
                codes.append(own.get(identity, _BUILT_IN.get(identity, "")))
    return codes


def _formats_parsed(content: bytes, codes: list[str]) -> Mapping[tuple[int, int], str]:
    """The formats of a sheet whose XML is not written in the usual way."""
    found: dict[tuple[int, int], str] = {}
    row = column = 0

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal row, column
        name = tag.rpartition(":")[2]
        if name == "row":
            row = int(attributes["r"]) if attributes.get("r", "").isdigit() else row + 1
            column = 0
        elif name == "c":
            place = _REFERENCE.fullmatch(attributes.get("r", "").encode())
            row, column = (int(place[2]), column_number(place[1])) if place else (row, column + 1)
            style = attributes.get("s", "0")
            if style.isdigit() and int(style) < len(codes) and codes[int(style)]:
                found[row, column] = codes[int(style)]

    parse_xml(content, start, lambda tag: None, lambda text: None)
    return found
