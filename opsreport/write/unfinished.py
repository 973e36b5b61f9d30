"""Folders and files still being written: how they are named, locked, and cleared where a run is no more.

One still being written is called `.NAME.NUMBER.opsreport-part`, where NUMBER is the disk's own number of it (its
inode). So what stands under such a name is either the unfinished thing itself, which may be deleted once no run
holds it, or something else that a swap left there: an earlier folder, which is given a name of its own.
"""

import contextlib
import os
import secrets
import shutil
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Final

_PART: Final = ".opsreport-part"
"""How the name of what is still being written ends."""


def name_part(target: Path) -> Path:
    """A hidden name beside the target that nothing else has."""
    return target.with_name(f".{target.name}.n{secrets.token_hex(4)}{_PART}")


def numbered_part(part: Path, target: Path) -> Path:
    """Give what was just made its lasting hidden name."""
    return part.rename(target.with_name(f".{target.name}.{part.stat().st_ino}{_PART}"))


def next_free(target: Path) -> Path:
    """`NAME.1`, `NAME.2` and so on: the first that is free."""
    number = 1
    while os.path.lexists(aside := target.with_name(f"{target.name}.{number}")):
        number += 1
    return aside


def clear_strays(target: Path) -> None:
    """Clear away what killed runs left in the folder where the target stands; what a live run holds stays."""
    pattern = f".*{_PART}" if _LOCKS else f".{_escaped(target.name)}.*{_PART}"
    with contextlib.suppress(OSError):
        for stray in sorted(target.parent.glob(pattern)):
            with contextlib.suppress(OSError), held(stray) as ours:
                if ours:
                    clear(stray)


def clear(part: Path) -> None:
    """Delete what is unfinished; give an earlier folder that a swap left under such a name its number."""
    if not os.path.lexists(part):
        return
    name, _, number = part.name[1 : -len(_PART)].rpartition(".")
    if part.is_symlink() or (part.is_dir() and str(part.stat().st_ino) != number):
        with contextlib.suppress(OSError):
            part.rmdir()  # nothing in it yet
            return
        part.rename(next_free(part.with_name(name)))
    elif part.is_dir():
        shutil.rmtree(part, ignore_errors=True)
    else:
        part.unlink(missing_ok=True)


def _escaped(name: str) -> str:
    return "".join(f"[{letter}]" if letter in "[*?" else letter for letter in name)


if sys.platform == "win32":
    _LOCKS: Final = False

    @contextlib.contextmanager
    def held(_part: Path) -> Iterator[bool]:
        """Folders cannot be locked here: a stray counts as left by a run that is no more."""
        yield True

    @contextlib.contextmanager
    def turn(_folder: Path) -> Iterator[None]:
        """Renaming fails by itself here where two runs would meet."""
        yield

else:
    import fcntl

    _LOCKS: Final = True

    @contextlib.contextmanager
    def held(part: Path) -> Iterator[bool]:
        """A lock on the folder or file that ends with the process; False where another run holds it.

        A link is never followed: it counts as held by nobody.
        """
        if part.is_symlink():
            yield True
            return
        handle = os.open(part, os.O_RDONLY)
        try:
            try:
                fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
            except OSError:
                yield False
            else:
                yield True
        finally:
            os.close(handle)

    @contextlib.contextmanager
    def turn(folder: Path) -> Iterator[None]:
        """One run at a time gives and takes names in the folder; a moment, and it ends with the process."""
        with contextlib.ExitStack() as holding:
            with contextlib.suppress(OSError):  # a folder that may not be listed, a disk without locks
                handle = os.open(folder, os.O_RDONLY)
                holding.callback(os.close, handle)
                fcntl.flock(handle, fcntl.LOCK_EX)
            yield


def exchange(one: Path, other: Path) -> bool:
    """Let two folders trade names in one step; False where the system has no such step.

    Source: renameat2(2) with RENAME_EXCHANGE, Linux 3.15 and later.
    """
    if sys.platform != "linux":
        return False
    import ctypes

    try:
        rename = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError):
        return False
    here, trade = -100, 2  # AT_FDCWD, RENAME_EXCHANGE
    done: int = rename(here, os.fsencode(one), here, os.fsencode(other), trade)
    return done == 0
