"""How cells of a document look in a spreadsheet: fonts, lines and number formats, each format made once."""

from collections.abc import Mapping
from fractions import Fraction
from functools import lru_cache
from typing import Any, Final

from opsreport.shown import usual_places
from opsreport.tables.table import NUMBERS, Paper, Style, Value

Look = Mapping[str, Any]

INK, SOFT, RULE, WASH = "#1A1A1A", "#595959", "#8A8A8A", "#F0F0F0"
"""The tokens of templates/style.css; templates/theme.xml offers them to who works on in a spreadsheet."""
LOOKS: Final[Mapping[str, Look]] = {
    "title": {"bold": True, "font_size": 17},
    "subtitle": {"bold": True, "font_size": 13},
    "quiet": {"font_color": SOFT},
    "plain": {},
    "bold": {"bold": True},
    "warning": {"align": "left", "indent": 1, "left": 5, "right": 1},
    "caution": {"align": "left", "indent": 1, "left": 6, "right": 6},
    "heading": {"bold": True, "bg_color": WASH, "top": 1, "bottom": 2, "valign": "bottom"},
    "total": {"bold": True},
    "first total": {"bold": True, "top": 1},
    "cell": {"bottom": 1, "bottom_color": RULE},
}
FRAMES: Final = {"plain": 0, "warning": 1, "caution": 6}
"""Line style around sentences: none, thin (thick at the left), double."""
EMPHASIS: Final[Mapping[str, Look]] = {
    "": {},
    "heading": {"bold": True, "bg_color": WASH, "top": 1},
    "warning": {"bold": True, "pattern": 18, "fg_color": INK, "bg_color": "#FFFFFF"},
    "quiet": {"font_color": SOFT, "italic": True},
}
UNWRAPPED: Final[Look] = {"text_wrap": False}
AFTER_NUMBERS: Final[Look] = {"align": "left", "indent": 1}
"""Room between a column of words and the numbers that end right beside it."""
MARKS: Final[Mapping[str, Look]] = {
    "P": {"bg_color": SOFT, "font_color": "#FFFFFF", "bold": True},
    "A": {"pattern": 16, "fg_color": RULE, "bg_color": "#FFFFFF"},
    "E": {"bg_color": WASH},
    "V": {"border": 1, "bold": True},
}
"""How an attendance mark looks, so that a list of them reads as a picture, in greyscale too."""


_LIVE: Final = ("#,##0", "#,##0.0", "#,##0.0#", "#,##0.0##")
"""Number formats by the decimals that are usual for an amount of its size, one of them there whatever it becomes."""


CellPlace = tuple[str, bool, bool, bool]
"""Of a table's cell: its row's emphasis, and whether it stands alone there, right of a number, and first."""


class Formats:
    """A workbook's formats, each made once."""

    def __init__(self, workbook: Any, paper: Paper) -> None:
        self._workbook = workbook
        self._made: dict[frozenset[tuple[str, Any]], Any] = {}
        self._asked: dict[tuple[int, ...], tuple[tuple[Look, ...], Any]] = {}
        self._cells: dict[tuple[CellPlace, Style, str], Any] = {}
        currency = paper.currency
        self.minor_units = 10**currency.decimals
        digits = "#,##0" + ("." + "0" * currency.decimals if currency.decimals else "")
        sign = currency.sign if len(currency.sign) == 1 else f"{currency.sign} "
        self._money = f'"{sign}"{digits};-"{sign}"{digits}'

    def of(self, *looks: Look) -> Any:
        """The format with these properties, later ones winning. looks: never changed once asked for."""
        asked = tuple(map(id, looks))
        if asked not in self._asked:
            self._asked[asked] = looks, self._merged(looks)  # kept with it, so that no other look gets their ids
        return self._asked[asked][1]

    def _merged(self, looks: tuple[Look, ...]) -> Any:
        merged: dict[str, Any] = {
            "font_name": "Arial",
            "font_size": 11,
            "valign": "vcenter",
            "text_wrap": True,
        }
        for look in looks:
            merged |= look
        key = frozenset(merged.items())
        if key not in self._made:
            self._made[key] = self._workbook.add_format(merged)
        return self._made[key]

    def cell(self, place: CellPlace, style: Style, number_format: str) -> Any:
        """The format of a table's cells."""
        key = place, style, number_format
        if key not in self._cells:
            emphasis, alone, after_number, first = place
            looks = [LOOKS["cell"], EMPHASIS[emphasis], AFTER_NUMBERS if after_number else {}]
            if alone:
                looks.append(UNWRAPPED)
            elif emphasis == "warning" and first:
                looks.append({"left": 5})
            self._cells[key] = self.of(*looks, self.style(style, number_format))
        return self._cells[key]

    def chart(self, kind: str) -> Any:
        """An empty chart of the workbook: bar or line."""
        return self._workbook.add_chart({"type": kind})

    def style(self, style: Style, number_format: str) -> Look:
        """How a column's style looks, numbers under `number_format`."""
        if style in NUMBERS:
            return {"align": "right", "num_format": number_format, "text_wrap": False}
        if style == "date":
            return {"align": "left", "num_format": "ddd d mmm yyyy", "text_wrap": False}
        if style == "code":
            return {"num_format": "@"}
        if style == "write-in":
            return {"border": 1}
        return {"align": "center", "text_wrap": False} if style == "mark" else {}

    def number_format(self, style: Style, value: Value, live: bool) -> str:
        """Number format of one value, '' where the style is not one of numbers; live: the value may change under it."""
        if style not in NUMBERS:
            return ""
        if style == "money":
            return self._money
        if style == "percent":
            return "0%"
        if style == "count":
            return "#,##0"
        if live:
            return _LIVE[usual_places(Fraction(value)) if isinstance(value, int | float | Fraction) else 3]
        if style == "amount":
            places = _places(value)
            return "#,##0" + ("." + "0" * places if places else "")
        return _statistic(value)


@lru_cache(4096)
def _places(value: Value) -> int:
    """Decimals needed to show `value`, at most as many as are usual for an amount of its size."""
    if isinstance(value, int) or not isinstance(value, float | Fraction):
        return 0
    most = usual_places(Fraction(value))
    scaled = round(abs(value) * 10**most)
    return next((places for places in range(most) if scaled % 10 ** (most - places) == 0), most)


def _statistic(value: Value) -> str:
    """Number format of a statistic: three decimals below 1, two below 100, else one; tiny ones said so."""
    if not isinstance(value, float | Fraction):
        return "#,##0"
    number = float(value)
    size = abs(number)
    if 0 < size < 0.0005:
        return '"< 0.001"' if number > 0 else '"≈ 0"'
    return "0.000" if size < 1 else "0.00" if size < 100 else "#,##0.0"
