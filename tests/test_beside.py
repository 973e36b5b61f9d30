"""Work done beside the main process gives what it gives without."""

import gc
import os
import pickle
import signal
import subprocess
import sys
import time
import weakref
from pathlib import Path

import pytest
from plan.people_support import group, member, programme

from opsreport.beside import Beside, tidied
from opsreport.programme import Programme


def squared(number: int) -> int:
    return number * number


def ready() -> None:
    """Nothing to load."""


def ends() -> None:
    """A helper that dies."""
    os._exit(3)


def refused(number: int) -> int:
    raise ValueError(f"{number} is refused")


@pytest.mark.parametrize("helpers", [0, 1, 2])
def test_results_come_in_order_whoever_worked_them_out(helpers: int) -> None:
    with Beside(helpers, ready) as beside:
        assert beside.start(squared, 12).result() == 144
        begun = [beside.start(squared, number) for number in range(20)]
        assert [each.result() for each in reversed(begun)] == [number * number for number in reversed(range(20))]


@pytest.mark.parametrize("helpers", [0, 1])
def test_an_error_in_the_work_is_an_error_here(helpers: int) -> None:
    with Beside(helpers, ready) as beside, pytest.raises(ValueError, match="7 is refused"):
        beside.start(refused, 7).result()


def test_a_helper_that_dies_is_done_without() -> None:
    with Beside(1, ends) as beside:
        assert [each.result() for each in [beside.start(squared, number) for number in range(5)]] == [0, 1, 4, 9, 16]


HELPED = """
import os, signal, time
from opsreport.beside import Beside

def number():
    time.sleep(0.05)
    return os.getpid()

if __name__ == "__main__":
    signal.signal(signal.SIGINT, signal.default_int_handler)  # ignored where the tests run in the background
    try:
        with Beside(2, os.getpid) as beside:
            helpers = set()
            while len(helpers) < 2:
                helpers |= {each.result() for each in [beside.start(number), beside.start(number)]}
            print(*helpers, flush=True)
            for _ in range(6000):
                time.sleep(0.1)
    except KeyboardInterrupt:
        print("stopped")
"""


@pytest.fixture
def helped(tmp_path: Path) -> "subprocess.Popen[str]":
    """A process with two helpers, in a group of its own; it says the helpers' numbers and waits."""
    script = tmp_path / "helped.py"
    script.write_text(HELPED)
    top = str(Path(__file__).resolve().parent.parent)
    return subprocess.Popen(
        [sys.executable, script], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True,
        env={**os.environ, "PYTHONPATH": top},
    )  # fmt: skip


def lives(process: str) -> bool:
    """Whether a process goes on; one that has ended and was not yet asked how does not."""
    try:
        return "State:\tZ" not in (Path("/proc") / process / "status").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False


@pytest.mark.skipif(not Path("/proc/self").exists(), reason="looks for processes in /proc")
def test_helpers_of_a_killed_run_end(helped: "subprocess.Popen[str]") -> None:
    with helped:
        assert helped.stdout is not None
        helpers = helped.stdout.readline().split()
        assert len(helpers) == 2
        assert all(map(lives, helpers))
        helped.send_signal(signal.SIGKILL)
    for _ in range(600):
        if not any(map(lives, helpers)):
            return
        time.sleep(0.05)
    pytest.fail("a helper outlived the run it helped")


@pytest.mark.skipif(sys.platform == "win32", reason="groups of processes are another matter there")
def test_an_interruption_at_the_terminal_is_for_the_run_alone(helped: "subprocess.Popen[str]") -> None:
    assert helped.stdout is not None
    helped.stdout.readline()
    os.killpg(helped.pid, signal.SIGINT)
    said, told = helped.communicate(timeout=60)
    assert said == "stopped\n"
    assert "Traceback" not in told


class Meanwhile:
    """Stands for the main process, which goes on working while a thread packs a programme for a helper."""

    book: Programme

    def __reduce__(self) -> tuple[type, tuple[()]]:
        assert self.book.members_by_group
        return Meanwhile, ()


def test_a_programme_can_be_packed_while_figures_are_worked_out_from_it() -> None:
    busy = Meanwhile()
    busy.book = book = programme([group("G")], [member("P1", "G")], report_by=(busy,))
    packed = pickle.loads(pickle.dumps(book))
    assert "members_by_group" in vars(book)
    assert "members_by_group" not in vars(packed)
    assert packed.members_by_group == book.members_by_group


class _Circle:
    """Refers to itself, so that it stays until it is collected."""

    def __init__(self) -> None:
        self.itself = self


def test_nothing_of_a_piece_that_refers_to_itself_outlives_it_whether_it_works_out_or_not() -> None:
    left: list[weakref.ref[_Circle]] = []

    def work(piece: int) -> int:
        left.append(weakref.ref(_Circle()))
        return 12 // piece

    gc.disable()  # what is gone was collected by the piece's end
    try:
        assert tidied(work, 3) == 4
        with pytest.raises(ZeroDivisionError):
            tidied(work, 0)
        assert [each() for each in left] == [None, None]
    finally:
        gc.enable()
        gc.unfreeze()
