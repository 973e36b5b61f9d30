"""Make the README's pictures of the demo's documents: `python tests/make_pictures.py`.

Needs Chromium, and Playwright of `.[test]`. The pictures stand in tests/pictures, each lighter than 60 kB. They are no
test and no part of the package; make them anew when the look of the documents changes.
"""

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright

from opsreport.cli import main

HERE = Path(__file__).resolve().parent
DEMO = HERE.parent / "workbooks" / "fennelbridge-spring-2027.xlsx"
PICTURES = HERE / "pictures"
HEAVIEST = 60_000
"""A picture may weigh this much [bytes]."""
SHOWN = {
    "start-page": ("index.html", "body", 880, 580),
    "purchase-order": ("orders/order-Ostlerfield-20270216.html", "body", 880, 580),
    "stations": ("packing/2027-02-23-stations.html", "#part-2", 1120, 480),
    "pull-list-on-a-phone": ("packing/2027-02-23-pull-list.html", "#part-1", 360, 560),
    "checklist": ("packing/2027-02-23-checklists.html", "#part-2", 880, 580),
    "labels": ("packing/2027-02-23-labels.html", "body", 880, 400),
    "attendance": ("reports/attendance.html", "body", 880, 580),
    "funder": ("reports/funder-Larkmere.html", "body", 880, 580),
    "outcomes": ("reports/outcomes.html", ".picture-part", 880, 420),
}
"""By the picture's name: the page, what stands at its upper edge, how wide and high it is
[CSS pixels]."""


def make_pictures(chromium: str) -> None:
    """Build the demo and take every picture.

    Raises:
        ValueError: a picture outgrew its weight.
    """
    PICTURES.mkdir(exist_ok=True)
    with tempfile.TemporaryDirectory() as made, sync_playwright() as playwright:
        folder = Path(made) / "out"
        main(["build", str(DEMO), "--out", str(folder), "--since", "none", "--quiet"])
        browser = playwright.chromium.launch(executable_path=chromium, args=["--no-sandbox", "--disable-gpu"])
        page = browser.new_page(device_scale_factor=0.7, color_scheme="light")
        for name, (path, top, width, height) in SHOWN.items():
            page.set_viewport_size({"width": width, "height": height})
            page.goto((folder / path).as_uri())
            page.evaluate("top => scrollTo(0, document.querySelector(top).getBoundingClientRect().top - 12)", top)
            picture = page.screenshot()
            if len(picture) > HEAVIEST:
                raise ValueError(f"{name} weighs {len(picture):,} bytes, more than {HEAVIEST:,}")
            (PICTURES / f"{name}.png").write_bytes(picture)
        browser.close()


if __name__ == "__main__":
    found = next(
        (path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))), None
    )
    if found is None:
        sys.exit("Chromium is not installed.")
    make_pictures(found)
