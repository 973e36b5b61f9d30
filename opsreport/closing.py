"""The sheets Stock and Orders as they should stand at the end of a day: a workbook in, one document out."""

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from opsreport.findings import Finding, in_order, stopped
from opsreport.joining import build_programme
from opsreport.plan.explaining.closing import Closing, closing
from opsreport.reading.workbook import Unusable
from opsreport.rules import FOOD, Severity
from opsreport.run import Asked, make_kits, read_and_check
from opsreport.shown import day_words
from opsreport.tables.closing import closing_document
from opsreport.tables.table import Paper
from opsreport.write.files import both_formats
from opsreport.write.folder import put_in_place


@dataclass(frozen=True, slots=True)
class Closed:
    """What was found and written. findings: errors that stop orders; then the rest is None."""

    findings: tuple[Finding, ...]
    found: Closing | None = None
    folder: Path | None = None
    kept: Path | None = None


def close_day(source: Path, day: dt.date, target: Path | None, asked: Asked) -> Closed:
    """Read the workbook, see what is packed and what comes until the end of the day, write what then stands.

    Args:
        source: the workbook; never changed.
        day: from the planning date on.
        target: the folder to write; None: beside the workbook, named after it and the day.
    Raises:
        Unusable: it is no workbook, or the day lies before the planning date.
        Unwritable: the folder cannot be written; what stood there stands unchanged.
    """
    rows, as_of, findings = read_and_check(source, asked)
    if day < as_of:
        raise Unusable(f"{day_words(day)} lies before the planning date, {day_words(as_of)}; give --as-of as well.")
    programme = build_programme(rows, as_of)
    kits, unsafe = make_kits(programme, findings)
    if kits is None or stopped(unsafe) & FOOD:
        errors = [each for each in (*findings, *unsafe) if each.severity is Severity.ERROR]
        return Closed(tuple(in_order(errors)))
    found = closing(programme, kits, day)
    document = closing_document(programme, found)
    files = both_formats(((document,), Paper(programme.settings.paper, programme.currency, as_of)))
    folder = target or source.with_name(f"{source.stem}-closing-{day.isoformat()}")
    return Closed((), found, folder, put_in_place(files, folder))
