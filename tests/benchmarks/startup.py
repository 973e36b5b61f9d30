"""How long `opsreport --help` takes in a fresh process, beside a bare one: `python tests/benchmarks/startup.py [RUNS]`.

The two are run in turn. Times are of the processor, which others at work do not lengthen much. Measure an installed
wheel, not an editable install.
"""

import statistics
import subprocess
import sys

from stopwatch import seconds

BARE = [sys.executable, "-c", "pass"]
PARSING = [sys.executable, "-c", "import argparse, datetime, json, pathlib"]
HELP = [sys.executable, "-m", "opsreport", "--help"]
HEAVY = ("numpy", "pandas", "pint", "scipy", "xlsxwriter", "jinja2", "icalendar", "openpyxl", "python_calamine")


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 15
    taken = [(seconds(BARE), seconds(PARSING), seconds(HELP)) for _ in range(runs + 1)][1:]  # the first warms the disk
    bare, parsing, shown = (statistics.median(each.processor for each in column) for column in zip(*taken, strict=True))
    loaded = subprocess.run(
        [sys.executable, "-c", f"import sys; import opsreport.cli; print(*[m for m in {HEAVY!r} if m in sys.modules])"],
        check=True, capture_output=True, text=True,
    ).stdout.split()  # fmt: skip
    print(f"bare Python              {bare * 1000:7.1f} ms")
    print(f"  and standard modules   {parsing * 1000:7.1f} ms")
    print(f"opsreport --help         {shown * 1000:7.1f} ms   {shown / parsing:.2f} times the line above", end="; ")
    print(f"{(shown - bare) * 1000:.1f} ms beyond bare Python (goal: 150)")
    print(f"heavy libraries imported: {', '.join(loaded) or 'none'}")


if __name__ == "__main__":
    main()
