"""A run's folder, or one file, put in place whole or not at all; what stood there is kept."""

import contextlib
import errno
import os
import shutil
from collections.abc import Callable, Iterable, Iterator, Mapping
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path, PurePosixPath
from typing import Final

from opsreport.write.unfinished import clear, clear_strays, exchange, held, name_part, next_free, numbered_part, turn

_FULL: Final = " Free some space, or write to another disk."
_CLOSED: Final = " Close what has it open, or write to a folder that is yours."
_REMEDIES: Final = {
    errno.ENOSPC: _FULL,
    errno.EDQUOT: _FULL,
    errno.EFBIG: _FULL,
    errno.EACCES: _CLOSED,
    errno.EPERM: _CLOSED,
    errno.EBUSY: _CLOSED,
    errno.EROFS: " The disk is for reading only: write to another.",
}


_WRITERS: Final = 16
_MARK: Final = "plan.json"
"""A file that every run's folder holds."""
_PAGE: Final = "index.html"
"""A file that the folder of several runs holds."""


class Unwritable(Exception):  # noqa: N818 - said to the coordinator as it stands
    """The folder cannot be written; `sentence` says why. What stood there stands unchanged."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def put_in_place(files: Mapping[str, bytes], target: Path) -> Path | None:
    """Write `files` as the folder `target`, all of them or none.

    They are written beside the target under a hidden name, and moved there in one step; a folder
    already there is renamed to `NAME.1`, `NAME.2` and so on, the next free number, unless it is empty. On any
    failure it gets its name back and nothing of ours stays behind.

    Args:
        files: content by name, relative to the folder, `/` between its parts.
        target: the folder; parents that are missing are made.
    Returns:
        Where an earlier folder of that name is now, or None.
    Raises:
        Unwritable: the target is a file, or the disk refuses.
        ValueError: a name that leads out of the folder, or two that are one on some disks.
    """
    return put_filled(lambda part: write_files(files, part), target)


def put_filled(fill: Callable[[Path], None], target: Path) -> Path | None:
    """The same for a folder that `fill` writes into, which it is given empty under its hidden name.

    Raises:
        Unwritable: as above, or an OSError of `fill`.
    """
    target = Path(os.path.abspath(target))  # noqa: PTH100 - a link stays a link: it is renamed, not followed
    if target == target.parent:
        raise Unwritable(f"{target} is the top of the disk; name a folder in it.")
    if os.path.lexists(target) and not target.is_dir():
        raise Unwritable(f"{target} is a file, not a folder; name another with --out.")
    made: list[Path] = []
    try:
        with _parents(target, made), _folder_beside(target) as part:
            fill(part)
            kept = _swap(part, target)
            return None if kept is None or _gone_if_empty(kept) else kept
    except OSError as error:
        raise _unwritable(target, error) from error


def refuse_foreign(folder: Path, sources: Iterable[Path] = ()) -> None:
    """Only an empty folder, an earlier run's, or one of several runs may be moved aside.

    sources: the workbooks, which stay where they are.

    Raises:
        Unwritable: there is such a folder and it holds one of the workbooks, or something else.
    """
    for source in sources:
        if source.is_file() and folder.resolve() in source.resolve().parents:
            raise Unwritable(f"{folder} holds the workbook {source.name}; name another folder with --out.")
    with contextlib.suppress(OSError):  # what cannot be listed is refused when it is moved
        runs = (folder / _MARK).exists() or ((folder / _PAGE).exists() and any(folder.glob(f"*/{_MARK}")))
        if not runs and folder.is_dir() and any(folder.iterdir()):
            raise Unwritable(f"{folder} holds other files than an earlier run's; name a folder of its own with --out.")


def write_files(files: Mapping[str, bytes], folder: Path) -> None:
    """Write `files` into a folder that is there; all are on the disk at the end.

    Several at a time, since most of the time is spent waiting for the disk.

    Raises:
        ValueError: a name that leads out of the folder, or two that are one on some disks.
    """
    _refuse_odd_names(files)
    with ThreadPoolExecutor(_WRITERS) as writers:
        list(writers.map(lambda name: _write(folder / name, files[name]), files))


def write_anew(files: Mapping[str, bytes], folder: Path) -> None:
    """Write `files` into a folder of their own, without what a process that died half way left of it.

    Raises:
        ValueError: as `write_files`.
    """
    if folder.exists():
        shutil.rmtree(folder)
    folder.mkdir()
    write_files(files, folder)


def _unwritable(place: Path, error: OSError) -> Unwritable:
    """Why the disk refuses, that nothing is lost, and what may help."""
    reason = error.strerror or str(error)
    remedy = _REMEDIES.get(error.errno or 0, "")
    return Unwritable(f"{place} could not be written ({reason}); nothing was changed there.{remedy}")


def _refuse_odd_names(names: Iterable[str]) -> None:
    folded: set[str] = set()
    for name in names:
        parts = name.split("/")
        odd = not name or any(part in ("", ".", "..") or set(part) & set('\\:*?"<>|\0') for part in parts)
        if odd or PurePosixPath(name).is_absolute():
            raise ValueError(f"{name!r} is not a plain name within the folder")
        if name.casefold() in folded:
            raise ValueError(f"{name!r} would stand on another file")
        folded.add(name.casefold())
    for name in folded:
        if any(str(parent) in folded for parent in PurePosixPath(name).parents):
            raise ValueError(f"{name!r} would stand in a file as if in a folder")


@contextlib.contextmanager
def _parents(target: Path, made: list[Path]) -> Iterator[None]:
    """The folders above the target; those made here go again where the work fails."""
    try:
        for folder in reversed(target.parents):
            if not folder.exists():
                folder.mkdir()
                made.append(folder)
        yield
    except BaseException:
        for folder in reversed(made):
            with contextlib.suppress(OSError):
                folder.rmdir()
        raise


@contextlib.contextmanager
def _folder_beside(target: Path) -> Iterator[Path]:
    """An empty folder beside the target, gone at the end unless it was moved.

    What killed runs of ours left in the same place goes too.
    """
    part = name_part(target)
    with contextlib.ExitStack() as holding:
        with turn(target.parent):
            clear_strays(target)
            part.mkdir()
            try:
                part = numbered_part(part, target)
                holding.enter_context(held(part))
            except BaseException:
                part.rmdir()
                raise
        try:
            yield part
        finally:
            with contextlib.suppress(OSError):
                clear(part)


def _write(file: Path, content: bytes) -> None:
    file.parent.mkdir(parents=True, exist_ok=True)
    with file.open("xb") as handle:
        handle.write(content)
        handle.flush()
        os.fsync(handle.fileno())


def _swap(part: Path, target: Path) -> Path | None:
    """Put the new folder in and an earlier one aside; on failure the earlier one has its name back.

    Where the system can exchange two names in one step there is no moment without a folder of that name.
    """
    with turn(target.parent):
        if not os.path.lexists(target):
            part.rename(target)
            return None
        aside = next_free(target)
        if exchange(part, target):
            try:
                part.rename(aside)
            except BaseException:
                exchange(part, target)
                raise
            return aside
        target.rename(aside)
        try:
            part.rename(target)
        except BaseException:
            aside.rename(target)
            raise
        return aside


def _gone_if_empty(folder: Path) -> bool:
    """Whether an empty folder was taken away; the one in which somebody stands stays, lest they stand nowhere."""
    with contextlib.suppress(OSError):  # it holds something, or is a link
        if not folder.samefile(os.curdir):
            folder.rmdir()
            return True
    return False


# --- one file ---


def put_file(content: bytes, file: Path) -> None:
    """Write the file beside its place under another name, then give it its own, if that is still free.

    Raises:
        Unwritable: something stands there already, or the disk refuses; nothing was written.
    """
    part = name_part(file)
    try:
        with contextlib.ExitStack() as holding:
            with turn(file.parent):
                clear_strays(file)
                handle = holding.enter_context(part.open("xb"))
                holding.enter_context(held(part))
            handle.write(content)
            handle.flush()
            os.fsync(handle.fileno())
            _give_name(part, file)
    except OSError as error:
        raise _unwritable(file, error) from error
    finally:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)


def _give_name(part: Path, file: Path) -> None:
    try:
        file.hardlink_to(part)  # unlike a renaming, never over another file
    except FileExistsError:
        refuse_taken(file)
    except OSError:  # a disk without links
        refuse_taken(file)
        part.rename(file)


def refuse_taken(file: Path) -> None:
    """Never over another file.

    Raises:
        Unwritable: something stands there already.
    """
    if os.path.lexists(file):
        raise Unwritable(f"{file} is there already and was left as it is; give the new file another name.")
