"""The plan.json of an earlier run, read back for a comparison of terms."""

import datetime as dt
import json
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path
from typing import Any, Final

from opsreport.plan.people_model import EarlierTerm
from opsreport.reading.workbook import Unusable

PLAN_FILE: Final = "plan.json"
_FIGURES = (
    "sessions_planned", "sessions_delivered", "people", "households", "completers", "contacts", "contact_hours",
    "kits_distributed",
)  # fmt: skip
_SUMS = ("present", "absent", "excused")


def runs_in(folder: Path) -> list[str]:
    """Names of the runs in the folder of a run over several workbooks, sorted; none where it is a run itself."""
    if (folder / PLAN_FILE).exists():
        return []
    return sorted(file.parent.name for file in folder.glob(f"*/{PLAN_FILE}"))


def plan_file(path: Path) -> Path:
    """The plan.json of a run, given as that file or as its folder.

    Raises:
        Unusable: there is none.
    """
    file = path / PLAN_FILE if path.is_dir() else path
    if not file.is_file():
        raise Unusable(f"There is no earlier plan {path}; give a run's {PLAN_FILE} or its folder.")
    return file


def read_earlier(path: Path) -> EarlierTerm:
    """What a plan.json says of its term. Figures that an older one lacks are left out.

    Args:
        path: the file, or the run's folder.
    Raises:
        Unusable: it is no plan.json that can be read.
    """
    file = plan_file(path)
    try:
        written: Any = json.loads(file.read_bytes())
        attendance = written["attendance"]
        groups, totals = attendance.get("groups", {}), attendance.get("totals", {})
        figures = {name: Fraction(str(totals[name])) for name in _FIGURES if name in totals}
        figures |= {name: Fraction(sum(group[name] for group in groups.values())) for name in _SUMS if groups}
        return EarlierTerm(
            dt.date.fromisoformat(written["as_of"]),
            figures,
            {each["question"]: _outcome(each) for each in written["outcomes"]},
            written["buying"]["cost"] if written.get("buying") else None,
            str(written["currency"]),
        )
    except OSError as fault:
        raise Unusable(f"{path} cannot be read: {fault.strerror}.") from None
    except (ValueError, KeyError, TypeError, AttributeError, ZeroDivisionError):
        raise Unusable(f"{path} is no {PLAN_FILE} of an earlier run; give a run's {PLAN_FILE} or its folder.") from None


def _outcome(each: Mapping[str, Any]) -> tuple[int, float | None, float | None, float | None]:
    if each["test"] == "mcnemar":  # low and high there are of the share after, not of the change
        return int(each["n"]), each["change"], None, None
    return int(each["n"]), each["change"], each["low"], each["high"]
