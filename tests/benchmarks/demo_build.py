"""How long the demo's build takes in a fresh process, beside the bare import of the libraries it uses.

`python tests/benchmarks/demo_build.py [RUNS]`. The two are run in turn, so that a busy machine slows both: trust the
ratios, by the clock and of the processor. Measure an installed wheel, not an editable install.

Printed as well: the bare writing of the cells and texts that the build wrote (as in `growth.py`), of which the goal
knows nothing, and how many times the import and that writing together the build takes.
"""

import statistics
import sys
import tempfile
from pathlib import Path

from growth import bare, books_of, pages_of
from stopwatch import seconds

DEMO = Path(__file__).resolve().parents[2] / "workbooks" / "fennelbridge-spring-2027.xlsx"
LIBRARIES = "import python_calamine, numpy, xlsxwriter, jinja2, icalendar, rapidfuzz"


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    imports, builds, checks = [], [], []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(runs + 1):
            out = str(Path(folder) / str(number))
            imports.append(seconds([sys.executable, "-c", LIBRARIES]))
            builds.append(seconds([sys.executable, "-m", "opsreport", "build", str(DEMO), "--out", out]))
            checks.append(seconds([sys.executable, "-m", "opsreport", "check", str(DEMO)]))
        made = Path(out)
        bare_books, bare_pages = bare(made, "bare_write", books_of(made)), bare(made, "bare_pages", pages_of(made))
        writing = bare_books["seconds"] + bare_pages["seconds"]
    for what in ("clock", "processor"):
        imported, built, checked = (
            statistics.median(getattr(each, what) for each in taken[1:]) for taken in (imports, builds, checks)
        )
        print(f"{what:9}  libraries imported {imported:5.2f} s; demo checked {checked:5.2f} s", end="; ")
        print(f"demo built {built:5.2f} s, {built / imported:.1f} times the import (goal: 2.5)")
    print(
        f"bare writing of the same {bare_books['cells']:,} cells and {bare_pages['cells']:,} texts: {writing:.2f} s",
        end="",
    )
    print(f"; the build takes {built / (imported + writing):.1f} times that and the import, of the processor")


if __name__ == "__main__":
    main()
