"""What becomes of each cell: a table of messy ones, and what a kind shows it reads back."""

import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from opsreport import kinds
from opsreport.kinds import Amount, Dish, FunderShare, How, Mark, NeedAnswer, Share, Unreadable
from opsreport.measures.units import DIMENSION, mixed, plural
from opsreport.money import Currency
from opsreport.words import clean

D = dt.date
F = Fraction
COMMA = How(decimal_comma=True)
PERCENT = How(number_format=lambda: "0.0%")
ZEROS = How(number_format=lambda: "000")
EVERY_KIND: list[kinds.Kind[object]] = [kind for kind in vars(kinds).values() if isinstance(kind, kinds.Kind)]


def told(kind: kinds.Kind[object], cell: kinds.CellValue, how: How | None = None) -> object:
    """The value, with `read` where a note was made; the code where the cell is refused."""
    how = how or How()
    how.notes.clear()
    try:
        value = kind.read(cell, how)
    except Unreadable as fault:
        return fault.code
    return (value, "noted") if how.notes else value


CELLS = [
    # numbers
    (kinds.number, "1 1/2", F(3, 2)),
    (kinds.number, "½", F(1, 2)),
    (kinds.number, "1½", F(3, 2)),
    (kinds.number, "1 ½", F(3, 2)),
    (kinds.number, "1-1/2", F(3, 2)),
    (kinds.number, "1⅓", F(4, 3)),
    (kinds.number, "1⁄3", F(1, 3)),
    (kinds.number, "3 / 4", F(3, 4)),
    (kinds.number, "0.5", F(1, 2)),
    (kinds.number, ".5", F(1, 2)),
    (kinds.number, "１２", F(12)),
    (kinds.number, " 7 ", F(7)),
    (kinds.number, "7\u200b", F(7)),
    (kinds.number, "−2", F(-2)),
    (kinds.number, 0.1 + 0.2, F(3, 10)),
    (kinds.number, 1 / 3, F(1, 3)),
    (kinds.number, 0.333333333333333, F(1, 3)),
    (kinds.number, 2 / 3, F(2, 3)),
    (kinds.number, 100 / 3, F(100, 3)),
    (kinds.number, 5 / 96, F(5, 96)),
    (kinds.number, 0.333, F(333, 1000)),
    (kinds.number, 0.3333333333, F(3333333333, 10**10)),
    (kinds.number, 1.5, F(3, 2)),
    (kinds.number, "3-4", (F(4), "noted")),
    (kinds.number, "3 – 4", (F(4), "noted")),
    (kinds.number, "1/2-3/4", (F(3, 4), "noted")),
    (kinds.number, "3 to 4", (F(4), "noted")),
    (kinds.number, "1,200", (F(1200), "noted")),
    (kinds.number, "1,5", "number-comma"),
    (kinds.number, "4-3", "number-unreadable"),
    (kinds.number, "1/0", "number-unreadable"),
    (kinds.number, "1 3/2", "number-unreadable"),
    (kinds.number, "5²", "number-unreadable"),
    (kinds.number, "1e3", "number-unreadable"),
    (kinds.number, "about 3", "number-unreadable"),
    (kinds.number, "9" * 5000, "number-unreadable"),
    (kinds.number, True, "number-unreadable"),
    (kinds.number, D(2027, 1, 2), "number-is-date"),
    (kinds.number, dt.time(1, 2), "number-unreadable"),
    (kinds.whole, 2.5, "number-not-whole"),
    (kinds.days, "2 days", "number-unreadable"),
    # amounts
    (kinds.amount, "1 1/2", Amount(F(3, 2))),
    (kinds.amount, 0.25, Amount(F(1, 4))),
    (kinds.amount, "1 1/2 cups", (Amount(F(3, 2), "cup", "1 1/2 cups"), "noted")),
    (kinds.amount, "1½ c.", (Amount(F(3, 2), "cup", "1½ c."), "noted")),
    (kinds.amount, "2 T", (Amount(F(2), "tbsp", "2 T"), "noted")),
    (kinds.amount, "2 t", (Amount(F(2), "tsp", "2 t"), "noted")),
    (kinds.amount, "500g", (Amount(F(500), "g", "500g"), "noted")),
    (kinds.amount, "3#", (Amount(F(3), "lb", "3#"), "noted")),
    (kinds.amount, "3-4", (Amount(F(4), None, "3-4"), "noted")),
    (kinds.amount, "3-4 cups", (Amount(F(4), "cup", "3-4 cups"), "noted")),
    (kinds.amount, "1-1/2 cups", (Amount(F(3, 2), "cup", "1-1/2 cups"), "noted")),
    (kinds.amount, "1 lb 4 oz", (Amount(F(20), "oz", "1 lb 4 oz"), "noted")),
    (kinds.amount, "1 cup + 2 tbsp", (Amount(F(18), "tbsp", "1 cup + 2 tbsp"), "noted")),
    (kinds.amount, "2 (15 oz) cans", (Amount(F(30), "oz", "2 (15 oz) cans"), "noted")),
    (kinds.amount, "6 x 400 g", (Amount(F(2400), "g", "6 x 400 g"), "noted")),
    (kinds.amount, "1 lb 20 oz", "amount-unreadable"),
    (kinds.amount, "2 cups chopped", "amount-with-words"),
    (kinds.amount, "some", "amount-unreadable"),
    (kinds.amount, "to taste", "amount-unreadable"),
    (kinds.amount, 0, "amount-not-positive"),
    (kinds.amount, -1, "amount-not-positive"),
    (kinds.amount, D(2027, 2, 1), "number-is-date"),
    (kinds.amount_or_taste, "To taste", Amount(None, None, "To taste")),
    (kinds.amount_or_taste, "as needed", Amount(None, None, "as needed")),
    (kinds.amount_or_none_left, 0, Amount(F(0))),
    (kinds.amount_or_none_left, -0.5, "amount-negative"),
    # units
    (kinds.unit, "Cups", "cup"),
    (kinds.unit, "T", "tbsp"),
    (kinds.unit, "t", "tsp"),
    (kinds.unit, "lbs.", "lb"),
    (kinds.unit, "leaves", "leaf"),
    (kinds.unit, "cupful", "unit-unknown"),
    (kinds.unit, "imperial pint", "unit-imperial"),
    (kinds.unit, 3, "unit-unknown"),
    # money and percent
    (kinds.money, 4.5, 450),
    (kinds.money, "$4.50", 450),
    (kinds.money, "USD 4.50", 450),
    (kinds.money, "4.50 usd", 450),
    (kinds.money, "$1,204.50", (120450, "noted")),
    (kinds.money, "US$4.50", 450),
    (kinds.money, "CA$4.50", "money-other-currency"),
    (kinds.money, "€4", "money-other-currency"),
    (kinds.money, "4 EUR", "money-other-currency"),
    (kinds.money, "(4.50)", "money-negative"),
    (kinds.money, "-4", "money-negative"),
    (kinds.money, -4.0, "money-negative"),
    (kinds.money, "4.505", "money-decimals"),
    (kinds.money, "free", "money-unreadable"),
    (kinds.money, "4,50", "number-comma"),
    (kinds.money, D(2027, 4, 5), "money-unreadable"),
    (kinds.percent, "75%", F(3, 4)),
    (kinds.percent, "33 1/3 %", F(1, 3)),
    (kinds.percent, 0.75, (F(3, 4), "noted")),
    (kinds.percent, 75, (F(3, 4), "noted")),
    (kinds.percent, "most", "percent-unreadable"),
    (kinds.share_or_number, "5%", Share(of_all=F(1, 20))),
    (kinds.share_or_number, 2, Share(number=F(2))),
    (kinds.share_or_number, 0.75, (Share(of_all=F(3, 4)), "noted")),
    (kinds.share_or_number, 1.5, "number-not-whole"),
    (kinds.share_or_number, "150%", "share-unreadable"),
    # dates and times
    (kinds.date, D(2027, 3, 4), D(2027, 3, 4)),
    (kinds.date, dt.datetime(2027, 3, 4, 17, 30), (D(2027, 3, 4), "noted")),
    (kinds.date, "2027-03-04", D(2027, 3, 4)),
    (kinds.date, "4 Mar 2027", D(2027, 3, 4)),
    (kinds.date, "March 4th, 2027", D(2027, 3, 4)),
    (kinds.date, "Tue 12 Jan 2027", D(2027, 1, 12)),
    (kinds.date, "Mon 12 Jan 2027", "date-weekday"),
    (kinds.date, "3/4/26", "date-ambiguous"),
    (kinds.date, "16/12/2026", "date-order"),
    (kinds.date, "2027-02-30", "date-not-real"),
    (kinds.date, 46450, "date-is-number"),
    (kinds.date, 12, "date-unreadable"),
    (kinds.date, "next Monday", "date-unreadable"),
    (kinds.date, "12 Jan", "date-unreadable"),
    (kinds.time_text, dt.time(17, 30), "17:30"),
    (kinds.time_text, 0.75, "18:00"),
    (kinds.time_text, "5:30 pm", "17:30"),
    (kinds.time_text, "9:05", "09:05"),
    (kinds.time_text, "15:00–16:00", "15:00–16:00"),
    (kinds.time_text, "25:00", "time-unreadable"),
    (kinds.time_text, 17, "time-unreadable"),
    # words and ids
    (kinds.text, "  “two”\u00a0 words\n", '"two" words'),
    (kinds.text, 5.0, "5"),
    (kinds.id_text, 7.0, "7"),
    (kinds.id_text, "007", "007"),
    (kinds.id_text, D(2027, 1, 2), "id-is-date"),
    (kinds.id_text, True, "id-is-yes-no"),
    (kinds.yes_no, "✓", True),
    (kinds.yes_no, "X", True),
    (kinds.yes_no, 1.0, True),
    (kinds.yes_no, False, False),
    (kinds.yes_no, "maybe", "yes-no-unreadable"),
    (kinds.currency, "eur", Currency("EUR")),
    (kinds.currency, "dollars", "currency-unknown"),
    (kinds.paper, "a4", "A4"),
    (kinds.group_format, "boxes", "choice-unknown"),
    (kinds.mark, "✔️", Mark("present")),
    (kinds.mark, "late", Mark("present")),
    (kinds.mark, 1.0, Mark("present")),
    (kinds.mark, False, Mark("absent")),
    (kinds.mark, "Kit only", Mark("absent", kit_only=True)),
    (kinds.mark, "exc", Mark("excused")),
    (kinds.mark, "✗", "mark-unknown"),
    # lists
    (kinds.texts, "a; b ;", ("a", "b")),
    (kinds.texts, "a, b", "list-separator"),
    (kinds.texts, "a / b", "list-separator"),
    (kinds.texts, "a\nb", "list-separator"),
    (kinds.weekdays, "Mon; thurs; Sunday", (0, 3, 6)),
    (kinds.weekdays, "Mon–Fri", ((0, 1, 2, 3, 4), "noted")),
    (kinds.weekdays, "Mon, Tue", "list-separator"),
    (kinds.weekdays, "Mon; Funday", "weekday-unknown"),
    (kinds.dishes, "soup x2; fruit cups", (Dish("soup", F(2)), Dish("fruit cups"))),
    (kinds.dishes, "soup ×1/2", (Dish("soup", F(1, 2)),)),
    (kinds.dishes, "soup x0", "dish-times"),
    (kinds.dishes, "soup, cups", "list-separator"),
    (kinds.needs, "no egg; no pork", NeedAnswer(True, ("no egg", "no pork"))),
    (kinds.needs, "None", NeedAnswer(True)),
    (kinds.needs, "n/a", NeedAnswer(False, written="n/a")),
    (kinds.needs, "no", NeedAnswer(False, written="no")),
    (kinds.needs, "–", NeedAnswer(False, written="–")),
    (kinds.needs, "?", NeedAnswer(False, written="?")),
    (kinds.needs, "none; no egg", "none-beside-need"),
    (kinds.needs, "egg, milk", "list-separator"),
    (kinds.needs, 0, "need-unreadable"),
    (kinds.instead, "Leave out", None),
    (kinds.instead, "oats", "oats"),
    (kinds.allergens, "Dairy; nuts", ("milk", "peanut", "tree nuts")),
    (kinds.allergens, "oats", ("gluten",)),
    (kinds.allergens, "dust", "allergen-unknown"),
    (
        kinds.funder_shares,
        "Lark 60%; Brack 40 %",
        (FunderShare("Lark", F(3, 5)), FunderShare("Brack", F(2, 5))),
    ),
    (kinds.funder_shares, "Lark 33 1/3%", (FunderShare("Lark", F(1, 3)),)),
    (kinds.funder_shares, "Lark", (FunderShare("Lark", None),)),
    (kinds.funder_shares, "60% Lark", "funder-share-unreadable"),
]


@pytest.mark.parametrize(("kind", "cell", "expected"), CELLS)
def test_each_cell(kind: kinds.Kind[object], cell: kinds.CellValue, expected: object) -> None:
    assert told(kind, cell) == expected


@pytest.mark.parametrize(
    ("kind", "cell", "how", "expected"),
    [
        (kinds.number, "1,5", COMMA, F(3, 2)),
        (kinds.number, "1.200", COMMA, "number-unreadable"),
        (kinds.number, "1,200", COMMA, (F(6, 5), "noted")),
        (kinds.number, "1.200,5", COMMA, (F(2401, 2), "noted")),
        (kinds.money, "4,50", COMMA, 450),
        (kinds.percent, 0.75, PERCENT, F(3, 4)),
        (kinds.share_or_number, 0.05, PERCENT, Share(of_all=F(1, 20))),
        (kinds.id_text, 7.0, ZEROS, "007"),
        (kinds.money, 450, How(currency=Currency("JPY")), 450),
        (kinds.money, "¥450", How(currency=Currency("JPY")), 450),
        (kinds.money, 4.5, How(currency=Currency("JPY")), "money-decimals"),
        (kinds.money, 4.5, How(number_format=lambda: "[$€-2] #,##0.00"), "money-other-currency"),
        (kinds.money, 4.5, How(number_format=lambda: '"$"#,##0.00'), 450),
        (kinds.date, "3/4/26", How(date_order="day first"), D(2026, 4, 3)),
        (kinds.date, "3/4/26", How(date_order="month first"), D(2026, 3, 4)),
        (kinds.date, "16.12.2026", How(date_order="day first"), D(2026, 12, 16)),
        (kinds.date, "16/12/2026", How(date_order="month first"), "date-not-real"),
        (kinds.mark, "x", How(x_is_present=False), Mark("absent")),
        (
            kinds.amount,
            "1 cup 1 tbsp",
            How(measures="metric"),
            (Amount(F(53, 3), "tbsp", "1 cup 1 tbsp"), "noted"),
        ),
    ],
)
def test_what_a_cell_means_depends_on_the_settings(
    kind: kinds.Kind[object], cell: kinds.CellValue, how: How, expected: object
) -> None:
    assert told(kind, cell, how) == expected


@pytest.mark.parametrize(("day", "likely"), [(D(2027, 1, 2), "1/2"), (D(2027, 2, 1), "1/2"), (D(2026, 4, 3), "3/4")])
def test_an_amount_turned_into_a_date_offers_its_fraction(day: D, likely: str) -> None:
    with pytest.raises(Unreadable) as refused:
        kinds.amount.read(day, How())
    assert refused.value.details == {"likely": likely}


def test_each_kind_reads_its_own_example() -> None:
    assert EVERY_KIND
    for kind in EVERY_KIND:
        how = How()
        kind.read(kind.example, how)
        assert not how.notes, kind.name


def test_each_choice_offered_reads_as_itself() -> None:
    for kind in EVERY_KIND:
        for choice in kind.choices:
            kind.read(choice, How())


def test_a_decimal_comma_parts_no_entries() -> None:
    two = (FunderShare("Lark", F(67, 200)), FunderShare("Brack", F(133, 200)))
    assert told(kinds.funder_shares, "Lark 33,5%; Brack 66,5%", COMMA) == two
    assert told(kinds.dishes, "soup x1,5; stew", COMMA) == (Dish("soup", F(3, 2)), Dish("stew"))
    assert told(kinds.funder_shares, "Lark 33,5%, Brack 66,5%", COMMA) == "list-separator"
    assert told(kinds.dishes, "soup x1,5; stew") == "list-separator"


@pytest.mark.parametrize(
    ("code", "number_format", "expected"),
    [
        ("USD", '"$"#,##0.00', 250), ("USD", "[$$-409]#,##0.00", 250), ("USD", "#,##0.00;[RED]-#,##0.00", 250),
        ("USD", "[$EUR] #,##0.00", "money-other-currency"), ("USD", '#,##0.00 "EUR"', "money-other-currency"),
        ("USD", "[$€-2] #,##0.00", "money-other-currency"), ("BRL", "[$R$-416] #,##0.00", 250),
        ("ZAR", "[$R-1C09] #,##0.00", 250), ("ZAR", "[$EUR] #,##0.00", "money-other-currency"),
    ],
)  # fmt: skip
def test_money_in_a_cell_whose_format_names_a_currency(code: str, number_format: str, expected: object) -> None:
    assert told(kinds.money, 2.5, How(currency=Currency(code), number_format=lambda: number_format)) == expected


@given(st.fractions(min_value=0, max_value=1000, max_denominator=96))
def test_a_number_shown_is_read_back(value: F) -> None:
    assert kinds.number.read(mixed(value), How()) == value
    assert kinds.number.read(kinds.mixed_or_decimal(value), How()) == value


@given(st.fractions(min_value=0, max_value=1000, max_denominator=96))
def test_a_division_in_a_cell_is_its_fraction(value: F) -> None:
    assert kinds.number.read(float(value), How()) == value


@given(st.decimals(min_value=0, max_value=10**6, places=3))
def test_a_decimal_in_a_cell_is_that_decimal(value: object) -> None:
    assert kinds.number.read(float(str(value)), How()) == F(str(value))


@given(st.dates(D(2000, 1, 1), D(2099, 12, 31)))
def test_a_date_shown_is_read_back(day: D) -> None:
    assert kinds.date.read(day.isoformat(), How()) == day
    assert kinds.date.read(kinds.day_shown(day), How()) == day
    assert kinds.date.read(day.strftime("%A ") + kinds.day_shown(day), How()) == day
    assert kinds.date.read(f"{day.day}/{day.month}/{day.year}", How(date_order="day first")) == day
    assert kinds.date.read(f"{day.month}/{day.day}/{day.year}", How(date_order="month first")) == day


UNITS = st.sampled_from([unit for unit in DIMENSION if unit not in ("smidgen", "pinch", "dash")])
AMOUNTS = st.fractions(min_value=F(1, 96), max_value=1000, max_denominator=96)
NAMES = st.from_regex(r"[a-z]{2,8}( [a-z]{2,8})?", fullmatch=True).filter(lambda name: name not in ("none", "no", "na"))


@given(AMOUNTS, UNITS, st.booleans())
def test_an_amount_with_its_unit_is_read_back(value: F, unit: str, joined: bool) -> None:
    typed = f"{mixed(value)}{'' if joined else ' '}{plural(unit, value)}"
    assert kinds.amount.read(typed, How()) == Amount(value, unit, typed)


@given(AMOUNTS, AMOUNTS, UNITS)
def test_a_range_is_its_upper_end_whatever_the_words(low: F, high: F, unit: str) -> None:
    low, high = sorted((low, high))
    for between in ("-", " – ", " to ", " or "):
        typed = f"{kinds.mixed_or_decimal(low)}{between}{kinds.mixed_or_decimal(high)} {unit}"
        if low < high:
            how = How()
            assert kinds.amount.read(typed, how) == Amount(high, unit, clean(typed))
            assert how.notes


@given(st.integers(1, 40), st.integers(1, 15))
def test_a_sum_of_pounds_and_ounces_is_all_ounces(pounds: int, ounces: int) -> None:
    assert kinds.amount.read(f"{pounds} lb {ounces} oz", How()).value == 16 * pounds + ounces


@given(st.lists(NAMES, min_size=1, max_size=6))
def test_a_list_is_read_back_and_never_parted_quietly(names: list[str]) -> None:
    assert kinds.texts.read("; ".join(names), How()) == tuple(names)
    assert kinds.dishes.read(" ;".join(names), How()) == tuple(map(Dish, names))
    assert kinds.needs.read("; ".join(f"no {name}" for name in names), How()).needs == tuple(f"no {n}" for n in names)
    for sign in (", ", "/", "\n"):
        if len(names) > 1:
            with pytest.raises(Unreadable) as refused:
                kinds.texts.read(sign.join(names), How())
            assert kinds.texts.read(refused.value.details["proposed"], How()) == tuple(names)


@given(st.lists(st.tuples(NAMES, AMOUNTS), min_size=1, max_size=5))
def test_dishes_and_shares_are_read_back(parts: list[tuple[str, F]]) -> None:
    dishes = "; ".join(f"{name} x{mixed(times)}" for name, times in parts)
    assert kinds.dishes.read(dishes, How()) == tuple(Dish(name, times) for name, times in parts)
    shares = "; ".join(f"{name} {mixed(part)}%" for name, part in parts)
    assert kinds.funder_shares.read(shares, How()) == tuple(FunderShare(name, part / 100) for name, part in parts)


@given(st.sets(st.integers(0, 6), min_size=1))
def test_weekdays_are_read_back(days: set[int]) -> None:
    for length in (3, 9):
        typed = "; ".join(kinds.WEEKDAYS[day][:length] for day in days)
        assert kinds.weekdays.read(typed, How()) == tuple(sorted(days))


@given(st.one_of(st.text(), st.floats(allow_nan=False, allow_infinity=False), st.booleans(), st.datetimes()))
def test_no_cell_is_more_than_unreadable(cell: kinds.CellValue) -> None:
    for kind in EVERY_KIND:
        told(kind, cell)
