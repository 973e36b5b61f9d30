"""The command: exit statuses, one clear sentence where a file cannot be used, and never a traceback."""

import json
import os
import re
import subprocess
import sys
from pathlib import Path

import pytest
from support import CORE, written

from opsreport import __version__
from opsreport.cli import main

TOP = Path(__file__).resolve().parent.parent
DEMO = TOP / "workbooks" / "fennelbridge-spring-2027.xlsx"
OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
"""How a compound file begins: an old .xls, or a workbook under a password."""
BAD_DAY = "Session | Group | Date | Recipes\ns1 | g1 | 2027-11-31 | soup"
BAD_SURVEY = {
    "Questions": "Question | Text | Kind | Lowest | Highest\nq1 | Fruit a day? | scale | 5 | 1",
}


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    """A good workbook of four sheets in a folder of its own."""
    path = tmp_path / "term.xlsx"
    path.write_bytes(written(CORE))
    return path


def tree(folder: Path) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


def said(capsys: pytest.CaptureFixture[str]) -> tuple[str, str]:
    captured = capsys.readouterr()
    assert "Traceback" not in captured.out + captured.err
    return captured.out, captured.err


def ran(*words: str, cwd: Path) -> "subprocess.CompletedProcess[str]":
    environment = {**os.environ, "PYTHONPATH": str(TOP), "PYTHONIOENCODING": "utf-8"}
    return subprocess.run(
        [sys.executable, "-m", "opsreport", *words],
        cwd=cwd, env=environment, capture_output=True, text=True, encoding="utf-8", check=False,
    )  # fmt: skip


def test_an_allergen_without_a_swap_leaves_no_order_and_no_packing_paper(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "unsafe.xlsx"
    recipes = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | peanut butter | 1 | cup"
    enrolment = "Participant | Group | Needs\np1 | g1 | no peanut\np2 | g1 | none"
    path.write_bytes(written({**CORE, "Recipes": recipes, "Enrolment": enrolment}))
    assert main(["build", str(path), "--as-of", "2027-02-08", "--out", str(tmp_path / "out")]) == 1
    said(capsys)
    findings = json.loads((tmp_path / "out" / "plan.json").read_text("utf-8"))["findings"]
    assert "need-without-swap" in {finding["code"] for finding in findings}
    assert not [name for name in tree(tmp_path / "out") if name.startswith(("orders/", "packing/"))]


def test_pieces_without_a_weight_are_a_finding(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "cans.xlsx"
    recipes = (
        "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | canned tomatoes | 1 | can\n"
        "stew | 4 | canned tomatoes | 2 | cup"
    )
    path.write_bytes(written({**CORE, "Recipes": recipes}))
    assert main(["check", str(path), "--as-of", "2027-02-08"]) == 1
    out, _ = said(capsys)
    assert "canned tomatoes" in out


def test_a_good_workbook_builds_beside_itself(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = workbook.read_bytes()
    assert main(["build", str(workbook), "--as-of", "2027-02-08"]) == 0
    out, err = said(capsys)
    folder = workbook.with_name("term-2027-02-08")
    assert str(folder) in out
    assert err == ""
    assert {"index.html", "findings.html", "plan.json", "calendar.ics"} <= set(tree(folder))
    assert workbook.read_bytes() == before
    assert sorted(path.name for path in workbook.parent.iterdir()) == ["term-2027-02-08", "term.xlsx"]


def test_the_same_workbook_and_day_give_the_same_bytes(workbook: Path) -> None:
    for name in ("one", "two"):
        assert main(["build", str(workbook), "--as-of", "2027-02-08", "--out", str(workbook.parent / name)]) == 0
    assert tree(workbook.parent / "one") == tree(workbook.parent / "two")


def test_an_earlier_folder_is_kept(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    target = workbook.parent / "out"
    target.mkdir()
    (target / "mine.txt").write_text("mine")
    assert main(["build", str(workbook), "--out", str(target), "--as-of", "2027-02-08"]) == 2
    assert "holds other files" in said(capsys)[1]
    assert tree(target) == {"mine.txt": b"mine"}
    (target / "plan.json").write_text("{}")
    assert main(["build", str(workbook), "--out", str(target), "--as-of", "2027-02-08"]) == 0
    assert str(workbook.parent / "out.1") in said(capsys)[0]
    assert tree(workbook.parent / "out.1") == {"mine.txt": b"mine", "plan.json": b"{}"}
    assert "mine.txt" not in tree(target)


def test_an_earlier_term_beside_this_one(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    first, second = workbook.with_name("first"), workbook.with_name("second")
    assert main(["build", str(workbook), "--out", str(first), "--as-of", "2027-01-04"]) == 0
    words = ["build", str(workbook), "--out", str(second), "--as-of", "2027-01-05", "--with"]
    assert main([*words, str(first / "plan.json")]) == 0
    assert "As of Mon 4 Jan 2027" in (second / "reports" / "attendance.html").read_text("utf-8")
    said(capsys)
    assert main([*words, str(first)]) == 0
    said(capsys)
    assert main([*words, str(first / "index.html")]) == 2
    assert "no plan.json of an earlier run" in said(capsys)[1]
    assert main([*words, "nosuch"]) == 2
    assert said(capsys)[1] == "opsreport: There is no earlier plan nosuch; give a run's plan.json or its folder.\n"


def test_the_command_lines_day_wins_over_settings(tmp_path: Path) -> None:
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, "Settings": "Setting | Value\nAs of | @2027-02-01"}))
    assert main(["build", str(path)]) == 0
    assert main(["build", str(path), "--as-of", "2027-02-08"]) == 0
    for day in ("2027-02-01", "2027-02-08"):
        assert json.loads((tmp_path / f"term-{day}" / "plan.json").read_text("utf-8"))["as_of"] == day


def test_an_error_in_food_stops_orders_and_packing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "term.xlsx"
    recipes = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 | cupful"
    path.write_bytes(written({**CORE, "Recipes": recipes}))
    assert main(["build", str(path), "--as-of", "2027-02-08", "--out", str(tmp_path / "out")]) == 1
    out, _ = said(capsys)
    assert "Recipes!E2" in out
    assert "cupful" in out
    files = tree(tmp_path / "out")
    assert not [name for name in files if name.startswith(("orders/", "packing/"))]
    assert "calendar.ics" not in files
    assert [name for name in files if name.startswith("reports/")]
    plan = json.loads(files["plan.json"])
    assert plan["needs"] == plan["purchases"] == plan["sessions"] == []
    assert "cupful" in files["findings.html"].decode()


def test_an_error_in_reports_alone_still_gives_the_orders(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, **BAD_SURVEY}))
    assert main(["build", str(path), "--as-of", "2027-02-08", "--out", str(tmp_path / "out")]) == 1
    out, _ = said(capsys)
    assert "reports" in next(line for line in out.splitlines() if line.startswith("Not written"))
    files = tree(tmp_path / "out")
    assert [name for name in files if name.startswith("orders/")]
    assert [name for name in files if name.startswith("packing/")]
    assert not [name for name in files if name.startswith("reports/")]


def test_an_error_in_a_core_sheet_stops_all_but_the_findings(tmp_path: Path) -> None:
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, "Sessions": BAD_DAY}))
    assert main(["build", str(path), "--as-of", "2027-02-08", "--out", str(tmp_path / "out")]) == 1
    assert sorted(tree(tmp_path / "out")) == ["findings.html", "index.html", "plan.json", "term-marked.xlsx"]


def test_check_says_where_and_what_to_do(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, "Sessions": BAD_DAY}))
    assert main(["check", str(path), "--as-of", "2027-02-08"]) == 1
    out, _ = said(capsys)
    assert "Sheet Sessions" in out.splitlines()
    assert any("C2" in line and "2027-11-31" in line for line in out.splitlines())
    assert [path.name for path in tmp_path.iterdir()] == ["term.xlsx"]


@pytest.mark.parametrize(
    ("name", "value", "coloured"), [("TERM", "xterm", True), ("TERM", "dumb", False), ("NO_COLOR", "1", False)]
)
def test_check_on_a_terminal(
    name: str, value: str, coloured: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, "Sessions": BAD_DAY}))
    monkeypatch.delenv("NO_COLOR", raising=False)
    for variable, its in (("TERM", "xterm"), ("COLUMNS", "48"), (name, value)):
        monkeypatch.setenv(variable, its)
    monkeypatch.setattr(sys.stdout, "isatty", lambda: True)
    assert main(["check", str(path), "--as-of", "2027-02-08"]) == 1
    out, _ = said(capsys)
    assert ("\x1b[" in out) == coloured
    assert max(len(re.sub(r"\x1b\[[0-9;]*m", "", line)) for line in out.splitlines()) <= 48


def test_check_marks_a_copy_beside_and_never_over_anything(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, "Sessions": BAD_DAY}))
    before = path.read_bytes()
    for name in ("term-marked.xlsx", "term-marked-2.xlsx"):
        assert main(["check", str(path), "--mark", "--as-of", "2027-02-08"]) == 1
        assert said(capsys)[0].splitlines()[-1] == f"Written: {tmp_path / name}"
    assert path.read_bytes() == before
    assert (tmp_path / "term-marked.xlsx").read_bytes() == (tmp_path / "term-marked-2.xlsx").read_bytes()


UNSAID = (
    "opsreport: what there is to say cannot be printed (No space left on device); files are written as without it.\n"
)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no disk here is always full")
@pytest.mark.parametrize(("command", "status"), [("build", 0), ("check", 2)])
def test_what_cannot_be_printed_changes_no_file(command: str, status: int, workbook: Path) -> None:
    """Written is written; an answer that nobody gets is none."""
    with open("/dev/full", "w") as full:  # noqa: PTH123 - a device
        done = subprocess.run(
            [sys.executable, "-m", "opsreport", command, str(workbook), "--as-of", "2027-02-08"],
            env={**os.environ, "PYTHONPATH": str(TOP)}, stdout=full, stderr=subprocess.PIPE, text=True, check=False,
        )  # fmt: skip
    assert (done.returncode, done.stderr) == (status, UNSAID)
    assert (workbook.parent / "term-2027-02-08" / "plan.json").is_file() == (command == "build")


@pytest.mark.parametrize(("command", "status"), [("build", 0), ("check", 2)])
def test_nobody_reads_what_is_said(command: str, status: int, workbook: Path) -> None:
    reading, writing = os.pipe()
    os.close(reading)
    done = subprocess.run(
        [sys.executable, "-m", "opsreport", command, str(workbook), "--as-of", "2027-02-08"],
        env={**os.environ, "PYTHONPATH": str(TOP)}, stdout=writing, stderr=subprocess.PIPE, text=True, check=False,
    )  # fmt: skip
    os.close(writing)
    assert (done.returncode, done.stderr) == (status, "")
    assert (workbook.parent / "term-2027-02-08" / "plan.json").is_file() == (command == "build")


@pytest.mark.skipif(os.name != "posix", reason="closes streams as a POSIX shell does")
@pytest.mark.parametrize("closed", ["<&-", ">&-", "2>&-", "<&- >&- 2>&-"])
def test_closed_streams_change_nothing(closed: str, workbook: Path) -> None:
    def run(words: str) -> int:
        script = f'"$0" -m opsreport {words} "$1" --as-of 2027-02-08'
        return subprocess.run(
            ["sh", "-c", script, sys.executable, str(workbook)],
            cwd=workbook.parent, env={**os.environ, "PYTHONPATH": str(TOP)}, stderr=subprocess.PIPE, check=False,
        ).returncode  # fmt: skip

    assert run("build --quiet --out open") == 0
    assert run(f"build {closed} --out closed") == 0
    assert tree(workbook.parent / "closed") == tree(workbook.parent / "open")
    assert run(f"check {closed}") == 0
    assert run(f"build {closed} --out") == 2


@pytest.mark.parametrize("encoding", ["ascii", "cp1252"])
def test_signs_that_an_encoding_lacks(encoding: str, workbook: Path) -> None:
    """As in a file that Windows PowerShell or LANG=C makes of what is said."""
    named = workbook.rename(workbook.with_name("Kürbis → 南瓜.xlsx"))

    def run(*words: str) -> str:
        environment = {**os.environ, "PYTHONPATH": str(TOP), "PYTHONIOENCODING": encoding}
        done = subprocess.run(
            [sys.executable, "-m", "opsreport", *words], env=environment, capture_output=True, check=False
        )
        assert (done.returncode, done.stderr) == (0, b"")
        return done.stdout.decode(encoding)

    assert "-> \\u5357\\u74dc-2027-02-08" in run("build", str(named), "--as-of", "2027-02-08")
    assert "           -> " in run("check", str(named))
    assert list(json.loads(run("check", str(named), str(named), "--json"))) == [str(named)]
    assert "= 2 × 1/3 cup".replace("×", "x" if encoding == "ascii" else "×") in run("scoop", "2/3 cup")


@pytest.mark.parametrize(
    ("program", "said"),
    [
        ("builtins.__import__ = stop", ""),  # while the package loads
        ("import opsreport.cli; opsreport.cli.parser = stop", "opsreport: stopped; nothing is left half-written.\n"),
        ("import opsreport.cli; opsreport.cli.COMMANDS = {'start': stop}",
         "opsreport: stopped; nothing is left half-written.\n"),
    ],
)  # fmt: skip
def test_stopped_at_any_moment_it_ends_in_peace(program: str, said: str) -> None:
    driver = (
        "import builtins, sys\nfrom opsreport.__main__ import main\n"
        "def stop(*given, **more):\n    raise KeyboardInterrupt\n"
        f"{program}\nsys.argv = ['opsreport', 'start', 'new.xlsx']\nsys.exit(main())"
    )
    done = subprocess.run(
        [sys.executable, "-c", driver],
        env={**os.environ, "PYTHONPATH": str(TOP)}, capture_output=True, text=True, check=False,
    )  # fmt: skip
    assert (done.returncode, done.stderr) == (2, said)


def test_check_as_json(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, "Sessions": BAD_DAY}))
    assert main(["check", str(path), "--json", "--as-of", "2027-02-08"]) == 1
    findings = json.loads(said(capsys)[0])
    assert isinstance(findings, list)
    keys = ["severity", "code", "sheet", "cell", "message", "fix"]
    assert all(list(finding) == keys for finding in findings)
    assert all(isinstance(value, str) for finding in findings for value in finding.values())
    assert ("error", "date-not-real", "Sessions", "C2") in [
        (finding["severity"], finding["code"], finding["sheet"], finding["cell"]) for finding in findings
    ]


def test_check_of_a_good_workbook(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(workbook), "--json", "--as-of", "2027-02-08"]) == 0
    assert all(finding["severity"] != "error" for finding in json.loads(said(capsys)[0]))


UNUSABLE: list[tuple[str, bytes | None, str]] = [
    ("absent.xlsx", None, "There is no file absent.xlsx."),
    (
        "text.xlsx",
        b"Session,Group\ns1,g1\n",
        "text.xlsx is damaged, or no workbook in spite of its name: save it again as .xlsx where it was made.",
    ),
    ("empty.xlsx", b"", "empty.xlsx is empty: save it again where it was made."),
    ("cut.xlsx", written(CORE)[:900], "damaged"),
    (
        "locked.xlsx",
        OLE + bytes(504) + "EncryptedPackage".encode("utf-16-le") + bytes(512),
        "locked.xlsx is protected by a password",
    ),
    ("old.xlsx", OLE + bytes(1024), "old .xls format"),
    ("table.csv", b"Session,Group\n", "table.csv is a text file"),
]


@pytest.mark.parametrize("command", ["build", "check"])
@pytest.mark.parametrize(("name", "content", "sentence"), UNUSABLE, ids=[name for name, _, _ in UNUSABLE])
def test_a_file_that_cannot_be_used(
    name: str, content: bytes | None, sentence: str, command: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / name
    if content is not None:
        path.write_bytes(content)
    assert main([command, str(path)]) == 2
    out, err = said(capsys)
    assert out == ""
    assert err.startswith("opsreport: ")
    assert sentence in err
    assert err.count("\n") == 1
    assert [each.name for each in tmp_path.iterdir()] == ([] if content is None else [name])


def test_a_folder_is_no_workbook(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", str(tmp_path)]) == 2
    assert "is a folder: name the workbook inside it." in said(capsys)[1]


def test_a_folder_that_cannot_be_written(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    before = sorted(workbook.parent.iterdir())
    for target in (workbook, workbook / "out"):  # a file, and a folder under a file
        assert main(["build", str(workbook), "--out", str(target), "--as-of", "2027-02-08"]) == 2
        out, err = said(capsys)
        assert out == ""
        assert err.startswith("opsreport: ")
        assert err.count("\n") == 1
    assert sorted(workbook.parent.iterdir()) == before


@pytest.mark.parametrize("words", [[], ["bake"], ["build"], ["build", "x.xlsx", "--as-of", "8/2/2027"]])
def test_words_that_are_no_command(words: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as stopped:
        main(words)
    assert stopped.value.code == 2
    assert "usage: opsreport" in said(capsys)[1]


def test_as_a_module_from_another_folder(workbook: Path, tmp_path: Path) -> None:
    elsewhere = tmp_path / "elsewhere"
    elsewhere.mkdir()
    assert ran("--version", cwd=elsewhere).stdout == f"opsreport {__version__}\n"
    shown = ran("--help", cwd=elsewhere)
    assert shown.returncode == 0
    assert "build" in shown.stdout
    assert "check" in shown.stdout
    built = ran("build", str(workbook), "--out", "out", "--as-of", "2027-02-08", cwd=elsewhere)
    assert (built.returncode, built.stderr) == (0, "")
    assert (elsewhere / "out" / "index.html").is_file()
    refused = ran("check", "absent.xlsx", cwd=elsewhere)
    assert (refused.returncode, refused.stdout) == (2, "")
    assert refused.stderr == "opsreport: There is no file absent.xlsx.\n"


def test_the_demo_has_no_errors(capsys: pytest.CaptureFixture[str]) -> None:
    before = DEMO.read_bytes()
    assert main(["check", str(DEMO)]) == 0
    assert said(capsys)[0].rstrip().splitlines()[-1].startswith("0 errors, ")
    assert DEMO.read_bytes() == before


def test_a_mistake_of_our_own_is_one_sentence(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def fails(*_: object) -> None:
        raise RuntimeError("two and two are five")

    monkeypatch.setattr("opsreport.run.check", fails)
    assert main(["check", str(DEMO)]) == 2
    said = capsys.readouterr().err
    assert "two and two are five" in said
    assert "Traceback" not in said
    with pytest.raises(RuntimeError, match="five"):
        main(["--debug", "check", str(DEMO)])
    with pytest.raises(RuntimeError, match="five"):
        main(["check", str(DEMO), "--debug"])


def test_every_fault_of_a_wrong_workbook_is_listed_and_nothing_is_ordered(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A missing sheet, an unknown unit, a day that does not exist, a recipe nowhere written, negative stock, and
    an allergen without a swap: one never hides the next."""
    path = tmp_path / "wrong.xlsx"
    sheets = {
        "Sessions": (
            "Session | Group | Date | Recipes\ns1 | g1 | 31/11/2027 | soup\ns2 | g1 | @2027-03-04 | stew\n"
            "s3 | g1 | @2027-03-11 | soup"
        ),
        "Enrolment": "Participant | Group | Needs\np1 | g1 | no milk",
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\n"
        "soup | 4 | onion | 1 | blarg\nsoup | | butter | 2 | tbsp",
        "Stock": "Ingredient | Amount | Unit\nonion | -2 |",
    }
    path.write_bytes(written(sheets))
    assert main(["check", str(path), "--json", "--as-of", "2027-03-01"]) == 1
    found = json.loads(capsys.readouterr().out)
    assert [(each["sheet"], each["cell"]) for each in found if each["severity"] == "error"] == [
        ("Sessions", "C2"),
        ("Sessions", "D3"),
        ("Enrolment", "C2"),
        ("Recipes", "E2"),
        ("Stock", "B2"),
    ]
    for seen, each in zip(("31/11/2027", "stew", "no milk", "blarg", "-2"), found, strict=True):
        assert seen in each["message"]
        assert each["fix"]
    path.write_bytes(written({name: text for name, text in sheets.items() if name != "Stock"}))
    assert main(["build", str(path), "--as-of", "2027-03-01", "--out", str(tmp_path / "out")]) == 1
    assert sorted(each.name for each in (tmp_path / "out").iterdir()) == [
        "findings.html",
        "index.html",
        "plan.json",
        "wrong-marked.xlsx",
    ]
    assert "no milk" in capsys.readouterr().out


def test_quiet_says_nothing_while_all_is_well(workbook: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["build", str(workbook), "--as-of", "2027-02-08", "--quiet"]) == 0
    assert said(capsys) == ("", "")
    bad = workbook.with_name("bad.xlsx")
    bad.write_bytes(written({**CORE, **BAD_SURVEY}))
    assert main(["build", str(bad), "--as-of", "2027-02-08", "--quiet"]) == 1
    assert "Questions!" in said(capsys)[0]


def test_open_shows_the_start_page(workbook: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[str] = []
    monkeypatch.setattr("webbrowser.open", lambda address: bool(shown.append(address)) or True)
    folder = workbook.with_name("a folder")
    assert main(["build", str(workbook), "--as-of", "2027-02-08", "--out", str(folder), "--open"]) == 0
    assert shown == [(folder / "index.html").resolve().as_uri()]


def test_no_browser_is_no_failure(
    workbook: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr("webbrowser.open", lambda address: False)
    assert main(["build", str(workbook), "--as-of", "2027-02-08", "--open"]) == 0
    assert "no web browser was found" in said(capsys)[1]
