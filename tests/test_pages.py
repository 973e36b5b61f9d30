"""A few pages in a browser: they print, on screen they fit, and they fetch nothing."""

import re
import shutil
import subprocess
from pathlib import Path

import pytest

from opsreport.cli import main

CHROMIUM = next(
    (found for name in ("chromium", "chromium-browser", "google-chrome") if (found := shutil.which(name))), None
)
DEMO = Path(__file__).resolve().parent.parent / "workbooks" / "fennelbridge-spring-2027.xlsx"

pytestmark = pytest.mark.skipif(CHROMIUM is None, reason="Chromium is not installed")


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("pages") / "out"
    assert main(["build", str(DEMO), "--out", str(made)]) == 0
    return made


def browser(profile: Path, page: Path, *flags: str) -> "subprocess.CompletedProcess[bytes]":
    assert CHROMIUM is not None
    return subprocess.run(
        [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
         "--disable-background-networking", f"--user-data-dir={profile}", "--enable-logging=stderr", *flags,
         page.as_uri()],
        check=True, capture_output=True, timeout=120,
    )  # fmt: skip


@pytest.mark.parametrize(
    "pattern", ["index.html", "findings.html", "orders/order-[A-Z]*.html", "packing/*-stations.html"]
)
def test_a_page_prints_and_shows(pattern: str, folder: Path, tmp_path: Path) -> None:
    page = sorted(folder.glob(pattern))[0]
    printed = browser(tmp_path / "one", page, f"--print-to-pdf={tmp_path / 'page.pdf'}", "--no-pdf-header-footer")
    pdf = (tmp_path / "page.pdf").read_bytes()
    assert pdf.startswith(b"%PDF-")
    assert len(pdf) > 5_000
    shown = browser(
        tmp_path / "two", page, f"--screenshot={tmp_path / 'page.png'}", "--window-size=1100,900", "--hide-scrollbars"
    )
    png = (tmp_path / "page.png").read_bytes()
    assert png.startswith(b"\x89PNG")
    assert len(png) > 10_000  # a blank page is far smaller
    for run in (printed, shown):
        assert re.findall(rb"CONSOLE[:(].*", run.stderr) == []


def test_pages_hold_all_they_need(folder: Path) -> None:
    for page in folder.rglob("*.html"):
        text = page.read_text("utf-8")
        assert re.findall(r"<(?:script|iframe|object|embed)\b", text, re.IGNORECASE) == [], page.name
        assert re.findall(r"(?:src|href)=\"(?:https?:)?//", text) == [], page.name
        assert re.findall(r"url\((?!data:|['\"]?data:)|@import", text) == [], page.name
