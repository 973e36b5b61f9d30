"""Every document of a run, in the order in which the start page lists them."""

from collections.abc import Sequence

from opsreport.findings import Finding
from opsreport.plan.model import Plan
from opsreport.programme import Programme
from opsreport.tables.orders import order_documents
from opsreport.tables.packing import packing_documents
from opsreport.tables.reports import report_documents
from opsreport.tables.start_page import start_page
from opsreport.tables.table import Document

ALONGSIDE = (
    ("Calendar of order, delivery, packing and session days", "calendar.ics"),
    ("What to look at in the workbook", "findings.html"),
    ("Every figure of this run, for programs", "plan.json"),
)
"""Files beside the documents: what they are, where."""


def documents_of(programme: Programme, plan: Plan, findings: Sequence[Finding]) -> list[Document]:
    """The start page first, then the documents of every family that was planned."""
    documents: list[Document] = []
    if plan.food is not None:
        documents += order_documents(programme, plan.food)
        documents += packing_documents(programme, plan.food)
    if plan.people is not None:
        documents += report_documents(programme, plan.people)
    alongside = [(words, path) for words, path in ALONGSIDE if plan.food is not None or path != "calendar.ics"]
    return [start_page(programme, plan, findings, documents, alongside), *documents]
