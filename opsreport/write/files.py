"""A run's folder as bytes by name: every document in both formats, and the files beside them."""

from collections.abc import Sequence

from opsreport.findings import Finding
from opsreport.plan.model import Plan
from opsreport.programme import Programme
from opsreport.tables.calendar_entries import calendar_entries
from opsreport.tables.orders.heads import head_line
from opsreport.tables.table import Document, Paper
from opsreport.write.findings_page import findings_document
from opsreport.write.html_page import html_bytes, index_bytes
from opsreport.write.ics_file import calendar_bytes
from opsreport.write.json_file import plan_json
from opsreport.write.xlsx import xlsx_bytes


def files_of(
    programme: Programme, plan: Plan, findings: Sequence[Finding], documents: Sequence[Document]
) -> dict[str, bytes]:  # fmt: skip
    """Content by name, relative to the folder; the first document is the start page, a page only."""
    paper = Paper(programme.settings.paper, programme.currency, programme.as_of)
    start, *others = documents
    files = {
        "index.html": index_bytes(start, paper),
        "findings.html": html_bytes(findings_document(findings, head_line(programme)), paper),
        "plan.json": plan_json(plan, findings),
    }
    for document in others:
        files[f"{document.path}.xlsx"] = xlsx_bytes(document, paper)
        files[f"{document.path}.html"] = html_bytes(document, paper)
    if plan.food is not None:
        name = f"{programme.settings.programme} {programme.settings.term}"
        files["calendar.ics"] = calendar_bytes(calendar_entries(plan, name), programme.as_of)
    return files
