"""Packing documents printed by a browser, on Letter and A4: measured and read from the PDF."""

import html
import re
import shutil
import subprocess
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Literal

import numpy as np
import pytest
from support import read, term
from tables.test_packing import AS_OF, SHEETS

from opsreport.joining import build_programme
from opsreport.money import Currency
from opsreport.plan.food_plan import plan_food
from opsreport.tables.label_stock import STOCKS
from opsreport.tables.packing import packing_documents
from opsreport.tables.table import Paper
from opsreport.write.html_page import html_bytes

CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
POPPLER = all(shutil.which(name) for name in ("pdftotext", "pdftoppm"))
PAPERS: tuple[Literal["Letter", "A4"], ...] = ("Letter", "A4")
MM = 25.4 / 72
"""[mm a point]"""
FOOT = 195
"""Below this a page on its side has its foot line only [mm]."""

pytestmark = pytest.mark.skipif(
    CHROMIUM is None or not POPPLER, reason="needs Chromium to print and poppler (pdftotext, pdftoppm) to measure"
)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("prints")


def printed(folder: Path, name: str, paper: Literal["Letter", "A4"]) -> Path:
    """The PDF of one document of a day with three labels of the sheet used before."""
    return as_pdf(folder, f"{paper}-{name}", pages(paper)[name])


def as_pdf(folder: Path, name: str, content: bytes) -> Path:
    """A page as Chromium prints it, made once."""
    file = folder / f"{name}.pdf"
    if not file.exists():
        page = file.with_suffix(".html")
        page.write_bytes(content)
        assert CHROMIUM is not None
        subprocess.run(
            [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
             "--disable-background-networking", f"--user-data-dir={folder / 'profile'}", "--no-pdf-header-footer",
             f"--print-to-pdf={file}", page.as_uri()],
            check=True, capture_output=True, timeout=120,
        )  # fmt: skip
    return file


@cache
def pages(paper: Literal["Letter", "A4"]) -> dict[str, bytes]:
    sheets = SHEETS | {
        "Settings": f"{SHEETS['Settings']}\nPaper | {paper}\nFirst label | 4",
        "Sessions": f"{SHEETS['Sessions']}\nS06 | ER | @2027-02-25 | chili |",
        "Pick-ups": "Session | Household | Kit\nS06 | H-ash | collected\nS06 | H-cedar | left",
    }
    return made(sheets, paper)


@cache
def crowded(paper: Literal["Letter", "A4"]) -> dict[str, bytes]:
    """A day of twelve sorts of kit of eleven foods each, so that every sheet runs over its page."""
    foods = (
        "brown rice", "red lentils", "rolled oats", "raisins", "walnut", "onion", "potato", "lemon", "carrot", "celery",
        "spinach",
    )  # fmt: skip
    people = "\n".join(f"p{number} | g1 | {4 * number} | none" for number in range(1, 13))
    sheets = {
        "Settings": f"Setting | Value\nPaper | {paper}\nStations | 3",
        "Groups": "Group | Name | Pick-up place\ng1 | Elder Row | Library desk",
        "Sessions": "Session | Group | Date | Recipes\nS07 | g1 | @2027-03-04 | stew",
        "Enrolment": f"Participant | Group | Servings | Needs\n{people}",
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\n"
        + "\n".join(f"stew | 4 | {food} | 1 | cup" for food in foods),
        "Methods": "Recipe | Step | Text\n"
        + "\n".join(
            f"stew | {step} | Stir what is in the pot, and add the next of the foods." for step in range(1, 13)
        ),
        "Stock": "Ingredient | Amount | Unit\n" + "\n".join(f"{food} | 1 | g" for food in foods),
    }
    return made(sheets, paper)


def made(sheets: dict[str, str], paper: Literal["Letter", "A4"]) -> dict[str, bytes]:
    """The packing pages of a workbook, by name without the day."""
    rows, _ = read(term(sheets), AS_OF)
    programme = build_programme(rows, AS_OF)
    return {
        document.path.removeprefix("packing/2027-03-03-").removeprefix("packing/"): html_bytes(
            document, Paper(paper, Currency("USD"), AS_OF)
        )
        for document in packing_documents(programme, plan_food(programme)[0])
    }


def words(pdf: Path) -> Iterator[tuple[int, str, float, float, float, float]]:
    """(page, word, left, top, right, bottom) [mm]."""
    text = subprocess.run(["pdftotext", "-bbox", str(pdf), "-"], check=True, capture_output=True).stdout.decode("utf-8")
    page = 0
    for line in text.splitlines():
        if "<page " in line:
            page += 1
        found = re.search(r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*)</word>', line)
        if found:
            left, top, right, bottom = (float(found[number]) * MM for number in range(1, 5))
            yield page, html.unescape(found[5]), left, top, right, bottom


def shown(pdf: Path, page: int) -> np.ndarray:
    """A page as greys, ten dots a millimetre."""
    made = subprocess.run(
        ["pdftoppm", "-r", "254", "-gray", "-f", str(page), "-l", str(page), str(pdf)], check=True, capture_output=True
    ).stdout
    head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", made)
    assert head is not None
    return np.frombuffer(made[head.end() :], np.uint8).reshape(int(head[2]), int(head[1]))


@pytest.mark.parametrize("paper", PAPERS)
def test_frames_lie_on_the_grid_within_half_a_millimetre(paper: Literal["Letter", "A4"], folder: Path) -> None:
    """The test page's frames, found as black lines in the picture of the printed page."""
    stock = STOCKS[paper]
    page = shown(printed(folder, "label-test-page", paper), 1)
    for number in range(stock.labels):
        left, top = (float(each) for each in stock.corner(number))
        right, bottom = left + float(stock.width), top + float(stock.height)
        across = page[int(top * 10) + 100 : int(bottom * 10) - 100].mean(axis=0)  # dark where a line runs down
        down = page[:, int(left * 10) + 100 : int(right * 10) - 100].mean(axis=1)
        for line, place in ((across, left), (across, right), (down, top), (down, bottom)):
            near = line[max(int(place * 10) - 10, 0) : int(place * 10) + 11]
            dark = np.flatnonzero(near < 100)
            assert dark.size, (paper, number, place)
            middle = (max(int(place * 10) - 10, 0) + dark.mean() + 0.5) / 10
            assert abs(middle - place) <= 0.5, (paper, number, place, middle)


@pytest.mark.parametrize("paper", PAPERS)
def test_every_label_starts_at_its_place_and_stays_on_it(paper: Literal["Letter", "A4"], folder: Path) -> None:
    stock = STOCKS[paper]
    found = list(words(printed(folder, "labels", paper)))
    heads = [word for word in found if re.fullmatch(r"S0\d-[A-Z]", word[1]) and word[5] - word[3] > 4.3]
    heads.sort(key=lambda word: (word[0], (word[3] - float(stock.top)) // float(stock.height), word[2]))
    assert len(heads) == 9
    for number, (page, _, left, top, _, _) in enumerate(heads, 3):  # First label is 4
        assert page == number // stock.labels + 1
        corner = [float(each) for each in stock.corner(number)]
        assert abs(left - corner[0] - 4) <= 0.5  # its padding is 4 mm
        assert abs(top - corner[1] - 3) <= 0.5  # and 3 mm above, where the line of the first word begins
    for page, word, left, top, right, bottom in found:
        places = [stock.corner(number) for number in range(stock.labels)]
        inside = [
            left >= x and right <= x + float(stock.width) and top >= y and bottom <= y + float(stock.height)
            for x, y in ((float(x), float(y)) for x, y in places)
        ]
        assert any(inside), (page, word)


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    "name", ["pull-list", "stations", "checklists", "roster", "recipe-cards", "instructor", "kits-handed-out"]
)
def test_nothing_is_cut_off_and_headings_repeat(name: str, paper: Literal["Letter", "A4"], folder: Path) -> None:
    pdf = printed(folder, name, paper)
    text = {}
    for page, word, left, top, right, bottom in words(pdf):
        wide, high = shown(pdf, page).shape[::-1] if page not in text else (0, 0)
        if page not in text:
            text[page] = (wide / 10, high / 10, [])
        assert left >= 5
        assert right <= text[page][0] - 5, (page, word)
        assert top >= 5
        assert bottom <= text[page][1] - 5, (page, word)
        text[page][2].append(word)
    said = " ".join(word for _, _, on_page in text.values() for word in on_page)
    for wanted in set(re.findall(r"<td>([A-Za-z]{5,})(?=[<\n])", pages(paper)[name].decode("utf-8"))):
        assert wanted in said
    if name == "stations":
        for number, (_, _, on_page) in text.items():
            rows = [word for word in on_page if re.fullmatch(r"S0\d-[A-Z]", word)]
            assert not rows or {"Done", "Initials"} <= set(on_page), number


@pytest.mark.parametrize("paper", PAPERS)
def test_a_checklist_is_one_page_a_sort_of_kit(paper: Literal["Letter", "A4"], folder: Path) -> None:
    pdf = printed(folder, "checklists", paper)
    heads = {page: word for page, word, _, top, _, bottom in words(pdf) if word.endswith(":") and bottom - top > 6}
    sorts = len(re.findall(r'class="?new-page', pages(paper)["checklists"].decode("utf-8")))
    assert len(heads) == sorts
    assert sorted(heads) == list(range(2, sorts + 2))


def test_read_in_grey(folder: Path) -> None:
    """Dark on light everywhere: no text or box is left out when colours go."""
    page = shown(printed(folder, "checklists", "Letter"), 2)
    assert page.min() < 40
    assert np.median(page) == 255
    page_text = pages("Letter")["checklists"].decode("utf-8")
    style = page_text[page_text.index("@media print") : page_text.index("</style>")]
    greys = [code for code in re.findall(r"#([0-9a-fA-F]{6})", style) if len({code[:2], code[2:4], code[4:]}) > 1]
    assert greys == []


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize("name", ["checklists", "recipe-cards"])
def test_a_long_checklist_and_a_long_card_still_keep_to_a_page(
    name: str, paper: Literal["Letter", "A4"], folder: Path
) -> None:
    """However many lines, as long as they can be read: the type is no smaller than 7 points."""
    content = crowded(paper)[name]
    pdf = as_pdf(folder, f"{paper}-crowded-{name}", content)
    begun = len(re.findall(r'class="?new-page', content.decode("utf-8")))
    assert begun == 12
    assert max(page for page, *_ in words(pdf)) == begun + 1  # the first is the overview


@pytest.mark.parametrize("paper", PAPERS)
def test_no_page_of_a_station_begins_within_a_food(paper: Literal["Letter", "A4"], folder: Path) -> None:
    """Below the headings of every page stands the name of a food with its allergens, never a kit's line alone."""
    pdf = as_pdf(folder, f"{paper}-crowded-stations", crowded(paper)["stations"])
    firsts = []
    for number, on_page in by_page(pdf).items():
        heads = [bottom for word, _, bottom in on_page if word == "Initials"]
        below = [(top, word) for word, top, _ in on_page if heads and heads[0] < top < FOOT]
        line = [word for top, word in below if top < min(below)[0] + 1]
        firsts.append((number, line))
        assert not below or any(word.endswith((":", "continued")) for word in line), (number, line)
    assert len(firsts) > 6
    heads = [word for on_page in by_page(pdf).values() for word, _, _ in on_page if word == "continued"]
    assert len(heads) == 11  # twelve lines of each food, eight under one heading


def by_page(pdf: Path) -> dict[int, list[tuple[str, float, float]]]:
    """(word, top, bottom) [mm] by page."""
    found: dict[int, list[tuple[str, float, float]]] = {}
    for page, word, _, top, _, bottom in words(pdf):
        found.setdefault(page, []).append((word, top, bottom))
    return found


@pytest.mark.parametrize("paper", PAPERS)
def test_every_word_of_every_label_is_printed(paper: Literal["Letter", "A4"], folder: Path) -> None:
    """A label hides what does not fit, so the type must have been chosen small enough; it is never below 7 points."""
    for name, content in (("usual", pages(paper)["labels"]), ("crowded", crowded(paper)["labels"])):
        page = content.decode("utf-8")
        on_paper = [word for _, word, *_ in words(as_pdf(folder, f"{paper}-{name}-labels", content))]
        stickers = re.findall(r'<div class="(?:label|piece) h(\d+)">(.*)</div>', page)
        wanted = [word for _, text in stickers for word in html.unescape(re.sub(r"<[^>]*>", " ", text)).split()]
        assert len(stickers) > 8
        assert sorted(on_paper) == sorted(wanted)
        assert min(int(half_points) for half_points, _ in stickers) >= 14
