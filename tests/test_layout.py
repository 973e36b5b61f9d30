"""The package keeps the shape that DEVELOPERS.md states: who imports whom, who touches what, who has a test."""

import ast
import re
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

from opsreport import __version__

TOP = Path(__file__).resolve().parent.parent
PACKAGE = TOP / "opsreport"

PARTS_OF_PLAN = ("needs/", "buying/", "packing/", "explaining/", "people/")

WITHOUT_PARTNER = {
    **{f"opsreport/plan/{part}__init__.py": "holds nothing" for part in ("", *PARTS_OF_PLAN)},
    "opsreport/plan/people_model.py": "records only, but for what a unit costs: see tests/plan/people/test_charges.py",
    "opsreport/plan/model.py": "records only; every other test of plan/ builds and reads them",
    "opsreport/write/__init__.py": "what text may hold; tested in each format that writes text",
}
"""Modules of plan/ and write/ that need no test file of their own, and why."""

FILE_LIBRARIES = {
    "csv", "glob", "icalendar", "io", "jinja2", "json", "openpyxl", "os", "pathlib", "python_calamine", "shutil",
    "tempfile", "xlsxwriter", "zipfile",
}  # fmt: skip
OUTSIDE_CALLS = {
    "print", "input", "breakpoint", "date.today", "datetime.now", "datetime.today", "datetime.utcnow",
    "os.getenv", "getpass.getuser", "locale.setlocale", "os.getcwd", "Path.cwd", "Path.home",
    "time.time", "time.localtime", "time.strftime", "platform.node",
}  # fmt: skip
"""Calls that look at the clock, the environment or the terminal."""
OUTSIDE_NAMES = {"os.environ", "sys.argv", "sys.stdin", "sys.stdout", "sys.stderr"}
DISTRIBUTIONS = {"python_calamine": "python-calamine"}
"""Import names that are not spelt as their distribution."""


def paths() -> list[str]:
    return sorted(path.relative_to(TOP).as_posix() for path in PACKAGE.rglob("*.py"))


def listed() -> list[str]:
    """The modules of DEVELOPERS.md, in its order."""
    return re.findall(r"^(opsreport/\S+\.py) ", (TOP / "DEVELOPERS.md").read_text("utf-8"), re.MULTILINE)


def module_name(path: str) -> str:
    return path.removesuffix(".py").removesuffix("/__init__").replace("/", ".")


@cache
def tree(path: str) -> ast.Module:
    return ast.parse((TOP / path).read_text("utf-8"))


def running(node: ast.AST, skip_main: bool = False) -> Iterator[ast.AST]:
    """Every node below, without what stands there for the type checker only."""
    if isinstance(node, ast.If):
        test = ast.unparse(node.test)
        if test.endswith("TYPE_CHECKING") or (skip_main and test == "__name__ == '__main__'"):
            for other in node.orelse:
                yield from running(other, skip_main)
            return
    yield node
    for child in ast.iter_child_nodes(node):
        yield from running(child, skip_main)


def imported(path: str) -> set[str]:
    """Full names of the modules a module imports, anywhere in it; ours as modules, never as names in them."""
    ours = {module_name(other) for other in paths()}
    found: set[str] = set()
    for node in running(tree(path)):
        if isinstance(node, ast.Import):
            found.update(alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path}: relative import"
            assert node.module is not None
            for alias in node.names:
                full = f"{node.module}.{alias.name}"
                found.add(full if full in ours else node.module)
    return found


def test_the_list_names_every_module_once() -> None:
    assert sorted(listed()) == paths()


@pytest.mark.parametrize("path", paths())
def test_imports_come_from_above(path: str) -> None:
    order = [module_name(other) for other in listed()]
    own = module_name(path)
    assert own in order
    below = {name for name in imported(path) if name in order and order.index(name) >= order.index(own)}
    assert below == set()


@pytest.mark.parametrize("path", [path for path in paths() if path != "opsreport/cli.py"])
def test_only_the_command_line_looks_outside(path: str) -> None:
    """The clock, the environment and the terminal are cli.py's; a module run by itself may read its words."""
    found = []
    for node in running(tree(path), skip_main=True):
        if isinstance(node, ast.Call):
            called = ".".join(ast.unparse(node.func).split(".")[-2:])
            if called in OUTSIDE_CALLS:
                found.append((node.lineno, called))
        elif isinstance(node, ast.Attribute) and ast.unparse(node) in OUTSIDE_NAMES:
            found.append((node.lineno, ast.unparse(node)))
    assert found == []


@pytest.mark.parametrize("path", [path for path in paths() if path.startswith("opsreport/plan/")])
def test_plan_knows_no_file(path: str) -> None:
    assert {name for name in imported(path) if name.partition(".")[0] in FILE_LIBRARIES} == set()
    later = {"opsreport.tables", "opsreport.write", "opsreport.reading"}
    assert {name for name in imported(path) if any(f"{name}.".startswith(f"{one}.") for one in later)} == set()


@pytest.mark.parametrize("path", [path for path in paths() if path.startswith("opsreport/tables/")])
def test_tables_know_no_file(path: str) -> None:
    assert {name for name in imported(path) if name.partition(".")[0] in FILE_LIBRARIES} == set()


@pytest.mark.parametrize("path", [path for path in paths() if path.startswith("opsreport/write/")])
def test_write_knows_the_plan_as_figures_only(path: str) -> None:
    assert {name for name in imported(path) if name.startswith("opsreport.plan")} <= {
        "opsreport.plan.model",
        "opsreport.plan.people_model",
    }


@pytest.mark.parametrize(
    "path",
    [p for p in paths() if p.startswith(("opsreport/plan/", "opsreport/write/")) and p not in WITHOUT_PARTNER],
)
def test_every_step_and_writer_has_its_test_file(path: str) -> None:
    folder, _, name = path.removeprefix("opsreport/").rpartition("/")
    assert (TOP / "tests" / folder / f"test_{name}").is_file()


def test_the_exceptions_are_still_there() -> None:
    assert set(WITHOUT_PARTNER) <= set(paths())


def test_what_the_package_imports_is_what_it_requires() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]
    required = {re.split(r"[<>=~! \[;]", line)[0] for line in project["dependencies"]}
    top_level = {name.partition(".")[0] for path in paths() for name in imported(path)}
    standard = {name for name in top_level if name in sys.stdlib_module_names}
    used = {DISTRIBUTIONS.get(name, name) for name in top_level - standard - {"opsreport", "markupsafe"}}
    assert used == required  # markupsafe is jinja2's own


def test_one_version() -> None:
    project = tomllib.loads((TOP / "pyproject.toml").read_text("utf-8"))["project"]
    assert project["version"] == __version__
