"""Pictures as SVG: well formed, described, nothing of what is written in them taken for markup."""

import xml.etree.ElementTree as ET

import pytest

from opsreport.tables.table import Picture, PictureRow
from opsreport.write.svg import svg, ticks

NASTY = '<script>alert(1)</script> & "quoted"'
ROWS = (
    PictureRow(NASTY, "Up by a half.", start=0.1, end=0.9, full=0.5),
    PictureRow("Second", "From 0.2 to 0.4.", open=0.2, full=0.4),
)
PICTURE = Picture("Changes", "standard deviations", ROWS, -1, 1, zero=0)
NAME = "{http://www.w3.org/2000/svg}"


def drawn(picture: Picture) -> ET.Element:
    return ET.fromstring(svg(picture, "part-3"))


def test_said_to_who_cannot_see_it() -> None:
    root = drawn(PICTURE)
    assert root.get("role") == "img"
    named = {child.get("id"): child.text for child in root if child.tag in (f"{NAME}title", f"{NAME}desc")}
    assert named == {"part-3-name": "Changes", "part-3-words": "Up by a half. From 0.2 to 0.4."}
    assert root.get("aria-labelledby") == "part-3-name part-3-words"


def test_places_on_the_axis() -> None:
    root = drawn(PICTURE)
    full = [float(dot.get("cx", "")) for dot in root.iter(f"{NAME}circle") if dot.get("class") == "full"]
    zero = next(float(line.get("x1", "")) for line in root.iter(f"{NAME}line") if line.get("class") == "zero")
    right = next(float(line.get("x1", "")) for line in root.iter(f"{NAME}line") if line.get("class") == "grid")
    assert full[0] - zero == pytest.approx(0.5 * (zero - right), abs=0.2)
    assert full[1] - zero == pytest.approx(0.4 * (zero - right), abs=0.2)
    assert [line.get("class") for line in root.iter(f"{NAME}line")].count("way") == 3 + 1


def test_words_are_never_markup() -> None:
    assert "<script>" not in svg(PICTURE, "x")
    assert not [child for child in drawn(PICTURE).iter() if child.tag.endswith("script")]


@pytest.mark.parametrize(
    ("least", "most", "marks"),
    [
        (1, 5, [1, 2, 3, 4, 5]),
        (0, 1, [0, 0.2, 0.4, 0.6, 0.8, 1]),
        (-1.9, 1.9, [-1, 0, 1]),
        (0, 300, [0, 50, 100, 150, 200, 250, 300]),
    ],
)
def test_round_numbers(least: float, most: float, marks: list[float]) -> None:
    assert ticks(least, most) == marks


def test_shares_in_percent() -> None:
    shares = Picture("Yes", "share", ROWS, 0, 1, percent=True)
    assert "100%" in [text.text for text in drawn(shares).iter(f"{NAME}text")]
