"""Reading a large workbook, beside what the file library alone takes to hand the same cells over.

2,000,000 cells: 400 sessions by 5,000 people, all marked, wide. Prints the ratio of one run and the peak of memory.
Times are of the processor, which others at work do not lengthen much; each process does all in one thread.
"""

import argparse
import datetime as dt
import gc
import io
import resource
import subprocess
import sys
import tempfile
import time
from pathlib import Path

MARKS = ("x", "present", "absent", "y", "n", "late", "✓", "excused")
AS_OF = dt.date(2027, 3, 1)


def letters(column: int) -> str:
    found = ""
    while column:
        column, digit = divmod(column - 1, 26)
        found = chr(65 + digit) + found
    return found


def large(people: int, sessions: int) -> bytes:
    """A workbook with the four needed sheets and a wide Attendance of `people` rows by `sessions` columns."""
    import xlsxwriter

    out = io.BytesIO()
    file = xlsxwriter.Workbook(out, {"constant_memory": False, "in_memory": True})
    sheets = {
        "Sessions": [["Session", "Group", "Date", "Recipes", "Status"],
                     *([f"s{n}", "g1", (dt.date(2026, 3, 1) + dt.timedelta(n)).isoformat(), "soup", "delivered"]
                       for n in range(sessions))],
        "Enrolment": [["Participant", "Group", "Needs"], *([f"p{n}", "g1", "none"] for n in range(people))],
        "Recipes": [["Recipe", "Servings", "Ingredient", "Amount"], ["soup", 4, "onion", 1]],
        "Stock": [["Ingredient", "Amount"], ["onion", 2]],
        "Attendance": [["Participant", *(f"s{n}" for n in range(sessions))],
                       *([f"p{row}", *(MARKS[(row * 7 + n) % len(MARKS)] for n in range(sessions))]
                         for row in range(people))],
    }  # fmt: skip
    for name, rows in sheets.items():
        sheet = file.add_worksheet(name)
        for at, row in enumerate(rows):
            sheet.write_row(at, 0, row)
    file.close()
    return out.getvalue()


def peak() -> float:
    """The most memory this process has held [MiB]."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1 if sys.platform == "darwin" else 1024)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("--people", type=int, default=5000)
    asked.add_argument("--sessions", type=int, default=400)
    asked.add_argument("--times", type=int, default=3)
    words = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "large.xlsx"
        path.write_bytes(large(words.people, words.sessions))
        ours, theirs = [], []
        for _ in range(words.times):
            theirs.append(float(in_a_process("library", path)[0]))
            taken, held, rows, said = in_a_process("package", path)
            ours.append(float(taken))
        print(f"{words.people * words.sessions:,} cells; {int(rows):,} marks kept, {said} findings")
        print(f"library alone {min(theirs):.2f} s, read with all checks {min(ours):.2f} s")
        print(f"ratio {min(ours) / min(theirs):.2f} (goal: 1.5), peak {float(held):.0f} MiB (goal: under 1500)")


def in_a_process(what: str, path: Path) -> list[str]:
    """One measurement in a process of its own, so that neither warms the other."""
    done = subprocess.run([sys.executable, __file__, "--measure", what, str(path)], check=True, capture_output=True)
    return done.stdout.decode().split()


def library(path: Path) -> str:
    """What the library takes to hand over every cell as Python objects [s]."""
    import python_calamine

    start = time.process_time()
    book = python_calamine.CalamineWorkbook.from_path(path)
    held = [book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names]
    return f"{time.process_time() - start} {len(held)}"


def package(path: Path) -> str:
    """Time [s], peak of memory [MiB], marks and findings of reading with all checks."""
    from opsreport.checking.check import check_rows
    from opsreport.reading.read import read_rows
    from opsreport.reading.workbook import open_workbook

    start = time.process_time()
    rows, unread = read_rows(open_workbook(path))
    found = [*unread, *check_rows(rows, AS_OF)]
    taken = time.process_time() - start
    return f"{taken} {peak()} {len(rows.attendance)} {len(found)}"


if __name__ == "__main__":
    if sys.argv[1:2] == ["--measure"]:
        gc.set_threshold(100_000, 50, 50)  # as the command line does
        print({"library": library, "package": package}[sys.argv[2]](Path(sys.argv[3])))
    else:
        main()
