"""A folder appears whole or not at all, and never over an earlier one."""

import os
from pathlib import Path

import pytest

from opsreport.write import folder
from opsreport.write.folder import Unwritable, put_in_place, refuse_foreign, write_anew

FILES = {"index.html": b"<p>", "orders/po-1.xlsx": b"PK", "plan.json": b"{}\n"}


def tree(place: Path) -> dict[str, bytes]:
    return {file.relative_to(place).as_posix(): file.read_bytes() for file in place.rglob("*") if file.is_file()}


def names(place: Path) -> list[str]:
    return sorted(os.listdir(place))  # noqa: PTH208 - hidden names too


def test_all_files_and_nothing_else(tmp_path: Path) -> None:
    assert put_in_place(FILES, tmp_path / "out") is None
    assert tree(tmp_path / "out") == FILES
    assert names(tmp_path) == ["out"]


def test_missing_parents_are_made(tmp_path: Path) -> None:
    put_in_place(FILES, tmp_path / "a" / "b" / "out")
    assert tree(tmp_path / "a" / "b" / "out") == FILES


def test_earlier_folders_are_kept_by_number(tmp_path: Path) -> None:
    target = tmp_path / "out"
    put_in_place({"a": b"1"}, target)
    assert put_in_place({"a": b"2"}, target) == tmp_path / "out.1"
    assert put_in_place({"a": b"3"}, target) == tmp_path / "out.2"
    assert [tree(tmp_path / name)["a"] for name in ("out.1", "out.2", "out")] == [b"1", b"2", b"3"]


def test_an_empty_folder_is_filled_and_none_is_kept(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """But for the one in which somebody stands."""
    (tmp_path / "out").mkdir()
    assert put_in_place(FILES, tmp_path / "out") is None
    assert (names(tmp_path), tree(tmp_path / "out")) == (["out"], FILES)
    (tmp_path / "here").mkdir()
    monkeypatch.chdir(tmp_path / "here")
    assert put_in_place(FILES, tmp_path / "here") == tmp_path / "here.1"
    assert names(tmp_path / "here.1") == []


def test_target_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "out").write_text("mine")
    with pytest.raises(Unwritable, match="is a file, not a folder") as refused:
        put_in_place(FILES, tmp_path / "out")
    assert refused.value.sentence.endswith(".")
    assert (tmp_path / "out").read_text() == "mine"
    assert names(tmp_path) == ["out"]


def test_parent_that_is_a_file(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("mine")
    with pytest.raises(Unwritable):
        put_in_place(FILES, tmp_path / "file" / "out")
    assert names(tmp_path) == ["file"]


@pytest.mark.parametrize("failing", [0, 1, 2])
def test_failed_write_leaves_everything_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int
) -> None:
    target = tmp_path / "made" / "out"
    done: list[int] = []

    def full_disk(handle: int) -> None:
        done.append(handle)
        if len(done) > failing:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(Unwritable, match="No space left on device"):
        put_in_place(FILES, target)
    assert names(tmp_path) == []

    monkeypatch.undo()
    put_in_place({"old": b"1"}, target)
    monkeypatch.setattr(os, "fsync", full_disk)
    with pytest.raises(Unwritable):
        put_in_place(FILES, target)
    assert names(target.parent) == ["out"]
    assert tree(target) == {"old": b"1"}


@pytest.mark.parametrize("at_once", [True, False])
@pytest.mark.parametrize("failing", [1, 2, 3])
@pytest.mark.parametrize("error", [PermissionError(13, "Permission denied"), KeyboardInterrupt()])
def test_failed_move_puts_the_earlier_folder_back(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, failing: int, error: BaseException, at_once: bool
) -> None:
    target = tmp_path / "out"
    put_in_place({"old": b"1"}, target)
    if not at_once:
        monkeypatch.setattr(folder, "exchange", lambda _one, _other: False)
    elif failing == 3:
        return  # a swap in one step renames no third time
    moves: list[Path] = []
    rename = Path.rename

    def refused(self: Path, to: Path) -> Path:
        moves.append(self)
        if len(moves) == failing:
            raise error
        return rename(self, to)

    monkeypatch.setattr(Path, "rename", refused)
    with pytest.raises(Unwritable if isinstance(error, OSError) else KeyboardInterrupt):
        put_in_place(FILES, target)
    assert names(tmp_path) == ["out"]
    assert tree(target) == {"old": b"1"}


def test_linked_folder_is_kept_as_a_link(tmp_path: Path) -> None:
    (tmp_path / "real").mkdir()
    (tmp_path / "real" / "old").write_bytes(b"1")
    (tmp_path / "out").symlink_to(tmp_path / "real")
    assert put_in_place(FILES, tmp_path / "out") == tmp_path / "out.1"
    assert tree(tmp_path / "real") == {"old": b"1"}
    assert tree(tmp_path / "out") == FILES


@pytest.mark.parametrize("name", ["", "/etc/x", "../x", "a/../x", "a//b", "./a", "a/", "a\\b", "c:x", "a\0b", "a/."])
def test_names_that_are_not_plain_are_refused(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="plain name"):
        put_in_place({name: b""}, tmp_path / "out")
    assert names(tmp_path) == []


@pytest.mark.parametrize("pair", [("a.html", "A.html"), ("a", "a/b"), ("a/b", "A")])
def test_names_that_are_one_on_some_disks_are_refused(tmp_path: Path, pair: tuple[str, str]) -> None:
    with pytest.raises(ValueError, match="would stand"):
        put_in_place(dict.fromkeys(pair, b""), tmp_path / "out")


def test_top_of_the_disk_is_refused() -> None:
    with pytest.raises(Unwritable, match="top of the disk"):
        put_in_place(FILES, Path("/"))


def test_a_folder_that_is_no_runs_is_refused(tmp_path: Path) -> None:
    refuse_foreign(tmp_path / "new")
    refuse_foreign(tmp_path)
    (tmp_path / "plan.json").write_bytes(b"{}")
    (tmp_path / "tax.txt").write_bytes(b"mine")
    refuse_foreign(tmp_path)
    (tmp_path / "plan.json").unlink()
    with pytest.raises(Unwritable, match="holds other files"):
        refuse_foreign(tmp_path)
    (tmp_path / "north").mkdir()
    (tmp_path / "north" / "plan.json").write_bytes(b"{}")
    with pytest.raises(Unwritable, match="holds other files"):
        refuse_foreign(tmp_path)
    (tmp_path / "index.html").write_bytes(b"")
    refuse_foreign(tmp_path)
    workbook = tmp_path / "term.xlsx"
    workbook.write_bytes(b"")
    with pytest.raises(Unwritable, match=r"holds the workbook term\.xlsx"):
        refuse_foreign(tmp_path, [workbook])


def test_what_a_process_that_died_left_of_a_folder_is_in_nobody_s_way(tmp_path: Path) -> None:
    half = tmp_path / "north" / "orders"
    half.mkdir(parents=True)
    (half / "half.html").write_text("<p>")
    write_anew({"index.html": b"whole"}, tmp_path / "north")
    assert [(path.name, path.read_bytes()) for path in (tmp_path / "north").iterdir()] == [("index.html", b"whole")]
