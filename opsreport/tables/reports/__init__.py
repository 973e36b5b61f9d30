"""What is reported about people: attendance, outcomes, and one document a funder."""

from opsreport.plan.people_model import PeoplePlan
from opsreport.programme import Programme
from opsreport.tables.naming import file_names
from opsreport.tables.reports.attendance import attendance_document
from opsreport.tables.reports.funder import funder_document
from opsreport.tables.reports.outcomes import outcomes_document
from opsreport.tables.table import Document


def report_documents(programme: Programme, people: PeoplePlan) -> list[Document]:
    """Attendance and outcomes for the coordinator, then a document for each funder, by Funders."""
    names = file_names([report.funder for report in people.funders])
    return [
        attendance_document(programme, people),
        outcomes_document(programme, people),
        *(
            funder_document(programme, report, f"reports/funder-{name}")
            for report, name in zip(people.funders, names, strict=True)
        ),
    ]
