"""How many small faults in the calculation the tests notice: a sample of mutants, drawn from a seed.

    python tests/mutation/mutants.py [HOW_MANY] [SEED] [PART_OF_A_PATH]

One operator, comparison, number, condition or return value of a module of opsreport/plan is changed in a copy of the
checkout; then the module's own test file runs, and, where that notices nothing, its folder's tests and those of whole
plans. A mutant is killed when a test fails or takes more than the time limit. Survivors are listed with line, old and
new text: either a test is missing, or the change makes no difference and a reader can say why.
"""

import ast
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
CALCULATION = "opsreport/plan"
WHOLE_PLANS = ("tests/plan/test_food_plan.py", "tests/plan/test_people_plan.py", "tests/reference")
LONGEST = 600
"""Seconds after which a mutant counts as noticed: it hangs."""

OPERATORS: dict[type[ast.operator], type[ast.operator]] = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.FloorDiv, ast.FloorDiv: ast.Mult, ast.Div: ast.Mult,
    ast.Mod: ast.FloorDiv, ast.BitOr: ast.BitAnd, ast.BitAnd: ast.BitOr,
}  # fmt: skip
COMPARISONS: dict[type[ast.cmpop], type[ast.cmpop]] = {
    ast.Lt: ast.LtE, ast.LtE: ast.Lt, ast.Gt: ast.GtE, ast.GtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
    ast.In: ast.NotIn, ast.NotIn: ast.In, ast.Is: ast.IsNot, ast.IsNot: ast.Is,
}  # fmt: skip


def mutations(tree: ast.Module) -> Iterator[tuple[ast.expr, ast.expr]]:
    """(node, what stands in its place), in the order of the file; annotations and texts are left alone."""
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
    """Every node that runs as part of the calculation."""
    yield node
    for name, value in ast.iter_fields(node):
        if name in ("annotation", "returns", "decorator_list", "type_comment"):
            continue
        for child in value if isinstance(value, list) else [value]:
            if isinstance(child, ast.AST):
                yield from _code(child)


def mutated(source: str, old: ast.expr, new: ast.expr) -> str:
    """The source with one node's text replaced; brackets keep its place in the expression."""
    assert old.end_lineno is not None
    assert old.end_col_offset is not None
    lines = source.encode().splitlines(keepends=True)
    before = b"".join(lines[: old.lineno - 1]) + lines[old.lineno - 1][: old.col_offset]
    after = lines[old.end_lineno - 1][old.end_col_offset :] + b"".join(lines[old.end_lineno :])
    return (before + f"({ast.unparse(new)})".encode() + after).decode()


def noticed(copy: Path, tests: list[str]) -> bool:
    environment = {**os.environ, "PYTHONPATH": str(copy), "PYTHONDONTWRITEBYTECODE": "1"}
    asked = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider", *tests]
    try:
        done = subprocess.run(asked, cwd=copy, env=environment, capture_output=True, timeout=LONGEST, check=False)
    except subprocess.TimeoutExpired:
        return True
    return done.returncode != 0


def tests_of(module: Path) -> Iterator[list[str]]:
    """Test files that may notice, the nearest first."""
    own = TOP / "tests" / module.relative_to("opsreport").with_name(f"test_{module.name}")
    if own.is_file():
        yield [str(own.relative_to(TOP))]
    folder = own.parent.relative_to(TOP)
    yield [*([str(folder)] if str(folder) != "tests/plan" else []), *WHOLE_PLANS]


def main(many: int, seed: int, part: str) -> int:
    """0 where at least 85 % of the mutants are noticed; 2 where the tests fail without any."""
    every = [
        (path, number)
        for path in sorted((TOP / CALCULATION).rglob("*.py"))
        if part in str(path.relative_to(TOP))
        for number, _ in enumerate(mutations(ast.parse(path.read_text("utf-8"))))
    ]
    sample = sorted(random.Random(seed).sample(every, min(many, len(every))))
    print(f"{len(every)} mutants in {CALCULATION}, {len(sample)} drawn with seed {seed}", flush=True)
    killed = 0
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder) / "checkout"
        ignored = shutil.ignore_patterns(".git", ".venv", "__pycache__", ".*_cache", ".hypothesis")
        shutil.copytree(TOP, copy, ignore=ignored)
        if noticed(copy, ["tests/plan", *WHOLE_PLANS]):
            print("the tests fail without any mutant: nothing can be told")
            return 2
        for at, (path, number) in enumerate(sample, 1):
            module = path.relative_to(TOP)
            source = path.read_text("utf-8")
            old, new = list(mutations(ast.parse(source)))[number]
            (copy / module).write_text(mutated(source, old, new), "utf-8")
            found = any(noticed(copy, tests) for tests in tests_of(module))
            (copy / module).write_text(source, "utf-8")
            killed += found
            if not found:
                print(f"survived: {module}:{old.lineno}  {ast.unparse(old)}  ->  {ast.unparse(new)}", flush=True)
            if at % 20 == 0:
                print(f"  {at} tried, {killed} noticed", flush=True)
    print(f"{killed} of {len(sample)} noticed, {100 * killed / len(sample):.0f} %")
    return 0 if killed >= 0.85 * len(sample) else 1


if __name__ == "__main__":
    given = sys.argv[1:]
    sys.exit(main(int(given[0]) if given else 100, int(given[1]) if len(given) > 1 else 1, "".join(given[2:3])))
