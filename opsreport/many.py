"""Several workbooks in one run: each as alone, in processes side by side, and a page that leads to all."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Final, TypeVar

from opsreport.beside import Beside, tidied
from opsreport.earlier import runs_in
from opsreport.findings import Finding, stopped
from opsreport.look_back import Since
from opsreport.money import Currency, Money
from opsreport.plan.model import Plan
from opsreport.plan.people.sites import site_of
from opsreport.programme import Programme
from opsreport.reading.workbook import Unusable
from opsreport.rules import Severity
from opsreport.run import Asked, make, tell_nobody
from opsreport.shown import period_words
from opsreport.tables.naming import file_names
from opsreport.tables.several import ATTENDANCE_OF_ALL, FUNDERS_OF_ALL, Told, documents_of_all, index_of_all
from opsreport.tables.table import Paper
from opsreport.write.files import both_formats, prepare_to_write
from opsreport.write.folder import put_filled, refuse_foreign, write_anew, write_files
from opsreport.write.html_page import index_bytes

P = TypeVar("P")
R = TypeVar("R")
TOGETHER: Final = "together"
"""The folder of the orders of all, where workbooks order together."""
_NOT_NAMES: Final = ("index", TOGETHER, ATTENDANCE_OF_ALL, FUNDERS_OF_ALL)
"""Names in the folder that no workbook's folder takes."""


@dataclass(frozen=True, slots=True)
class Several:
    """What a run over several workbooks did. kept: where an earlier folder of that name is now. folder: None where
    no workbook could be used, and so nothing was written. missing: folders of workbooks that stood in the earlier one
    and have none now."""

    told: tuple[Told, ...]
    folder: Path | None
    kept: Path | None
    together: Told | None = None
    """The orders of all, where they order together."""
    missing: tuple[str, ...] = ()

    @property
    def status(self) -> int:
        """The worst of all."""
        return max(each.status for each in self.told)


def build_all(sources: Sequence[Path], target: Path, asked: Asked, jobs: int = 1) -> Several:
    """Build every workbook into a folder of its own in the target, the same bytes as alone.

    The whole target is put in place at the end, or nothing of it. A workbook that cannot be used, or whose process
    dies, is told of and stops no other.

    Args:
        sources: workbooks, in the order in which they are listed.
        jobs: processes side by side; each takes one workbook at a time.
    Raises:
        Unusable: one workbook is named twice.
        Unwritable: the folder cannot be written; what stood there stands unchanged.
    """
    refuse_twice(sources)
    alone = replace(asked, helpers=0, tell=tell_nobody)
    told: list[Told] = []

    def fill(part: Path) -> None:
        pieces = [
            (source, name, target / name, part / name, replace(alone, since=since_of(name, asked.since)))
            for source, name in zip(sources, folder_names(sources), strict=True)
        ]
        found = side_by_side(_build_one, pieces, jobs, lambda piece: told_dead(piece[0]))
        told.extend(named_apart(list(found), sources))
        if not any(each.name for each in told):
            raise NothingUsed
        write_files(pages_of_all(told), part)

    refuse_foreign(target, sources)
    earlier = runs_in(target)
    try:
        kept = put_filled(fill, target)
    except NothingUsed:
        return Several(tuple(told), None, None)
    return Several(tuple(told), target, kept, missing=missing_of(earlier, sources))


def since_of(name: str, since: Since) -> Since:
    """What a workbook is compared with: its own run in an earlier one over several, if that is asked for; with nothing
    where it was not among them."""
    if since.path is None:
        return replace(since, of_several=True)
    if not (runs := runs_in(since.path)):
        return since
    return Since(since.path / name) if name in runs else Since(never=True)


def pages_of_all(told: Sequence[Told], together: Told | None = None) -> dict[str, bytes]:
    """The page that leads to every workbook, and the documents of all of them together.

    told: of one workbook at least that was used. together: the orders for all of them, where they order together.
    """
    currencies = {each.currency for each in told if each.cost is not None}
    currency = Currency(currencies.pop()) if len(currencies) == 1 else Currency()
    days = sorted({each.as_of for each in told if each.as_of is not None})
    paper, as_of = Paper("Letter", currency, days[-1]), f"as of {period_words(days[0], days[-1])}"
    of_all = tuple(documents_of_all(told, as_of))
    return {
        "index.html": index_bytes(index_of_all(told, as_of, together, of_all), paper), **both_formats((of_all, paper))
    }  # fmt: skip


def missing_of(earlier: Sequence[str], sources: Sequence[Path]) -> tuple[str, ...]:
    """Folders of an earlier run over several workbooks that none of these workbooks writes again."""
    return tuple(sorted({*earlier} - {*folder_names(sources), TOGETHER}))


class NothingUsed(Exception):  # noqa: N818 - no error: the way out of a folder that is not to be
    """No workbook could be used."""


Piece = tuple[Path, str, Path, Path, Asked]
"""A workbook, its name, where its folder will stand, where it is written till then, and what was asked."""


def refuse_twice(sources: Sequence[Path]) -> None:
    seen: set[Path] = set()
    for source in sources:
        place = source.resolve()
        if place in seen:
            raise Unusable(f"{source} is named twice; name each workbook once.")
        seen.add(place)


def named_apart(told: Sequence[Told], sources: Sequence[Path]) -> list[Told]:
    """The same, workbooks of one name in several folders named as they were asked for."""
    many = Counter(source.name for source in sources)
    return [
        replace(each, source=str(source)) if many[source.name] > 1 else each
        for each, source in zip(told, sources, strict=True)
    ]


def folder_names(sources: Sequence[Path]) -> list[str]:
    """A folder's name for each workbook, after its file and, where several files are alike, the folders it stands in;
    no two alike on any disk."""
    return file_names(_stems_apart(sources), taken=_NOT_NAMES)


def _stems_apart(sources: Sequence[Path]) -> list[str]:
    """Each file's name without its ending, after as many of its folders as tell it from files of the same name."""
    paths = [(*source.absolute().parent.parts, source.stem) for source in sources]
    stems = [""] * len(paths)
    alike, length = list(range(len(paths))), 1
    while alike:
        tails = Counter(paths[at][-length:] for at in alike)
        for at in alike:
            stems[at] = "/".join(paths[at][-length:])
        alike = [at for at in alike if tails[paths[at][-length:]] > 1 and length < len(paths[at])]
        length += 1
    return stems


def side_by_side(
    work: Callable[[P], R], pieces: Sequence[P], jobs: int, dead: Callable[[P], R]
) -> Iterator[R]:  # fmt: skip
    """The work on every piece, in their order.

    A process that dies takes those with it that wait beside it: each of them is tried again in a process of its own,
    and only one that kills that too is `dead`.
    """
    if jobs < 2 or len(pieces) < 2:
        yield from (tidied(work, piece) for piece in pieces)
        return
    with Beside(min(jobs, len(pieces)), prepare_to_write) as beside:
        later = [beside.start(tidied, work, piece) for piece in pieces]
        for piece, one in zip(pieces, later, strict=True):
            try:
                yield one.waited()
            except BrokenProcessPool:
                yield _in_a_process_of_its_own(work, piece, dead)


def _in_a_process_of_its_own(work: Callable[[P], R], piece: P, dead: Callable[[P], R]) -> R:
    with Beside(1, prepare_to_write) as beside:
        try:
            return beside.start(tidied, work, piece).waited()
        except BrokenProcessPool:
            return dead(piece)


def told_dead(source: Path) -> Told:
    """A workbook whose process died."""
    return Told(source.name, "", 2, "Its process ended before it was done; the machine may be short of memory.")


def _build_one(piece: Piece) -> Told:
    """Build one workbook into its part of the folder; what is wrong with it is told, never raised.

    Raises:
        OSError: the disk refuses, which stops all.
    """
    source, name, folder, part, asked = piece
    try:
        made = make(source, folder, asked)
    except Exception as trouble:
        return told_trouble(source, trouble)
    write_anew(made.files, part)
    return tell(source, name, made.programme, made.plan, made.findings, len(made.files))


def told_trouble(source: Path, trouble: Exception) -> Told:
    """A workbook that cannot be used, or that met a mistake of our own."""
    if isinstance(trouble, Unusable):
        its = f"{source.name} is "
        sentence = trouble.sentence
        return Told(source.name, "", 2, f"It is {sentence.removeprefix(its)}" if sentence.startswith(its) else sentence)
    return Told(source.name, "", 2, f"A mistake of opsreport's own ({type(trouble).__name__}: {trouble}).")


def tell(
    source: Path, name: str, programme: Programme, plan: Plan, findings: Sequence[Finding], files: int
) -> Told:  # fmt: skip
    """The few figures of a run that the page of all shows."""
    by_severity = {
        severity: sum(finding.severity is severity for finding in findings)
        for severity in (Severity.ERROR, Severity.WARNING, Severity.NOTE)
    }
    food, people = plan.food, None if plan.left_out else plan.people
    first = food.orders[0] if food is not None and food.orders else None
    error = next((finding for finding in findings if finding.severity is Severity.ERROR), None)
    return Told(
        source=source.name,
        name=name,
        status=1 if by_severity[Severity.ERROR] else 0,
        as_of=plan.as_of,
        programme=" ".join(part for part in (programme.settings.programme, programme.settings.term) if part),
        currency=plan.currency,
        errors=by_severity[Severity.ERROR],
        first_error="" if error is None else ": ".join(part for part in (error.where, error.message) if part),
        remedy="" if error is None else error.fix,
        warnings=by_severity[Severity.WARNING],
        notes=by_severity[Severity.NOTE],
        short=0 if food is None else len({row.food for row in food.shortages}),
        not_written=tuple(sorted(family.value for family in stopped(findings) - plan.partly)),
        first=None if first is None else (first.order, first.order_by, first.urgent),
        cost=None if food is None else Money(sum(order.total for order in food.paid)),
        files=files,
        site=None if people is None else site_of(name, programme, people),
    )
