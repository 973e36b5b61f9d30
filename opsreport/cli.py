"""The command line: words to a run, a short summary, and the exit status.

0: all written. 1: errors in the workbook (findings written, and those families that rest on none of
them). 2: the command or the file could not be used; nothing written.
"""

import argparse
import contextlib
import datetime as dt
import gc
import json
import os
import shutil
import sys
from collections.abc import Callable, Iterable, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING

from opsreport import __version__

if TYPE_CHECKING:
    from opsreport.findings import Finding
    from opsreport.run import Asked


_MOST_PROCESSES = 4


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit status."""
    asked = _parser().parse_args(words)
    gc.set_threshold(100_000, 50, 50)  # much is made and kept, little of it in cycles
    try:
        status: int = asked.command(asked)
    except KeyboardInterrupt:
        print("opsreport: stopped; nothing was written.", file=sys.stderr)
        return 2
    except BrokenPipeError:
        sys.stderr.close()
        return 2
    except Exception as mistake:
        if asked.debug:
            raise
        return _refuse(
            f"a mistake of opsreport's own ({type(mistake).__name__}: {mistake}); nothing was written. "
            "Please report it, with what `opsreport --debug` and the same words print."
        )
    return status


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(
        prog="opsreport",
        description="From a coordinator's workbook: grocery orders, kit-packing lists and reports.",
    )
    parser.add_argument("--version", action="version", version=f"opsreport {__version__}")
    parser.add_argument("--debug", action="store_true", help=argparse.SUPPRESS)
    commands = parser.add_subparsers(required=True, metavar="COMMAND")

    build = commands.add_parser("build", help="write every document of a workbook into one folder")
    build.add_argument(
        "workbook", type=Path, nargs="+", help=".xlsx or .ods files, each into a folder of its own; never changed"
    )
    build.add_argument(
        "--out", type=Path, metavar="DIR", help="folder to write (default: beside the workbook; several need it)"
    )
    build.add_argument(
        "--changed", action="store_true",
        help="render only documents that differ from those of the folder that stands there; the same files come out",
    )  # fmt: skip
    build.add_argument(
        "--pool", action="store_true",
        help="several workbooks order together: one order a supplier and delivery day for all, split by place",
    )  # fmt: skip
    build.add_argument(
        "--jobs", type=_jobs, metavar="N", help="workbooks built side by side (default: one a processor)"
    )
    build.add_argument(
        "--partial", action="store_true",
        help="leave out what is faulty, stamp every document touched INCOMPLETE, and write the rest",
    )  # fmt: skip
    _add_as_of(build)
    build.add_argument(
        "--with", dest="earlier", type=Path, action="append", default=[], metavar="PLAN",
        help="plan.json of an earlier term, to put its figures beside this one's; repeat it for several",
    )  # fmt: skip
    build.add_argument(
        "--effort", choices=("short", "usual", "long"), default="usual",
        help="how long cheaper orders are looked for, counted in work: long may take minutes (default: usual)",
    )  # fmt: skip
    build.add_argument(
        "--since", metavar="PLAN",
        help="earlier run to compare with: its plan.json or folder, or none (default: the newest in the same place)",
    )  # fmt: skip
    build.add_argument("--quiet", action="store_true", help="say nothing unless something is wrong")
    build.add_argument("--open", action="store_true", help="show the start page in the web browser afterwards")
    build.set_defaults(command=_build)

    start = commands.add_parser("start", help="write a new workbook to fill in")
    start.add_argument("file", type=Path, metavar="FILE", help="the .xlsx to write; never over an existing file")
    filled = start.add_mutually_exclusive_group()
    filled.add_argument("--example", action="store_true", help="fill it with a short invented example")
    filled.add_argument(
        "--keep", type=Path, metavar="OLD",
        help="carry groups, recipes, ingredients, suppliers, packs, tools and settings over from an earlier workbook",
    )  # fmt: skip
    start.set_defaults(command=_start)

    check = commands.add_parser("check", help="say what is wrong in a workbook, and what to do")
    check.add_argument("workbook", type=Path, help=".xlsx or .ods file; it is never changed")
    check.add_argument("--json", action="store_true", help="findings as a JSON list")
    check.add_argument(
        "--mark", action="store_true", help="also write a copy beside it, with each finding at its cells"
    )
    _add_as_of(check)
    check.set_defaults(command=_check)

    again = commands.add_parser("recount", help="say which kits can be full with what was counted on a packing day")
    again.add_argument("workbook", type=Path, help=".xlsx or .ods file; it is never changed")
    again.add_argument("--day", type=_date, required=True, metavar="DATE", help="the packing day, as 2027-02-09")
    again.add_argument(
        "--counts", type=Path, metavar="COUNTS.xlsx",
        help="the count sheet typed back: the pull list's .xlsx (default: the workbook's own sheet Counts)",
    )  # fmt: skip
    again.add_argument(
        "--swaps-first", action="store_true", help="fill kits with swaps before any standard one, whoever goes short"
    )
    again.add_argument("--out", type=Path, metavar="DIR", help="folder to write (default: beside the workbook)")
    _add_as_of(again)
    again.set_defaults(command=_recount)

    scoop = commands.add_parser("scoop", help="say how to measure an amount with the cups and spoons at hand")
    scoop.add_argument("amount", metavar="AMOUNT", help="3/4 cup, 1 1/2 tsp, 150 mL; with --of also 200 g")
    scoop.add_argument("--of", metavar="INGREDIENT", help="adds grams, and chooses dry or liquid tools")
    scoop.add_argument(
        "--without", action="append", default=[], metavar="TOOL",
        help="a tool not at hand, in any spelling; repeat it, or part several by ;",
    )  # fmt: skip
    scoop.add_argument(
        "--tools", action="append", metavar="TOOLS", help="the tools at hand, as '1 cup; 1 tbsp; 50 mL'"
    )  # fmt: skip
    scoop.add_argument(
        "--for", dest="state", choices=("dry", "liquid"), help="which tools (default: the ingredient's, else dry)"
    )  # fmt: skip
    scoop.add_argument("--measures", choices=("US", "label", "metric", "Australian"), default="US")
    scoop.add_argument("--all", action="store_true", help="every exact way, at most 1,000")
    scoop.add_argument("--json", action="store_true", help="the answer as JSON")
    scoop.set_defaults(command=_scoop)

    why = commands.add_parser("why", help="say where an ingredient's order lines come from")
    why.add_argument("folder", type=Path, metavar="FOLDER", help="a folder that build wrote, or its plan.json")
    why.add_argument("ingredient", metavar="INGREDIENT", help="as the workbook names it")
    why.add_argument("--json", action="store_true", help="the trace as JSON, as plan.json holds it")
    why.set_defaults(command=_why)

    catalogue = commands.add_parser("catalogue", help="list, search or show what the built-in catalogue knows")
    catalogue.add_argument("words", nargs="*", metavar="WORDS", help="a food's name, or words to search for")
    catalogue.add_argument("--json", action="store_true", help="entries as a JSON list")
    catalogue.set_defaults(command=_catalogue)

    completion = commands.add_parser("completion", help="print a script by which a shell completes this command")
    completion.add_argument("shell", choices=("bash", "zsh", "fish"), help="the shell that is to read it")
    completion.set_defaults(command=_completion)
    return parser


def _add_as_of(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--as-of", type=_date, metavar="DATE",
        help="planning date, as 2027-02-08 (default: Settings, else today)",
    )  # fmt: skip


def _date(text: str) -> dt.date:
    try:
        return dt.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date such as 2027-02-08") from None


def _jobs(text: str) -> int:
    if not text.isascii() or not text.isdecimal() or not 1 <= int(text) <= 1000:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of workbooks, 1 or more")
    return int(text)


def _asked(asked: argparse.Namespace) -> "Asked":
    from opsreport.look_back import Since
    from opsreport.plan.effort import EFFORTS
    from opsreport.run import Asked

    given: str | None = getattr(asked, "since", None)
    since = Since(None if given in (None, "none") else Path(given), never=given == "none")
    # the only look at the clock and at the machine
    return Asked(
        today=dt.date.today(), as_of=asked.as_of, helpers=min(os.cpu_count() or 1, _MOST_PROCESSES) - 1,
        partial=getattr(asked, "partial", False), earlier=tuple(getattr(asked, "earlier", ())),
        effort=EFFORTS[getattr(asked, "effort", "usual")], since=since, changed=getattr(asked, "changed", False),
    )  # fmt: skip


def _start(asked: argparse.Namespace) -> int:
    from opsreport.starter import write_starter
    from opsreport.workbook import Unusable
    from opsreport.write.folder import Unwritable

    try:
        told = write_starter(asked.file, example=asked.example, keep=asked.keep)
    except (Unusable, Unwritable) as refusal:
        return _refuse(refusal.sentence)
    _say([f"Written: {asked.file} (its first sheet says how to begin)", *told])
    return 0


def _build(asked: argparse.Namespace) -> int:
    from dataclasses import replace

    from opsreport.run import build
    from opsreport.summary import summary_lines
    from opsreport.workbook import Unusable
    from opsreport.write.folder import Unwritable

    try:
        if len(asked.workbook) > 1 or asked.pool:
            return _build_all(asked)
        with _progress(asked.quiet) as tell:
            outcome = build(asked.workbook[0], asked.out, replace(_asked(asked), tell=tell))
    except (Unusable, Unwritable) as refusal:
        return _refuse(refusal.sentence)
    status = _status(outcome.findings)
    if status or not asked.quiet:
        _say(summary_lines(outcome))
    if asked.open:
        _show(outcome.folder / "index.html")
    return status


def _progress(quiet: bool) -> "AbstractContextManager[Callable[[str], None]]":
    """What the run is at, on a terminal; nothing where nobody looks."""
    if quiet or not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        return contextlib.nullcontext(lambda step: None)
    from opsreport.terminal import progress

    return progress()


def _show(page: Path) -> None:
    """The page in whatever browser there is; a machine without one is no failure of the run."""
    import webbrowser

    if not webbrowser.open(page.resolve().as_uri()):
        print(f"opsreport: no web browser was found to open {page}", file=sys.stderr)


def _build_all(asked: argparse.Namespace) -> int:
    """Several workbooks: what became of each, one line each.

    Raises:
        Unusable, Unwritable: as for one, where none can be built.
    """
    from opsreport.many import build_all
    from opsreport.pool import build_pooled
    from opsreport.tables.several import together_line, told_line

    if asked.out is None:
        return _refuse("several workbooks need a folder to write to: name it with --out DIR.")
    if asked.pool and asked.partial:
        return _refuse("--pool and --partial do not go together: correct the workbooks, or leave one out.")
    if asked.pool and (asked.changed or asked.earlier or asked.since):
        return _refuse("--pool compares with no earlier run: leave --changed, --with and --since out.")
    several = (build_pooled if asked.pool else build_all)(
        asked.workbook, asked.out, _asked(asked), asked.jobs or os.cpu_count() or 1
    )
    _say(told_line(each) for each in several.told)
    if several.folder is None:
        return _refuse("no workbook could be used; nothing was written.")
    if several.together is not None:
        _say([together_line(several.together)])
    _say([f"Written: {several.folder} (open index.html first)"])
    if several.kept is not None:
        _say([f"The folder that stood there is now {several.kept}"])
    return several.status


def _check(asked: argparse.Namespace) -> int:
    from opsreport.run import check, mark
    from opsreport.workbook import Unusable
    from opsreport.write.folder import Unwritable

    try:
        findings = check(asked.workbook, _asked(asked))
        marked = mark(asked.workbook, findings) if asked.mark else None
    except (Unusable, Unwritable) as refusal:
        return _refuse(refusal.sentence)
    if asked.json:
        _say([json.dumps([finding.as_dict() for finding in findings], ensure_ascii=False, indent=1)])
    else:
        _say(_report(findings))
        if marked is not None:
            _say([f"Written: {marked}"])
    return _status(findings)


def _recount(asked: argparse.Namespace) -> int:
    from opsreport.recount import recount_day
    from opsreport.tables.recount import answer_lines
    from opsreport.workbook import Unusable
    from opsreport.write.folder import Unwritable

    try:
        answer = recount_day(
            asked.workbook, asked.day, asked.counts, asked.out, _asked(asked), swaps_first=asked.swaps_first
        )
    except (Unusable, Unwritable) as refusal:
        return _refuse(refusal.sentence)
    if answer.findings:
        _say(_report(answer.findings))
    if answer.found is None:
        return 1
    _say(answer_lines(answer.programme, answer.found, answer.gaps))
    _say([f"Written: {answer.folder}"])
    if answer.kept is not None:
        _say([f"The folder that stood there is now {answer.kept}"])
    return 0


def _scoop(asked: argparse.Namespace) -> int:
    from opsreport.ask import Unanswerable, answer_scoop, scoop_lines

    try:
        answer = answer_scoop(
            asked.amount, of=asked.of, without=asked.without, tools=asked.tools, state=asked.state,
            measures=asked.measures, every_way=asked.all,
        )  # fmt: skip
    except Unanswerable as refusal:
        return _refuse(refusal.sentence)
    _say([json.dumps(answer.as_dict(), ensure_ascii=False)] if asked.json else scoop_lines(answer))
    return 0


def _catalogue(asked: argparse.Namespace) -> int:
    from opsreport.ask import answer_catalogue, catalogue_dicts, catalogue_lines, nothing_found

    entries = answer_catalogue(asked.words)
    if asked.json:
        _say([json.dumps(catalogue_dicts(entries), ensure_ascii=False, indent=1)])
    elif not entries:
        return _refuse(nothing_found(asked.words))
    else:
        _say(catalogue_lines(entries))
    return 0


def _why(asked: argparse.Namespace) -> int:
    from opsreport.ask import Unanswerable
    from opsreport.why import answer_why, why_lines

    try:
        answer = answer_why(asked.folder, asked.ingredient)
    except Unanswerable as refusal:
        return _refuse(refusal.sentence)
    _say([json.dumps(answer.told, ensure_ascii=False, indent=1)] if asked.json else why_lines(answer))
    return 0


def _completion(asked: argparse.Namespace) -> int:
    from opsreport.completion import completion_script

    print(completion_script(_parser(), asked.shell), end="")
    return 0


def _say(lines: Iterable[str]) -> None:
    for line in lines:
        print(line)


def _refuse(sentence: str) -> int:
    print(f"opsreport: {sentence}", file=sys.stderr)
    return 2


def _status(findings: Sequence["Finding"]) -> int:
    from opsreport.rules import Severity

    return 1 if any(finding.severity is Severity.ERROR for finding in findings) else 0


def _report(findings: Sequence["Finding"]) -> list[str]:
    """Findings as wide as the terminal, in colour unless NO_COLOR says no; plain lines for a file or a pipe."""
    from opsreport.terminal import findings_lines

    if not sys.stdout.isatty():
        return findings_lines(findings)
    colour = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return findings_lines(findings, max(shutil.get_terminal_size().columns, 40), colour)
