"""End to end over programmes of growing size, beside the bare reading of their cells and the bare writing of ours.

`python tests/benchmarks/growth.py [TIMES ...]` (default: 0.25 2.5 25, of which 25 is the big programme). Each size, in
processes of its own, one after the other: the fastest bare read of the workbook's cells (calamine), the fastest bare
write of as many cells as our workbooks hold (XlsxWriter, one sheet, constant memory), and the build. Printed: build ÷
(read + write), the seconds of each stage, the peak of memory, and the log-log slope of seconds over input cells.
Seconds are of the processor, which others at work do not lengthen much; every process does all in one thread.
"""

import itertools
import json
import math
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

from large import Size, write


def bare_read(file: Path) -> dict[str, float]:
    import python_calamine

    start = time.process_time()
    book = python_calamine.CalamineWorkbook.from_path(file)
    held = [book.get_sheet_by_name(name).to_python(skip_empty_area=False) for name in book.sheet_names]
    return {"seconds": time.process_time() - start, "cells": sum(len(row) for rows in held for row in rows)}


def bare_write(file: Path) -> dict[str, float]:
    """file: a JSON list of the rows to write."""
    import xlsxwriter

    rows = json.loads(file.read_text())
    start = time.process_time()
    book = xlsxwriter.Workbook(str(file.with_suffix(".bare.xlsx")), {"constant_memory": True})
    sheet = book.add_worksheet()
    for at, row in enumerate(rows):
        sheet.write_row(at, 0, row)
    book.close()
    return {"seconds": time.process_time() - start}


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


def measured(what: str, file: Path) -> dict[str, float]:
    """One measurement in a process of its own, with the most memory that it held [MiB]."""
    done = subprocess.run([sys.executable, __file__, "--measure", what, str(file)], check=True, capture_output=True)
    return json.loads(done.stdout)  # type: ignore[no-any-return]


def cells_of(folder: Path) -> list[list[object]]:
    """Every cell of every workbook that a build wrote, row by row."""
    import python_calamine

    rows: list[list[object]] = []
    for file in sorted(folder.rglob("*.xlsx")):
        book = python_calamine.CalamineWorkbook.from_path(file)
        for name in book.sheet_names:
            for row in book.get_sheet_by_name(name).to_python():
                rows.append([cell if isinstance(cell, (int, float, str)) else str(cell) for cell in row])
    return rows


def main() -> None:
    sizes = [float(word) for word in sys.argv[1:]] or [0.25, 2.5, 25]
    points = []
    for times in sizes:
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "large.xlsx"
            cells = write(Size.times(times), file)
            read, built = measured("bare_read", file), measured("build", file)
            told = Path(folder) / "rows.json"
            rows = cells_of(Path(folder) / "out")
            told.write_text(json.dumps(rows))
            out_cells = sum(len(row) for row in rows)
            del rows
            floor = read["seconds"] + measured("bare_write", told)["seconds"]
        without = built["seconds"] - built["buying"]
        points.append((math.log(cells), math.log(without)))
        print(f"{times:g} times: {cells:,} cells in, {out_cells:,} out; build {built['seconds']:.1f} s", end=", ")
        print(f"{built['seconds'] / floor:.1f} times the bare read and write ({without / floor:.1f} without buying)")
        stages = ", ".join(f"{name} {part / built['seconds']:.0%}" for name, part in built.items()
                           if name not in ("seconds", "peak"))  # fmt: skip
        print(f"  {stages}; peak {built['peak']:.0f} MiB")
    for (x, y), (x2, y2) in itertools.pairwise(points):
        print(f"slope of seconds over cells in, without buying: {(y2 - y) / (x2 - x):.2f}")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--measure"]:
        found = {"bare_read": bare_read, "bare_write": bare_write, "build": build}[sys.argv[2]](Path(sys.argv[3]))
        peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / (1 if sys.platform == "darwin" else 1024)
        print(json.dumps({**found, "peak": peak}))
    else:
        main()
