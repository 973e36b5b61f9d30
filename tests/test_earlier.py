"""plan.json read back for a comparison of terms."""

import json
from fractions import Fraction
from pathlib import Path

import pytest
from plan.people_support import TERM, answers, group, marks, member, programme, question, session

from opsreport.earlier import read_earlier
from opsreport.plan.model import Plan
from opsreport.plan.people_plan import plan_people
from opsreport.reading.workbook import Unusable
from opsreport.write.json_file import plan_json


def test_what_a_run_wrote_is_read_back(tmp_path: Path) -> None:
    book = programme(
        [group("A")], [member("p", "A"), member("q", "A")], [session("s", "A", 1, minutes=50)],
        marks({"p": "P", "q": "A"}, ["s"]), questions=[question("Q1")],
        surveys=answers("Q1", ["1", "2"], ["2", "5"]),
    )  # fmt: skip
    path = tmp_path / "plan.json"
    path.write_bytes(plan_json(Plan(TERM, "USD", None, plan_people(book, None)), ()))
    found = read_earlier(path)
    assert (found.as_of, found.currency, found.spent) == (TERM, "USD", None)
    assert (found.figures["people"], found.figures["absent"], found.figures["contact_hours"]) == (1, 1, Fraction(5, 6))
    assert found.outcomes["Q1"][:2] == (2, 2.0)


@pytest.mark.parametrize("text", ["", "[]", "{}", '{"attendance": {"groups": 3}}', "\x00"])
def test_something_else_is_refused_in_a_sentence(text: str, tmp_path: Path) -> None:
    path = tmp_path / "other.json"
    path.write_text(text)
    with pytest.raises(Unusable, match=r"no plan\.json of an earlier run"):
        read_earlier(path)
    with pytest.raises(Unusable):
        read_earlier(tmp_path / "nowhere.json")


def test_an_older_plan_lacks_some_figures(tmp_path: Path) -> None:
    written = {"as_of": "2026-09-01", "currency": "USD", "attendance": {"groups": {}}, "outcomes": [], "buying": {}}
    path = tmp_path / "plan.json"
    path.write_text(json.dumps(written))
    assert read_earlier(path).figures == {}
