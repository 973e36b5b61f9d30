"""Workbooks spoilt at random, with a seed: each must give findings or a clean refusal.

    python tests/fuzz/workbooks.py [HOW_MANY] [FIRST_SEED]

A workbook is spoilt in its cells, in the XML of its parts, or in its bytes, and checked and planned in this process
(`check --json`); now and then it is built. Wrong are: a traceback or a mistake of our own, an exit status that is not
that of the findings, more than 10 seconds, and the death of the process. Every wrong one is listed with its seed.
"""

import contextlib
import io
import json
import os
import random
import signal
import sys
import tempfile
import zipfile
from collections import Counter
from collections.abc import Callable, Iterator
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from support import as_ods, written

import opsreport.many
import opsreport.solver
import opsreport.write.files
from opsreport.cli import main

LONGEST = 10
"""Seconds of work for one workbook, counted in the processor's time, so that a busy machine hangs nothing."""
BUILT = 25
"""One in so many is built, not only checked."""
FORKED = 100
"""Workbooks a process."""

SHEETS = {
    "Settings": "Setting | Value\nSpare kits | 5%\nPacking loss | 3%\nBudget | 500\nReport by | Age band",
    "Groups": "Group | Name | Format | People per table | Funders\n"
    "g1 | Elder Row | kits | | Larkmere 60%; Brackenlow 40%\ng2 | Saltpan Hall | table | 4 | Larkmere",
    "Sessions": "Session | Group | Date | Minutes | Recipes | Status\ns0 | g1 | @2027-02-01 | 90 | stew | delivered\n"
    "s1 | g1 | @2027-03-04 | 90 | stew; salad x2 | planned\ns2 | g2 | @2027-03-09 | 60 | salad | planned",
    "Enrolment": "Participant | Group | Household | Servings | Needs | Status | Joined | Age band\n"
    "p1 | g1 | h1 | 4 | none | active | @2027-01-04 | 30-59\np2 | g1 | h1 | 4 | no milk | active | | 60+\n"
    "p3 | g2 | | 2 | vegetarian | active | | 30-59\np4 | g1 | h2 | 6 | no egg; no wheat | withdrawn | @2027-01-04 |",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit | Preparation | Mix\n"
    "stew | 4 | brown rice | 1 1/2 | cup | |\n"
    "stew | | onion | 2 | each | diced |\nstew | | milk | 250 | mL | |\nsalad | 4 | carrots | 8 | oz | grated | bag\n"
    "salad | | olive oil | 2 | tbsp | | bag\nsalad | | salt | to taste | | |",
    "Ingredients": "Ingredient | State | Storage | Grams per cup | Edible share | Contains | Keeps | Keeps open\n"
    "brown rice | dry | shelf | 185 | | none | 300 | 60\ncarrots | whole | chill | | 88% | none | 14 | 5",
    "Suppliers": "Supplier | Lead days | Delivery days | Minimum order | Delivery fee | Free delivery from | Tax\n"
    "Mill | 2 | Tue; Fri | 20.00 | 5.00 | 60.00 | 4%",
    "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Sold by | Keeps\n"
    "Mill | brown rice | R2 | 2 | lb | 3.49 | 2 |\nMill | onion | O3 | 3 | lb | 2.79 | | 20\n"
    "Mill | carrots | C1 | 16 | oz | 1.29 | |\nMill | milk | M1 | 1 | L | 1.80 | | 9",
    "Stock": "Ingredient | Amount | Unit | Lot | Best before | Opened | Place\n"
    "brown rice | 400 | g | L1 | @2027-06-01 | | A1\nolive oil | 1 | cup | L2 | | @2027-01-10 | A2",
    "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
    "X1 | Mill | onion | 1 | 3 | lb | @2027-02-23",
    "Swaps": "Ingredient | Need | Use instead | Ratio\nmilk | no milk | soy drink | 1",
    "Tools": "Tool | Amount | Unit | For | Count\ncup | 1 | cup | both | 2\nspoon | 1 | tbsp | both | 4",
    "Closures": "Date | Until | What\n@2027-03-02 | | deliveries",
    "Attendance": "Participant | s0\np1 | x\np2 | a",
    "Questions": "Question | Text | Kind | Lowest | Highest\nq1 | Sure? | scale | 1 | 5\nq2 | Do you? | yes-no | |",
    "Surveys": "Participant | When | q1 | q2\np1 | before | 2 | no\np1 | after | 4 | yes",
    "Funders": "Funder | From | Until | People target\nLarkmere | @2027-01-01 | @2027-06-30 | 20",
}  # fmt: skip
NASTY = (
    "", "-1", "0", "1e308", "1/0", "0/0", "1/3", "9" * 40, "'" + "1" * 400, "½", "NaN", "inf", "-inf", "1,5", "#N/A",
    "1.200,50", "#REF!", "=1+1", "=1/0", "@1900-01-01", "@9999-12-31", "2027-02-29", "29/02/2027", "2027-13-45",
    "TRUE", "'007", "; ; ;", "a;b;c", "none", "no", "no egg; none", "vegan", "x0", "stew x0", "stew x-1", "150%",
    "stew x99999999", "-5%", "1e-30", "<b>&amp;", "\u202eabc", "\U0001f955", "a" * 32_000, "'", "$4.50", "€3", "(3.00)",
    "3-4", "1 lb 4 oz", "T", "t", "leave out", "g1", "s1", "p1", "onion", "cup", "bunch", "12:99", "25:00", "s1/../x",
    "Mon; Funday", "1e9", "100000000000", "0.0000001", "1/7", "22/7 cups", "2 (15 oz) cans", "1 1 1/2", "--", "?",
    "n/a", "x\\ny",
)  # fmt: skip


def spoilt_cells(chance: random.Random) -> bytes:
    """The workbook with cells, rows, columns, headings or sheets changed, as .xlsx or .ods."""
    grids = {name: [line.split("|") for line in text.split("\n")] for name, text in SHEETS.items()}
    for _ in range(chance.choice((1, 1, 2, 3, 8, 30))):
        name = chance.choice(list(grids))
        rows = grids[name]
        row = (
            chance.randrange(len(rows)) if chance.random() < 0.1 else chance.randrange(1, max(len(rows), 2)) % len(rows)
        )
        what = chance.random()
        if what < 0.7:
            rows[row][chance.randrange(len(rows[row]))] = chance.choice(NASTY)
        elif what < 0.78:
            rows.insert(chance.randrange(len(rows) + 1), list(rows[row]))
        elif what < 0.84 and len(rows) > 1:
            del rows[row]
        elif what < 0.9:
            column = chance.randrange(len(rows[0]))
            for each in rows:
                del each[column : column + 1]
                each.append("")
        elif what < 0.95:
            other = chance.choice(rows)
            rows[row], other[:] = list(other), list(rows[row])
        elif len(grids) > 1:
            del grids[name]
    sheets = {name: "\n".join("|".join(row) for row in rows) for name, rows in grids.items() if rows}
    return as_ods(sheets) if chance.random() < 0.15 else written(sheets)


def spoilt_parts(chance: random.Random, whole: bytes) -> bytes:
    """The workbook with the XML of a part or two changed, and zipped again."""
    out = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(whole)) as before, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as after:
        names = before.namelist()
        spoilt = set(chance.sample(names, chance.choice((1, 1, 2))))
        for name in names:
            content = before.read(name)
            if name in spoilt:
                what = chance.random()
                if what < 0.1:
                    continue
                content = spoilt_text(chance, content, what)
            after.writestr(name, content)
    return out.getvalue()


def spoilt_text(chance: random.Random, content: bytes, what: float) -> bytes:
    place = chance.randrange(len(content) + 1)
    if what < 0.4:
        return content[:place] + content[place + chance.choice((1, 2, 20, 200)) :]
    if what < 0.7:
        put = chance.choice(
            (b"<", b">", b"&", b'"', b"&#0;", b"\xff\xfe", b'<row r="0">', b'<c r="ZZZZ9"/>', b"-", b"9" * 30)
        )
        return content[:place] + put + content[place:]
    if what < 0.85:
        return content[place:] + content[:place]
    digits = [at for at, byte in enumerate(content) if 48 <= byte <= 57]
    changed = bytearray(content)
    for at in chance.sample(digits, min(len(digits), 5)):
        changed[at] = chance.randrange(48, 58)
    return bytes(changed)


def spoilt_bytes(chance: random.Random, whole: bytes) -> bytes:
    """The file with bytes changed, cut, doubled or put in."""
    changed = bytearray(whole)
    for _ in range(chance.choice((1, 3, 20))):
        place = chance.randrange(len(changed) + 1)
        what = chance.random()
        if what < 0.6 and place < len(changed):
            changed[place] = chance.randrange(256)
        elif what < 0.75:
            del changed[place : place + chance.choice((1, 4, 400))]
        elif what < 0.9:
            changed[place:place] = bytes(chance.randrange(256) for _ in range(chance.choice((1, 4, 40))))
        else:
            changed = changed[: max(place, 1)]
    return bytes(changed)


def spoilt(seed: int, whole: bytes) -> bytes:
    """The workbook of a seed."""
    chance = random.Random(seed)
    what = chance.random()
    if what < 0.5:
        return spoilt_cells(chance)
    return spoilt_parts(chance, whole) if what < 0.85 else spoilt_bytes(chance, whole)


class Hang(BaseException):
    """No Exception, so that nothing takes it for a mistake."""


def trouble(file: Path, seed: int) -> tuple[str, str]:
    """What is wrong with how a workbook was met, or ''; and how it was met."""
    out, err = io.StringIO(), io.StringIO()
    built = seed % BUILT == 0
    words = (
        ["build", str(file), "--out", str(file.with_name("out")), "--since", "none"]
        if built
        else ["check", str(file), "--json"]
    )

    def ring(_signal: int, _frame: object) -> None:
        raise Hang

    before = signal.signal(signal.SIGPROF, ring)
    signal.setitimer(signal.ITIMER_PROF, LONGEST)
    try:
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            status = main([*words, "--as-of", "2027-02-08"])
    except Hang:
        return f"more than {LONGEST} s", "hang"
    except BaseException as error:
        return f"{type(error).__name__}: {error}", "raised"
    finally:
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.signal(signal.SIGPROF, before)
    said = err.getvalue()
    if "Traceback" in said or "mistake of opsreport" in said:
        return said.strip(), "mistake"
    if status == 2:
        clean = said.startswith("opsreport: ") and not out.getvalue()
        return "" if clean else f"status 2 with {said!r}", "refused"
    if not built:
        errors = any(finding["severity"] == "error" for finding in json.loads(out.getvalue()))
        if status != int(errors):
            return f"status {status}, errors: {errors}", "status"
    return "", ("built" if built else "checked") + f", status {status}"


def run(seeds: range) -> Iterator[tuple[int, str, str]]:
    """Every seed with what is wrong and how it was met, in processes of their own, a hundred a process."""
    whole = written(SHEETS)
    os.cpu_count = lambda: 1  # no helping processes
    opsreport.write.files.prepare_to_write()
    for first in range(seeds.start, seeds.stop, FORKED):
        reader, writer = os.pipe()
        child = os.fork()
        if not child:
            os.close(reader)
            with os.fdopen(writer, "w") as told, tempfile.TemporaryDirectory() as folder:
                for seed in range(first, min(first + FORKED, seeds.stop)):
                    file = Path(folder) / "book.xlsx"
                    file.write_bytes(spoilt(seed, whole))
                    told.write(json.dumps([seed, *trouble(file, seed)]) + "\n")
                    told.flush()
            os._exit(0)
        os.close(writer)
        last = first - 1
        with os.fdopen(reader) as told:
            for line in told:
                last, wrong, met = json.loads(line)
                yield last, wrong, met
        _, status = os.waitpid(child, 0)
        if status:
            yield last + 1, f"the process ended with {os.waitstatus_to_exitcode(status)}", "died"


def main_of_script(many: int, first: int, show: Callable[[str], None] = print) -> int:
    met: Counter[str] = Counter()
    wrong = 0
    try:
        for seed, trouble_of_it, how in run(range(first, first + many)):
            met[how] += 1
            if trouble_of_it:
                wrong += 1
                show(f"seed {seed}: {trouble_of_it[:600]}")
    except KeyboardInterrupt:
        show("stopped")
    show(
        f"{sum(met.values())} workbooks from seed {first}, {wrong} met wrongly; "
        + ", ".join(f"{n} {how}" for how, n in sorted(met.items()))
    )
    return 1 if wrong else 0


if __name__ == "__main__":
    numbers = [int(word) for word in sys.argv[1:]]
    sys.exit(main_of_script(*(numbers + [20_000, 0][len(numbers) :])))
