"""A run's folder as bytes by name: every document in both formats, and the files beside them."""

from collections.abc import Sequence

from opsreport.beside import Beside, Later
from opsreport.findings import Finding
from opsreport.plan.model import Plan
from opsreport.tables.calendar_entries import CalendarEntry
from opsreport.tables.stamp import stamped
from opsreport.tables.table import Document, Paper
from opsreport.write.findings_page import findings_document
from opsreport.write.html_page import html_bytes, index_bytes
from opsreport.write.ics_file import calendar_bytes
from opsreport.write.json_file import plan_json
from opsreport.write.rendered import Rendered
from opsreport.write.xlsx import xlsx_bytes

_BATCH = 8
"""Documents that go to a helping process at a time."""

Batch = tuple[tuple[Document, ...], Paper]
Begun = tuple[frozenset[str], Later[dict[str, bytes]]]
"""Documents that are being written beside, by path, and their files once they are."""


def begin_writing(
    documents: Sequence[Document], paper: Paper, beside: Beside, rendered: Rendered | None = None
) -> list[Begun]:  # fmt: skip
    """Hand documents to helping processes, a few at a time; where there are none, they are written when asked for.

    Those that an earlier run rendered are only taken over.
    """
    if rendered is not None:
        documents = [document for document in documents if not rendered.has(document, paper)]
    batches = (tuple(documents[first : first + _BATCH]) for first in range(0, len(documents), _BATCH))
    return [
        (frozenset(document.path for document in batch), beside.start(both_formats, (batch, paper)))
        for batch in batches
    ]


def files_of(
    plan: Plan,
    findings: Sequence[Finding],
    documents: Sequence[Document],
    entries: Sequence[CalendarEntry],
    paper: Paper,
    beside: Beside,
    begun: Sequence[Begun] = (),
    rendered: Rendered | None = None,
) -> dict[str, bytes]:
    """Content by name, relative to the folder.

    Args:
        documents: the start page first, which is a page only.
        entries: of the calendar; there is none where food was not planned.
        beside: where half of the documents are written.
        begun: documents that are being written already; of those not among `documents` nothing is kept.
        rendered: what an earlier run rendered.
    """
    start, *others = documents
    rendered = rendered or Rendered()
    wanted = frozenset(document.path for document in others)
    writing = [each for each in begun if each[0] <= wanted]
    written_already = rendered.keep(wanted).union(*(paths for paths, _ in writing))
    writing += begin_writing([each for each in others if each.path not in written_already], paper, beside, rendered)
    said = findings_document(findings, start.head, plan.partly)
    files = {
        "index.html": index_bytes(start, paper),
        "findings.html": html_bytes(stamped(said, plan.left_out), paper),
        "plan.json": plan_json(plan, findings),
    }
    for _, written in reversed(writing):  # helpers from the front, this process from the back, till they meet
        files |= written.result()
    files |= rendered.files
    if plan.food is not None:
        files["calendar.ics"] = calendar_bytes(entries, plan.as_of)
    return files | rendered.note(files)


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
