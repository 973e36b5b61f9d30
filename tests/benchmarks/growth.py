"""End to end over programmes of growing size, beside the bare reading of their cells and the bare writing of ours.

`python tests/benchmarks/growth.py [TIMES ...]` (default: 0.25 2.5 25, of which 25 is the big programme). Each size, in
processes of its own, one after the other:

- bare read: calamine hands over every cell of the workbook as Python objects;
- bare write of workbooks: XlsxWriter in its fastest form (constant memory) writes the values of every cell of every
  workbook that the build wrote, in the same workbooks and sheets, days as days; no look, height, link or formula;
- bare write of pages: every text of every page that the build wrote, in the same pages, each escaped and put into a
  cell of a line, with no style, heading or width, and no cell where nothing stands; texts are put into words already;
- the build, all documents, without helpers, its stages one after the other; and the command as it is typed, with its
  start and its helping processes.

plan.json, the findings, and the making of folders are in the build and in no bare write. Printed: build ÷ (read +
writes), that without the buying, the seconds of each stage, the peak of memory, and the log-log slope of seconds over
input cells. Seconds are of the processor, all processes together, which others at work do not lengthen much.
"""

import html
import itertools
import json
import math
import pickle
import re
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from large import Size, write
from stopwatch import seconds


def bare_read(file: Path) -> dict[str, float]:
    import python_calamine

    start = time.process_time()
    book = python_calamine.CalamineWorkbook.from_path(file)
    held = [book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names]
    return {"seconds": time.process_time() - start, "cells": sum(len(row) for rows in held for row in rows)}


def bare_write(file: Path) -> dict[str, float]:
    """file: pickled rows, by sheet, by workbook."""
    import xlsxwriter

    books = pickle.loads(file.read_bytes())
    start = time.process_time()
    for number, sheets in enumerate(books):
        book = xlsxwriter.Workbook(
            f"{file}-{number}.xlsx", {"constant_memory": True, "default_date_format": "yyyy-mm-dd"}
        )
        for rows in sheets:
            sheet = book.add_worksheet()
            for at, row in enumerate(rows):
                sheet.write_row(at, 0, row)
        book.close()
    return {
        "seconds": time.process_time() - start,
        "cells": sum(len(row) for book in books for rows in book for row in rows),
    }


def bare_pages(file: Path) -> dict[str, float]:
    """file: pickled lines of texts, by page."""
    pages = pickle.loads(file.read_bytes())
    start = time.process_time()
    for number, lines in enumerate(pages):
        page = "\n".join(["<tr><td>" + "<td>".join(map(html.escape, texts)) for texts in lines])
        Path(f"{file}-{number}.html").write_text(f"<table>{page}</table>")
    return {"seconds": time.process_time() - start, "cells": sum(len(line) for page in pages for line in page)}


def build(file: Path) -> dict[str, float]:
    """The stages one after the other in this process, as a build without helpers does them."""
    from opsreport import run
    from opsreport.plan import food_plan
    from opsreport.write.folder import put_in_place

    stages: dict[str, float] = {}
    start = last = time.process_time()

    def stage(name: str) -> None:
        nonlocal last
        now = time.process_time()
        stages[name] = stages.get(name, 0) + now - last
        last = now

    from large import AS_OF

    def timed(name: str, before: str, work: Callable[..., object]) -> Callable[..., object]:
        def work_timed(*given: object, **named: object) -> object:
            stage(before)
            found = work(*given, **named)
            stage(name)
            return found

        return work_timed

    food_plan.buy = timed("buying", "kits, netting", food_plan.buy)  # type: ignore[assignment]
    run.read_and_check = timed("read and check", "start", run.read_and_check)  # type: ignore[assignment]
    run.plan_orders = timed("explaining", "kits, netting", run.plan_orders)  # type: ignore[assignment]
    run.files_of = timed("files", "people, documents", run.files_of)  # type: ignore[assignment]
    made = run.make(file, file.with_name("out"), run.Asked(AS_OF))
    stage("files")
    put_in_place(made.files, made.folder)
    stage("put in place")
    return {"seconds": time.process_time() - start, **stages}


MEASURED = {"bare_read": bare_read, "bare_write": bare_write, "bare_pages": bare_pages, "build": build}


def measured(what: str, file: Path) -> dict[str, float]:
    """One measurement in a process of its own, with the most memory that it held [MiB]."""
    done = subprocess.run([sys.executable, __file__, "--measure", what, str(file)], check=True, capture_output=True)
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def books_of(folder: Path) -> list[list[list[list[object]]]]:
    """Every cell of every workbook that a build wrote, row by row, sheet by sheet."""
    import python_calamine

    books = []
    for file in sorted(folder.rglob("*.xlsx")):
        book = python_calamine.CalamineWorkbook.from_path(file)
        books.append([book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names])
    return books


def pages_of(folder: Path) -> list[list[list[str]]]:
    """Every text of every page that a build wrote, line by line; a row of a table is a line there."""
    pages = []
    for file in sorted(folder.rglob("*.html")):
        body = file.read_text().partition("<body")[2]
        texts = (re.findall(r">([^<]+)", f">{line}" if line[:1] != "<" else line) for line in body.split("\n"))
        pages.append([list(map(html.unescape, line)) for line in texts if line])
    return pages


def bare(folder: Path, what: str, content: object) -> dict[str, float]:
    """The bare write of some content, measured."""
    file = folder / what
    file.write_bytes(pickle.dumps(content))
    return measured(what, file)


def main() -> None:
    sizes = [float(word) for word in sys.argv[1:]] or [0.25, 2.5, 25]
    points = []
    for times in sizes:
        with tempfile.TemporaryDirectory() as temporary:
            folder = Path(temporary)
            file = folder / "large.xlsx"
            cells = write(Size.times(times), file)
            read, built = measured("bare_read", file), measured("build", file)
            books = bare(folder, "bare_write", books_of(folder / "out"))
            pages = bare(folder, "bare_pages", pages_of(folder / "out"))
            typed = seconds([sys.executable, "-m", "opsreport", "build", str(file), "--out", str(folder / "typed")])
        floor = read["seconds"] + books["seconds"] + pages["seconds"]
        without = built["seconds"] - built["buying"]
        points.append((math.log(cells), math.log(without)))
        print(
            f"{times:g} times: {cells:,} cells in, {books['cells']:,} in workbooks and {pages['cells']:,} on pages out"
        )
        print(f"  bare read {read['seconds']:.1f} s, write of workbooks {books['seconds']:.1f} s", end=", ")
        print(f"of pages {pages['seconds']:.1f} s")
        print(f"  build {built['seconds']:.1f} s, {built['seconds'] / floor:.1f} times that", end="; ")
        print(f"without buying {without:.1f} s, {without / floor:.2f} times (goal: 2)")
        print(f"  typed: {typed.clock:.1f} s by the clock, {typed.processor:.1f} s of the processor")
        stages = ", ".join(f"{name} {part / built['seconds']:.0%}" for name, part in built.items()
                           if name not in ("seconds", "peak"))  # fmt: skip
        print(f"  {stages}; peak {built['peak']:.0f} MiB", flush=True)
    for (x, y), (x2, y2) in itertools.pairwise(points):
        print(f"slope of seconds over cells in, without buying: {(y2 - y) / (x2 - x):.2f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--measure"]:
        found = MEASURED[sys.argv[2]](Path(sys.argv[3]))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1 if sys.platform == "darwin" else 1024)
        print(json.dumps({**found, "peak": peak}))
    else:
        main()
