"""`build --partial`: the rest is written and stamped, and nobody who may be meant gets a kit."""

import datetime as dt
import io
import json
import re
import tempfile
from pathlib import Path

import openpyxl
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import CORE, written

from opsreport.cli import main
from opsreport.run import Asked, build
from opsreport.starter.example import EXAMPLE
from opsreport.starter.starter import starter_bytes
from opsreport.tables.stamp import INCOMPLETE

ASKED = Asked(dt.date(2027, 2, 8), partial=True)
TERM = {
    "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | soup\ns2 | g1 | @2027-03-11 | stew\n"
    "s3 | g2 | @2027-03-12 | soup",
    "Groups": "Group | Format | People per table | Spare kits | Demo kits\ng1 | kits | | 0 | 0\ng2 | table | 4 | 0 | 0",
    "Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | none\n"
    "p3 | g1 | h2 | none\np4 | g2 | h4 | none",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 100 | g\n | | carrot | 100 | g\n"
    "stew | 4 | onion | 50 | g",
    "Stock": "Ingredient | Amount | Unit\nonion | 20 | kg\ncarrot | 20 | kg",
}  # fmt: skip


def with_row(sheet: str, old: str, new: str) -> dict[str, str]:
    assert old in TERM[sheet]
    return {**TERM, sheet: TERM[sheet].replace(old, new)}


def built(folder: Path, sheets: dict[str, str]) -> tuple[dict[str, object], Path]:
    path = folder / "term.xlsx"
    path.write_bytes(written(sheets))
    outcome = build(path, folder / "out", ASKED)
    return json.loads((outcome.folder / "plan.json").read_text("utf-8")), outcome.folder


def kits(plan: dict[str, object]) -> dict[str, int]:
    return {each["session"]: sum(one["kits"] for one in each["variants"]) for each in plan["sessions"]}  # type: ignore[attr-defined]


def left_out(plan: dict[str, object]) -> str:
    return "; ".join(each["what"] for each in plan.get("incomplete", []))  # type: ignore[attr-defined]


def test_without_a_fault_nothing_is_stamped(tmp_path: Path) -> None:
    plan, folder = built(tmp_path, TERM)
    assert kits(plan) == {"s1": 2, "s2": 2, "s3": 1}
    assert "incomplete" not in plan
    assert INCOMPLETE not in (folder / "index.html").read_text("utf-8")


CASES: list[tuple[str, dict[str, str], dict[str, int], str]] = [
    ("a bad day", with_row("Sessions", "@2027-03-11", "2027-02-30"), {"s1": 2, "s3": 1}, "Session s2"),
    ("a recipe nowhere", with_row("Sessions", "stew", "stw"), {"s1": 2, "s3": 1}, "Session s2"),
    ("a bad line", with_row("Recipes", "50 | g", "50 | jug"), {"s1": 2, "s3": 1}, "Recipe stew"),
    ("a bad filled-down line", with_row("Recipes", "carrot | 100", "carrot | some"), {"s2": 2}, "Recipe soup"),
    ("a bad group", with_row("Groups", "kits |", "bags |"), {"s3": 1}, "Group g1 and its sessions"),
    ("a bad lot", with_row("Stock", "carrot | 20", "carrot | -20"), {"s1": 2, "s2": 2, "s3": 1}, "Row 3 of Stock"),
    ("a need of nothing", with_row("Enrolment", "p2 | g1 | h2 | none", "p2 | g1 | h2 | no penut"),
     {"s1": 1, "s2": 1, "s3": 1}, "Household h2"),
    ("none beside a need", with_row("Enrolment", "p3 | g1 | h2 | none", "p3 | g1 | h2 | none; no milk"),
     {"s1": 1, "s2": 1, "s3": 1}, "Household h2"),
    ("no swap", with_row("Enrolment", "p1 | g1 | h1 | none", "p1 | g1 | h1 | no carrot"),
     {"s1": 1, "s2": 1, "s3": 1}, "Household h1"),
    ("no swap at a table", with_row("Enrolment", "h4 | none", "h4 | no carrot"), {"s1": 2, "s2": 2}, "Session s3"),
    ("a need of nothing at a table", with_row("Enrolment", "h4 | none", "h4 | no penut"), {"s1": 2, "s2": 2},
     "Household h4"),
    ("allergens unreadable", {**TERM, "Ingredients": "Ingredient | Contains\ncarrot | dust"}, {"s2": 2},
     "Whatever holds carrot"),
    ("allergens unreadable of another name", {**TERM, "Ingredients": "Ingredient | Also called | Contains\n"
     "roots | carrot; swede | dust"}, {"s2": 2}, "Whatever holds roots"),
    ("a bad id", {**TERM, "Enrolment": TERM["Enrolment"].replace("h2", "7[000]").replace(
        "p2 | g1 | 7[000] | none", "p2 | g1 | 7[000] | no penut")}, {"s1": 1, "s2": 1, "s3": 1}, "Household 007"),
]  # fmt: skip


@pytest.mark.parametrize(("sheets", "expected", "what"), [case[1:] for case in CASES], ids=[case[0] for case in CASES])
def test_what_rests_on_a_fault_is_left_out_and_no_more(
    sheets: dict[str, str], expected: dict[str, int], what: str, tmp_path: Path
) -> None:
    plan, folder = built(tmp_path, sheets)
    assert kits(plan) == expected
    assert what in left_out(plan)
    assert any(each["severity"] == "error" for each in plan["findings"])  # type: ignore[attr-defined]
    assert (folder / "orders").is_dir()


STOPPED: list[tuple[str, dict[str, str]]] = [
    ("settings", {**TERM, "Settings": "Setting | Value\nMeasures | cups"}),
    ("no sheet", {name: text for name, text in TERM.items() if name != "Stock"}),
    ("whose row", with_row("Enrolment", "p2 | g1 | h2 | none", "p2 | g1 | #N/A | none")),
    ("which food", {**TERM, "Ingredients": "Ingredient | Contains\n#N/A | milk"}),
    ("which other names", {**TERM, "Ingredients": "Ingredient | Also called | Contains\nroots | carrot, swede | milk"}),
    ("whose recipe", with_row("Recipes", " | | carrot", "#N/A | | carrot")),
    ("nobody asked", {**TERM, "Settings": "Setting | Value\nUnanswered needs | error",
     "Enrolment": "Participant | Group\np1 | g1\np2 | g1"}),
]  # fmt: skip


@pytest.mark.parametrize("sheets", [case[1] for case in STOPPED], ids=[case[0] for case in STOPPED])
def test_where_nobody_can_tell_nothing_is_packed(sheets: dict[str, str], tmp_path: Path) -> None:
    plan, folder = built(tmp_path, sheets)
    assert plan["sessions"] == []
    assert not (folder / "packing").exists()


def test_stated_kits_may_count_who_is_left_out(tmp_path: Path) -> None:
    sheets = with_row("Enrolment", "p2 | g1 | h2 | none", "p2 | g1 | h2 | no penut")
    sheets["Sessions"] = "Session | Group | Date | Recipes | Kits\ns1 | g1 | @2027-03-04 | soup | 5\n" \
        "s2 | g1 | @2027-03-11 | stew |"  # fmt: skip
    plan, _ = built(tmp_path, sheets)
    assert kits(plan) == {"s2": 1}


def test_every_document_touched_is_stamped_and_says_what_is_missing(tmp_path: Path) -> None:
    _, folder = built(tmp_path, with_row("Enrolment", "p2 | g1 | h2 | none", "p2 | g1 | h2 | no penut"))
    touched = [path for path in folder.rglob("*") if re.search(r"(orders|packing)/.*(html|xlsx)$", path.as_posix())]
    assert len(touched) > 10
    for path in [*touched, folder / "index.html", folder / "findings.html"]:
        if path.suffix == ".html":
            text = path.read_text("utf-8")
        else:
            sheet = openpyxl.load_workbook(path).worksheets[0]
            text = "\n".join(str(cell.value) for row in sheet.iter_rows() for cell in row if cell.value)
        assert INCOMPLETE in text, path
        assert "Household h2: no kit" in text, path
    assert "SUMMARY:INCOMPLETE" in (folder / "calendar.ics").read_text("utf-8")


def test_reports_keep_whom_only_the_kits_go_without(tmp_path: Path) -> None:
    sheets = with_row("Enrolment", "p1 | g1 | h1 | none", "p1 | g1 | h1 | no carrot")
    sheets["Sessions"] = "Session | Group | Date | Recipes | Status\ns0 | g1 | @2027-02-04 | soup | delivered\n" \
        "s1 | g1 | @2027-03-04 | soup | planned"  # fmt: skip
    sheets["Attendance"] = "Participant | s0\np1 | y\np2 | y\np3 | ??"
    plan, folder = built(tmp_path, sheets)
    assert kits(plan) == {"s1": 1}
    counts = plan["attendance"]["groups"]["g1"]  # type: ignore[index,call-overload]
    assert (counts["present"], counts["not_recorded"]) == (2, 1)
    text = (folder / "reports" / "attendance.html").read_text("utf-8")
    assert "Cell Attendance!B4" in text
    assert "Household h1" not in text


def test_the_command_says_so_and_ends_with_one(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, "Enrolment": "Participant | Group | Needs\np1 | g1 | no penut\np2 | g1 | none"}))
    before = path.read_bytes()
    words = ["build", str(path), "--as-of", "2027-02-08", "--out", str(tmp_path / "out")]
    assert main(words) == 1
    assert "Not written" in capsys.readouterr().out
    assert main([*words, "--partial"]) == 1
    out = capsys.readouterr().out
    assert "Not written" not in out
    assert "INCOMPLETE" in out
    assert "Household p1: no kit" in out
    assert path.read_bytes() == before


SPOILT = ["??", "#N/A", "=A1", -1, "31/11/2027", "no penut", None]


@settings(max_examples=6, deadline=None)
@given(data=st.data())
def test_no_spoilt_cell_ends_in_a_traceback(data: st.DataObject) -> None:
    book = openpyxl.load_workbook(io.BytesIO(starter_bytes(example=True)))
    for _ in range(data.draw(st.integers(1, 4))):
        page = book[data.draw(st.sampled_from(list(EXAMPLE)))]
        row, column = data.draw(st.integers(2, page.max_row)), data.draw(st.integers(1, page.max_column))
        page.cell(row, column).value = data.draw(st.sampled_from(SPOILT))
    with tempfile.TemporaryDirectory() as folder:
        book.save(Path(folder) / "term.xlsx")
        outcome = build(Path(folder) / "term.xlsx", Path(folder) / "out", ASKED)
    assert "index.html" in outcome.files
