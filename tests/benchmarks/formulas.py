"""The same calculation as live formulas, recalculated by LibreOffice.

    python tests/benchmarks/formulas.py [--searched] [--most SECONDS] [TIMES]

A large programme (`large.py`, 25 times is the big one) is written twice: as our workbook, and as one in which formulas
do what we do of it up to, and without, the choice of packs:

- every household: its batches, once a household, and whether one of it has a need;
- every group: the batches of a session with 5 % spare kits and one to demonstrate, kits for households with needs,
  contacts, people who came, completers;
- every recipe line of every session to come: its grams, kits that must not get it, what earlier sessions take of the
  stock, and what is still open after the stock that is good that day; by food: what is needed and what is to buy;
- every session held: present, absent and excused marks, the rate;
- everybody in every group: presents, and whether they completed it; everybody once: whether they came and completed.

They are written in one of two ways. The way that recalculates fast: rows are sorted, so that every sum is of one block
of cells and every look-up a plain reference, and nothing is searched for; only a program can keep such a workbook. With
`--searched`, the way in which people write them: a row names its session, group, household, participant or food, and
SUMIFS, COUNTIFS, MAXIFS, INDEX and MATCH look for these names in whole columns, so that rows may come in any order.
These take long: after `--most` seconds of the processor LibreOffice is stopped, and those are the least it takes.

The formulas stand in the coordinator's own workbook, whose other sheets are
opened and saved with them. LibreOffice opens it without saved results, calculates, and saves it as .xlsx. Ours reads
the workbook, with all its checks, joins it, makes kits and amounts, nets them, counts attendance, and saves the figures
as a plan.json; it starts and ends as a process, as LibreOffice does. What LibreOffice finds must agree with our plan:
what is to buy by line, presents by member, completers, contacts and people by group and in all. Printed beside: the
whole build with orders and every document. Seconds are of the processor, each in a process of its own.
"""

import argparse
import dataclasses
import gc
import itertools
import json
import math
import shutil
import sys
import tempfile
from collections import defaultdict
from fractions import Fraction
from pathlib import Path
from typing import Any

from large import AS_OF, Size, sheets, write
from stopwatch import seconds

ALWAYS = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"><item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item></oor:items>
"""
"""LibreOffice's setting that formulas are recalculated when a file is opened."""


COMPLETION = "75%"
"""Of a group's sessions, as is the default."""
OTHER_THAN_NONE = '"<>none"'
Book = Any
Rows = list[list[Any]]


def write_formulas(size: Size, file: Path, *, searched: bool) -> None:
    """The programme with formulas from one sheet to the next and no results."""
    import xlsxwriter

    tables = sheets(size)
    book = xlsxwriter.Workbook(str(file), {"constant_memory": True, "default_date_format": "yyyy-mm-dd"})
    for name in ("Recipes", "Suppliers", "Packs"):
        fill(book, name, tables[name])
    attendance = tables["Attendance"]
    sought = Sought(tables) if searched else None
    fill(book, "Attendance", attendance if sought is None else sought.with_groups(attendance))
    blocks = marks_of_sessions(attendance)
    fill(book, "Sessions", with_counts(tables["Sessions"], blocks, sought))
    members, homes = enrolled(tables, blocks, sought)
    fill(book, "Enrolment", members)
    fill(book, "People", everybody(members, sought))
    fill(book, "Groups", summed_groups(tables["Groups"], homes, sought))
    lines = lines_to_come(tables, sought)
    fill(book, "Lines", lines)
    fill(book, "Foods", summed_foods(tables, lines, sought))
    last = len(people_rows(members)) + 1
    totals = [["Contacts", f"=SUM(Groups!D2:D{len(homes) + 1})"], ["People", f"=SUM(People!B2:B{last})"],
              ["Completers", f"=SUM(People!C2:C{last})"]]  # fmt: skip
    fill(book, "Totals", totals)
    book.close()


class Sought:
    """Whole columns in which names are looked for."""

    def __init__(self, tables: dict[str, Rows]) -> None:
        self.lasts = {name: len(rows) for name, rows in tables.items()} | {"Foods": len(tables["Ingredients"])}

    def column(self, sheet: str, letter: str) -> str:
        return f"{sheet}!${letter}$2:${letter}${self.lasts[sheet]}"

    def counted(self, sheet: str, **wanted: str) -> str:
        """How many rows have what is wanted, by column."""
        return f"COUNTIFS({','.join(f'{self.column(sheet, letter)},{value}' for letter, value in wanted.items())})"

    def summed(self, sheet: str, letter: str, name: str, *, by: str = "A") -> str:
        """The sum of a column's rows with a name."""
        return f"SUMIFS({self.column(sheet, letter)},{self.column(sheet, by)},{name})"

    def found(self, sheet: str, letter: str, name: str) -> str:
        """A column's value in the first row with a name."""
        return f"INDEX({self.column(sheet, letter)},MATCH({name},{self.column(sheet, 'A')},0))"

    def with_groups(self, attendance: Rows) -> Rows:
        """Marks, each with the group of its session."""
        marks = [[*row, f"={self.found('Sessions', 'B', f'A{at}')}"] for at, row in enumerate(attendance[1:], 2)]
        return [[*attendance[0], "Group"], *marks]


def fill(book: Book, name: str, rows: Rows) -> None:
    """One sheet; a text with `=` first is a formula without a result."""
    sheet = book.add_worksheet(name)
    for at, row in enumerate(rows):
        for column, cell in enumerate(row):
            if isinstance(cell, str) and cell.startswith("="):
                sheet.write_formula(at, column, cell, None, "")
            else:
                sheet.write(at, column, cell)


def marks_of_sessions(attendance: Rows) -> dict[str, tuple[int, int]]:
    """The first and the last row of each session's marks, which stand together."""
    blocks: dict[str, tuple[int, int]] = {}
    for at, (session, *_) in enumerate(attendance[1:], 2):
        blocks[session] = (blocks.get(session, (at, at))[0], at)
    return blocks


def with_counts(sessions: Rows, blocks: dict[str, tuple[int, int]], sought: Sought | None) -> Rows:
    rows: Rows = [[*sessions[0], "Present", "Absent", "Excused", "Rate"]]
    for at, row in enumerate(sessions[1:], 2):
        counts = []
        if row[0] in blocks:
            first, last = blocks[row[0]]
            marks = ('"present"', '"absent"', '"excused"')
            counts = [f"=COUNTIF(Attendance!C{first}:C{last},{mark})" for mark in marks]
            if sought is not None:
                counts = [f"={sought.counted('Attendance', A=f'A{at}', C=mark)}" for mark in marks]
            counts.append(f"=G{at}/(G{at}+H{at}+I{at})")
        rows.append([*row, *counts])
    return rows


def enrolled(
    tables: dict[str, Rows], blocks: dict[str, tuple[int, int]], sought: Sought | None
) -> tuple[Rows, dict[str, tuple[int, int]]]:
    """Members by group and household, and the first and the last row of each group."""
    held = defaultdict(list)
    for session, group, *_ in tables["Sessions"][1:]:
        if session in blocks:
            held[group].append(blocks[session][0])
    place: dict[str, int] = defaultdict(int)
    placed = []
    for person, group, home, servings, need in tables["Enrolment"][1:]:
        placed.append((group, home, person, servings, need, place[group]))
        place[group] += 1
    placed.sort(key=lambda each: each[:2])
    rows: Rows = [["Group", "Household", "Participant", "Servings", "Need", "Batches of a first", "With a need",
                   "Presents", "Completes"]]  # fmt: skip
    homes: dict[str, tuple[int, int]] = {}
    for (group, home), together in itertools.groupby(placed, key=lambda each: each[:2]):
        members = list(together)
        first = len(rows) + 1
        last = first + len(members) - 1
        for at, (_, _, person, servings, need, number) in enumerate(members, first):
            batches, needs = (
                (f"=ROUNDUP(MAX(D{first}:D{last})/4,0)", f"=IF(COUNTIF(E{first}:E{last},{OTHER_THAN_NONE})>0,1,0)")
                if at == first else (0, 0)
            )  # fmt: skip
            presents = "+".join(f'(Attendance!C{start + number}="present")' for start in held[group])
            sessions = str(len(held[group]))
            if sought is not None:
                mine = {"A": f"A{at}", "B": f"B{at}"}
                if at == first:
                    homes_of = ",".join(f"{sought.column('Enrolment', letter)},{name}" for letter, name in mine.items())
                    batches = f"=ROUNDUP(_xlfn.MAXIFS({sought.column('Enrolment', 'D')},{homes_of})/4,0)"
                    needs = f"=IF({sought.counted('Enrolment', **mine, E=OTHER_THAN_NONE)}>0,1,0)"
                presents = sought.counted("Attendance", D=f"A{at}", B=f"C{at}", C='"present"')
                sessions = sought.counted("Sessions", B=f"A{at}", F='"delivered"')
            completes = f"=IF(H{at}>=ROUNDUP({COMPLETION}*{sessions},0),1,0)"
            rows.append([group, home, person, servings, need, batches, needs, f"={presents}", completes])
        homes[group] = (homes.get(group, (first, 0))[0], last)
    return rows, homes


def people_rows(members: Rows) -> dict[str, list[int]]:
    """The rows of each person."""
    found = defaultdict(list)
    for at, row in enumerate(members[1:], 2):
        found[row[2]].append(at)
    return found


def everybody(members: Rows, sought: Sought | None) -> Rows:
    rows: Rows = [["Participant", "Came", "Completed"]]
    for number, (person, places) in enumerate(people_rows(members).items(), 2):
        came, completed = (
            "+".join(f"Enrolment!{column}{at}" for at in places) if sought is None
            else sought.summed("Enrolment", column, f"A{number}", by="C") for column in "HI"
        )  # fmt: skip
        rows.append([person, f"=IF({came}>0,1,0)", f"=IF({completed}>0,1,0)"])
    return rows


def summed_groups(groups: Rows, homes: dict[str, tuple[int, int]], sought: Sought | None) -> Rows:
    rows: Rows = [["Group", "Batches a session", "Kits with a need", "Contacts", "People", "Completers"]]
    for at, (group, *_) in enumerate(groups[1:], 2):
        first, last = homes[group]
        blocks = [f"Enrolment!{column}{first}:{column}{last}" for column in "FGHI"]
        batches, needs, presents, completes = (f"SUM({block})" for block in blocks)
        kits, people = (f'COUNTIF({blocks[place]},">0")' for place in (0, 2))
        if sought is not None:
            mine = f"A{at}"
            batches, needs, presents, completes = (sought.summed("Enrolment", column, mine) for column in "FGHI")
            kits, people = (sought.counted("Enrolment", **{"A": mine, column: '">0"'}) for column in "FH")
        rows.append([group, f"={batches}+ROUNDUP(5%*{kits},0)+1", f"={needs}", f"={presents}", f"={people}",
                     f"={completes}"])  # fmt: skip
    return rows


def lines_to_come(tables: dict[str, Rows], sought: Sought | None) -> Rows:
    """The recipe lines of sessions to come, by food, date and session."""
    recipes = defaultdict(list)
    name = ""
    for recipe, _, food, cups, _ in tables["Recipes"][1:]:
        name = str(recipe or name)
        recipes[name].append((food, cups))
    foods = {row[0]: at for at, row in enumerate(tables["Ingredients"][1:], 2)}
    groups = {row[0]: at for at, row in enumerate(tables["Groups"][1:], 2)}
    to_come = sorted(
        (food, day, session, group, cups)
        for session, group, day, _, dish, status in tables["Sessions"][1:] if status == "planned" and day >= AS_OF
        for food, cups in recipes[dish]
    )  # fmt: skip
    rows: Rows = [
        ["Food", "Session", "Date", "Cups a batch", "Grams", "Must not get it", "Up to here", "Open", "Group"]
    ]
    for at, (food, day, session, group, cups) in enumerate(to_come, 2):
        batches, needs = (f"Groups!{column}{groups[group]}" for column in "BC")
        grams, stock, best_before, contains = (f"Foods!{column}{foods[food]}" for column in "BCDE")
        before = f"G{at - 1}" if rows[-1][0] == food else "0"
        if sought is not None:
            batches, needs = (sought.found("Groups", column, f"I{at}") for column in "BC")
            grams, stock, best_before, contains = (sought.found("Foods", column, f"A{at}") for column in "BCDE")
        good = f"IF({best_before}>=C{at},{stock},0)"
        rows.append([
            food, session, day, cups, f"=D{at}*{batches}*{grams}", f'=IF({contains}="none",0,{needs})',
            f"={before}+E{at}", f"=MAX(G{at}-{good},0)-MAX({before}-{good},0)", group,
        ])  # fmt: skip
    if sought is not None:
        sought.lasts["Lines"] = len(rows)
    return rows


def summed_foods(tables: dict[str, Rows], lines: Rows, sought: Sought | None) -> Rows:
    blocks: dict[str, tuple[int, int]] = {}
    for at, row in enumerate(lines[1:], 2):
        blocks[row[0]] = (blocks.get(row[0], (at, at))[0], at)
    stock = {row[0]: row for row in tables["Stock"][1:]}
    rows: Rows = [["Food", "Grams per cup", "Stock", "Best before", "Contains", "Needed", "To buy"]]
    for at, (food, _, _, grams, contains, *_) in enumerate(tables["Ingredients"][1:], 2):
        sums: list[object] = [0, 0]
        if sought is not None:
            sums = [f"={sought.summed('Lines', column, f'A{at}')}" for column in "EH"]
        elif food in blocks:
            sums = [f"=SUM(Lines!{column}{blocks[food][0]}:{column}{blocks[food][1]})" for column in "EH"]
        rows.append([food, grams, stock[food][1], stock[food][4], contains, *sums])
    return rows


def ours(source: str, target: str) -> None:
    """The same by our reading, checks, kits, amounts, netting and counting, saved as a plan.json."""
    from opsreport.joining import build_programme
    from opsreport.plan.buying.netting import net
    from opsreport.plan.model import Plan, ToShop
    from opsreport.plan.people_plan import uncharged_people
    from opsreport.run import Asked, make_kits, read_and_check
    from opsreport.write.json_file import plan_json

    gc.set_threshold(100_000, 50, 50)  # as the command line does
    rows, as_of, findings = read_and_check(Path(source), Asked(AS_OF))
    programme = build_programme(rows, as_of)
    people = uncharged_people(programme)
    kits, unsafe = make_kits(programme, findings)
    assert kits is not None
    assert not unsafe
    netted = net(programme, kits.needs)
    still_open = tuple(ToShop(each.need.food, each.need.session, each.amount, "g") for each in netted.still_open)
    food = dataclasses.replace(kits, stock_use=netted.uses, lots=netted.lots, shopping=still_open)
    Path(target).write_bytes(plan_json(Plan(as_of, programme.currency.code, food, people), findings))


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.split("\n")[0])
    asked.add_argument("times", nargs="?", type=float, default=25.0)
    asked.add_argument("--searched", action="store_true", help="look for names in whole columns")
    asked.add_argument("--most", type=int, metavar="SECONDS", help="stop LibreOffice after so many of the processor")
    wanted = asked.parse_args()
    office = shutil.which("soffice")
    if office is None:
        sys.exit("LibreOffice (soffice) is not here.")
    with tempfile.TemporaryDirectory() as temporary:
        folder = Path(temporary)
        book, live, saved = folder / "book.xlsx", folder / "live.xlsx", folder / "saved"
        write(Size.times(wanted.times), book)
        write_formulas(Size.times(wanted.times), live, searched=wanted.searched)
        user = folder / "profile" / "user"
        user.mkdir(parents=True)
        (user / "registrymodifications.xcu").write_text(ALWAYS)
        convert = [office, f"-env:UserInstallation=file://{folder}/profile", "--headless", "--convert-to", "xlsx"]
        recalculated = seconds([*convert, "--outdir", str(saved), str(live)], wanted.most)
        figured = seconds([sys.executable, __file__, "--ours", str(book), str(folder / "plan.json")])
        built = seconds([sys.executable, "-m", "opsreport", "build", str(book), "--out", str(folder / "built")])
        ended = (saved / live.name).exists()
        if ended:
            agreed = compare(saved / live.name, json.loads((folder / "plan.json").read_text()))
            print(f"{wanted.times:g} times: {agreed}")
    print(f"LibreOffice {'opens, recalculates and saves in' if ended else 'had not ended after'} ", end="")
    print(f"{recalculated.processor:.1f} s")
    for what, spent in (("to the same figures, saved", figured), ("with orders and every document", built)):
        times = f"{'' if ended else 'more than '}{recalculated.processor / spent.processor:.2f}"
        print(f"ours, {what}: {spent.processor:.1f} s, {times} times as fast")


def compare(saved: Path, plan: dict[str, Any]) -> str:
    """What both say the same of; anything else is an error."""
    import python_calamine

    read = python_calamine.CalamineWorkbook.from_path(saved)
    tables = {name: read.get_sheet_by_name(name).to_python()[name != "Totals" :] for name in read.sheet_names}
    lines = {(food, session): opened for food, session, *_, opened, _ in tables["Lines"] if opened > 1e-6}
    ours = {(each["ingredient"], each["session"]): float(Fraction(each["amount"])) for each in plan["shopping"]}
    assert lines.keys() == ours.keys()
    assert all(math.isclose(lines[key], ours[key], rel_tol=1e-9) for key in ours)
    needed = defaultdict(float)
    for need in plan["needs"]:
        needed[need["ingredient"]] += float(Fraction(need["amount"]))
    assert all(math.isclose(row[5], needed[row[0]], rel_tol=1e-9) for row in tables["Foods"])
    groups = plan["attendance"]["groups"]
    for group, _, _, contacts, people, completers in tables["Groups"]:
        counted = groups[group]
        assert (contacts, people, completers) == (counted["contacts"], counted["people"], counted["completers"])
    totals = plan["attendance"]["totals"]
    assert [value for _, value in tables["Totals"]] == [totals["contacts"], totals["people"], totals["completers"]]
    return f"{len(ours):,} open lines, {len(tables['Foods'])} foods and {len(groups)} groups agree with our plan"


if __name__ == "__main__":
    if sys.argv[1:2] == ["--ours"]:
        ours(*sys.argv[2:4])
    else:
        main()
