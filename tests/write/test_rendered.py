"""Only what changed is rendered again, and the bytes are those of a full run."""

import datetime as dt
import json
from dataclasses import replace
from pathlib import Path

import pytest
from support import CORE, written

from opsreport.run import Asked, build
from opsreport.write import files
from opsreport.write.rendered import NAME

DAY = dt.date(2027, 2, 8)
FULL = Asked(DAY, DAY)
CHANGED = replace(FULL, changed=True)
MORE = {**CORE, "Enrolment": CORE["Enrolment"] + "\np2 | g1 | none"}


def tree(folder: Path) -> dict[str, bytes]:
    found = {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    found.pop(NAME, None)
    return found


@pytest.fixture
def rendered(monkeypatch: pytest.MonkeyPatch) -> list[str]:
    """Paths of the documents rendered since the list was last emptied."""
    paths: list[str] = []
    both = files.both_formats

    def noting(batch: files.Batch) -> dict[str, bytes]:
        paths.extend(document.path for document in batch[0])
        return both(batch)

    monkeypatch.setattr(files, "both_formats", noting)
    return paths


def test_what_is_the_same_is_taken_over_and_what_changed_is_rendered(tmp_path: Path, rendered: list[str]) -> None:
    source, out = tmp_path / "term.xlsx", tmp_path / "out"
    source.write_bytes(written(CORE))
    build(source, out, CHANGED)
    first = len(rendered)
    rendered.clear()
    build(source, out, CHANGED)
    assert rendered == []
    build(source, tmp_path / "full", FULL)
    assert tree(out) == tree(tmp_path / "full")

    source.write_bytes(written(MORE))
    rendered.clear()
    build(source, out, CHANGED)
    assert 0 < len(rendered) < first
    assert "reports/attendance" in rendered
    assert "packing/label-test-page" not in rendered
    assert json.loads((out / NAME).read_text())["documents"].keys() >= set(rendered)
    build(source, tmp_path / "again", replace(FULL, since=replace(FULL.since, path=tmp_path / "full")))
    assert tree(out) == tree(tmp_path / "again")


@pytest.mark.parametrize("spoil", ["page", "list", "version", "missing"])
def test_what_someone_touched_is_rendered_again(tmp_path: Path, rendered: list[str], spoil: str) -> None:
    source, out = tmp_path / "term.xlsx", tmp_path / "out"
    source.write_bytes(written(CORE))
    build(source, out, CHANGED)
    before, page, told = tree(out), out / "orders" / "needs.html", out / NAME
    if spoil == "page":
        page.write_bytes(page.read_bytes() + b"mine")
    elif spoil == "missing":
        page.unlink()
    else:
        told.write_text("[]" if spoil == "list" else told.read_text().replace('"by": "', '"by": "0'))
    rendered.clear()
    build(source, out, CHANGED)
    assert tree(out) == before
    assert "orders/needs" in rendered
    assert ("orders/stock" in rendered) == (spoil in ("list", "version"))


def test_nobody_asked_so_nothing_is_noted(tmp_path: Path) -> None:
    source = tmp_path / "term.xlsx"
    source.write_bytes(written(CORE))
    outcome = build(source, tmp_path / "out", FULL)
    assert NAME not in outcome.files
