"""The same calculation as live formulas, recalculated by LibreOffice: `python tests/benchmarks/formulas.py [TIMES]`.

A large programme (`large.py`, 25 times is the big one) is written twice: as our workbook, and as one in which
formulas count the kits of every group (with 5 % spare ones and one to demonstrate, as is the default), scale every
recipe line of every session to come, add up by food, and subtract the stock. They are written the way that recalculates
fast: households counted from sorted rows, groups looked up by their place, sums by one condition. They stand in the
coordinator's own workbook, so that its other sheets are opened and saved too. LibreOffice opens it without saved
results, calculates and saves it as .xlsx; what it finds must agree with our plan. Ours is measured up to the same
figures, with all its checks, and over the whole build with every document. Seconds are of the processor, each in a
process of its own.
"""

import datetime as dt
import math
import shutil
import subprocess
import sys
import tempfile
import time
from collections import defaultdict
from pathlib import Path

from large import AS_OF, Size, sheets, write
from stopwatch import seconds

ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"><item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>
"""
"""LibreOffice's setting that formulas are recalculated when a file is opened."""


def write_formulas(size: Size, file: Path) -> None:
    """Enrolment, groups, lines of sessions and foods, with formulas from one to the next and no results."""
    import xlsxwriter

    tables = sheets(size)
    book = xlsxwriter.Workbook(str(file), {"constant_memory": True, "default_date_format": "yyyy-mm-dd"})
    for name in ("Sessions", "Recipes", "Suppliers", "Packs", "Stock", "Attendance"):
        sheet = book.add_worksheet(name)
        for at, row in enumerate(tables[name]):
            sheet.write_row(at, 0, row)
    enrolment = book.add_worksheet("Enrolment")
    people = sorted((row for row in tables["Enrolment"][1:]), key=lambda row: (row[1], row[2]))
    enrolment.write_row(0, 0, ["Group", "Household", "Servings", "Batches of a first"])
    for at, (_, group, home, servings, _) in enumerate(people, 2):
        enrolment.write_row(at - 1, 0, [group, home, servings])
        enrolment.write_formula(at - 1, 3, f"=IF(AND(A{at}=A{at - 1},B{at}=B{at - 1}),0,ROUNDUP(C{at}/4,0))", None, "")
    last = len(people) + 1
    groups = book.add_worksheet("Groups")
    place = {}
    for at, (group, *_) in enumerate(tables["Groups"][1:], 2):
        place[group] = at
        groups.write(at - 1, 0, group)
        mine = f"Enrolment!A$2:A${last},A{at}"
        spare = f'ROUNDUP(5%*COUNTIFS({mine},Enrolment!D$2:D${last},">0"),0)'
        groups.write_formula(at - 1, 1, f"=SUMIFS(Enrolment!D$2:D${last},{mine})+{spare}+1", None, "")
    recipes = defaultdict(list)
    name = ""
    for recipe, _, food, cups, _ in tables["Recipes"][1:]:
        name = str(recipe or name)
        recipes[name].append((food, cups))
    lines = book.add_worksheet("Lines")
    foods = {row[0]: at for at, row in enumerate(tables["Ingredients"][1:], 2)}
    lines.write_row(0, 0, ["Session", "Food", "Cups a batch", "Grams"])
    at = 1
    for session, group, day, _, dish, status in tables["Sessions"][1:]:
        if status == "planned" and isinstance(day, dt.date) and day >= AS_OF:
            for food, cups in recipes[str(dish)]:
                at += 1
                lines.write_row(at - 1, 0, [session, food, cups])
                grams = f"=C{at}*Groups!B{place[group]}*INDEX(Foods!B:B,{foods[food]})"
                lines.write_formula(at - 1, 3, grams, None, "")
    end = at
    listed = book.add_worksheet("Foods")
    listed.write_row(0, 0, ["Food", "Grams per cup", "Needed", "Stock", "To buy"])
    stock = {row[0]: row[1] for row in tables["Stock"][1:]}
    for at, (food, _, _, grams, *_) in enumerate(tables["Ingredients"][1:], 2):
        listed.write_row(at - 1, 0, [food, grams])
        listed.write_formula(at - 1, 2, f"=SUMIFS(Lines!D$2:D${end},Lines!B$2:B${end},A{at})", None, "")
        listed.write(at - 1, 3, stock[food])
        listed.write_formula(at - 1, 4, f"=MAX(C{at}-D{at},0)", None, "")
    book.close()


def ours(file: str) -> None:
    """What is still to buy of every food, by our reading, checks, kits, amounts and netting, and the seconds."""
    from opsreport.joining import build_programme
    from opsreport.plan.buying.netting import net
    from opsreport.run import Asked, make_kits, read_and_check

    start = time.process_time()
    rows, as_of, findings = read_and_check(Path(file), Asked(AS_OF))
    programme = build_programme(rows, as_of)
    kits, _ = make_kits(programme, findings)
    assert kits is not None
    netted = net(programme, kits.needs)
    print(time.process_time() - start)
    to_buy = defaultdict(float)
    for lacking in netted.still_open:
        to_buy[lacking.need.food] += float(lacking.amount)
    for food, grams in to_buy.items():
        print(f"{food}\t{grams!r}")


def main() -> None:
    times = float(sys.argv[1]) if len(sys.argv) > 1 else 25.0
    office = shutil.which("soffice")
    if office is None:
        sys.exit("LibreOffice (soffice) is not here.")
    with tempfile.TemporaryDirectory() as folder:
        book, live, out = Path(folder) / "book.xlsx", Path(folder) / "live.xlsx", Path(folder) / "saved"
        write(Size.times(times), book)
        write_formulas(Size.times(times), live)
        user = Path(folder) / "profile" / "user"
        user.mkdir(parents=True)
        (user / "registrymodifications.xcu").write_text(ALWAYS)
        convert = [office, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "xlsx"]
        office_seconds = seconds([*convert, "--outdir", str(out), str(live)]).processor
        told = subprocess.run(
            [sys.executable, __file__, "--ours", str(book)], check=True, capture_output=True, text=True
        ).stdout.splitlines()  # fmt: skip
        built = seconds([sys.executable, "-m", "opsreport", "build", str(book), "--out", f"{folder}/built"]).processor
        agreed = compare(out / live.name, dict(line.split("\t") for line in told[1:]))
        figured = float(told[0])
        print(
            f"{times:g} times: LibreOffice recalculates in {office_seconds:.1f} s; {agreed} foods agree with our plan"
        )
        print(f"ours, to the same figures: {figured:.1f} s, {office_seconds / figured:.1f} times as fast (goal: 5)")
        print(f"ours, with orders and every document: {built:.1f} s, {office_seconds / built:.2f} times as fast")


def compare(saved: Path, ours: dict[str, str]) -> int:
    """How many foods both say the same of."""
    import python_calamine

    rows = python_calamine.CalamineWorkbook.from_path(saved).get_sheet_by_name("Foods").to_python()
    for food, _, _, _, to_buy, *_ in rows[1:]:
        expected = float(ours.get(food, 0))
        assert math.isclose(to_buy, expected, rel_tol=1e-9, abs_tol=1e-6), (food, to_buy, expected)
    return len(rows) - 1


if __name__ == "__main__":
    if sys.argv[1:2] == ["--ours"]:
        ours(sys.argv[2])
    else:
        main()
