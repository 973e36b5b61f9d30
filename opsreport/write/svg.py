"""A Picture as inline SVG: no scripts, no colour that carries meaning, a title and a description for who cannot see it.

Open and full dots, lines and words tell everything, so it reads the same in greyscale and to the colour-blind.
"""

import math
import textwrap
from collections.abc import Iterator
from html import escape
from typing import Final

from opsreport.tables.table import Picture, PictureRow
from opsreport.write import clean

_WIDTH: Final = 780
_LABEL: Final = 310
"""Where the axis begins; labels stand left of it [units of the drawing]."""
_RIGHT: Final = 24
_LINE: Final = 17
_PER_LINE: Final = 36
"""Characters of a label on one line."""
_TOP: Final = 12


def svg(picture: Picture, id_: str) -> str:
    """The drawing. id_: of its part of the page, from which its title and description take theirs."""
    lines = [textwrap.wrap(clean(row.label), _PER_LINE) or [""] for row in picture.rows]
    heights = [max(len(label), 1) * _LINE + 12 for label in lines]
    bottom = _TOP + sum(heights)
    parts = [
        f'<svg class="picture" viewBox="0 0 {_WIDTH} {bottom + 52}" role="img" '
        f'aria-labelledby="{id_}-name {id_}-words" xmlns="http://www.w3.org/2000/svg">',
        f'<title id="{id_}-name">{escape(clean(picture.title))}</title>',
        f'<desc id="{id_}-words">{escape(clean(" ".join(row.words for row in picture.rows)))}</desc>',
        *_axis(picture, bottom),
    ]
    top = _TOP
    for row, label, height in zip(picture.rows, lines, heights, strict=True):
        middle = top + height / 2
        first = middle - (len(label) - 1) * _LINE / 2 + 5
        for number, text in enumerate(label):
            parts.append(
                f'<text x="{_LABEL - 14}" y="{first + number * _LINE:.1f}" text-anchor="end">{escape(text)}</text>'
            )
        parts.extend(_row(picture, row, middle))
        top += height
    parts.append("</svg>")
    return "".join(parts)


def _axis(picture: Picture, bottom: float) -> Iterator[str]:
    for tick in ticks(picture.least, picture.most):
        x = _x(picture, tick)
        yield f'<line class="grid" x1="{x}" x2="{x}" y1="{_TOP}" y2="{bottom}"/>'
        yield f'<text class="small" x="{x}" y="{bottom + 18}" text-anchor="middle">{_tick_words(picture, tick)}</text>'
    if picture.zero is not None:
        x = _x(picture, picture.zero)
        yield f'<line class="zero" x1="{x}" x2="{x}" y1="{_TOP - 6}" y2="{bottom}"/>'
    middle = (_LABEL + _WIDTH - _RIGHT) / 2
    words = escape(clean(picture.axis))
    yield f'<text class="small" x="{middle}" y="{bottom + 40}" text-anchor="middle">{words}</text>'


def _row(picture: Picture, row: PictureRow, y: float) -> Iterator[str]:
    if row.start is not None and row.end is not None:
        left, right = _x(picture, row.start), _x(picture, row.end)
        yield f'<line class="way" x1="{left}" x2="{right}" y1="{y}" y2="{y}"/>'
        for x in (left, right):
            yield f'<line class="way" x1="{x}" x2="{x}" y1="{y - 5}" y2="{y + 5}"/>'
    elif row.open is not None and row.full is not None:
        yield f'<line class="way" x1="{_x(picture, row.open)}" x2="{_x(picture, row.full)}" y1="{y}" y2="{y}"/>'
    if row.open is not None:
        yield f'<circle class="open" cx="{_x(picture, row.open)}" cy="{y}" r="6"/>'
    if row.full is not None:
        yield f'<circle class="full" cx="{_x(picture, row.full)}" cy="{y}" r="5"/>'


def _x(picture: Picture, value: float) -> float:
    part = (value - picture.least) / (picture.most - picture.least)
    return round(_LABEL + min(max(part, 0.0), 1.0) * (_WIDTH - _RIGHT - _LABEL), 1)


def ticks(least: float, most: float) -> list[float]:
    """Round numbers from least to most, four to eight of them."""
    rough = (most - least) / 6
    size = 10.0 ** math.floor(math.log10(rough))
    step = next(size * by for by in (1, 2, 5, 10) if size * by >= rough)
    first = math.ceil(least / step - 1e-9)
    return [round(at * step, 10) for at in range(first, math.floor(most / step + 1e-9) + 1)]


def _tick_words(picture: Picture, tick: float) -> str:
    text = f"{100 * tick:g}%" if picture.percent else f"{tick:g}"
    return text.replace("-", "−")
