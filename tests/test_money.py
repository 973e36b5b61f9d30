"""Sums in minor units: the currencies' decimals, rounding, and splits that add up to the cent."""

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsreport.money import Currency, Money, half_up, known_currencies, split

F = Fraction


@pytest.mark.parametrize(
    ("codes", "decimals"),
    [
        ("USD EUR MGA MRU", 2),  # MGA and MRU are 2 although their small unit is a fifth
        ("AED ARS BDT BWP COP EGP ETB GHS IDR JMD LKR NPR PKR TZS XCG ZMW ZWG", 2),
        ("JPY CLP ISK VND XAF", 0),
        ("BHD KWD TND OMR JOD", 3),
        ("CLF UYW", 4),
    ],
)
def test_decimals_of_currencies(codes: str, decimals: int) -> None:
    """ISO 4217, list of 2026-01-01."""
    assert {code: Currency(code).decimals for code in codes.split()} == dict.fromkeys(codes.split(), decimals)
    assert set(codes.split()) <= set(known_currencies())


def test_known_currencies_are_in_order_and_each_has_decimals() -> None:
    codes = known_currencies()
    assert codes == sorted(set(codes))
    assert {Currency(code).decimals for code in codes} == {0, 2, 3, 4}


def test_what_nothing_is_paid_in_or_no_longer_is_no_currency() -> None:
    """ISO 4217, list of 2026-01-01: metals, units of account, codes for tests; codes withdrawn before it."""
    codes = set(known_currencies())
    assert len(codes) == 165
    assert codes.isdisjoint({"XAU", "XDR", "XTS", "XXX", "HRK", "SLL", "ZWL", "ANG"})


@pytest.mark.parametrize(
    ("code", "amount", "minor"),
    [
        ("USD", "12.40", 1240), ("USD", "12", 1200), ("USD", "0", 0), ("USD", "12.405", None), ("USD", "1/3", None),
        ("JPY", "150", 150), ("JPY", "150.5", None), ("KWD", "1.234", 1234), ("KWD", "1.2345", None),
        ("CLF", "1.2345", 12345), ("EUR", "-3.05", -305),
    ],
)  # fmt: skip
def test_a_sum_has_no_more_decimals_than_its_currency(code: str, amount: str, minor: int | None) -> None:
    assert Currency(code).exact(F(amount)) == minor


@pytest.mark.parametrize(
    ("code", "minor", "plain", "shown"),
    [
        ("USD", 120450, "1204.50", "$1,204.50"), ("USD", 5, "0.05", "$0.05"), ("USD", 0, "0.00", "$0.00"),
        ("USD", -120, "-1.20", "−$1.20"), ("JPY", 1204, "1204", "¥1,204"), ("JPY", -7, "-7", "−¥7"),
        ("KWD", 1001, "1.001", "KWD 1.001"), ("CLF", 3, "0.0003", "CLF 0.0003"), ("BRL", 100, "1.00", "R$ 1.00"),
    ],
)  # fmt: skip
def test_sums_for_programs_and_for_people(code: str, minor: int, plain: str, shown: str) -> None:
    assert Currency(code).plain(Money(minor)) == plain
    assert Currency(code).shown(Money(minor)) == shown


@pytest.mark.parametrize("code", ["USD", "JPY", "KWD", "CLF"])
@settings(max_examples=30, deadline=None)
@given(minor=st.integers(-(10**9), 10**9))
def test_what_is_plain_reads_back(code: str, minor: int) -> None:
    assert Currency(code).exact(F(Currency(code).plain(Money(minor)))) == minor


@pytest.mark.parametrize(
    ("exact", "rounded"),
    [("1/2", 1), ("3/2", 2), ("5/2", 3), ("2.4999", 2), ("2.5001", 3), ("7", 7), ("0", 0), ("1/3", 0), ("2/3", 1),
     ("-1/2", 0), ("-3/2", -1)],
)  # fmt: skip
def test_half_a_cent_goes_up(exact: str, rounded: int) -> None:
    assert half_up(F(exact)) == rounded
    assert type(half_up(F(exact))) is int


# --- splitting ---


def test_largest_remainder_for_fifteen_states() -> None:
    """1790 US census: 60 seats by Hamilton's method (Electowiki, "Hamilton method")."""
    people = [630560, 475327, 432879, 353523, 331589, 278514, 236841, 206236, 179570, 141822, 85533, 70835, 68705,
              68446, 55540]  # fmt: skip
    assert split(Money(60), people) == [11, 8, 7, 6, 6, 5, 4, 3, 3, 2, 1, 1, 1, 1, 1]


def test_five_cents_at_three_to_seven() -> None:
    """Foemmel's conundrum (Fowler, Patterns of Enterprise Application Architecture, Money): 1.5 and 3.5."""
    assert split(Money(5), [3, 7]) == [2, 3]


def test_a_dollar_in_three() -> None:
    """Fowler, Patterns of Enterprise Application Architecture, Money."""
    assert split(Money(100), [1, 1, 1]) == [34, 33, 33]


def test_ten_seats_for_six_parties() -> None:
    """Largest remainder, an election textbook's example: from memory, recomputed."""
    assert split(Money(10), [47000, 16000, 15900, 12000, 6000, 3100]) == [5, 2, 1, 1, 1, 0]


def test_the_larger_remainder_wins_over_the_earlier_part() -> None:
    assert split(Money(10), [F("1.2"), F("1.3"), F("7.5")]) == [1, 1, 8]
    assert split(Money(10), [F("1.2"), F("5.3"), F("1.3"), F("2.2")]) == [1, 6, 1, 2]


def test_weights_of_nothing_give_all_to_the_first() -> None:
    assert split(Money(7), [0, 0, 0]) == [7, 0, 0]
    assert split(Money(7), [F(0)]) == [7]


def test_no_part_of_nothing() -> None:
    assert split(Money(7), [0, 1, 0]) == [0, 7, 0]
    assert split(Money(0), [3, 1]) == [0, 0]


WEIGHTS = st.lists(st.fractions(min_value=0, max_value=1000, max_denominator=60), min_size=1, max_size=8)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**7), WEIGHTS.filter(any))
def test_parts_add_up_and_each_is_its_share_rounded_down_or_up(total: int, weights: list[Fraction]) -> None:
    """The quota rule (Electowiki, "Hamilton method")."""
    parts = split(Money(total), weights)
    whole = sum(weights)
    assert sum(parts) == total
    assert all(type(part) is int for part in parts)
    for part, weight in zip(parts, weights, strict=True):
        share = total * weight / whole
        assert part in (share.__floor__(), share.__ceil__())


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**5), WEIGHTS.filter(any))
def test_whoever_was_rounded_up_had_no_smaller_remainder(total: int, weights: list[Fraction]) -> None:
    parts = split(Money(total), weights)
    whole = sum(weights)
    rests = [total * weight / whole % 1 for weight in weights]
    up = [part > total * weight / whole for part, weight in zip(parts, weights, strict=True)]
    for i, raised in enumerate(up):
        for j, other in enumerate(up):
            if raised and not other:
                assert (rests[i], -i) > (rests[j], -j)


@settings(max_examples=60, deadline=None)
@given(st.integers(0, 10**5), WEIGHTS.filter(any), st.fractions(min_value="1/9", max_value=9))
def test_only_the_ratio_of_the_weights_counts(total: int, weights: list[Fraction], factor: Fraction) -> None:
    assert split(Money(total), [weight * factor for weight in weights]) == split(Money(total), weights)
