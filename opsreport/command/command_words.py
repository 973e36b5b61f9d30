"""What may be typed on the command line: commands, their words and options, and what each of them says of itself."""

import argparse
import datetime as dt
from pathlib import Path
from typing import Any, NoReturn

from opsreport import __version__


class _Parser(argparse.ArgumentParser):
    """A parser whose help speaks to who does not program."""

    def __init__(self, **given: Any) -> None:
        super().__init__(add_help=False, **given)
        self._positionals.title = "to name"
        self._optionals.title = "may be added"
        self.add_argument("-h", "--help", action="help", help="show this page")

    def error(self, message: str) -> NoReturn:
        self.exit(2, f"{self.format_usage()}{self.prog}: {message}\nWhat may be typed: {self.prog} --help\n")


def parser() -> argparse.ArgumentParser:
    """What may be typed. The command asked for stands under `command`."""
    whole = _Parser(
        prog="opsreport",
        description="From a coordinator's workbook: grocery orders, kit-packing lists and reports.",
        epilog="Begin with: opsreport start FILE; then fill it in, and opsreport build FILE. What may be added to a "
        "command: opsreport COMMAND --help.",
    )
    whole.add_argument("--version", action="version", version=f"opsreport {__version__}", help="show its number")
    whole.add_argument("--debug", action="store_true", help=argparse.SUPPRESS)
    commands = whole.add_subparsers(required=True, metavar="COMMAND", dest="command", title="commands")

    build = commands.add_parser("build", help="write every document of a workbook into one folder")
    build.add_argument(
        "workbook", type=Path, nargs="+", help=".xlsx or .ods files, each into a folder of its own; never changed"
    )
    build.add_argument(
        "--out", type=_folder, metavar="DIR", help="folder to write (default: beside the workbook; several need it)"
    )
    build.add_argument(
        "--changed", action="store_true",
        help="take documents over from the folder that stands there where nothing in them differs: quicker, and the "
        "same files",
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

    start = commands.add_parser("start", help="write a new workbook to fill in")
    start.add_argument("file", type=Path, metavar="FILE", help="the .xlsx to write; never over an existing file")
    filled = start.add_mutually_exclusive_group()
    filled.add_argument("--example", action="store_true", help="fill it with a short invented example")
    filled.add_argument(
        "--keep", type=Path, metavar="OLD",
        help="carry groups, recipes, ingredients, suppliers, packs, tools and settings over from an earlier workbook",
    )  # fmt: skip

    check = commands.add_parser("check", help="say what is wrong in a workbook, and what to do")
    check.add_argument("workbook", type=Path, nargs="+", help=".xlsx or .ods files, one after the other; never changed")
    check.add_argument(
        "--json", action="store_true", help="findings as a JSON list; of several, by workbook, null for one not usable"
    )
    check.add_argument(
        "--mark", action="store_true", help="also write a copy beside it, with each finding at its cells"
    )
    _add_as_of(check)

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
    again.add_argument("--out", type=_folder, metavar="DIR", help="folder to write (default: beside the workbook)")
    _add_as_of(again)

    close = commands.add_parser("closing", help="say what Stock and Orders should hold at the end of a day")
    close.add_argument("workbook", type=Path, help=".xlsx or .ods file; it is never changed")
    close.add_argument("--day", type=_date, required=True, metavar="DATE", help="the day, as 2027-02-09")
    close.add_argument("--out", type=_folder, metavar="DIR", help="folder to write (default: beside the workbook)")
    _add_as_of(close)

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
    scoop.add_argument(
        "--measures", choices=("US", "label", "metric", "Australian"), default="US",
        help="whose cups and spoons they are (default: US)",
    )  # fmt: skip
    scoop.add_argument("--all", action="store_true", help="every exact way, at most 1,000")
    scoop.add_argument("--json", action="store_true", help="the answer as JSON")

    why = commands.add_parser("why", help="say where an ingredient's order lines come from")
    why.add_argument("folder", type=Path, metavar="FOLDER", help="a folder that build wrote, or its plan.json")
    why.add_argument("ingredient", metavar="INGREDIENT", help="as the workbook names it")
    why.add_argument("--json", action="store_true", help="the same as JSON, with every exact figure")

    catalogue = commands.add_parser("catalogue", help="list, search or show what the built-in catalogue knows")
    catalogue.add_argument("words", nargs="*", metavar="WORDS", help="a food's name, or words to search for")
    catalogue.add_argument("--json", action="store_true", help="entries as a JSON list")

    completion = commands.add_parser("completion", help="print a script by which a shell completes this command")
    completion.add_argument("shell", choices=("bash", "zsh", "fish"), help="the shell that is to read it")
    for command in commands.choices.values():  # after the command too; not said there, it stands as it was
        command.add_argument("--debug", action="store_true", default=argparse.SUPPRESS, help=argparse.SUPPRESS)
    return whole


def _add_as_of(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--as-of", type=_date, metavar="DATE",
        help="planning date, as 2027-02-08 (default: Settings, else today)",
    )  # fmt: skip


def _date(text: str) -> dt.date:
    from opsreport.kinds import YEARS

    try:
        day = dt.date.fromisoformat(text)
    except ValueError:
        raise argparse.ArgumentTypeError(f"{text!r} is not a date such as 2027-02-08") from None
    if day.year not in YEARS:
        raise argparse.ArgumentTypeError(f"{text!r} is not in the years {YEARS[0]} to {YEARS[-1]}")
    return day


def _folder(text: str) -> Path:
    """A shell's empty variable would else be the folder in which one stands."""
    if not text.strip():
        raise argparse.ArgumentTypeError("the folder's name is empty")
    return Path(text)


def _jobs(text: str) -> int:
    if not text.isascii() or not text.isdecimal() or not 1 <= int(text) <= 1000:
        raise argparse.ArgumentTypeError(f"{text!r} is not a number of workbooks, 1 or more")
    return int(text)
