"""How long the figures about 50,000 people, 5,000 sessions and 1,000,000 marks take once they are read, beside pandas.

`python tests/benchmarks/people.py [RUNS]`. Ours is every figure of attendance and of two funders, whose periods lie
within one another, with two breakdowns. Pandas' is a plain groupby of the same counts (marks by group, session and
person; people, households and completers by group) from a frame made of the same rows, the making of the frame
included, as ours begins with the rows too. Ours is measured again from marks in
columns, as they are read. The two are run in turn, so that a busy machine slows both; times are of the
processor, which others at work do not lengthen much.
"""

import dataclasses
import statistics
import sys
import time
from collections.abc import Callable
from fractions import Fraction
from pathlib import Path

import pandas as pd

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from plan.people_support import MARKS, ROW, funder, group, member, programme, session

from opsreport.marks import LongMarks, numbered
from opsreport.plan.people.attendance import attend
from opsreport.plan.people_plan import uncharged_people
from opsreport.programme import Programme
from opsreport.sheets import AttendanceRow

GROUPS, MEMBERS, SESSIONS, SEEN = 500, 100, 10, 20


def large() -> Programme:
    """500 groups of 100 people and 10 sessions; 20 marks a person, half of them at another group's sessions."""
    letters = "PPPPPPPAE."
    groups = [group(f"G{g}", funders=(("F", Fraction(1, 2)), ("H", Fraction(1, 2)))) for g in range(GROUPS)]
    sessions = [session(f"G{g}-{i}", f"G{g}", 7 * i + 1) for g in range(GROUPS) for i in range(SESSIONS)]
    members = [
        member(f"P{g * MEMBERS + i}", f"G{g}", f"H{(g * MEMBERS + i) // 2}", age_band=f"{i % 7}", town=f"{g % 11}")
        for g in range(GROUPS)
        for i in range(MEMBERS)
    ]
    marks = tuple(
        AttendanceRow(
            place=ROW,
            session=f"G{(g + k // SESSIONS) % GROUPS}-{k % SESSIONS}",
            participant=f"P{g * MEMBERS + i}",
            mark=MARKS[letters[(i * 7 + k * 3 + g) % 10]],
            kit=None,
        )
        for g in range(GROUPS)
        for i in range(MEMBERS)
        for k in range(SEEN)
    )
    funders = [funder("F", 1, 30), funder("H", 1, 100)]
    return programme(groups, members, sessions, marks, funders=funders, report_by=("Age band", "Town"))


def in_columns(book: Programme) -> Programme:
    """The same with its attendance as a large sheet is kept once it is read."""
    rows = book.attendance
    sessions, session = numbered([row.session for row in rows])
    people, person = numbered([row.participant for row in rows])
    kinds, mark = numbered([row.mark for row in rows])
    columns = (session, person, bytes(iter(mark)), b"")
    kept = LongMarks(0, "", (sessions, people, kinds), columns, range(len(rows)), {})
    return dataclasses.replace(book, attendance=kept)


def with_pandas(book: Programme) -> int:
    """The same counts of attendance as a spreadsheet person would ask pandas for them."""
    rows = book.attendance
    frame = pd.DataFrame(
        {
            "session": [row.session for row in rows],
            "participant": [row.participant for row in rows],
            "mark": [row.mark.mark if row.mark else None for row in rows],
        }
    ).dropna()
    frame = frame.drop_duplicates(["session", "participant"], keep="last")
    members = pd.DataFrame(
        {"participant": [m.participant for m in book.members], "household": [m.household for m in book.members]}
    )
    meetings = pd.DataFrame({"session": list(book.sessions), "group": [each.group for each in book.sessions.values()]})
    frame = frame.merge(meetings, on="session").merge(members, on="participant")
    by_session = frame.groupby(["session", "mark"]).size()
    by_person = frame[frame["mark"] == "present"].groupby(["group", "participant"]).size()
    present = frame[frame["mark"] == "present"].groupby("group")
    people, homes = present["participant"].nunique(), present["household"].nunique()
    return len(by_session) + len(by_person) + int(people.sum()) + int(homes.sum())


def seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    book = large()
    print(f"{len(book.members):,} people, {len(book.sessions):,} sessions, {len(book.attendance):,} marks")
    taken = [
        (
            seconds(lambda: attend(book, lambda _: 0)),
            seconds(lambda: uncharged_people(book)),
            seconds(lambda: with_pandas(book)),
        )
        for _ in range(runs)
    ]
    attendance, everything, plain = (statistics.median(column) for column in zip(*taken, strict=True))
    kept = in_columns(book)
    lean = statistics.median(seconds(lambda: attend(kept, lambda _: 0)) for _ in range(runs))
    print(f"attendance alone         {attendance:6.2f} s")
    print(f"  from columns           {lean:6.2f} s   {lean / attendance:.2f} times the line above")
    print(f"attendance and funders   {everything:6.2f} s   wanted < 3")
    print(f"plain pandas             {plain:6.2f} s   ours is {everything / plain:.2f} times that; wanted <= 3")


if __name__ == "__main__":
    main()
