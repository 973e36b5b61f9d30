"""INCOMPLETE, on every document that a partial build touches, with the list of what was left out."""

import dataclasses
from collections.abc import Sequence

from opsreport.plan.model import LeftOut
from opsreport.rules import FOOD, PEOPLE
from opsreport.tables.calendar_entries import CalendarEntry
from opsreport.tables.table import Document, Prose

INCOMPLETE = "INCOMPLETE"


def stamped(document: Document, left_out: Sequence[LeftOut]) -> Document:
    """The document with what it lacks said first, in its title and so on every printed page."""
    own = [each for each in left_out if _touches(document, each)]
    if not own:
        return document
    sentences = ("Left out because of errors in the workbook:", *(f"• {each.what} ({each.why})" for each in own))
    told = document.path == "findings"  # itself whole
    return dataclasses.replace(
        document,
        title=document.title if told else f"{INCOMPLETE}: {document.title}",
        parts=(
            Prose(sentences, f"{'The run' if told else 'This document'} is {INCOMPLETE}", "warning"),
            *document.parts,
        ),
    )


def stamped_entries(entries: Sequence[CalendarEntry], left_out: Sequence[LeftOut]) -> tuple[CalendarEntry, ...]:
    """Calendar entries with the word before them."""
    if not any(each.families & FOOD for each in left_out):
        return tuple(entries)
    return tuple(dataclasses.replace(entry, summary=f"{INCOMPLETE}: {entry.summary}") for entry in entries)


def _touches(document: Document, left_out: LeftOut) -> bool:
    folder = document.path.rpartition("/")[0]  # without one, the start page and the findings: they tell of all
    return not folder or bool(left_out.families & (PEOPLE if folder == "reports" else FOOD))
