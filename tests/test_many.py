"""Several workbooks in one run: each as alone, none stopped by another, the worst exit status."""

import json
import os
import re
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path

import openpyxl
import pytest
from support import CORE, written

from opsreport import many
from opsreport.beside import Beside
from opsreport.cli import main
from opsreport.many import Piece, side_by_side
from opsreport.tables.several import Told

SUPPLIED = {
    **CORE,
    "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nMill | onion | 3 | each | 1.50",
    "Stock": "Ingredient | Amount | Unit",
}
FAULTY = {**CORE, "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 | cupful"}
DAY = "2027-02-08"


def tree(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def books(tmp_path: Path) -> list[Path]:
    """One that needs nothing, one that orders, one with an error, and one that is no workbook."""
    paths = [tmp_path / f"{name}.xlsx" for name in ("north", "south", "faulty", "none")]
    for path, sheets in zip(paths, (CORE, SUPPLIED, FAULTY), strict=False):
        path.write_bytes(written(sheets))
    paths[-1].write_bytes(b"no workbook")
    return paths


@pytest.mark.parametrize("jobs", ["1", "2"])
def test_each_as_alone_and_the_worst_status(books: list[Path], capsys: pytest.CaptureFixture[str], jobs: str) -> None:
    out = books[0].parent / "all"
    words = ["build", *map(str, books), "--out", str(out), "--as-of", DAY, "--jobs", jobs]
    assert main(words) == 2
    said = capsys.readouterr().out
    assert [line.split(" ")[0] for line in said.splitlines()[:4]] == [
        "north.xlsx", "south.xlsx", "faulty.xlsx", "none.xlsx:"
    ]  # fmt: skip
    assert "south.xlsx → south/: 0 errors" in said
    assert "first to order" in said
    assert "no orders and no packing" in said
    assert "none.xlsx: not used." in said
    assert sorted(path.name for path in out.iterdir()) == ["faulty", "index.html", "north", "south"]
    for book in books[:3]:
        alone = book.parent / "alone"
        main(["build", str(book), "--out", str(alone), "--as-of", DAY, "--since", "none"])
        assert tree(out / book.stem) == tree(alone)
    page = (out / "index.html").read_text("utf-8")
    assert re.findall(r'href="(\w+/index.html)"', page) == ["north/index.html", "south/index.html", "faulty/index.html"]
    assert "none.xlsx" in page
    assert main([*words[:-2]]) == 2
    assert tree(out) == tree(out.with_name("all.1"))


@pytest.mark.parametrize(("south", "said"), [("05", "Tue 5 Jan 2027"), ("07", "Tue 5 Jan 2027 to Thu 7 Jan 2027")])
def test_the_page_of_all_says_the_planning_days_of_the_workbooks(tmp_path: Path, south: str, said: str) -> None:
    """And not the day of the run, of which nothing is written."""
    files = [tmp_path / f"{name}.xlsx" for name in ("north", "south")]
    for file, day in zip(files, ("05", south), strict=True):
        file.write_bytes(written({**CORE, "Settings": f"Setting | Value\nAs of | @2027-01-{day}"}))
    out = tmp_path / "all"
    assert main(["build", *map(str, files), "--out", str(out), "--jobs", "1"]) == 0
    page = (out / "index.html").read_text()
    assert set(re.findall(r"as of ([\w ]+)", page)) == {said}
    assert "All documents" not in page, "there is none of all"


def test_errors_alone_are_status_1_and_none_is_0(books: list[Path]) -> None:
    out = str(books[0].parent / "all")
    assert main(["build", *map(str, books[:2]), "--out", out, "--as-of", DAY, "--jobs", "1"]) == 0
    assert main(["build", *map(str, books[:3]), "--out", out, "--as-of", DAY, "--jobs", "1"]) == 1


@pytest.mark.parametrize(
    ("names", "out", "sentence"),
    [
        (("north.xlsx", "south.xlsx"), "", "need a folder to write to"),
        (("north.xlsx", "./north.xlsx"), "all", "is named twice"),
        (("none.xlsx", "missing.xlsx"), "all", "no workbook could be used; nothing was written"),
        (("north.xlsx", "south.xlsx"), "north.xlsx", "is a file, not a folder"),
    ],
)
def test_what_cannot_be_is_refused_and_nothing_is_written(
    books: list[Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str],
    names: tuple[str, ...], out: str, sentence: str,
) -> None:  # fmt: skip
    monkeypatch.chdir(books[0].parent)
    before = sorted(os.listdir())  # noqa: PTH208
    assert main(["build", *names, *(["--out", out] if out else []), "--as-of", DAY, "--jobs", "1"]) == 2
    assert sentence in capsys.readouterr().err
    assert sorted(os.listdir()) == before  # noqa: PTH208


def test_two_of_one_name_have_two_folders(tmp_path: Path) -> None:
    assert many.folder_names([Path("a/Term.xlsx"), Path("b/term.ods"), Path("index.xlsx")]) == [
        "Term", "term-2", "index-2"
    ]  # fmt: skip


def test_two_of_one_name_are_told_apart_by_their_folders(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files = [tmp_path / "a" / "term.xlsx", tmp_path / "b" / "term.xlsx", tmp_path / "other.xlsx"]
    for file in files:
        file.parent.mkdir(exist_ok=True)
        file.write_bytes(written(CORE))
    out = tmp_path / "all"
    assert main(["build", *map(str, files), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 0
    named = [str(files[0]), str(files[1]), "other.xlsx"]
    assert [line.partition(" → ")[0] for line in capsys.readouterr().out.splitlines()[:3]] == named
    page = (out / "index.html").read_text("utf-8")
    assert all(name in page for name in named)


def test_money_of_two_currencies_with_one_sign_is_told_by_their_codes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """On the page and in the terminal; of one currency the sign does. Source of the codes: ISO 4217."""
    files = [tmp_path / f"{code}.xlsx" for code in ("USD", "CAD")]
    for file in files:
        file.write_bytes(written({**SUPPLIED, "Settings": f"Setting | Value\nCurrency | {file.stem}"}))
    out = tmp_path / "all"
    assert main(["build", *map(str, files), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 0
    assert re.findall(r"orders (\S+ [\d.]+)", capsys.readouterr().out) == ["USD 1.50", "CAD 1.50"]
    page = (out / "index.html").read_text("utf-8")
    assert re.findall(r"(?:USD|CAD)\s1\.50", page) == ["USD\N{NO-BREAK SPACE}1.50", "CAD\N{NO-BREAK SPACE}1.50"]
    assert main(["build", str(files[0]), "--pool", "--out", str(out), "--as-of", DAY]) == 0
    assert "orders $1.50" in capsys.readouterr().out


def test_two_files_of_one_name_have_folders_named_after_theirs() -> None:
    files = [Path(name) for name in ("a/north/site.xlsx", "a/south/site.xlsx", "b/south/site.xlsx", "other.xlsx")]
    assert many.folder_names(files) == ["north-site", "a-south-site", "b-south-site", "other"]


def test_those_that_need_a_hand_stand_last_with_why_and_what_to_do(
    books: list[Path], capsys: pytest.CaptureFixture[str]
) -> None:
    out = books[0].parent / "all"
    assert main(["build", *map(str, books), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 2
    *_, heading, faulty, none = capsys.readouterr().out.splitlines()
    assert heading == "Need a hand: 2 of 4 workbooks"
    assert faulty.startswith("  faulty.xlsx: no orders and no packing. Recipes!E2: ")
    assert " → " in faulty
    assert none.startswith("  none.xlsx: It is damaged, or no workbook in spite of its name: save it again")
    page = (out / "index.html").read_text("utf-8")
    assert faulty[2:] in page
    assert none[2:] in page


def test_quiet_says_nothing_of_several_while_all_is_well(books: list[Path], capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--out", str(books[0].parent / "all"), "--as-of", DAY, "--jobs", "1", "--quiet"]
    assert main(["build", *map(str, books[:2]), *words]) == 0
    assert capsys.readouterr() == ("", "")
    assert main(["build", *map(str, books[:3]), *words]) == 1
    assert "faulty.xlsx" in capsys.readouterr().out


@pytest.mark.parametrize("more", [(), ("--pool",)])
def test_the_folder_of_the_workbooks_and_an_earlier_run_is_not_moved_aside(
    books: list[Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], more: tuple[str, ...]
) -> None:
    monkeypatch.chdir(books[0].parent)
    assert main(["build", "north.xlsx", "--as-of", DAY]) == 0
    capsys.readouterr()
    words = ["north.xlsx", "south.xlsx", "--out", ".", "--as-of", DAY, "--jobs", "1"]
    assert main(["build", *words, *more]) == 2
    assert "holds the workbook north.xlsx" in capsys.readouterr().err
    assert all(book.exists() for book in books)


def test_each_is_compared_with_its_own_run_in_an_earlier_one_over_several(books: list[Path]) -> None:
    """Two weeks apart; the north was not there the first time, and is compared with nothing."""
    first, second = (books[0].parent / name for name in ("first", "second"))
    words = ["--jobs", "1", "--as-of"]
    assert main(["build", str(books[1]), str(books[2]), "--out", str(first), *words, DAY]) == 1
    later = ["--out", str(second), "--since", str(first), *words, "2027-02-22"]
    assert main(["build", str(books[0]), str(books[1]), *later]) == 0
    since = [json.loads((second / name / "plan.json").read_text("utf-8"))["changes"] for name in ("north", "south")]
    assert since[0] is None
    assert since[1]["since"] == DAY


def test_run_again_into_their_folder_they_are_compared_with_the_run_before(books: list[Path]) -> None:
    out = books[0].parent / "all"
    words = ["build", *map(str, books[:2]), "--out", str(out), "--jobs", "1", "--as-of"]
    main([*words, DAY])
    assert json.loads((out / "south" / "plan.json").read_text("utf-8"))["changes"] is None
    main([*words, "2027-02-09"])
    later = tree(out)
    assert json.loads(later["south/plan.json"])["changes"]["since"] == DAY
    main([*words, "2027-02-09"])
    assert tree(out) == later


def test_a_workbook_that_was_there_last_time_and_is_not_now_is_named(
    books: list[Path], capsys: pytest.CaptureFixture[str]
) -> None:
    for more in ([], ["--pool"]):
        words = ["--out", str(books[0].parent / f"all{more}"), "--jobs", "1", "--as-of", DAY]
        assert main(["build", *map(str, books[:2]), *words, *more]) == 0
        assert "last time" not in capsys.readouterr().out
        assert main(["build", str(books[0]), str(books[2]), *words, *more]) == 1
        assert "There last time and not in this run: south\n" in capsys.readouterr().out


def piece(name: str) -> Piece:
    return (Path(name), name, Path(), Path(), None)  # type: ignore[return-value]


def works(given: Piece) -> Told:
    """Tells of any piece but one, of which the process dies."""
    if given[1] == "deadly":
        os._exit(9)
    return Told(given[1], given[1], 0)


def test_a_process_that_dies_takes_one_workbook_with_it() -> None:
    pieces = [piece(name) for name in ("a", "deadly", "b", "c")]
    told = list(side_by_side(works, pieces, 2, lambda given: Told(given[1], "", 2)))
    assert [(each.source, each.status) for each in told] == [("a", 0), ("deadly", 2), ("b", 0), ("c", 0)]


def test_a_helper_that_dies_is_heard_of() -> None:
    with Beside(1, os.getpid) as beside, pytest.raises(BrokenProcessPool):
        beside.start(os._exit, 3).waited()


def test_our_own_mistake_in_one_workbook_is_told_and_stops_no_other(
    books: list[Path], monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    make = many.make

    def mistaken(source: Path, *rest: object) -> object:
        if source.stem == "north":
            raise RuntimeError("impossible")
        return make(source, *rest)  # type: ignore[arg-type]

    monkeypatch.setattr(many, "make", mistaken)
    out = books[0].parent / "all"
    assert main(["build", *map(str, books[:2]), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 2
    assert "opsreport's own (RuntimeError: impossible)" in capsys.readouterr().out
    assert sorted(path.name for path in out.iterdir()) == ["index.html", "south"]


ATTENDED = {
    **CORE,
    "Settings": "Setting | Value\nProgramme | Kitchens\nSmall count | 0",
    "Sessions": "Session | Group | Date | Recipes | Status | Minutes\ns1 | g1 | @2027-01-04 | soup | delivered | 90",
    "Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h1 | none\n"
    "p3 | g1 | h3 | none",
    "Attendance": "Participant | s1\np1 | x\np2 | x\np3 | n",
}


def lines(file: Path) -> dict[str, list[object]]:
    """The rows of a document's first table by their first cell."""
    rows = openpyxl.load_workbook(file).worksheets[0].iter_rows(values_only=True)
    return {str(row[0]): list(row[1:]) for row in rows if row[0]}


@pytest.mark.parametrize("more", [[], ["--pool"]])
def test_attendance_of_all_counts_everybody_once(tmp_path: Path, more: list[str]) -> None:
    """p1 of h1 comes to both kitchens; p2 of another household than in the first is somebody else. p3 does not come,
    but a kit is packed for h3."""
    north, south, none = (tmp_path / f"{name}.xlsx" for name in ("north", "south", "none"))
    north.write_bytes(written(ATTENDED))
    south.write_bytes(written({**ATTENDED, "Enrolment": ATTENDED["Enrolment"].replace("p2 | g1 | h1", "p2 | g1 | h2")}))
    none.write_bytes(written(CORE))
    out = tmp_path / "out"
    words = ["build", str(north), str(south), str(none), "--out", str(out), "--as-of", DAY, "--jobs", "1", *more]
    assert main(words) == 0
    found = lines(out / "attendance.xlsx")
    assert found["north"][:8] == [1, 1, 2, 1, 2, 3, 2, 2]
    assert found["south"][:8] == [1, 1, 2, 2, 2, 3, 3, 2]
    assert found["Together, each once"][:8] == [2, 2, 3, 2, 4, 6, 5, 3]
    assert "Nothing: Small count is 0 in every workbook." in (out / "attendance.html").read_text()
    assert "none" not in found
    assert "attendance.html" in (out / "index.html").read_text("utf-8")


def test_small_counts_are_hidden_in_the_attendance_of_all(tmp_path: Path) -> None:
    books = [tmp_path / "north.xlsx", tmp_path / "south.xlsx"]
    for book in books:
        book.write_bytes(written({**ATTENDED, "Settings": "Setting | Value\nProgramme | Kitchens"}))
    out = tmp_path / "out"
    assert main(["build", *map(str, books), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 0
    found = lines(out / "attendance.xlsx")
    assert found["Together, each once"][2:] == ["1–10", "1–10", "1–10", "hidden", "1–10", "1–10", "hidden"]
    assert "counted once here: from 1 to 10 people" in (out / "attendance.html").read_text("utf-8")


def test_one_workbook_with_attendance_is_no_attendance_of_all(tmp_path: Path) -> None:
    books = [tmp_path / "north.xlsx", tmp_path / "south.xlsx"]
    for book, sheets in zip(books, (ATTENDED, CORE), strict=True):
        book.write_bytes(written(sheets))
    out = tmp_path / "out"
    assert main(["build", *map(str, books), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 0
    assert not (out / "attendance.xlsx").exists()


FUNDED = {
    **ATTENDED,
    "Groups": "Group | Funders\ng1 | Larkmere",
    "Funders": "Funder | Name | From | Until\nLarkmere | Larkmere Trust | @2027-01-01 | @2027-06-30",
    "Questions": "Question | Text | Kind | Lowest | Highest\nq1 | Can you cook? | scale | 1 | 5",
    "Surveys": "Participant | When | q1\np1 | before | 1\np1 | after | 3\np2 | before | 2\np2 | after | 2",
}


def funded(folder: Path) -> list[Path]:
    """Two workbooks of one funder, in other orders of their rows, and one of another funder. p1 of h1 comes to both."""
    folder.mkdir()
    books = [folder / f"{name}.xlsx" for name in ("north", "south", "east")]
    shuffled = {
        name: "\n".join([rows[0], *rows[:0:-1]]) for name, rows in ((n, t.split("\n")) for n, t in FUNDED.items())
    }
    shuffled["Enrolment"] = shuffled["Enrolment"].replace("p2 | g1 | h1", "p2 | g1 | h2")
    other = {name: text.replace("Larkmere", "Brackenlow") for name, text in FUNDED.items()}
    for book, sheets in zip(books, (FUNDED, shuffled, other), strict=True):
        book.write_bytes(written(sheets))
    return books


@pytest.mark.parametrize("more", [[], ["--pool"]])
def test_a_funder_of_several_workbooks_has_one_report_of_all(tmp_path: Path, more: list[str]) -> None:
    """p1 and p2 in the north, p1 and another p2 in the south: three people of two households, each at their one
    session of an hour and a half. Kits were packed for two households and three."""
    books = funded(tmp_path / "in")
    out = tmp_path / "out"
    words = ["build", *map(str, books), "--out", str(out), "--as-of", DAY, "--jobs", "1", *more]
    assert main(words) == 0
    assert sorted(path.name for path in (out / "funders").iterdir()) == ["Larkmere-Trust.html", "Larkmere-Trust.xlsx"]
    found = lines(out / "funders" / "Larkmere-Trust.xlsx")
    assert found["north"] == [1, 2, 1, 2, 3, 2, 2, "100%"]
    assert found["south"] == [1, 2, 2, 2, 3, 3, 2, "100%"]
    assert found["Together, each once"] == [2, 3, 2, 4, 6, 5, 3, "100%"]
    page = (out / "index.html").read_text("utf-8")
    links = re.findall(r'href="([^"#]+)"', page)
    assert {"funders/Larkmere-Trust.html", "funders/Larkmere-Trust.xlsx", "attendance.html"} <= set(links)
    assert [link for link in links if not (out / link).is_file()] == []
    document = (out / "funders" / "Larkmere-Trust.html").read_text("utf-8")
    assert "2 of 4 people improved" in document
    assert "Brackenlow" not in document
    assert "Food cost: goods, delivery and tax" in document
    assert not re.search(r">(p[12]|h[123])<", document)


def test_the_reports_of_all_are_the_same_however_rows_and_workbooks_are_ordered(tmp_path: Path) -> None:
    """North and south are each other with rows turned round, but for who p2 lives with."""
    books = funded(tmp_path / "in")
    trees = []
    for at, order in enumerate((books, books, books[::-1])):
        out = tmp_path / str(at) / "out"
        assert main(["build", *map(str, order), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 0
        trees.append(out)
    assert tree(trees[0]) == tree(trees[1])
    first, turned = (lines(out / "funders" / "Larkmere-Trust.xlsx") for out in (trees[0], trees[2]))
    assert {name: first[name] for name in first if name != "Workbook"} == {
        name: turned[name] for name in turned if name != "Workbook"
    }
    assert lines(trees[0] / "attendance.xlsx") == lines(trees[2] / "attendance.xlsx")


def test_money_of_two_currencies_is_not_added(tmp_path: Path) -> None:
    books = funded(tmp_path / "in")
    books[1].write_bytes(written({**FUNDED, "Settings": f"{FUNDED['Settings']}\nCurrency | EUR"}))
    out = tmp_path / "out"
    assert main(["build", *map(str, books), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 0
    rows = openpyxl.load_workbook(out / "funders" / "Larkmere-Trust.xlsx")["Food cost"].iter_rows(values_only=True)
    found = [row[:3] for row in rows if row[0]]
    assert ("Together, USD", "USD", "$0.00") in found
    assert ("Together, EUR", "EUR", "€0.00") in found


def test_a_workbook_that_could_not_be_used_is_named_in_the_reports_of_all(tmp_path: Path) -> None:
    books = funded(tmp_path / "in")
    books.append(tmp_path / "in" / "none.xlsx")
    books[-1].write_bytes(b"no workbook")
    out = tmp_path / "out"
    assert main(["build", *map(str, books), "--out", str(out), "--as-of", DAY, "--jobs", "1"]) == 2
    assert "none.xlsx" in (out / "funders" / "Larkmere-Trust.html").read_text("utf-8")
