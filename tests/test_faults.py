"""Nothing is lost: a build killed anywhere, a full disk, a folder that refuses, two runs at once.

The builds run in processes forked from one that has loaded the package, so that thirty of them are quick.
A process kills itself with SIGKILL at the n-th thing it does that Python audits (a file opened, a folder made,
a name changed, a module loaded …), which is a random moment that comes again with the same seed.
"""

import contextlib
import json
import os
import random
import resource
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest
from support import CORE, written

TOP = Path(__file__).resolve().parent.parent
KILLS = 30
OLD = {"plan.json": b"{}"}

DRIVER = """
import json, os, signal, sys
from opsreport import cli
import opsreport.run, opsreport.tables.documents, opsreport.write.files
opsreport.write.files.prepare_to_write()
os.cpu_count = lambda: 1
book, out, points, together = sys.argv[1], sys.argv[2], json.loads(sys.argv[3]), int(sys.argv[4])

def state():
    place = os.path.dirname(out)
    return {
        os.path.relpath(os.path.join(top, name), place): os.path.getsize(os.path.join(top, name))
        for top, _, names in os.walk(place) for name in names
    }

def begin(point):
    pid = os.fork()
    if pid:
        return pid
    done = [0]
    def hook(event, given):
        done[0] += 1
        if done[0] == point:
            os.kill(os.getpid(), signal.SIGKILL)
        if event in ("os.mkdir", "os.rename") and ".opsreport-part" in str(given) and done[1:] == []:
            done.append(done[0])
    sys.addaudithook(hook)
    status = cli.main(["build", book, "--out", out, "--as-of", "2027-02-08", "--since", "none"])
    if point is None:
        print(json.dumps(done), file=sys.stderr)
    os._exit(status)

for point in points:
    ended = [os.waitstatus_to_exitcode(os.waitpid(pid, 0)[1]) for pid in [begin(point) for _ in range(together)]]
    print(json.dumps({"ended": ended, "files": state()}), flush=True)
"""


@pytest.fixture
def place(tmp_path: Path) -> Path:
    """A folder `place` with an earlier run's `out` in it, and a workbook outside."""
    (tmp_path / "term.xlsx").write_bytes(written(CORE))
    folder = tmp_path / "place"
    put_old(folder)
    return folder


def put_old(folder: Path) -> None:
    (folder / "out").mkdir(parents=True)
    for name, content in OLD.items():
        (folder / "out" / name).write_bytes(content)


def drive(place: Path, points: list[int | None], together: int = 1, limit: int | None = None) -> tuple[list, str, str]:  # type: ignore[type-arg]
    """What stood there after each of the runs, and all that they said."""

    def limited() -> None:
        if limit is not None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (limit, limit))

    environment = {**os.environ, "PYTHONPATH": str(TOP), "PYTHONDONTWRITEBYTECODE": "1"}
    words = [str(place.parent / "term.xlsx"), str(place / "out"), json.dumps(points), str(together)]
    ran = subprocess.run(
        [sys.executable, "-c", DRIVER, *words], env=environment, capture_output=True, text=True, check=True,
        preexec_fn=limited,
    )  # fmt: skip
    assert "Traceback" not in ran.stderr
    states = [json.loads(line) for line in ran.stdout.splitlines() if line.startswith("{")]
    return states, ran.stdout, ran.stderr


def folders(files: dict[str, int]) -> dict[str, dict[str, int]]:
    """Sizes by name, by folder of the place."""
    found: dict[str, dict[str, int]] = {}
    for path, size in files.items():
        top, _, name = path.partition("/")
        found.setdefault(top, {})[name] = size
    return found


OLD_SIZES = {name: len(content) for name, content in OLD.items()}


def test_killed_at_random_moments_nothing_is_lost_and_nothing_stays(place: Path) -> None:
    [first], _, told = drive(place, [None])
    whole = folders(first["files"])["out"]
    events, writing = json.loads(told)
    assert len(whole) > 10
    chance = random.Random(9)
    points: list[int | None] = [chance.randrange(1, writing) for _ in range(KILLS // 3)]
    points += [chance.randrange(writing, events) for _ in range(KILLS - len(points) - 4)]
    points += [events - back for back in (2, 3, 4, 5)]  # as the folders trade names
    chance.shuffle(points)
    states, _, _ = drive(place, [*points, None])
    for state in states[:-1]:
        assert state["ended"] == [-9]
        shown = {name: files for name, files in folders(state["files"]).items() if not name.startswith(".")}
        assert shown["out"] in (OLD_SIZES, whole)
        assert [files for files in shown.values() if files not in (OLD_SIZES, whole)] == []
    last = folders(states[-1]["files"])
    assert states[-1]["ended"] == [0]
    assert [name for name in last if name.startswith(".")] == []
    assert list(last.values()).count(OLD_SIZES) == 1
    assert last["out"] == whole
    killed = [name for state in states for name in folders(state["files"]) if name.startswith(".")]
    assert killed, "no run was killed while it wrote"


def test_two_runs_at_once_are_two_folders(place: Path) -> None:
    [state], said, _ = drive(place, [None], together=2)
    assert state["ended"] == [0, 0]
    found = folders(state["files"])
    assert sorted(found) == ["out", "out.1", "out.2"]
    assert found["out.1"] == OLD_SIZES
    assert found["out"] == found["out.2"]
    assert "out.2" in said


def test_a_file_that_may_not_grow_so_large(place: Path) -> None:
    """A quota on one file's size is refused like a full disk, by processes that may write no more than 4 kB."""
    [state], _, told = drive(place, [None], limit=4096)
    assert state["ended"] == [2]
    assert folders(state["files"]) == {"out": OLD_SIZES}
    assert "nothing was changed there. Free some space" in told


@contextlib.contextmanager
def mounted(place: Path, options: str) -> Iterator[None]:
    """A small disk of its own; the test is skipped where this user may mount none."""
    mount = ["mount", "-t", "tmpfs", "-o", "size=64k", "none", str(place)]
    try:
        allowed = subprocess.run(mount, capture_output=True, check=False).returncode == 0
    except FileNotFoundError:
        allowed = False
    if not allowed:
        pytest.skip("this user may mount no disk")
    try:
        put_old(place)
        if options:
            subprocess.run(["mount", "-o", f"remount,{options}", str(place)], check=True)
        yield
    finally:
        subprocess.run(["umount", str(place)], check=True)


@pytest.mark.parametrize(("options", "sentence"), [("", "Free some space"), ("ro", "The disk is for reading only")])
def test_a_full_disk_and_one_for_reading_only(tmp_path: Path, options: str, sentence: str) -> None:
    (tmp_path / "term.xlsx").write_bytes(written(CORE))
    place = tmp_path / "disk"
    place.mkdir()
    with mounted(place, options):
        [state], _, told = drive(place, [None])
    assert state["ended"] == [2]
    assert folders(state["files"]) == {"out": OLD_SIZES}
    assert f"nothing was changed there. {sentence}" in told


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")
def test_a_folder_that_may_not_be_written(place: Path) -> None:
    place.chmod(0o555)
    try:
        [state], _, told = drive(place, [None])
    finally:
        place.chmod(0o755)
    assert state["ended"] == [2]
    assert folders(state["files"]) == {"out": OLD_SIZES}
    assert "Close what has it open, or write to a folder that is yours" in told


def test_a_folder_that_someone_reads_stays_readable(place: Path) -> None:
    with (place / "out" / "plan.json").open("rb") as reading:
        [state], _, _ = drive(place, [None])
        assert reading.read() == OLD["plan.json"]
    assert state["ended"] == [0]
    assert folders(state["files"])["out.1"] == OLD_SIZES
