"""Labels on their grid, as part of a page: true to size in print, cards on a screen."""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from fractions import Fraction
from functools import lru_cache
from typing import TYPE_CHECKING, Final, Literal

from opsreport.tables.label_stock import INCH, STOCKS, LabelStock
from opsreport.tables.table import Label, Labels
from opsreport.write import escaped
from opsreport.write.page_style import size_class
from opsreport.write.text_width import lines_of, text_width

if TYPE_CHECKING:
    from markupsafe import Markup

_POINT: Final = INCH / 72
_AROUND: Final = (Fraction(8), Fraction(6))
"""Padding of a label, left and right together, above and below together [mm]."""
_SMALLEST: Final = 5.5
"""[points]"""
_MARK: Final = 0.75
"""Size of a mark beside the first line, whose type is 1."""
_AROUND_MARK: Final = 0.8
"""A mark's frame, its padding and the space before it."""
_SAFE: Final = 0.98
"""Part of a line's width that is counted on."""
_WHOLE: Final = (12.0, 1.5, 0.15)
_CUT: Final = (10.0, 1.25, 0.0)
"""Largest size [points], that of the first line, whose label's type is 1, and the space between lines: of whole labels,
of pieces of one."""
_SIDE_BY_SIDE: Final = 2
"""Pieces cut from a label stand two by two."""
_ZEROS: Final = str.maketrans("123456789", "0" * 9)


def label_sheets(labels: Labels, paper: Literal["Letter", "A4"]) -> "Markup":
    """Sheet after sheet of labels; those before the start are left blank, the sheet being a begun one."""
    from markupsafe import Markup

    stock = STOCKS[paper]
    cells = ['<div class="label blank"></div>'] * ((labels.start - 1) % stock.labels if labels.labels else 0)
    cells += _pieces(labels, stock) if labels.pieces > 1 else _whole(labels, stock)
    kind = " outlined" if labels.outlined else ""
    sheets = [
        f'<div class="sheet{kind}">\n' + "\n".join(cells[first : first + stock.labels]) + "\n</div>\n"
        for first in range(0, len(cells), stock.labels)
    ]
    return Markup("".join(sheets) or "<p class=soft>No labels to print.\n")  # every text was escaped in _text


def stock_style(paper: Literal["Letter", "A4"]) -> "Markup":
    """The grid of a sheet in print, as the declarations of a style."""
    from markupsafe import Markup

    stock = STOCKS[paper]
    size = {name: f"{float(getattr(stock, name)):.4f}mm" for name in ("width", "height", "gap", "top", "side")}
    return Markup(
        "grid-template-columns: repeat({columns}, {width}); grid-auto-rows: {height}; gap: 0 {gap}; "
        "padding: {top} {side} 0;"
    ).format(columns=stock.columns, **size)


def _whole(labels: Labels, stock: LabelStock) -> Iterator[str]:
    width, height = (float(each / _POINT) for each in (stock.width - _AROUND[0], stock.height - _AROUND[1]))
    for label in labels.labels:
        size = _size(label, width, height, _WHOLE)
        ruler = '<div class="ruler"></div>' if labels.outlined else ""
        yield from [f'<div class="label {size_class(size)}">{_text(label)}{ruler}</div>'] * label.copies


def _pieces(labels: Labels, stock: LabelStock) -> Iterator[str]:
    """Labels that hold several pieces each, to be cut apart."""
    across, down = _SIDE_BY_SIDE, -(-labels.pieces // _SIDE_BY_SIDE)
    width, height = stock.width / across - _AROUND[0] / 2, stock.height / down - _AROUND[1] / 2
    pieces: list[str] = []
    for label in labels.labels:
        size = _size(label, float(width / _POINT), float(height / _POINT), _CUT)
        pieces += [f'<div class="piece {size_class(size)}">{_text(label)}</div>'] * label.copies
    for first in range(0, len(pieces), labels.pieces):
        yield f'<div class="label cut">{"".join(pieces[first : first + labels.pieces])}</div>'


def _text(label: Label) -> str:
    lines = "".join([f"<p>{escaped(line)}" for line in label.lines])
    contains = f"<p class=contains>{escaped(label.contains)}" if label.contains else ""
    foot = "".join([f"<p>{escaped(line)}" for line in label.foot])
    marks = "".join([f" <b>{escaped(mark)}</b>" for mark in label.marks])
    return f"<p>{escaped(label.head)}{marks}<div>{lines}</div>{contains}{foot}"


# --- fitting ---


def _size(label: Label, width: float, height: float, looks: tuple[float, float, float]) -> float:
    """As `_fitting` has it; labels that differ by a digit only are as large, every digit being as wide as another."""
    lines, foot, marks = (tuple(map(_alike, texts)) for texts in (label.lines, label.foot, label.marks))
    return _fitting(Label(_alike(label.head), lines, _alike(label.contains), foot, marks=marks), width, height, looks)


@lru_cache(maxsize=1 << 12)
def _alike(text: str) -> str:
    return text.translate(_ZEROS)


@lru_cache(maxsize=1 << 12)
def _fitting(label: Label, width: float, height: float, looks: tuple[float, float, float]) -> float:
    """The largest size, from that of `looks` down to 5.5 points, at which the label's text fits [points]."""
    halves = range(int(2 * looks[0]), int(2 * _SMALLEST), -1)
    place = bisect_left(halves, True, key=lambda half: _height(label, half / 2, width, looks) <= height)
    return halves[place] / 2 if place < len(halves) else _SMALLEST


def _height(label: Label, size: float, width: float, looks: tuple[float, float, float]) -> float:
    """Height of the label's text at `size` as style.css sets it, on the safe side [points]."""

    def height(texts: Sequence[str], scale: float = 1, line: float = 1.2, *, bold: bool = False) -> float:
        room = _SAFE * width / (size * scale)
        return sum(lines_of(text, room, bold=bold) for text in texts) * size * scale * line

    head, gap = size * looks[1], size * looks[2]
    marks = sum(_MARK * text_width(mark, bold=True) + _AROUND_MARK for mark in label.marks)
    first = lines_of(label.head, _SAFE * width / head, bold=True)
    if label.marks:
        first = math.ceil((text_width(label.head, bold=True) + marks) * head / (_SAFE * width))
    return (
        first * head * 1.2
        + height(label.lines)
        + (height([label.contains], bold=True) + 0.15 * size + 1 if label.contains else 0)
        + height(label.foot, 0.9)
        + gap * (2 + len(label.foot))
    )
