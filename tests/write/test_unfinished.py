"""What killed runs leave is cleared by the next run; what a live run holds, and an earlier folder, never."""

import fcntl
import os
import sys
from pathlib import Path

import pytest

from opsreport.write import folder
from opsreport.write.folder import Unwritable, put_file, put_in_place
from opsreport.write.unfinished import clear, exchange, name_part, numbered_part

FILES = {"index.html": b"<p>", "plan.json": b"{}\n"}


def names(place: Path) -> list[str]:
    return sorted(os.listdir(place))  # noqa: PTH208 - hidden names too


def stray(target: Path) -> Path:
    """What a run killed while writing the target leaves."""
    part = name_part(target)
    part.mkdir()
    part = numbered_part(part, target)
    (part / "half").write_bytes(b"")
    return part


def test_strays_of_killed_runs_go_whatever_they_were_to_be(tmp_path: Path) -> None:
    stray(tmp_path / "out")
    stray(tmp_path / "other")
    name_part(tmp_path / "unnumbered").mkdir()
    name_part(tmp_path / "book.xlsx").write_bytes(b"half")
    (tmp_path / ".mine").mkdir()
    put_in_place(FILES, tmp_path / "out")
    assert names(tmp_path) == [".mine", "out"]


def test_a_single_file_clears_them_too(tmp_path: Path) -> None:
    stray(tmp_path / "out")
    put_file(b"1", tmp_path / "book.xlsx")
    assert names(tmp_path) == ["book.xlsx"]


def test_folder_of_a_run_at_work_stays(tmp_path: Path) -> None:
    busy = stray(tmp_path / "out")
    handle = os.open(busy, os.O_RDONLY)
    fcntl.flock(handle, fcntl.LOCK_EX)
    try:
        put_in_place(FILES, tmp_path / "out")
        assert names(tmp_path) == [busy.name, "out"]
    finally:
        os.close(handle)


def test_an_earlier_folder_that_a_swap_left_under_a_hidden_name_is_kept(tmp_path: Path) -> None:
    put_in_place({"old": b"1"}, tmp_path / "out")
    part = stray(tmp_path / "out")
    if not exchange(part, tmp_path / "out"):
        pytest.skip("this system cannot exchange two names in one step")
    put_in_place(FILES, tmp_path / "out")
    assert names(tmp_path) == ["out", "out.1", "out.2"]
    assert (tmp_path / "out.1" / "old").read_bytes() == b"1"
    assert names(tmp_path / "out.2") == ["half"]


def test_a_hidden_link_is_never_followed(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "mine").write_bytes(b"1")
    part = name_part(tmp_path / "out")
    part.symlink_to(tmp_path / "real")
    clear(part)
    assert (tmp_path / "out.1").is_symlink()
    assert names(tmp_path / "real") == ["mine"]


@pytest.mark.skipif(sys.platform != "linux", reason="renameat2 is Linux's")
def test_two_names_are_traded_in_one_step(tmp_path: Path) -> None:
    for name in ("one", "other"):
        (tmp_path / name).mkdir()
        (tmp_path / name / name).write_bytes(b"")
    assert exchange(tmp_path / "one", tmp_path / "other")
    assert names(tmp_path / "one") == ["other"]
    assert not exchange(tmp_path / "one", tmp_path / "missing")


@pytest.mark.parametrize(
    ("number", "remedy"),
    [(28, "Free some space"), (13, "Close what has it open"), (30, "reading only"), (5, "nothing was changed there.")],
)
def test_a_refusal_says_what_may_help(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, number: int, remedy: str
) -> None:
    def refuse(_file: Path, _content: bytes) -> None:
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(folder, "_write", refuse)
    with pytest.raises(Unwritable, match=remedy):
        put_in_place(FILES, tmp_path / "out")
    assert names(tmp_path) == []
