"""How long the demo's build takes in a fresh process, beside the bare import of the libraries it uses.

`python tests/benchmarks/demo_build.py [RUNS]`. The two are run in turn, so that a busy machine slows both: trust the
ratio. Measure an installed wheel, not an editable install.
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
    bare, built, checked = (statistics.median(taken[1:]) for taken in (imports, builds, checks))
    print(f"import of the libraries  {bare:6.2f} s")
    print(f"build of the demo        {built:6.2f} s   {built / bare:.1f} times the line above; wanted < 3 s")
    print(f"check of the demo        {checked:6.2f} s")


if __name__ == "__main__":
    main()
