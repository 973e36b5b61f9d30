# ruff: noqa: E501  (XML is a line)
"""Files that open, files that do not and why, and cells without a value."""

import io
import re
import zipfile
from collections.abc import Callable
from pathlib import Path

import pytest
from support import CORE, opened, written

from opsreport.reading.workbook import Faulty, Unusable, open_workbook

SHEET = "xl/worksheets/sheet1.xml"


def changed(content: bytes, change: Callable[[bytes], bytes], part: str = SHEET, extra: str = "") -> bytes:
    """The same file with one part changed, or one more part."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(content)) as old, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new:
        for name in old.namelist():
            new.writestr(name, change(old.read(name)) if name == part else old.read(name))
        if extra:
            new.writestr(extra, b"x")
    return out.getvalue()


def cells(rows: bytes) -> Callable[[bytes], bytes]:
    """Another sheetData."""
    return lambda xml: re.sub(rb"<sheetData.*</sheetData>", b"<sheetData>" + rows + b"</sheetData>", xml, flags=re.S)


GOOD = written({"Sheet": "a | b\n1 | 2"})


def why(content: bytes, name: str = "book.xlsx") -> str:
    with pytest.raises(Unusable) as refused:
        opened(content, name)
    text = str(refused.value)
    assert "\n" not in text
    assert text.endswith(".")
    return text


def test_values_stand_at_their_places() -> None:
    sheet = opened(written({"Sheet": "\n | a | 1.5\n | | TRUE"})).sheets[0]
    assert sheet.rows[1] == ["", "a", 1.5]
    assert sheet.rows[2][2] is True


def test_a_missing_file_and_a_folder(tmp_path: Path) -> None:
    with pytest.raises(Unusable, match="There is no file"):
        open_workbook(tmp_path / "none.xlsx")
    with pytest.raises(Unusable, match="is a folder"):
        open_workbook(tmp_path)


@pytest.mark.parametrize(
    ("content", "name", "reason"),
    [
        (b"", "book.xlsx", "empty"),
        (b"hello", "book.xlsx", "damaged"),
        (b"a,b\n1,2\n", "book.csv", "text file"),
        (b"%PDF-1.7", "book.pdf", "not a workbook"),
        (b"\xd0\xcf\x11\xe0" + bytes(600), "book.xls", "old .xls format"),
        (b"\xd0\xcf\x11\xe0" + bytes(600) + "EncryptedPackage".encode("utf-16-le"), "book.xlsx", "password"),
        (GOOD[: len(GOOD) // 2], "book.xlsx", "cut short or damaged"),
        (changed(GOOD, lambda xml: xml[: len(xml) // 2]), "book.xlsx", "cut short or damaged"),
        (changed(GOOD, lambda xml: b'<!DOCTYPE x [<!ENTITY a "b">]>' + xml), "book.xlsx", "damaged"),
        (changed(GOOD, lambda xml: xml.decode().encode("utf-16")), "book.xlsx", "damaged"),
        (changed(GOOD, lambda xml: xml, extra="XL/Workbook.xml"), "book.xlsx", "damaged"),
        (changed(GOOD, lambda xml: xml, extra="xl/../../evil.xml"), "book.xlsx", "damaged"),
        (changed(GOOD, lambda xml: xml + bytes(20 << 20)), "book.xlsx", "too large"),
        (
            changed(GOOD, cells(b'<row r="1"><c r="A1"><v>1</v></c></row>'
                                b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')),
            "book.xlsx", "too large",
        ),
        (
            changed(GOOD, cells(b'<row r="1"><c><v>1</v></c></row>'
                                b'<row r="1048576"><c r=\'XFD1048576\'><v>1</v></c></row>')),
            "book.xlsx", "too large",
        ),
    ],
)  # fmt: skip
def test_files_that_are_refused(content: bytes, name: str, reason: str) -> None:
    assert reason in why(content, name)


def test_a_zip_that_is_no_workbook() -> None:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as file:
        file.writestr("letter.txt", "hello")
    assert "not a workbook" in why(out.getvalue())


def test_a_lying_checksum_is_found() -> None:
    at = GOOD.index(b"PK\x01\x02")
    assert "damaged" in why(GOOD[: at + 16] + b"\0\0\0\0" + GOOD[at + 20 :])


@pytest.mark.parametrize(
    "reference", ["B9999999999999999999999999999992", "B99999999", "zzz9999999", "AAAA1", "A0", "A", "7", ""]
)
@pytest.mark.parametrize("quote", [b'"', b"'"])
def test_a_cell_that_is_nowhere_on_a_sheet_damages_the_file(reference: str, quote: bytes) -> None:
    """The library would give it room: a wrong digit asked for 256 GiB."""
    row = b'<row r="1"><c r="A1"><v>1</v></c><c r="' + reference.encode() + b'"><v>2</v></c></row>'
    message = why(changed(GOOD, cells(row.replace(b'"', quote))))
    assert "damaged" in message or "too large" in message


def test_empty_styled_cells_far_away_are_no_extent() -> None:
    far = b'<row r="1"><c r="A1"><v>1</v></c><c r="XFD1" s="0"/></row><row r="1048576"><c r="A1048576" s="0"/></row>'
    assert opened(changed(GOOD, cells(far))).sheets[0].rows[0][0] == 1


def test_errors_and_formulas_without_a_result_are_told() -> None:
    rows = (
        b'<row r="1"><c r="A1" t="e"><v>#N/A</v></c><c r="B1"><f>A1&amp;"x"</f></c>'
        b'<c r="C1"><f>1/3</f><v>0.333333333333333</v></c><c r="D1" t="str"><f>""</f><v></v></c>'
        b'<c r="E1"><f t="shared" si="0"/><v/></c></row>'
    )
    usual = opened(changed(GOOD, cells(rows))).sheets[0].rows[0]
    assert usual[0] == Faulty("error", "#N/A")
    assert usual[1] == Faulty("unsaved", '=A1&"x"')
    assert usual[2] == 0.333333333333333
    assert usual[3] in ("", None)
    assert usual[4] == Faulty("unsaved", "=")
    other = opened(changed(GOOD, cells(rows.replace(b'r="A1"', b"r='A1'")))).sheets[0].rows[0]
    assert other == usual


def test_a_newer_error_does_not_end_the_sheet() -> None:
    rows = b'<row r="1"><c r="A1" t="e"><v>#SPILL!</v></c><c r="B1"><v>5</v></c></row>'
    assert opened(changed(GOOD, cells(rows))).sheets[0].rows[0] == [Faulty("error", "#SPILL!"), 5]


def test_number_formats_are_known_by_cell() -> None:
    sheet = opened(written({"Sheet": "7[000] | 75% | 3"})).sheets[0]
    assert [sheet.number_format(1, column) for column in (1, 2, 3)] == ["000", "0%", ""]


def test_the_file_is_left_as_it_was(tmp_path: Path) -> None:
    path = tmp_path / "book.xlsx"
    path.write_bytes(written(CORE))
    path.chmod(0o444)
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    open_workbook(path)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before


def test_every_damaged_byte_is_read_or_refused() -> None:
    for at in range(0, len(GOOD), 37):
        broken = bytearray(GOOD)
        broken[at] ^= 0x55
        try:
            opened(bytes(broken))
        except Unusable:
            continue


ODS = """<?xml version="1.0" encoding="UTF-8"?>
<office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"
 office:version="1.2"><office:body><office:spreadsheet><table:table table:name="Sheet">
<table:table-row><table:table-cell office:value-type="string"><text:p>a</text:p></table:table-cell>
<table:table-cell office:value-type="percentage" office:value="0.75"><text:p>75%</text:p></table:table-cell>
<table:table-cell table:formula="of:=1/0" office:value-type="string" office:string-value="">
<text:p>#DIV/0!</text:p></table:table-cell>
<table:table-cell table:formula="of:=1/3"/>
<table:table-cell table:number-columns-repeated="16380"/></table:table-row>
<table:table-row table:number-rows-repeated="1048575"><table:table-cell table:number-columns-repeated="16384"/>
</table:table-row></table:table></office:spreadsheet></office:body></office:document-content>"""


def ods(content: str) -> bytes:
    out = io.BytesIO()
    kind = "application/vnd.oasis.opendocument.spreadsheet"
    with zipfile.ZipFile(out, "w") as file:
        file.writestr("mimetype", kind)
        file.writestr("content.xml", content.replace("\n", ""))  # no program writes line breaks there
        file.writestr(
            "META-INF/manifest.xml",
            '<manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0">'
            f'<manifest:file-entry manifest:full-path="/" manifest:media-type="{kind}"/></manifest:manifest>',
        )
    return out.getvalue()


def test_an_ods_file_reads_the_same() -> None:
    sheet = opened(ods(ODS), "book.ods").sheets[0]
    assert sheet.rows[0] == ["a", 0.75, Faulty("error", "#DIV/0!"), Faulty("unsaved", "=1/3")]
    assert sheet.number_format(1, 2) == "%"
    full = ODS.replace('<table:table-cell table:number-columns-repeated="16384"/>',
                       '<table:table-cell table:number-columns-repeated="16384" office:value-type="float" '
                       'office:value="1"/>')  # fmt: skip
    assert "too large" in why(ods(full), "book.ods")
