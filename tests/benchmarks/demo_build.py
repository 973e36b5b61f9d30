"""How long the demo's build takes in a fresh process, beside the bare import of the libraries it uses.

`python tests/benchmarks/demo_build.py [RUNS]`. The two are run in turn, so that a busy machine slows both: trust the
ratios, by the clock and of the processor. Measure an installed wheel, not an editable install.
"""

import statistics
import sys
import tempfile
from pathlib import Path

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
    for what in ("clock", "processor"):
        bare, built, checked = (
            statistics.median(getattr(each, what) for each in taken[1:]) for taken in (imports, builds, checks)
        )
        print(f"{what:9}  libraries imported {bare:5.2f} s; demo checked {checked:5.2f} s", end="; ")
        print(f"demo built {built:5.2f} s, {built / bare:.1f} times the import (goal: 2.5)")


if __name__ == "__main__":
    main()
