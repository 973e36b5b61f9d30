"""A run's folder as bytes by name."""

import datetime as dt

from opsreport.beside import Beside
from opsreport.money import Currency
from opsreport.plan.model import FoodPlan, Plan
from opsreport.tables.table import Document, Paper, Prose
from opsreport.write.files import begin_writing, files_of, prepare_to_write

DAY = dt.date(2027, 3, 1)
PAPER = Paper("A4", Currency("EUR"), DAY)


def document(path: str) -> Document:
    return Document(path, f"About {path}", "the coordinator", (Prose(("One sentence.",)),))


def written(food: FoodPlan | None, count: int, helpers: int = 0) -> dict[str, bytes]:
    documents = [document("index"), *(document(f"orders/d{number:02d}") for number in range(count))]
    with Beside(helpers, prepare_to_write) as beside:
        return files_of(Plan(DAY, "EUR", food, None), [], documents, (), PAPER, beside)


def test_every_document_in_both_formats_and_the_start_page_as_a_page() -> None:
    assert sorted(written(None, 2)) == [
        "findings.html", "index.html", "orders/d00.html", "orders/d00.xlsx", "orders/d01.html", "orders/d01.xlsx",
        "plan.json",
    ]  # fmt: skip


def test_the_calendar_stands_with_the_plan_of_food() -> None:
    assert "calendar.ics" in written(FoodPlan(), 0)
    assert "calendar.ics" not in written(None, 0)


def test_a_helping_process_changes_no_byte_and_no_order() -> None:
    alone, helped = written(FoodPlan(), 20), written(FoodPlan(), 20, helpers=1)
    assert list(alone) == list(helped)
    assert alone == helped


def test_what_was_begun_is_taken_once_and_only_where_it_is_wanted() -> None:
    documents = [document("index"), document("orders/d00"), document("packing/kits")]
    with Beside(0, prepare_to_write) as beside:
        begun = begin_writing(documents[2:], PAPER, beside)
        unwanted = begin_writing([document("packing/unsafe")], PAPER, beside)
        plan = Plan(DAY, "EUR", None, None)
        assert files_of(plan, [], documents, (), PAPER, beside, [*begun, *unwanted]) == files_of(
            plan, [], documents, (), PAPER, beside
        )
