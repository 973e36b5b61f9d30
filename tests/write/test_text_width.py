"""Widths of words in print, held against fonts' own metrics."""

import pytest

from opsreport.write.text_width import lines_of, text_width


@pytest.mark.parametrize(
    ("text", "bold", "width"),
    [
        ("W", False, 0.944),
        ("W", True, 0.944),
        ("Contains: milk", True, 6.89),
        ("1/2 cup", False, 3.28),
        ("", True, 0),
    ],
)
def test_widths_are_helveticas(text: str, bold: bool, width: float) -> None:
    """Source: Adobe's metrics of Helvetica and Helvetica-Bold (AFM, Core 14), with which Arial agrees; from memory.

    Contains: milk in bold = 722 + 611 + 611 + 333 + 556 + 278 + 611 + 556 + 333 + 278 + 889 + 278 + 278 + 556.
    """
    assert text_width(text, bold=bold) == pytest.approx(width)


@pytest.mark.parametrize("bold", [False, True])
def test_every_digit_is_as_wide_as_another(bold: bool) -> None:
    """Labels that differ by a number are fitted once. Source: as above."""
    assert {text_width(digit, bold=bold) for digit in "0123456789"} == {0.556}


def test_lines_are_broken_between_words_and_long_words_within() -> None:
    assert lines_of("", 10) == 1
    assert lines_of("aaaa aaaa", text_width("aaaa aaaa") + 0.01) == 1
    assert lines_of("aaaa aaaa", text_width("aaaa aaaa") - 0.01) == 2
    assert lines_of("aaaa aaaa\nb", 100) == 2
    assert lines_of("a" * 25, text_width("a" * 10) + 0.01) == 3
