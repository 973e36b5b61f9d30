"""A run's folder as bytes by name: every document in both formats, and the files beside them."""

from collections.abc import Sequence

from opsreport.beside import Beside
from opsreport.findings import Finding
from opsreport.plan.model import Plan
from opsreport.tables.calendar_entries import CalendarEntry
from opsreport.tables.stamp import stamped
from opsreport.tables.table import Document, Paper
from opsreport.write.findings_page import findings_document
from opsreport.write.html_page import html_bytes, index_bytes
from opsreport.write.ics_file import calendar_bytes
from opsreport.write.json_file import plan_json
from opsreport.write.xlsx import xlsx_bytes

_BATCH = 8
"""Documents that go to a helping process at a time."""

Batch = tuple[tuple[Document, ...], Paper]


def files_of(
    plan: Plan,
    findings: Sequence[Finding],
    documents: Sequence[Document],
    entries: Sequence[CalendarEntry],
    paper: Paper,
    beside: Beside,
) -> dict[str, bytes]:
    """Content by name, relative to the folder.

    Args:
        documents: the start page first, which is a page only.
        entries: of the calendar; there is none where food was not planned.
        beside: where half of the documents are written.
    """
    start, *others = documents
    batches = [(tuple(others[first : first + _BATCH]), paper) for first in range(0, len(others), _BATCH)]
    said = findings_document(findings, start.head, plan.partly)
    files = {
        "index.html": index_bytes(start, paper),
        "findings.html": html_bytes(stamped(said, plan.left_out), paper),
        "plan.json": plan_json(plan, findings),
    }
    for written in beside.each(both_formats, batches):
        files |= written
    if plan.food is not None:
        files["calendar.ics"] = calendar_bytes(entries, plan.as_of)
    return files


def both_formats(batch: Batch) -> dict[str, bytes]:
    """Every document of a batch as spreadsheet and as page, by name."""
    documents, paper = batch
    files = {}
    for document in documents:
        files[f"{document.path}.xlsx"] = xlsx_bytes(document, paper)
        files[f"{document.path}.html"] = html_bytes(document, paper)
    return files


def prepare_to_write() -> None:
    """Load what writing needs; a helping process does it while the others still read and plan."""
    import gc

    import jinja2  # noqa: F401
    import numpy  # noqa: F401
    import xlsxwriter  # noqa: F401

    gc.set_threshold(100_000, 50, 50)
