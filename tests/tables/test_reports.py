import dataclasses
import io
from fractions import Fraction

import openpyxl
import pytest
from plan.people_support import day, funder, programme
from tables.people_support import (
    CODES,
    GROUP,
    REPORT,
    cells,
    outcome,
    people_plan,
    printed,
    small_programme,
    table,
    totals,
    words,
    yes_no,
)

from opsreport.kinds import Share
from opsreport.money import Currency, Money
from opsreport.plan.people_model import (
    Charged,
    EarlierTerm,
    Measure,
    PeoplePlan,
    Retention,
    SessionCost,
    SessionKitsGiven,
    UnitCost,
)
from opsreport.plan.people_plan import plan_people
from opsreport.tables.naming import file_names, listed
from opsreport.tables.reports import report_documents
from opsreport.tables.reports.definitions import completer_words
from opsreport.tables.reports.funder import pace_words
from opsreport.tables.reports.outcome_pictures import outcome_pictures
from opsreport.tables.reports.outcome_words import sentence
from opsreport.tables.table import Document, Paper, Prose, Table
from opsreport.write.html_page import html_bytes
from opsreport.write.xlsx import xlsx_bytes


def documents(people: PeoplePlan | None = None) -> dict[str, Document]:
    made = report_documents(small_programme(), people or people_plan())
    return {document.path: document for document in made}


ATTENDANCE, OUTCOMES, FUNDER = "reports/attendance", "reports/outcomes", "reports/funder-F-1"


def test_documents_and_their_heads() -> None:
    made = documents()
    assert list(made) == [ATTENDANCE, OUTCOMES, FUNDER]
    heads = {document.head for document in made.values()}
    assert heads == {"Cook Well · Spring 2027 · as of Wed 20 Jan 2027 · office@example.org"}
    assert [document.reader for document in made.values()] == [
        "the coordinator",
        "the coordinator",
        "Larch Trust",
    ]


# --- attendance ---


def test_group_figures_are_the_plans() -> None:
    made = documents()[ATTENDANCE]
    assert cells(made, "Marks by group") == [("PB, Parkside", 3, 2, 5, 2, 1, 1, 1, 0.5)]
    assert cells(made, "People by group") == [("PB, Parkside", 3, 301, 211, 17, 19, Fraction(9, 2))]
    assert totals(made, "Marks by group") == {
        "Planned": 3,
        "Delivered": 2,
        "Expected": 5,
        "Present": 2,
        "Absent": 1,
        "Excused": 1,
        "Not recorded": 1,
    }


def test_programme_counts_people_once() -> None:
    made = documents()[ATTENDANCE]
    once = totals(made, "People by group")
    assert once == {
        "Contacts": 3,
        "People": 299,
        "Households": 207,
        "Completers": 17,
        "Contact hours": Fraction(9, 2),
    }
    live = {total.under for total in table(made, "People by group").totals if total.formula}
    assert live == {"Contacts", "Contact hours"}
    assert "299 in 207 households" in words(made)
    assert "4.5 (1 delivered session without minutes left out)" in words(made)


def test_sessions_grid_and_what_is_missing() -> None:
    made = documents()[ATTENDANCE]
    assert cells(made, "Sessions") == [
        (day(4), "PB-1", "PB", 3, 1, 1, 1, 0, 1, None),
        (day(11), "PB-2", "PB", 2, 1, 0, 0, 1, 2, 12),
    ]
    assert cells(made, "Still to be recorded") == [(day(11), "PB-2", "PB, Parkside", 1, 2, "KID-8")]
    grid = table(made, "List PB")
    assert [column.heading for column in grid.columns[1:3]] == ["PB-1 4 Jan", "PB-2 11 Jan"]
    assert [row.cells for row in grid.rows] == [
        ("KID-7", "P", "P", 2, 2, 1.0, "yes"),
        ("KID-8", "A", "·", 0, 2, 0.0, ""),
        ("KID-9", "E", "V", 0, 1, 0.0, ""),
    ]
    below = [(total.label, total.under, total.value, total.formula) for total in grid.totals]
    assert below == [
        ("Present", "PB-1 4 Jan", 1, 'COUNTIF([PB-1 4 Jan],"P")'),
        ("Present", "PB-2 11 Jan", 1, 'COUNTIF([PB-2 11 Jan],"P")'),
        ("Present", "Times present", 2, "SUM([Times present])"),
        ("Absent", "PB-1 4 Jan", 1, 'COUNTIF([PB-1 4 Jan],"A")'),
        ("Absent", "PB-2 11 Jan", 0, 'COUNTIF([PB-2 11 Jan],"A")'),
        ("Excused", "PB-1 4 Jan", 1, 'COUNTIF([PB-1 4 Jan],"E")'),
        ("Excused", "PB-2 11 Jan", 0, 'COUNTIF([PB-2 11 Jan],"E")'),
    ]
    assert grid.columns[3].formula == 'COUNTIF([PB-1 4 Jan]:[PB-2 11 Jan],"P")'


def test_a_session_nobody_recorded_stands_out() -> None:
    blank = dataclasses.replace(people_plan().sessions[0], present=0, absent=0, excused=0, not_recorded=3)
    made = documents(people_plan(sessions=(blank,), members=()))[ATTENDANCE]
    assert [row.emphasis for row in table(made, "Sessions").rows] == ["warning"]


def test_not_expected_is_blank_and_not_missing() -> None:
    late = dataclasses.replace(people_plan().members[0], marks=" P")
    made = documents(people_plan(members=(late,)))[ATTENDANCE]
    assert cells(made, "List PB")[0][:3] == ("KID-7", None, "P")


def test_definitions_stand_at_the_end() -> None:
    for document in documents().values():
        last = document.parts[-1]
        assert isinstance(last, Prose)
        assert last.title == "What the figures mean"
    assert "present ÷ (present + absent + excused)" in words(documents()[ATTENDANCE])
    assert "Kits given out: recorded in Pick-ups." in words(documents()[ATTENDANCE])


@pytest.mark.parametrize(
    ("completion", "said"),
    [
        (Share(of_all=Fraction(3, 4)), "present at 75% or more of the group's delivered sessions"),
        (Share(number=Fraction(6)), "present at 6 or more of the group's delivered sessions"),
    ],
)
def test_completer(completion: Share, said: str) -> None:
    assert completer_words(completion) == said


# --- outcomes in words ---


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            outcome(),
            "14 of 18 people improved; the average change is +0.6 (95% interval 0.2 to 1.0).",
        ),
        (
            outcome(change=0.2, low=-0.1, high=0.5, improved=9, worse=6),
            "9 of 18 people improved and 6 got worse; the average change is +0.2 "
            "(95% interval −0.1 to 0.5): the interval includes no change.",
        ),
        (
            outcome(change=0.4, low=0.0, high=0.8, p=0.01),
            "14 of 18 people improved and 2 got worse; the average change is +0.4 "
            "(95% interval 0.0 to 0.8): the interval includes no change.",
        ),
        (
            outcome(change=-0.6, low=-1.0, high=-0.2, improved=2, worse=13),
            "13 of 18 people got worse; the average change is −0.6 (95% interval −1.0 to −0.2), "
            "a change for the worse.",
        ),
        (
            outcome(change=0.5, low=0.003, high=1.0, p=0.0625),
            "14 of 18 people improved; the average change is +0.500 (95% interval 0.003 to 1.000); "
            "the test by ranks is less sure (p = 0.062).",
        ),
        (
            outcome(improved=None, worse=None, same=None),
            "18 people answered both times; the average change is +0.6 (95% interval 0.2 to 1.0).",
        ),
        (outcome(n=0, change=None), "Nobody answered both before and after: too few pairs to say."),
        (outcome(n=1, low=None), "One person answered both before and after: too few pairs to say."),
        (
            outcome(change=0.0, low=None, high=None, p=None, improved=0, same=18, worse=0),
            "None of the 18 people changed their answer.",
        ),
        (
            outcome(change=1.0, low=None, high=None, improved=18, same=0, worse=0),
            "All 18 people changed by the same +1.0, so there is no interval to give.",
        ),
    ],
)
def test_sentence_of_a_scale(given: object, said: str) -> None:
    assert sentence(given) == said  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("change", "low", "high", "said"),
    [
        (
            -0.6,
            -1.0,
            -0.2,
            "14 of 18 people improved; the average change is −0.6 (95% interval −1.0 to −0.2), and lower is better.",
        ),
        (
            0.6,
            0.2,
            1.0,
            "2 of 18 people got worse; the average change is +0.6 (95% interval 0.2 to 1.0), a change for the worse.",
        ),
        (
            -0.1,
            -0.4,
            0.2,
            "14 of 18 people improved and 2 got worse; the average change is −0.1 "
            "(95% interval −0.4 to 0.2): the interval includes no change.",
        ),
    ],
)
def test_sentence_where_lower_is_better(change: float, low: float, high: float, said: str) -> None:
    assert sentence(outcome(change=change, low=low, high=high, better="lower")) == said


@pytest.mark.parametrize(
    ("given", "said"),
    [
        (
            yes_no(),
            "8 of 20 people improved and 2 got worse; yes: 40% before, 70% after (95% interval 48% to "
            "85%). Chance alone could do this (p = 0.11).",
        ),
        (
            yes_no(p=0.0005),
            "8 of 20 people improved and 2 got worse; yes: 40% before, 70% after (95% interval 48% to "
            "85%). Chance alone would seldom do this (p < 0.001).",
        ),
        (
            yes_no(improved=0, worse=0, same=20, p=None, after=0.4),
            "None of the 20 people changed their answer: 40% said yes both times.",
        ),
        (
            yes_no(improved=None, worse=None, before=None, p=None),
            "20 people answered both times; yes: 70% after (95% interval 48% to 85%). "
            "The test is not shown, as small counts would follow from it.",
        ),
        (
            yes_no(improved=0, worse=0, same=20, p=None, before=None, after=None),
            "None of the 20 people changed their answer.",
        ),
        (
            yes_no(worse=0, same=12, before=None, after=None),
            "8 of 20 people improved and none got worse. Chance alone could do this (p = 0.11).",
        ),
        (yes_no(n=1, p=1.0), "One person answered both before and after: too few pairs to say."),
    ],
)
def test_sentence_of_yes_or_no(given: object, said: str) -> None:
    assert sentence(given) == said  # type: ignore[arg-type]


# --- outcomes document ---


def test_outcome_figures_are_the_plans_under_their_themes() -> None:
    made = documents(people_plan(outcomes=(outcome(theme=""), yes_no(), outcome(question="Q3", text="Third"))))
    document = made[OUTCOMES]
    assert [row[0] for row in cells(document, "Outcomes in words")] == [
        "Eating",
        "Beans last week?",
        "Cooking",
        "Third",
        "Other questions",
        "How sure are you?",
    ]
    assert cells(document, "Scales and numbers")[1] == (
        "Third",
        "higher",
        18,
        3,
        2.5,
        3.1,
        0.6,
        0.2,
        1.0,
        0.75,
    )
    assert cells(document, "Scales and numbers, tests")[1] == (
        "Third",
        0.004,
        0.008,
        "Wilcoxon",
        14,
        2,
        2,
        "",
    )
    assert cells(document, "Yes and no")[1] == (
        "Beans last week?",
        "yes",
        20,
        3,
        0.4,
        0.22,
        0.61,
        0.7,
        0.48,
        0.85,
        30.0,
    )
    assert cells(document, "Yes and no, tests")[1] == (
        "Beans last week?",
        0.109375,
        0.008,
        "McNemar",
        8,
        10,
        2,
        "",
    )


@pytest.mark.parametrize("path", [OUTCOMES, FUNDER])
def test_every_sheet_is_printed_large_enough_to_be_read(path: str) -> None:
    """Three quarters of its size or more, between margins of half an inch on Letter; its headings on every page.

    A column of n characters is 7 n + 5 pixels, 96 an inch (ISO/IEC 29500-1, 18.3.1.13, in Excel's usual type); the
    file's width holds the 5 pixels.
    """
    made = documents(people_plan(outcomes=(outcome(), yes_no())))[path]
    paper = Paper("Letter", Currency("USD"), day(20))
    for sheet in openpyxl.load_workbook(io.BytesIO(xlsx_bytes(made, paper))):
        inches = sum(7 * (each.max - each.min + 1) * each.width for each in sheet.column_dimensions.values()) / 96
        across = 11 if sheet.page_setup.orientation == "landscape" else 8.5
        assert (across - 1) / inches >= 0.75, sheet.title
        assert sheet.print_title_rows


def test_better_comes_from_the_question() -> None:
    lower = outcome(change=-0.6, low=-1.0, high=-0.2, effect=-0.75, better="lower")
    document = report_documents(small_programme(), people_plan(outcomes=(lower,)))[1]
    assert cells(document, "Scales and numbers")[1][1] == "lower"
    assert "and lower is better" in str(cells(document, "Outcomes in words")[1][1])


def test_cautions_about_few_pairs_and_many_questions() -> None:
    document = documents(people_plan(outcomes=(outcome(n=5), yes_no())))[OUTCOMES]
    few, several = table(document, "Outcomes in words").notes
    assert few.startswith("1 question rests on fewer than 12 pairs")
    assert several.startswith("2 questions were tested.")
    assert not table(documents(people_plan(outcomes=(outcome(),)))[OUTCOMES], "Outcomes in words").notes


def test_what_cannot_be_worked_out_is_a_dash_with_its_meaning() -> None:
    one = outcome(n=1, low=None, high=None, effect=None, p=None)
    made = table(documents(people_plan(outcomes=(one,)))[OUTCOMES], "Scales and numbers")
    tests = table(documents(people_plan(outcomes=(one,)))[OUTCOMES], "Scales and numbers, tests")
    assert (*made.rows[1].cells[7:], tests.rows[1].cells[1]) == ("–", "–", "–", "–")
    assert made.notes == tests.notes == ("–: cannot be worked out.",)


# --- funders ---


def test_promised_against_delivered_as_shown() -> None:
    assert cells(documents()[FUNDER], "Promised and delivered") == [
        ("Promised", None, None, None, None),
        ("Sessions delivered", 4, 2, Fraction(1, 2), "3 are on the list for the period, 1 fewer than promised"),
        ("People, each counted once", 400, 1301, Fraction(1301, 400), "reached"),
        ("Completion", "75%", "60%", Fraction(4, 5), "below what was promised so far"),
        ("Kits given out", 20, "1–10", "not shown", None),
        (
            "Food cost, delivered and to come",
            "$250.00",
            "$125.00",
            Fraction(1, 2),
            "sessions delivered: $25.00; sessions to come: $100.00",
        ),
        ("Also delivered", None, None, None, None),
        ("Households, each counted once", None, "hidden", None, None),
        ("Completers", None, "1–10", None, None),
        ("Food cost of sessions delivered", None, "$25.00", None, None),
        ("Food cost of sessions to come", None, "$100.00", None, None),
    ]


def test_facts_sessions_breakdowns_and_what_is_hidden() -> None:
    document = documents()[FUNDER]
    assert "Parkside (50%)" in words(document)
    assert "Fri 1 Jan 2027 to Mon 1 Mar 2027" in words(document)
    assert [row[:4] for row in cells(document, "Sessions")] == [
        (day(4), "PB-1", "Parkside", "Park School"),
        (day(11), "PB-2", "Parkside", "Park School"),
    ]
    assert cells(document, "By Age band") == [("5–7", 1281, "hidden"), ("8–10", 20, "1–10")]
    assert totals(document, "By Age band") == {"People": 1301, "Completers": "1–10"}
    assert "“1–10” stands for a count from 1 to 10" in words(document)
    assert REPORT.notes[0] in words(document)


def test_hidden_counts_of_outcomes_say_hidden() -> None:
    document = documents()[FUNDER]
    assert cells(document, "Scales and numbers, tests")[1][4:7] == ("hidden", 14, "hidden")
    assert cells(document, "Scales and numbers")[1][3] == "hidden"
    yes = cells(document, "Yes and no")[1]
    assert yes[4:7] == ("hidden",) * 3
    assert (yes[10], cells(document, "Yes and no, tests")[1][1]) == ("hidden", "hidden")


def test_a_test_that_cannot_be_made_is_not_called_hidden() -> None:
    """All counts shown and p None: hidden. Nobody changed, as the note says: there is no p to hide."""
    kept = yes_no(p=None, after=None, low=None, high=None, change=None)
    still = yes_no(p=None, improved=0, worse=0, same=20, note="all changes are zero")
    report = dataclasses.replace(REPORT, outcomes=(kept, still))
    rows = cells(documents(people_plan(funders=(report,)))[FUNDER], "Yes and no, tests")
    assert [row[1] for row in rows[1:]] == ["hidden", "–"]


def test_no_value_that_is_hidden_and_no_code_is_printed() -> None:
    """The plan's other figures and codes lie beside the report; none of them may come through."""
    said = printed(documents()[FUNDER])
    secret = {GROUP.people, GROUP.households, GROUP.completers, GROUP.own_sessions_completers, 299, 207}
    assert not secret & {value for value in said if isinstance(value, int)}
    assert not [code for code in CODES if any(code in str(value) for value in said)]


def test_written_funder_document_holds_no_code() -> None:

    paper = Paper("A4", Currency("USD"), day(20))
    for document in documents().values():
        page = html_bytes(document, paper).decode()
        assert xlsx_bytes(document, paper)
        assert ("KID-7" in page) == (document.path == ATTENDANCE)


def test_without_targets_and_without_groups() -> None:
    bare = dataclasses.replace(
        REPORT,
        measures=(Measure("sessions", None, 0, "0"),),
        groups=(),
        sessions=(),
        outcomes=(),
        notes=(),
        small_count=0,
        hidden_outcomes=0,
        breakdowns={},
    )
    document = documents(people_plan(funders=(bare,)))[FUNDER]
    assert cells(document, "Promised and delivered") == [("Sessions delivered", None, 0, None, None)]
    assert table(document, "Promised and delivered").notes == ("The workbook states no target for this funder.",)
    assert "Nothing had to be hidden." in words(document)
    assert table(document, "Outcomes in words").empty == "No survey question was asked."


def test_target_of_nothing_and_cost_not_available() -> None:
    odd = dataclasses.replace(
        REPORT,
        measures=(Measure("kits", 0, 5, "5"), Measure("cost", "10.00", None, "not available")),
    )
    rows = cells(documents(people_plan(funders=(odd,)))[FUNDER], "Promised and delivered")
    assert rows == [
        ("Kits given out", 0, 5, None, None),
        ("Food cost, delivered and to come", "$10.00", "not available", "not shown", None),
    ]


LAST = "by the last session planned"


@pytest.mark.parametrize(
    ("share", "pace", "said"),
    [
        (Fraction(1, 4), Fraction(1, 2), f"behind pace: 50%; going on like this, about 10 {LAST}"),
        (Fraction(1, 2), Fraction(19, 20), f"on pace: 95%; going on like this, about 19 {LAST}"),
        (
            Fraction(3, 4),
            Fraction(3, 2),
            "ahead of pace: 150%; going on like this, about 30 by the last session planned",
        ),
        (Fraction(1), Fraction(2), "reached"),
        (None, None, None),
    ],
)
def test_pace_in_words(share: Fraction | None, pace: Fraction | None, said: str | None) -> None:
    assert pace_words(Measure("kits", 20, 5, "5", share, pace), REPORT) == said


def test_boxes_for_the_coordinators_words() -> None:
    boxes = cells(documents()[FUNDER], "In our own words")
    assert boxes == [("What went well", "The soup."), ("What comes next", None)]


def test_pictures_say_what_they_show() -> None:
    """Improvement stands to the right whichever way is better; a hidden interval is not drawn."""
    lower = outcome(question="Q1", change=-0.6, low=-1.0, high=-0.2, effect=-0.75, better="lower")
    hidden = outcome(low=None, high=None, effect=None)
    picture = outcome_pictures(small_programme().questions, [lower, hidden, yes_no()])
    changes = picture[0].rows
    assert [(row.full, row.start, row.end) for row in changes] == [pytest.approx((0.75, 0.25, 1.25))]
    assert picture[-1].rows[0].words == "Beans last week?: 40% before, 70% after."


def test_every_kit_and_who_stayed() -> None:
    recorded = SessionKitsGiven("PB-1", "PB", day(4), 10, 1, 1, 7, 1, 2, 0, 1)
    kits = (recorded, SessionKitsGiven("PB-2", "PB", day(11), 9, 1, 1))
    stayed = (Retention("PB", 1, 8, 10, 10), Retention("PB", 2, 6, 6, 10))
    document = documents(people_plan(kits=kits, retention=stayed))[ATTENDANCE]
    assert [row[3:] for row in cells(document, "Kits given out")] == [
        (10, 1, 7, 1, 2, 0, 1, 1),
        (9, 1, None, None, None, None, None, 1),
    ]
    assert [row.emphasis for row in table(document, "Kits given out").rows] == ["warning", ""]
    assert [row[1:] for row in cells(document, "Who stayed")][1:] == [(8, 10, 1.0), (6, 6, 0.6)]


def test_costs_of_one_and_what_is_unassigned() -> None:
    charged = (Charged("F/1", Money(1000), Money(50), Money(400)), Charged("", Money(7), Money(0)))
    units = (
        UnitCost("kit", Money(400), Money(0), Fraction(2), held=True),
        UnitCost("kit", Money(1007), Money(50), Fraction(3)),
        UnitCost("completer", Money(1007), Money(50), None),
    )
    costs = (
        SessionCost("PB-1", True, Money(400)),
        SessionCost("PB-2", False, Money(1), Money(2), Money(604), Money(50)),
    )
    document = documents(people_plan(charged=charged, unit_costs=units, session_costs=costs))[ATTENDANCE]
    assert cells(document, "Charged to funders") == [("F/1", 1000, 400, 50), ("Unassigned", 7, 0, 0)]
    assert cells(document, "Cost of one") == [
        ("kit packed, spare and demo kits included", 2, 400, 200, 0, 0),
        ("kit, spare and demo kits included", 3, 1007, 336, 50, 17),
        ("expected completer", None, 1007, None, 50, None),
    ]
    assert [row[3:] for row in cells(document, "Food cost by session")] == [(400, 0, 0, 400, 0), (1, 2, 604, 607, 50)]


def test_terms_beside_one_another() -> None:
    earlier = EarlierTerm(day(1), {"people": Fraction(40)}, {"Q1": (9, 0.25, None, None)}, "12.50", "USD")
    document = documents(people_plan(earlier=(earlier, earlier)))[ATTENDANCE]
    assert ("People", 299, Fraction(40), Fraction(40)) in cells(document, "Terms")
    assert ("How sure are you?", 18, 0.6, 9, 0.25, 9, 0.25) in cells(document, "Changes by term")
    assert not [part for part in documents()[ATTENDANCE].parts if isinstance(part, Table) and part.sheet == "Terms"]


def test_an_average_without_its_interval_says_so() -> None:
    said = sentence(outcome(improved=None, worse=None, low=None, high=None))
    assert said.endswith("how sure that is cannot be said here.")


# --- nothing to report ---


def test_empty_documents_exist_and_say_so() -> None:
    bare = programme()
    made = report_documents(bare, plan_people(bare, None))
    assert [document.path for document in made] == [ATTENDANCE, OUTCOMES]
    empties = [part.empty for document in made for part in document.parts if isinstance(part, Table) and not part.rows]
    assert "No session has been delivered yet." in empties
    assert any(text.startswith("The workbook asks no questions") for text in empties)


def test_from_a_plan_that_is_worked_out() -> None:
    """The real plan fits the documents: no column is without a value, no value without a column."""
    real = dataclasses.replace(small_programme(), funders=(funder("F/1", sessions_target=4),))
    for document in report_documents(real, plan_people(real, None)):
        for part in document.parts:
            if isinstance(part, Table):
                assert {len(row.cells) for row in part.rows} <= {len(part.columns)}
                assert {total.under for total in part.totals} <= {column.heading for column in part.columns}


# --- names ---


def test_file_names_are_plain_and_all_different() -> None:
    assert file_names(["F/1", "f-1", "Größe & Co.", "../..", "", "a" * 200, "F-1-2"]) == [
        "F-1",
        "f-1-2",
        "Größe-Co",
        "unnamed",
        "unnamed-2",
        "a" * 60,
        "F-1-2-2",
    ]


def test_listed() -> None:
    assert [listed(names, 3) for names in ([], ["a"], ["a", "b"], list("abcde"))] == [
        "",
        "a",
        "a and b",
        "a, b, c and 2 more",
    ]
