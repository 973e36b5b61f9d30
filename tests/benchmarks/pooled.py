"""Many workbooks of the demo's size that order together: `python tests/benchmarks/pooled.py [WORKBOOKS [JOBS]]`.

Each is the demo with codes and places of its own, so that nobody is the same person twice. Printed: seconds a workbook
and core (processor time of all processes together ÷ workbooks; goal: 0.6), with --pool and without, and the most
memory that the main process and any helper held (on Linux); at a quarter of the workbooks first, so that growth shows.
"""

import contextlib
import random
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from make_demo import Page, demo_pages, typed

CODES = ("Session", "Group", "Participant", "Household", "Order")
"""Headings of columns whose codes are each workbook's own."""
PLACES = ("Site", "Pick-up place")


def pages_of(number: int) -> Iterator[Page]:
    """The demo as another kitchen would keep it: codes and places with its number, a few people fewer."""
    chance = random.Random(number)
    mine = f"-{number:03d}"
    absent = {row[0] for page in demo_pages() if page.name == "Enrolment" for row in page.rows[1:]
              if chance.random() < 0.1}  # fmt: skip
    sessions = {row[0] for page in demo_pages() if page.name == "Sessions" for row in page.rows}
    for page in demo_pages():
        heading, *rows = page.rows
        own = [at for at, name in enumerate(heading) if name in (*CODES, *PLACES)]
        kept = [row for row in rows if "Participant" not in heading or row[heading.index("Participant")] not in absent]
        changed = [[f"{cell}{mine}" if at in own and cell else cell for at, cell in enumerate(row)] for row in kept]
        if page.name == "Attendance":
            heading = [f"{name}{mine}" if name in sessions else name for name in heading]
        yield Page(page.name, [heading, *changed])


def write(number: int, file: Path) -> None:
    import xlsxwriter

    book = xlsxwriter.Workbook(str(file), {"default_date_format": "yyyy-mm-dd"})
    shown = {look: book.add_format({"num_format": look}) for look in ("0%", "hh:mm", '"$"#,##0.00', "yyyy-mm-dd")}
    for page in pages_of(number):
        sheet = book.add_worksheet(page.name)
        for row, cells in enumerate(page.rows):
            for column, text in enumerate(cells):
                value, look = typed(text)
                if isinstance(value, str):
                    sheet.write_string(row, column, value)
                elif value is not None:
                    sheet.write(row, column, value, shown.get(look))
    book.close()


def build(files: list[Path], out: Path, jobs: int, *more: str) -> str:
    """One run's figures, in words. Each run is measured by a process of its own, which sees nobody else's children."""
    words = [sys.executable, __file__, "--measure", str(out), str(jobs), *more, "--", *map(str, files)]
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout.strip()


def measure(out: str, jobs: str, *words: str) -> None:
    more, files = words[: words.index("--")], words[words.index("--") + 1 :]
    start = time.perf_counter()
    command = [sys.executable, "-m", "opsreport", "build", *files, "--out", out, "--jobs", jobs, *more, "--quiet"]
    run = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    main = helpers = 0.0
    while run.poll() is None:
        main = max(main, most_memory(run.pid))
        helpers = max([helpers, *map(most_memory, spawned_by(run.pid))])
        time.sleep(0.05)
    assert run.returncode in (0, 1), run.returncode
    spent = resource.getrusage(resource.RUSAGE_CHILDREN)
    each = (spent.ru_utime + spent.ru_stime) / len(files)
    wall = time.perf_counter() - start
    memory = f"at most {main:.0f} MiB in the main process, {helpers:.0f} in a helper"
    print(f"{each:.2f} s a workbook and core, {wall:.0f} s by the clock; {memory}")


def most_memory(process: int) -> float:
    """What a process held at most so far [MiB]; 0 where the system does not say, or the process is gone."""
    with contextlib.suppress(OSError):
        for line in Path(f"/proc/{process}/status").read_text().splitlines():
            if line.startswith("VmHWM:"):
                return int(line.split()[1]) / 2**10
    return 0.0


def spawned_by(process: int) -> list[int]:
    """Helpers of a run; not those that are still the run's own image."""
    found = []
    with contextlib.suppress(OSError):
        for child in map(int, Path(f"/proc/{process}/task/{process}/children").read_text().split()):
            if "spawn_main" in Path(f"/proc/{child}/cmdline").read_text():
                found.append(child)
    return found


def main() -> None:
    many = int(sys.argv[1]) if len(sys.argv) > 1 else 200
    jobs = int(sys.argv[2]) if len(sys.argv) > 2 else 2
    with tempfile.TemporaryDirectory() as folder:
        files = [Path(folder) / f"kitchen-{number:03d}.xlsx" for number in range(many)]
        for number, file in enumerate(files):
            write(number, file)
        for some in (many // 4, many):
            for more in ((), ("--pool",)):
                told = build(files[:some], Path(folder) / f"out{some}{len(more)}", jobs, *more)
                print(f"{some} workbooks {'together' if more else 'each alone'}, {jobs} jobs: {told}", flush=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--measure"]:
        measure(*sys.argv[2:])
    else:
        main()
