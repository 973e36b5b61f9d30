"""Every page of the demo in a browser: on a screen of a phone and of a desk, by keyboard, for who cannot see, on paper.

Chromium is driven by Playwright; the rules of accessibility are axe-core's (WCAG 2.2 A and AA, and its best practice).
"""

import re
import shutil
import subprocess
from collections.abc import Iterator
from pathlib import Path
from urllib.parse import unquote, urlparse

import pytest

from opsreport.cli import main

playwright_api = pytest.importorskip("playwright.sync_api", reason="Playwright is not installed")
axe_api = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
Browser, Page = playwright_api.Browser, playwright_api.Page

CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
DEMO = Path(__file__).resolve().parent.parent / "workbooks" / "fennelbridge-spring-2027.xlsx"

TOO_WIDE = """
    [...document.querySelectorAll('html, body, body *')]
        .filter(each => each.clientWidth > 1 && each.scrollWidth > each.clientWidth && !each.closest('svg'))
        .map(each => `${each.tagName} ${each.innerText.slice(0, 40)}: ${each.scrollWidth} of ${each.clientWidth} px`)
"""
"""Elements whose content runs out of them, in words; what is only for who cannot see is 1 px wide."""

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pages") / "out"
    assert main(["build", str(DEMO), "--out", str(made)]) == 0
    return made


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    with playwright_api.sync_playwright() as playwright:
        opened = playwright.chromium.launch(
            executable_path=CHROMIUM,
            args=["--no-sandbox", "--disable-gpu", "--disable-quic", "--disable-background-networking"],
        )
        yield opened
        opened.close()


@pytest.fixture
def desk(browser: Browser) -> Iterator[Page]:
    with browser.new_context(viewport={"width": 1280, "height": 900}) as context:
        yield context.new_page()


@pytest.fixture
def phone(browser: Browser) -> Iterator[Page]:
    with browser.new_context(viewport={"width": 360, "height": 740}) as context:
        yield context.new_page()


def kinds(folder: Path) -> dict[str, Path]:
    """One page of every kind, the lightest, by its path without ids and dates."""
    found: dict[str, Path] = {}
    for page in sorted(folder.rglob("*.html"), key=lambda path: (-path.stat().st_size, path.name)):
        found[re.sub(r"order-\w+|[\d-]{8,}|funder-[^.]+", "*", page.relative_to(folder).as_posix())] = page
    return dict(sorted(found.items()))


def on_the_way(page: Page, files: list[Path]) -> tuple[list[str], dict[Path, set[str]], list[tuple[Path, str]]]:
    """What is wrong with pages as they load; the ids in each, and the links from each."""
    told: list[str] = []
    ids: dict[Path, set[str]] = {}
    links: list[tuple[Path, str]] = []
    page.on("console", lambda message: told.append(f"{page.url}: {message.text}"))
    page.on("pageerror", lambda error: told.append(f"{page.url}: {error}"))
    page.on("request", lambda asked: None if asked.url.startswith("file:") else told.append(asked.url))
    for file in files:
        page.goto(file.as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
        too_wide, heads, title, known, leading = page.evaluate(
            f"[{TOO_WIDE}, document.querySelectorAll('h1').length, document.title,"
            " [...document.querySelectorAll('[id]')].map(each => each.id), [...document.links].map(each => each.href)]"
        )
        told += [f"{file.name}: {element}" for element in too_wide[:3]]
        if not title or heads != 1:
            told.append(f"{file.name} has no title, or not one head line")
        ids[file] = set(known)
        links += [(file, link) for link in leading]
    return told, ids, links


def test_every_page_shows_whole_fetches_nothing_and_every_link_leads_somewhere(folder: Path, desk: Page) -> None:
    told, ids, links = on_the_way(desk, sorted(folder.rglob("*.html")))
    assert told == []
    assert len(links) > len(ids)
    lost = []
    for file, link in links:
        parts = urlparse(link)
        target = Path(unquote(parts.path))
        there = target.is_file() and (not parts.fragment or unquote(parts.fragment) in ids.get(target, set()))
        if parts.scheme not in ("mailto", "tel") and not there:
            lost.append((file.name, link))
    assert lost == []


def test_every_kind_of_page_fits_a_phone(folder: Path, phone: Page) -> None:
    told, _, _ = on_the_way(phone, list(kinds(folder).values()))
    assert told == []


def test_every_table_that_is_too_wide_for_a_small_screen_scrolls_by_itself(folder: Path, browser: Browser) -> None:
    """At the narrowest screen on which rows stand as rows (40rem); some do scroll, or the test would see nothing."""
    scrolling = 0
    with browser.new_context(viewport={"width": 641, "height": 900}) as context:
        page = context.new_page()
        for file in sorted(folder.rglob("*.html")):
            page.goto(file.as_uri())
            page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
            wide, moved = page.evaluate(
                "[document.documentElement.scrollWidth,"
                " [...document.querySelectorAll('.scroll')].filter(each => each.scrollWidth > each.clientWidth).length]"
            )
            assert wide == 641, file.name
            scrolling += moved
    assert scrolling > 0


def test_the_keyboard_goes_through_a_page_in_its_order(folder: Path, desk: Page) -> None:
    for file in kinds(folder).values():
        desk.goto(file.as_uri())
        steps = desk.evaluate("[...document.querySelectorAll('a[href], summary, input, button, [tabindex]')].length")
        assert desk.evaluate("document.querySelectorAll('[tabindex]:not([tabindex=\"0\"])').length") == 0
        tops = []
        for _ in range(min(steps, 12)):
            desk.keyboard.press("Tab")
            tops.append(
                desk.evaluate(
                    "[...document.querySelectorAll('a[href], summary, input, button, [tabindex]')]"
                    ".indexOf(document.activeElement)"
                )
            )
        assert tops == sorted(tops), file.name
        assert steps == 0 or tops[0] == 0, file.name


def broken_rules(folder: Path, page: Page) -> list[tuple[str, str, str, str]]:
    """Rules of accessibility that a kind of page breaks: kind, rule, help, the first place."""
    broken = []
    for kind, file in kinds(folder).items():
        page.goto(file.as_uri())
        page.evaluate("document.querySelectorAll('details').forEach(each => each.open = true)")
        for rule in axe_api.Axe().run(page, options={"resultTypes": ["violations"]}).response["violations"]:
            broken.append((kind, rule["id"], rule["help"], rule["nodes"][0]["html"][:120]))
    return broken


def test_no_page_breaks_a_rule_of_accessibility(folder: Path, desk: Page) -> None:
    assert broken_rules(folder, desk) == []


def test_no_page_breaks_a_rule_in_the_dark_on_a_phone(folder: Path, phone: Page) -> None:
    phone.emulate_media(color_scheme="dark")
    assert broken_rules(folder, phone) == []


def test_screens_are_dark_where_asked_and_paper_stays_white(folder: Path, desk: Page) -> None:
    for file in kinds(folder).values():
        desk.goto(file.as_uri())
        grounds = []
        for media in ("screen", "print"):
            desk.emulate_media(color_scheme="dark", media=media)
            grounds.append(desk.evaluate("getComputedStyle(document.body).backgroundColor"))
        assert grounds == ["rgb(22, 22, 22)", "rgb(255, 255, 255)"], file.name


def test_the_headings_of_a_table_head_its_cells(folder: Path, desk: Page) -> None:
    """No cell says so itself: browsers read it off the place, for rows and for columns."""
    desk.goto((folder / "orders" / "needs.html").as_uri())
    table = desk.locator("table").first
    assert table.get_by_role("columnheader").count() == table.locator("thead th").count() > 5
    assert table.get_by_role("rowheader").count() == table.locator("tbody tr").count() > 50


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler) is not installed")
def test_a_long_table_repeats_its_headings_on_every_page(folder: Path, desk: Page, tmp_path: Path) -> None:
    file = folder / "orders" / "needs.html"
    desk.goto(file.as_uri())
    heading = max(
        desk.evaluate("[...document.querySelectorAll('table')].map(t => [t.rows.length, t.tHead.innerText])")
    )[1].split()
    desk.pdf(path=tmp_path / "needs.pdf", prefer_css_page_size=True)
    words = subprocess.run(
        ["pdftotext", "-layout", str(tmp_path / "needs.pdf"), "-"], check=True, capture_output=True, text=True
    ).stdout
    pages = [each for each in words.split("\f") if each.strip()]
    assert len(pages) > 2
    told = [page for page in pages if all(word in page for word in heading)]
    assert len(told) > 2, heading


@pytest.mark.skipif(shutil.which("pdftotext") is None, reason="pdftotext (poppler) is not installed")
@pytest.mark.parametrize(
    "name", ["orders/order-Ostlerfield-20270302", "packing/2027-02-09-stations", "reports/attendance"]
)
def test_no_printed_page_holds_the_notes_of_a_table_alone(name: str, folder: Path, desk: Page, tmp_path: Path) -> None:
    """What says how to read a table, or where to sign, stands with its last rows."""
    desk.goto((folder / f"{name}.html").as_uri())
    notes = desk.evaluate("[...document.querySelectorAll('.notes')].map(each => each.textContent)")
    desk.pdf(path=tmp_path / "page.pdf", prefer_css_page_size=True)
    words = subprocess.run(
        ["pdftotext", "-layout", str(tmp_path / "page.pdf"), "-"], check=True, capture_output=True, text=True
    ).stdout
    pages = [[line for line in page.splitlines() if line.strip()][1:-1] for page in words.split("\f")[1:-1]]
    assert pages
    read = {"".join("".join(lines).split()) for lines in pages}
    assert [page for page in read if any(page in "".join(note.split()) for note in notes)] == []


def test_every_kind_of_page_prints(folder: Path, desk: Page) -> None:
    desk.emulate_media(media="print")
    for kind, file in kinds(folder).items():
        desk.goto(file.as_uri())
        heads = desk.evaluate("[...document.querySelectorAll('thead')].map(each => getComputedStyle(each).display)")
        assert set(heads) <= {"table-header-group"}, kind  # which stands again on every page
        pdf = desk.pdf(prefer_css_page_size=True)
        assert pdf.startswith(b"%PDF-"), kind
        assert len(pdf) > 5_000, kind


def test_pages_hold_all_they_need(folder: Path) -> None:
    for file in folder.rglob("*.html"):
        text = file.read_text("utf-8")
        assert re.findall(r"<(?:script|iframe|object|embed)\b", text, re.IGNORECASE) == [], file.name
        assert re.findall(r"(?:src|href)=\"(?:https?:)?//", text) == [], file.name
