"""Sheets of labels, named by their dimensions only; where each label lies."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

INCH: Final = Fraction(254, 10)
"""[mm]"""


@dataclass(frozen=True, slots=True)
class LabelStock:
    """One sheet of labels. Lengths in mm: of a label, between columns, above the first row, left of the first
    column; rows stand close."""

    words: str
    columns: int
    rows: int
    width: Fraction
    height: Fraction
    gap: Fraction
    top: Fraction
    side: Fraction

    @property
    def labels(self) -> int:
        return self.columns * self.rows

    def corner(self, number: int) -> tuple[Fraction, Fraction]:
        """Upper left corner of a label, numbered from 0 row by row: mm from the left and from the top."""
        row, column = divmod(number % self.labels, self.columns)
        return self.side + column * (self.width + self.gap), self.top + row * self.height


STOCKS: Final[Mapping[Literal["Letter", "A4"], LabelStock]] = {
    "Letter": LabelStock(
        "Letter, ten labels a sheet, 4 × 2 in each",
        2, 5, 4 * INCH, 2 * INCH, Fraction(3, 16) * INCH, Fraction(1, 2) * INCH, Fraction(5, 32) * INCH,
    ),
    "A4": LabelStock(
        "A4, eight labels a sheet, 99.1 × 67.7 mm each",
        2, 4, Fraction("99.1"), Fraction("67.7"), Fraction("2.5"), Fraction("13.1"), Fraction("4.65"),
    ),
}  # fmt: skip
"""The usual sheet of each paper. Common practice, no source; the test page is there to check them."""
