"""Every .xlsx of the demo, recalculated by LibreOffice, shows the values that were written."""

import math
import re
import shutil
import subprocess
import zipfile
from collections.abc import Iterator
from pathlib import Path

import openpyxl
import pytest

from opsreport.cli import main

SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
DEMO = Path(__file__).resolve().parent.parent / "workbooks" / "fennelbridge-spring-2027.xlsx"
NEAR = 1e-9

pytestmark = pytest.mark.skipif(SOFFICE is None, reason="LibreOffice (soffice) is not installed")

# Without this setting LibreOffice shows the saved values of a file that another program wrote.
ALWAYS_RECALCULATE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry">
<item oor:path="/org.openoffice.Office.Calc/Formula/Load">
<prop oor:name="OOXMLRecalcMode" oor:op="fuse"><value>0</value></prop></item>
</oor:items>
"""


def recalculated(sources: list[Path], target: Path, profile: Path) -> None:
    """Open and save all of the files in one run of LibreOffice, every formula worked out anew."""
    assert SOFFICE is not None
    (profile / "user").mkdir(parents=True)
    (profile / "user" / "registrymodifications.xcu").write_text(ALWAYS_RECALCULATE, "utf-8")
    subprocess.run(
        [SOFFICE, f"-env:UserInstallation={profile.as_uri()}", "--headless", "--norestore", "--convert-to", "xlsx",
         "--outdir", str(target), *map(str, sources)],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip


def values(path: Path) -> Iterator[tuple[str, object]]:
    book = openpyxl.load_workbook(path, data_only=True)
    for sheet in book.worksheets:
        for row in sheet.iter_rows():
            for cell in row:
                if cell.value not in (None, ""):
                    yield f"{sheet.title}!{cell.coordinate}", cell.value
    book.close()


def formulas(path: Path) -> int:
    book = openpyxl.load_workbook(path)
    return sum(cell.data_type == "f" for sheet in book.worksheets for row in sheet.iter_rows() for cell in row)


def differing(ours: Path, theirs: Path) -> list[tuple[str, object, object]]:
    own, other = dict(values(ours)), dict(values(theirs))
    found: list[tuple[str, object, object]] = []
    for place in sorted(own | other):
        left, right = own.get(place), other.get(place)
        both_numbers = isinstance(left, int | float) and isinstance(right, int | float)
        if both_numbers and math.isclose(left, right, rel_tol=NEAR, abs_tol=NEAR):  # type: ignore[arg-type]
            continue
        if left != right:
            found.append((place, left, right))
    return found


def spoiled(source: Path, target: Path) -> bool:
    """A copy whose first formula result is saved wrongly; False where it holds no formula."""
    done = False
    with zipfile.ZipFile(source) as old, zipfile.ZipFile(target, "w") as new:
        for name in old.namelist():
            content = old.read(name)
            if not done and name.startswith("xl/worksheets/sheet"):
                content, count = re.subn(rb"(</f><v>)[0-9.]+(</v>)", rb"\g<1>987654\2", content, count=1)
                done = count > 0
            new.writestr(name, content)
    return done


def test_recalculation_changes_nothing(tmp_path: Path) -> None:
    assert main(["build", str(DEMO), "--out", str(tmp_path / "ours")]) == 0
    books = sorted((tmp_path / "ours").rglob("*.xlsx"))
    assert len({path.name for path in books}) == len(books) > 10
    witness = next(path for path in books if spoiled(path, tmp_path / "spoiled.xlsx"))
    recalculated([*books, tmp_path / "spoiled.xlsx"], tmp_path / "theirs", tmp_path / "profile")
    assert {path.name: differing(path, tmp_path / "theirs" / path.name) for path in books} == {
        path.name: [] for path in books
    }
    # it did recalculate: a wrong saved result comes back right
    assert differing(tmp_path / "spoiled.xlsx", witness) != []
    assert differing(tmp_path / "theirs" / "spoiled.xlsx", witness) == []
    assert formulas(witness) > 0


def test_an_order_s_totals_follow_a_changed_number_of_packs(tmp_path: Path) -> None:
    """Cost, goods, delivery fee, tax and total, as a coordinator would find them after typing over Packs."""
    assert main(["build", str(DEMO), "--out", str(tmp_path / "ours"), "--since", "none"]) == 0
    changed = []
    for source in sorted((tmp_path / "ours" / "orders").glob("order-Marrowby-*.xlsx")):
        book = openpyxl.load_workbook(source)
        sheet = book["Order"]
        first = next(row[0].row for row in sheet.iter_rows() if row[0].value == "Item code") + 1
        sheet.cell(first, 3).value = 1
        for row in sheet.iter_rows(min_row=first + 1):
            if isinstance(row[2].value, int):
                row[2].value = 0
        book.save(tmp_path / source.name)
        changed.append((tmp_path / source.name, first))
    recalculated([path for path, _ in changed], tmp_path / "theirs", tmp_path / "profile")
    for path, first in changed:
        sheet = openpyxl.load_workbook(tmp_path / "theirs" / path.name, data_only=True)["Order"]
        price = sheet.cell(first, 6).value
        assert sheet.cell(first, 7).value == price
        totals = {row[5].value: row[6].value for row in sheet.iter_rows(min_row=first) if isinstance(row[5].value, str)}
        # one pack is far below 350.00, from which Marrowby delivers free; its fee is 18.00, food is not taxed
        assert totals == {"Goods": price, "Delivery fee": 18, "Tax at 0%": 0, "Total": pytest.approx(price + 18)}
    assert len(changed) == 3
