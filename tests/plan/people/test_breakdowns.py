"""People by what Enrolment says of them: blanks are a value of their own, each person has one."""

from fractions import Fraction

import pytest
from plan.people_support import group, marks, member, no_kits, programme, session

from opsreport.plan.people.attendance import attend
from opsreport.plan.people.breakdowns import breakdown_columns, broken_down

HELD = [session(f"s{i}", "A", i) for i in range(1, 5)]
PEOPLE = [
    member("p", "A", age_band="5–7"),
    member("q", "A", age_band=" under 5"),
    member("r", "A"),
    member("s", "A", age_band="UNDER 5"),
    member("t", "A", age_band="Not stated"),
    member("u", "A", age_band="14–17"),
    member("r", "B", age_band="8–10"),
]
GRID = marks({"p": "PPPP", "q": "PAAA", "r": "PPPA", "s": "PPAA", "t": "PAAA", "u": "AAAA"}, [s.session for s in HELD])


def test_by_hand() -> None:
    """r states an age in another group only; t's `Not stated` is a blank; u never came."""
    book = programme([group("A"), group("B")], PEOPLE, HELD, GRID, report_by=("age band",))
    found = attend(book, no_kits)
    columns, unusable = breakdown_columns(book, found.ledger.roll)
    rows = broken_down(columns[0], found.ledger, found.completers)
    assert [(row.value, row.people, row.contacts, row.completers) for row in rows] == [
        ("under 5", 2, 3, 0),
        ("5–7", 1, 4, 1),
        ("8–10", 1, 3, 1),
        ("14–17", 0, 0, 0),
        ("not stated", 1, 1, 0),
    ]
    assert unusable == ()


def test_the_bands_of_a_federal_form_in_order() -> None:
    """Source: form FNS-759 (2016 and earlier), its age bands (from memory)."""
    bands = ["under 5", "5–7", "8–10", "11–13", "14–17", "18–59", "60–75", "76 and over"]
    people = [member(f"p{i}", "A", age_band=band) for i, band in enumerate(reversed(bands))]
    book = programme([group("A")], people, report_by=("Age band",))
    columns, _ = breakdown_columns(book, attend(book, no_kits).ledger.roll)
    assert columns[0].values == (*bands, "not stated")


def test_parts_add_up_to_all() -> None:
    book = programme([group("A"), group("B")], PEOPLE, HELD, GRID, report_by=("Age band", "Town"))
    found = attend(book, no_kits)
    for column in breakdown_columns(book, found.ledger.roll)[0]:
        rows = broken_down(column, found.ledger, found.completers)
        assert sum(row.people for row in rows) == found.totals.people
        assert sum(row.contacts for row in rows) == found.totals.contacts
        assert sum(row.completers for row in rows) == found.totals.completers
    assert found.totals.contact_hours == Fraction(found.totals.contacts)


@pytest.mark.parametrize(("towns", "unusable"), [(40, ()), (41, ("Town",))])
def test_a_column_of_more_than_forty_values_is_no_breakdown(towns: int, unusable: tuple[str, ...]) -> None:
    people = [member(f"p{i}", "A", town=f"Town {i}") for i in range(towns)]
    book = programme([group("A")], people, report_by=("Town",))
    assert breakdown_columns(book, attend(book, no_kits).ledger.roll)[1] == unusable
