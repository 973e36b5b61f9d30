"""The quick workbook: every part that tells something, packed small, and the same file as the library's own."""

import gc
import io
import re
import weakref
import zipfile
import zlib

import openpyxl
import pytest
from xlsxwriter.packager import Packager
from xlsxwriter.workbook import Workbook

from opsreport.write.quick_book import QuickBook


def filled(book: Workbook) -> None:
    """A sheet of words and numbers, and one with a link to it and a chart."""
    first, second = book.add_worksheet("First"), book.add_worksheet("Second")
    for row in range(200):
        first.write_string(row, 0, f"words {row}")
        first.write_number(row, 1, row)
    second.write_url(0, 0, "https://example.org")
    chart = book.add_chart({"type": "bar"})
    chart.add_series({"values": "=First!$B$1:$B$9"})
    second.insert_chart(2, 0, chart)


TEXTS = (
    "plain words", "a & b", "a < b", "a > b", '"said"', " before", "after ", "\u00a0hard space", "two\nlines",
    "_x0041_ is no A", "_X0041_", "½ cup – größer", "<r>no rich text</r>", "\u2003", "", "'", "🥕",
)  # fmt: skip


@pytest.fixture
def quick() -> bytes:
    book = QuickBook()
    filled(book)
    return book.packed()


@pytest.fixture
def own() -> bytes:
    file = io.BytesIO()
    book = Workbook(file, {"in_memory": True})
    filled(book)
    book.close()
    return file.getvalue()


def parts(content: bytes) -> dict[str, str]:
    with zipfile.ZipFile(io.BytesIO(content)) as file:
        return {name: file.read(name).decode() for name in file.namelist()}


def test_every_part_that_is_named_is_there_and_every_other_way_round(quick: bytes, own: bytes) -> None:
    made = parts(quick)
    assert set(parts(own)) - set(made) == {"docProps/app.xml"}
    named = set(re.findall(r'PartName="/([^"]+)"', made["[Content_Types].xml"]))
    assert named == {name for name in made if not name.endswith(".rels")} - {"[Content_Types].xml"}
    assert all("app.xml" not in text for text in made.values())


def test_it_reads_back_as_the_librarys_own(quick: bytes, own: bytes) -> None:
    books = [openpyxl.load_workbook(io.BytesIO(content)) for content in (quick, own)]
    cells = [
        {sheet.title: [[cell.value for cell in row] for row in sheet.iter_rows()] for sheet in book} for book in books
    ]
    assert cells[0] == cells[1]
    assert books[0]["First"].dimensions == "A1:B200"
    assert books[0]["Second"]["A1"].hyperlink.target == "https://example.org"
    assert len(books[0]["Second"]._charts) == 1


def test_words_are_written_as_the_library_writes_them() -> None:
    file = io.BytesIO()
    books = [QuickBook(), Workbook(file, {"in_memory": True})]
    for book in books:
        sheet = book.add_worksheet()
        for row, text in enumerate(TEXTS):
            sheet.write_string(row, 0, text)
    made = parts(books[0].packed())
    books[1].close()
    assert made["xl/sharedStrings.xml"] == parts(file.getvalue())["xl/sharedStrings.xml"]


def test_a_workbook_without_words_has_no_part_of_them() -> None:
    book = QuickBook()
    book.add_worksheet().write_number(0, 0, 1)
    assert "xl/sharedStrings.xml" not in parts(book.packed())


def test_a_name_for_other_parts_stands_only_where_one_is_named(quick: bytes) -> None:
    made = parts(quick)
    assert ["xmlns:r=" in made[f"xl/worksheets/sheet{number}.xml"] for number in (1, 2)] == [False, True]


def test_it_is_packed_smaller_and_its_parts_bear_one_day(quick: bytes, own: bytes) -> None:
    assert len(quick) < len(own) - 600
    with zipfile.ZipFile(io.BytesIO(quick)) as file:
        assert {part.date_time for part in file.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        assert {part.compress_type for part in file.infolist()} == {zipfile.ZIP_DEFLATED}


def test_parts_that_the_library_no_longer_hands_over_are_a_mistake_not_an_empty_file(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(Packager, "_create_package", lambda _self: [])
    book = QuickBook()
    filled(book)
    with pytest.raises(ValueError, match="left all parts out"):
        book.packed()


@pytest.mark.parametrize(("rows", "level"), [(300, 9), (30_000, 6)])
def test_a_large_workbook_is_packed_as_is_usual_and_others_as_small_as_may_be(rows: int, level: int) -> None:
    book = QuickBook()
    sheet = book.add_worksheet("First")
    for row in range(rows):
        sheet.write_number(row, 0, row * row)
    with zipfile.ZipFile(io.BytesIO(book.packed())) as file:
        part = file.getinfo("xl/worksheets/sheet1.xml")
        packing = zlib.compressobj(level, zlib.DEFLATED, -zlib.MAX_WBITS)
        assert len(packing.compress(file.read(part)) + packing.flush()) == part.compress_size


def test_the_file_is_that_of_zipfile(quick: bytes) -> None:
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", zipfile.ZIP_DEFLATED) as plain:
        for name, text in parts(quick).items():
            plain.writestr(zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0)), text, zipfile.ZIP_DEFLATED, 9)
    assert quick == file.getvalue()


def test_a_workbook_that_is_packed_leaves_nothing_to_collect() -> None:
    book = QuickBook()
    filled(book)
    gc.collect()
    gc.disable()
    try:
        book.packed()
        left = weakref.ref(book)
        del book
        assert left() is None
    finally:
        gc.enable()
