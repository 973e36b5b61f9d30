"""Every document of a run, in the order in which the start page lists them."""

from collections.abc import Sequence

from opsreport.findings import Finding
from opsreport.plan.model import Changes, FoodPlan, Plan
from opsreport.programme import Programme
from opsreport.tables.calendar_entries import CalendarEntry, calendar_entries
from opsreport.tables.orders import order_documents
from opsreport.tables.packing import packing_documents
from opsreport.tables.reports import report_documents
from opsreport.tables.stamp import stamped, stamped_entries
from opsreport.tables.start_page import start_page
from opsreport.tables.table import Document

ALONGSIDE = (
    ("Calendar of order, delivery, packing and session days", "calendar.ics"),
    ("What to look at in the workbook", "findings.html"),
    ("Every figure of this run, for programs", "plan.json"),
)
"""Files beside the documents: what they are, where."""


def food_documents_of(
    programme: Programme, food: FoodPlan | None, since: Changes | None = None, of_kits: Sequence[Document] | None = None
) -> list[Document]:
    """What the coordinator orders by and the volunteers pack by; nothing where the plan was stopped.

    Args:
        of_kits: those documents that rest on the kits alone, where they have been made already.
    """
    if food is None:
        return []
    return [*order_documents(programme, food, since), *packing_documents(programme, food, of_kits)]


def with_start_page(
    programme: Programme, plan: Plan, findings: Sequence[Finding], food_documents: Sequence[Document], marked: str = ""
) -> list[Document]:
    """The start page, then the documents about food, then the reports. marked: the marked copy's path, if any."""
    reports = [] if plan.people is None else report_documents(programme, plan.people)
    documents = [*food_documents, *reports]
    alongside = [(words, path) for words, path in ALONGSIDE if plan.food is not None or path != "calendar.ics"]
    if marked:
        alongside.append(("Your workbook, with each finding at its cells", marked))
    pages = [start_page(programme, plan, findings, documents, alongside), *documents]
    return [stamped(document, plan.left_out) for document in pages]


def calendar_of(programme: Programme, plan: Plan) -> tuple[CalendarEntry, ...]:
    """The days for a calendar; their ids tell this programme and term from others."""
    entries = calendar_entries(plan, f"{programme.settings.programme} {programme.settings.term}")
    return stamped_entries(entries, plan.left_out)
