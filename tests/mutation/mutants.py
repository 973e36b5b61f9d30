"""How many small faults in the calculation the tests notice: a sample of mutants, drawn from a seed.

    python tests/mutation/mutants.py --many 300 --seed 1 --survivors survivors.tsv

An operator, comparison, whole number, condition or sign of a calculation module (`CALCULATION`)
is changed in a copy of the checkout. Left alone is what makes no difference by its nature, and how much that is is
printed: texts and annotations, `strict=` of `zip`, which guards against our own mistakes only, and limits of work
(module constants `_MOST_…`), of which one more is as good a limit.

The module's own test file runs first, then whole plans and their documents (`BEYOND`), then its folder's tests, then
slower tests (`FAR`). A mutant is killed when a test fails or hangs. With `--nearest 1` only the first of these run, so
the rate is a lower bound, found soon; `--again survivors.tsv` then tries the mutants listed there with all of them.

Each survivor is a line of the file asked for, as soon as it is found: either a test is missing, or the change makes no
difference and a reader can say why. Mutants are tried in the order drawn, so whatever is done when the run is stopped
(Ctrl-C) is a random sample as well.
"""

import argparse
import ast
import importlib
import multiprocessing
import os
import random
import resource
import shutil
import signal
import sys
import tempfile
from collections.abc import Iterator
from importlib.util import cache_from_source
from itertools import islice
from pathlib import Path
from typing import NamedTuple

TOP = Path(__file__).resolve().parents[2]
CALCULATION = (
    "opsreport/measures/**/*.py", "opsreport/plan/**/*.py", "opsreport/pool.py", "opsreport/tables/several.py",
)  # fmt: skip
DOCUMENTS = ("tests/tables", "tests/test_demo_workbook.py")
FOOD = ("tests/plan/test_food_plan.py",)
BEYOND = {
    "opsreport/measures": ("tests/test_kinds.py", *FOOD, *DOCUMENTS),
    "opsreport/plan/people_model.py": ("tests/plan/people", "tests/plan/test_people_plan.py", *DOCUMENTS),
    "opsreport/plan/people": ("tests/plan/test_people_plan.py", *DOCUMENTS),
    "opsreport/plan/model.py": ("tests/plan/needs", "tests/plan/packing", "tests/plan/explaining", *FOOD, *DOCUMENTS),
    "opsreport/plan": (*FOOD, *DOCUMENTS),
    "opsreport": ("tests/test_many.py", "tests/test_pool.py"),
}
"""Whole plans and their documents, by the start of the module's path; the first that fits counts."""
FAR_FOOD = (
    "tests/plan/test_any_food_plan.py", "tests/test_findings.py", "tests/test_pieces.py", "tests/test_containers.py",
    "tests/test_safe_kits.py", "tests/test_earlier.py", "tests/test_recount.py", "tests/test_pool.py",
    "tests/reference/test_demo_against_reference.py",
)  # fmt: skip
FAR = {
    "opsreport/measures": ("tests/test_foods.py", "tests/reading", *FAR_FOOD),
    "opsreport/plan/people": ("tests/test_many.py", "tests/test_small_counts_attack.py"),
    "opsreport/plan/buying": (*FAR_FOOD, "tests/reference/test_against_plain_programme.py"),
    "opsreport": FAR_FOOD,
}
"""Slower tests that tell of the same modules, likewise."""
HEAVY = (
    "pytest", "hypothesis", "numpy", "scipy.optimize", "scipy.stats", "pandas", "highspy", "openpyxl", "xlsxwriter",
    "icalendar", "jinja2", "pint", "python_calamine", "rapidfuzz", "rich.console",
)  # fmt: skip
"""What tests import, loaded once: every mutant is tried in a fork that has it already."""
LONGEST = 60
"""Seconds of the processor after which a mutant counts as noticed: it hangs; for more than its own tests the double."""
GOAL = 0.85

OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.FloorDiv, ast.FloorDiv: ast.Mult, ast.Div: ast.Mult,
    ast.Mod: ast.FloorDiv, ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip
COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip


def mutations(tree: ast.Module) -> Iterator[tuple[ast.expr, ast.expr]]:
    """(node, what stands in its place), in the order of the file; what makes no difference by its nature left out."""
    left_out = {id(node) for node in _no_difference(tree)}
    for node, other in _changes(tree):
        if id(node) not in left_out:
            yield node, other


def _no_difference(tree: ast.Module) -> Iterator[ast.AST]:
    """What `strict=` is, and what stands in a limit of work."""
    for node in ast.walk(tree):
        if isinstance(node, ast.keyword) and node.arg == "strict":
            yield node.value
    for line in tree.body:
        if isinstance(line, ast.AnnAssign) and ast.unparse(line.target).startswith("_MOST_"):
            yield from ast.walk(line)


def _changes(tree: ast.Module) -> Iterator[tuple[ast.expr, ast.expr]]:
    for node in _code(tree):
        if isinstance(node, ast.BinOp) and type(node.op) in OPERATORS:
            yield node, ast.BinOp(node.left, OPERATORS[type(node.op)](), node.right)
        elif isinstance(node, ast.Compare) and type(node.ops[0]) in COMPARISONS:
            changed = [COMPARISONS[type(node.ops[0])](), *node.ops[1:]]
            yield node, ast.Compare(node.left, changed, node.comparators)
        elif isinstance(node, ast.BoolOp):
            other = ast.Or() if isinstance(node.op, ast.And) else ast.And()
            yield node, ast.BoolOp(other, node.values)
        elif isinstance(node, ast.UnaryOp) and isinstance(node.op, ast.Not | ast.USub):
            yield node, node.operand
        elif isinstance(node, ast.Constant) and isinstance(node.value, bool):
            yield node, ast.Constant(not node.value)
        elif isinstance(node, ast.Constant) and isinstance(node.value, int):
            yield node, ast.Constant(node.value + 1)
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in ("min", "max"):
            other_name = ast.Name({"min": "max", "max": "min"}[node.func.id], ast.Load())
            yield node, ast.Call(other_name, node.args, node.keywords)


def _code(node: ast.AST) -> Iterator[ast.AST]:
    """Every node that runs as part of the calculation; where parts of a text stand, ast does not know."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_comment"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST) and not isinstance(child, ast.JoinedStr):
                yield from _code(child)


def mutated(source: str, old: ast.expr, new: ast.expr) -> str:
    """The source with one node's text replaced; brackets keep its place in the expression."""
    assert old.end_lineno is not None
    assert old.end_col_offset is not None
    lines = source.encode().splitlines(keepends=True)
    before = b"".join(lines[: old.lineno - 1]) + lines[old.lineno - 1][: old.col_offset]
    after = lines[old.end_lineno - 1][old.end_col_offset :] + b"".join(lines[old.end_lineno :])
    return (before + f"({ast.unparse(new)})".encode() + after).decode()


class Mutant(NamedTuple):
    module: Path
    """Below the top of the checkout."""
    number: int
    """Its place among the module's mutations."""


def every_mutant(part: str, without: tuple[str, ...]) -> tuple[list[Mutant], int]:
    """All mutants of modules whose path contains `part` and none of `without`, by path and place; how many are left
    out."""
    modules = sorted(path.relative_to(TOP) for pattern in CALCULATION for path in TOP.glob(pattern))
    mine = [
        module for module in modules
        if part in str(module) and not any(left_out in str(module) for left_out in without)
    ]  # fmt: skip
    trees = {module: ast.parse((TOP / module).read_text("utf-8")) for module in mine}
    every = [Mutant(module, number) for module, tree in trees.items() for number, _ in enumerate(mutations(tree))]
    return every, sum(1 for tree in trees.values() for _ in _changes(tree)) - len(every)


def listed(survivors: Path) -> list[Mutant]:
    lines = survivors.read_text("utf-8").splitlines()
    return [Mutant(Path(cells[0]), int(cells[1])) for cells in (line.split("\t") for line in lines)]


def tests_of(module: Path) -> Iterator[tuple[str, ...]]:
    """Test files that may notice, the nearest first."""
    own = Path("tests") / module.relative_to("opsreport").with_name(f"test_{module.name}")
    if (TOP / own).is_file():
        yield (str(own),)
    for further in (BEYOND, FAR):
        yield next(tests for start, tests in further.items() if str(module).startswith(start))
        if further is BEYOND and str(own.parent) not in ("tests", "tests/plan"):
            yield (str(own.parent),)


class Trials:
    """A copy of the checkout in which mutants are tried, one after the other, each in a process of its own."""

    def __init__(self, copy: Path) -> None:
        self.copy = copy
        ignored = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", ".hypothesis")
        shutil.copytree(TOP, copy, ignore=ignored)

    def notices(self, mutant: Mutant, nearest: int) -> bool:
        source = (TOP / mutant.module).read_text("utf-8")
        (self.copy / mutant.module).write_text(mutated(source, *change_of(mutant)), "utf-8")
        try:
            return any(
                self.fails(tests, LONGEST * min(further, 2))
                for further, tests in enumerate(islice(tests_of(mutant.module), nearest), 1)
            )
        finally:
            shutil.copy2(TOP / mutant.module, self.copy / mutant.module)
            Path(cache_from_source(str(self.copy / mutant.module))).unlink(missing_ok=True)

    def fails(self, tests: tuple[str, ...], seconds: int) -> bool:
        """Whether a test fails, or all together take longer than these seconds of the processor."""
        forked = multiprocessing.get_context("fork").Process(target=_run_tests, args=(self.copy, tests, seconds))
        forked.start()
        try:
            forked.join(10 * seconds)
            return forked.exitcode != 0
        finally:
            if forked.is_alive():
                forked.kill()
                forked.join()


def _run_tests(copy: Path, tests: tuple[str, ...], seconds: int) -> None:
    """In the fork: the tests of the copy, stopped at the first that fails; it never returns."""
    signal.signal(signal.SIGTERM, signal.SIG_DFL)
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    resource.setrlimit(resource.RLIMIT_CPU, (seconds, seconds))
    silence = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(silence, stream)
    os.chdir(copy)
    os.environ["PYTHONPATH"] = str(copy)
    theirs = (TOP, Path(__file__).resolve().parent)
    sys.path[:] = [str(copy), *(path for path in sys.path if Path(path).resolve() not in theirs)]
    asked = ["-x", "-q", "-n", "0", "-p", "no:cacheprovider", "--hypothesis-profile", "repeated", *tests]
    os._exit(importlib.import_module("pytest").main(asked))


def change_of(mutant: Mutant) -> tuple[ast.expr, ast.expr]:
    tree = ast.parse((TOP / mutant.module).read_text("utf-8"))
    return list(mutations(tree))[mutant.number]


def wilson(killed: int, tried: int) -> tuple[float, float]:
    """The 95 % interval of a share (Wilson 1927, as NIST's handbook 7.2.4.1 gives it)."""
    z, share = 1.959964, killed / tried
    middle = (share + z * z / (2 * tried)) / (1 + z * z / tried)
    half = z / (1 + z * z / tried) * (share * (1 - share) / tried + z * z / (4 * tried * tried)) ** 0.5
    return middle - half, middle + half


def rate(killed: int, tried: int) -> str:
    low, high = wilson(killed, tried)
    return f"{killed} of {tried} killed, {killed / tried:.1%} (95 % interval {low:.1%} to {high:.1%})"


def measure(sample: list[Mutant], nearest: int, survivors: Path) -> tuple[int, int]:
    """(killed, tried) of the sample, or of as much of it as was done when the run was stopped.

    Raises:
        SystemExit: tests fail without any mutant, so nothing can be told.
    """
    for stopping in (signal.SIGINT, signal.SIGTERM):
        signal.signal(stopping, signal.default_int_handler)
    circles = (tests for mutant in sample for tests in islice(tests_of(mutant.module), nearest))
    every_test = dict.fromkeys(name for tests in circles for name in tests)
    killed = tried = 0
    with tempfile.TemporaryDirectory() as folder, survivors.open("w", encoding="utf-8") as lines:
        trials = Trials(Path(folder) / "checkout")
        try:
            if trials.fails(tuple(every_test), 3600):
                raise SystemExit("the tests fail without any mutant: nothing can be told")
            for mutant in sample:
                found = trials.notices(mutant, nearest)
                tried += 1
                killed += found
                if not found:
                    old, new = change_of(mutant)
                    told = (str(mutant.module), mutant.number, old.lineno, ast.unparse(old), ast.unparse(new))
                    print(*told, sep="\t", file=lines, flush=True)
                if tried % 10 == 0:
                    print(rate(killed, tried), flush=True)
        except KeyboardInterrupt:
            print("stopped", flush=True)
    return killed, tried


def main() -> int:
    """0 where at least 85 % of the mutants are noticed, else 1."""
    asked = argparse.ArgumentParser(description="How many small faults in the calculation the tests notice.")
    asked.add_argument("--many", type=int, default=100, help="how many mutants are drawn")
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--part", default="", help="only modules whose path contains this")
    asked.add_argument("--without", nargs="*", default=[], help="no modules whose path contains one of these")
    asked.add_argument("--again", type=Path, help="not a sample, but the mutants that this file lists")
    asked.add_argument("--nearest", type=int, default=4, help="circles of tests; 1: a module's own tests only")
    asked.add_argument("--survivors", type=Path, default=Path("survivors.tsv"), help="file for the survivors")
    options = asked.parse_args()
    if options.again:
        sample = listed(options.again)
        print(f"{len(sample)} mutants of {options.again}", flush=True)
    else:
        every, left_out = every_mutant(options.part, tuple(options.without))
        sample = random.Random(options.seed).sample(every, min(options.many, len(every)))
        print(f"{len(every)} mutants, {left_out} left out, {len(sample)} drawn with seed {options.seed}", flush=True)
    os.environ["OPENBLAS_NUM_THREADS"] = "1"
    for name in HEAVY:
        importlib.import_module(name)
    killed, tried = measure(sample, options.nearest, options.survivors)
    if tried:
        print(rate(killed, tried))
    return 0 if killed >= GOAL * tried else 1


if __name__ == "__main__":
    sys.exit(main())
