"""The command line: words to a run, a short summary, and the exit status.

0: all written. 1: errors in the workbook (findings written, and those families that rest on none of
them). 2: the command or the file could not be used, nothing written; or an answer could not be printed. A summary of
what is written that nobody hears changes nothing.
"""

import argparse
import contextlib
import datetime as dt
import gc
import json
import os
import shutil
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from opsreport.command.command_words import parser
from opsreport.command.streams import made_fit, say_no_more, takes_every_sign

if TYPE_CHECKING:
    from opsreport.findings import Finding
    from opsreport.run import Asked


_MOST_PROCESSES = 4


class _Unsaid(Exception):  # noqa: N818 - said on the other channel as it stands
    """Standard output does not take what is said."""


class _Unheard(Exception):  # noqa: N818 - nobody is told
    """Whoever read standard output has gone."""


def main(words: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit status."""
    sys.stdin, sys.stdout, sys.stderr = (made_fit(stream) for stream in (sys.stdin, sys.stdout, sys.stderr))
    try:
        return _run(parser().parse_args(words))
    except KeyboardInterrupt:
        return _refuse("stopped; nothing is left half-written.")


def _run(asked: argparse.Namespace) -> int:
    gc.set_threshold(100_000, 50, 50)  # much is made and kept, little of it in cycles
    try:
        return COMMANDS[asked.command](asked)
    except _Unheard:
        return 2
    except _Unsaid as fault:
        return _refuse(_unsaid(fault))
    except Exception as mistake:
        if asked.debug:
            raise
        return _refuse(
            f"a mistake of opsreport's own ({type(mistake).__name__}: {mistake}); nothing is left half-written. "
            "Please report it, with what the same words and --debug print."
        )


def _asked(asked: argparse.Namespace) -> "Asked":
    from opsreport.look_back import Since
    from opsreport.plan.buying.effort import EFFORTS
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
    from opsreport.reading.workbook import Unusable
    from opsreport.starter.starter import write_starter
    from opsreport.write.folder import Unwritable

    try:
        told = write_starter(asked.file, example=asked.example, keep=asked.keep)
    except (Unusable, Unwritable) as refusal:
        return _refuse(refusal.sentence)
    _sum_up([f"Written: {asked.file} (its first sheet says how to begin)", *told])
    return 0


def _build(asked: argparse.Namespace) -> int:
    from dataclasses import replace

    from opsreport.command.summary import summary_lines
    from opsreport.reading.workbook import Unusable
    from opsreport.run import build
    from opsreport.write.folder import Unwritable

    asked.workbook = _workbooks(asked.workbook)
    try:
        if len(asked.workbook) > 1 or asked.pool:
            return _build_all(asked)
        with _progress(asked.quiet) as tell:
            outcome = build(asked.workbook[0], asked.out, replace(_asked(asked), tell=tell))
    except (Unusable, Unwritable) as refusal:
        return _refuse(refusal.sentence)
    status = _status(outcome.findings)
    if status or not asked.quiet:
        _sum_up(summary_lines(outcome))
    if asked.open:
        _show(outcome.folder / "index.html")
    return status


def _progress(quiet: bool) -> "AbstractContextManager[Callable[[str], None]]":
    """What the run is at, on a terminal; nothing where nobody looks."""
    if quiet or not sys.stderr.isatty() or os.environ.get("TERM") == "dumb":
        return contextlib.nullcontext(lambda step: None)
    from opsreport.command.terminal import progress

    return progress()


def _show(page: Path) -> None:
    """The page in whatever browser there is; a machine without one is no failure of the run."""
    import webbrowser

    if not webbrowser.open(page.resolve().as_uri()):
        _aside(f"no web browser was found to open {page}")


def _build_all(asked: argparse.Namespace) -> int:
    """Several workbooks: what became of each, one line each.

    Raises:
        Unusable, Unwritable: as for one, where none can be built.
    """
    from opsreport.many import build_all
    from opsreport.pool import build_pooled
    from opsreport.tables.several import hand_lines, told_lines

    if asked.out is None:
        return _refuse("several workbooks need a folder to write to: name it with --out DIR.")
    if asked.pool and asked.partial:
        return _refuse("--pool and --partial do not go together: correct the workbooks, or leave one out.")
    if asked.pool and (asked.changed or asked.earlier):
        return _refuse("--pool goes with neither --changed nor --with: leave them out.")
    several = (build_pooled if asked.pool else build_all)(
        asked.workbook, asked.out, _asked(asked), asked.jobs or os.cpu_count() or 1
    )
    if several.status or not asked.quiet:
        _sum_up(told_lines(several.told, several.together))
    if several.folder is None:
        return _refuse("no workbook could be used; nothing was written.")
    if several.status or not asked.quiet:
        kept = [f"The folder that stood there is now {several.kept}"] if several.kept else []
        gone = [f"There last time and not in this run: {', '.join(several.missing)}"] if several.missing else []
        _sum_up([f"Written: {several.folder} (open index.html first)", *kept, *gone, *hand_lines(several.told)])
    if asked.open:
        _show(several.folder / "index.html")
    return several.status


def _workbooks(given: Sequence[Path]) -> list[Path]:
    """The workbooks among the files given; what is left out is said."""
    from opsreport.command.given import workbooks_of

    found, said = workbooks_of(given)
    for sentence in said:
        _aside(sentence)
    return found


def _check(asked: argparse.Namespace) -> int:
    """Each workbook by itself; the worst status of all."""
    from opsreport.findings import finding_objects
    from opsreport.reading.workbook import Unusable
    from opsreport.run import check, mark
    from opsreport.write.folder import Unwritable

    workbooks = _workbooks(asked.workbook)
    several, status = len(workbooks) > 1, 0
    told: dict[str, object] = {}
    for number, workbook in enumerate(workbooks):
        if several and not asked.json:
            _say([*([""] if number else []), f"{workbook}:", ""])
        try:
            findings = check(workbook, _asked(asked))
            marked = mark(workbook, findings) if asked.mark else None
        except (Unusable, Unwritable) as refusal:
            told[str(workbook)] = None
            status = _refuse(f"{workbook}: {refusal.sentence}" if several else refusal.sentence)
            continue
        told[str(workbook)] = finding_objects(findings)
        status = max(status, _status(findings))
        if not asked.json:
            _say([*_report(findings), *([f"Written: {marked}"] if marked is not None else [])])
    answer = told if several else told[str(workbooks[0])]
    if asked.json and answer is not None:
        _say_json(answer)
    return status


def _recount(asked: argparse.Namespace) -> int:
    from opsreport.reading.workbook import Unusable
    from opsreport.recount import recount_day
    from opsreport.tables.recount import answer_lines
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
    _sum_up(answer_lines(answer.programme, answer.found, answer.gaps))
    _sum_up([f"Written: {answer.folder}"])
    if answer.kept is not None:
        _sum_up([f"The folder that stood there is now {answer.kept}"])
    return 0


def _closing(asked: argparse.Namespace) -> int:
    from opsreport.closing import close_day
    from opsreport.reading.workbook import Unusable
    from opsreport.tables.closing import closing_words
    from opsreport.write.folder import Unwritable

    try:
        answer = close_day(asked.workbook, asked.day, asked.out, _asked(asked))
    except (Unusable, Unwritable) as refusal:
        return _refuse(refusal.sentence)
    if answer.found is None:
        _say(_report(answer.findings))
        return 1
    _sum_up([closing_words(answer.found), f"Written: {answer.folder}"])
    if answer.kept is not None:
        _sum_up([f"The folder that stood there is now {answer.kept}"])
    return 0


def _scoop(asked: argparse.Namespace) -> int:
    from opsreport.command.ask import Unanswerable, answer_scoop, scoop_lines

    try:
        answer = answer_scoop(
            asked.amount, of=asked.of, without=asked.without, tools=asked.tools, state=asked.state,
            measures=asked.measures, every_way=asked.all,
        )  # fmt: skip
    except Unanswerable as refusal:
        return _refuse(refusal.sentence)
    if asked.json:
        _say_json(answer.as_dict(), indent=None)
    else:
        _say(scoop_lines(answer))
    return 0


def _catalogue(asked: argparse.Namespace) -> int:
    from opsreport.command.ask import answer_catalogue, catalogue_dicts, catalogue_lines, nothing_found

    entries = answer_catalogue(asked.words)
    if asked.json:
        _say_json(catalogue_dicts(entries))
    else:
        _say(catalogue_lines(entries))
    return 0 if entries else _refuse(nothing_found(asked.words))


def _why(asked: argparse.Namespace) -> int:
    from opsreport.command.ask import Unanswerable
    from opsreport.command.why import answer_why, why_lines

    try:
        answer = answer_why(asked.folder, asked.ingredient)
    except Unanswerable as refusal:
        return _refuse(refusal.sentence)
    if asked.json:
        _say_json(answer.told)
    else:
        _say(why_lines(answer))
    return 0


def _completion(asked: argparse.Namespace) -> int:
    from opsreport.command.completion import completion_script

    _say(completion_script(parser(), asked.shell).splitlines())
    return 0


def _say(lines: Iterable[str]) -> None:
    """Print lines.

    Raises:
        _Unsaid: standard output refuses, as a full disk does.
        _Unheard: nobody reads it any more.
    """
    text = "".join(f"{line}\n" for line in lines)
    try:
        print(text, end="", flush=True)
    except BrokenPipeError:
        say_no_more(sys.stdout)
        raise _Unheard from None
    except OSError as fault:
        say_no_more(sys.stdout)
        raise _Unsaid(fault.strerror) from None


def _sum_up(lines: Iterable[str]) -> None:
    """Print what is said of files that are written: they are there whether it is heard or not."""
    try:
        _say(lines)
    except _Unheard:
        pass
    except _Unsaid as fault:
        _aside(_unsaid(fault))


def _unsaid(fault: _Unsaid) -> str:
    return f"what there is to say cannot be printed ({fault}); files are written as without it."


def _say_json(answer: object, indent: int | None = 1) -> None:
    """Print an answer as JSON, whatever standard output's encoding lacks."""
    _say([json.dumps(answer, ensure_ascii=not takes_every_sign(sys.stdout), indent=indent)])


def _refuse(sentence: str) -> int:
    _aside(sentence)
    return 2


def _aside(sentence: str) -> None:
    """A sentence on standard error; where it is not taken, the exit status speaks alone."""
    try:
        print(f"opsreport: {sentence}", file=sys.stderr, flush=True)
    except OSError:
        say_no_more(sys.stderr)


def _status(findings: Sequence["Finding"]) -> int:
    from opsreport.rules import Severity

    return 1 if any(finding.severity is Severity.ERROR for finding in findings) else 0


def _report(findings: Sequence["Finding"]) -> list[str]:
    """Findings as wide as the terminal, in colour unless NO_COLOR says no; plain lines for a file or a pipe."""
    from opsreport.command.terminal import findings_lines

    if not sys.stdout.isatty():
        return findings_lines(findings)
    colour = not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"
    return findings_lines(findings, max(shutil.get_terminal_size().columns, 40), colour)


COMMANDS: Final[Mapping[str, Callable[[argparse.Namespace], int]]] = {
    "build": _build,
    "start": _start,
    "check": _check,
    "recount": _recount,
    "closing": _closing,
    "scoop": _scoop,
    "why": _why,
    "catalogue": _catalogue,
    "completion": _completion,
}
"""What each command does; returns its exit status."""
