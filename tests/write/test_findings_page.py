"""Findings as a page: sheet by sheet, errors first said, nothing typed becomes markup."""

import datetime as dt

from opsreport.findings import Finding, Place, gathered
from opsreport.money import Currency
from opsreport.tables.table import Paper, Prose, Table
from opsreport.write.findings_page import findings_document
from opsreport.write.html_page import html_bytes

LETTER = Paper("Letter", Currency("USD"), dt.date(2026, 11, 20))
DETAILS = {
    "household": "H1",
    "ingredient": "milk",
    "need": "<b>no milk</b>",
    "recipe": "chili",
    "session": "s1",
    "why": "",
    "row": "no milk",
}


def test_findings_are_grouped_by_sheet() -> None:
    details = {"supplier": "B", "goods": "$1", "minimum": "$2", "forward": "nothing can be", "ingredient": "salt"}
    findings = [
        Finding(Place(2, "Stock", 7, 2), "order-below-minimum", "PO-1", details),
        Finding(Place(1, "Packs", 3, 1), "order-below-minimum", "PO-2", details),
        Finding(Place(2, "Stock", 4, 2), "order-below-minimum", "PO-3", details),
    ]
    document = findings_document(findings, "Fennelbridge")
    tables = [part for part in document.parts if isinstance(part, Table)]
    assert [(table.sheet, [row.cells[0] for row in table.rows]) for table in tables] == [
        ("Packs", ["A3"]),
        ("Stock", ["B4", "B7"]),
    ]
    assert document.path == "findings"
    assert "PO-3" in html_bytes(document, LETTER).decode()


def test_one_mistake_in_many_cells_is_one_row() -> None:
    findings = [Finding(Place(1, "Recipes", row, 5), "unit-unknown", "jug", {"near": "cup"}) for row in (2, 3, 9)]
    (table,) = [part for part in findings_document(gathered(findings)).parts if isinstance(part, Table)]
    assert [row.cells[:2] for row in table.rows] == [("E2:E3, E9", "error")]


def test_no_findings_says_so() -> None:
    assert "nothing in it needs a look" in html_bytes(findings_document([]), LETTER).decode()


def test_errors_say_what_they_stop() -> None:
    error = Finding(Place(1, "Swaps", 2, 1), "need-without-swap", "", DETAILS)
    document = findings_document([error, error])
    warnings = [part.sentences for part in document.parts if isinstance(part, Prose) and part.kind == "warning"]
    assert warnings == [("Not written until the errors below are put right: orders and packing.",)]
    page = html_bytes(document, LETTER).decode()
    assert "1: documents that rest on them are not written" in page
    assert "&lt;b&gt;no milk&lt;/b&gt;" in page
