"""The quick workbook beside the library's own: the same bytes, whatever stands in the cells."""

import datetime as dt
import io
import zipfile

import pytest
import xlsxwriter

from opsreport.money import Currency
from opsreport.tables.table import Column, Document, Paper, Row, Table
from opsreport.write import quick_book
from opsreport.write.xlsx import xlsx_bytes

A4 = Paper("A4", Currency("EUR"), dt.date(2027, 2, 8))
TEXTS = (
    "plain words", "a & b", "a < b", "a > b", '"said"', " before", "after ", "\u00a0hard space", "two\nlines",
    "_x0041_ is no A", "_X0041_", "½ cup – größer", "<r>no rich text</r>", "\u2003", "", "'", "🥕",
)  # fmt: skip
TABLE = Table("Lines", "Lines", (Column("Text"),), tuple(Row((text,)) for text in TEXTS))


def document(*parts: Table) -> Document:
    return Document("x", "Title & more", "the coordinator", parts)


@pytest.mark.parametrize("parts", [(TABLE,), ()])
def test_the_same_bytes_as_the_librarys_own(monkeypatch: pytest.MonkeyPatch, parts: tuple[Table, ...]) -> None:
    quick = xlsx_bytes(document(*parts), A4)
    monkeypatch.setattr(quick_book, "QuickBook", xlsxwriter.Workbook)
    assert quick == xlsx_bytes(document(*parts), A4)


def test_a_workbook_without_words_has_no_file_of_them() -> None:
    file = io.BytesIO()
    book = quick_book.QuickBook(file, {"in_memory": True})
    book.add_worksheet().write_number(0, 0, 1)
    book.close()
    assert "xl/sharedStrings.xml" not in zipfile.ZipFile(file).namelist()
