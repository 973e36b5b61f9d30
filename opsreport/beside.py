"""Work done beside the main process, where another core is free; the result is the same without."""

import contextlib
import gc
import os
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from types import TracebackType
from typing import Generic, ParamSpec, TypeVar

P = ParamSpec("P")
T = TypeVar("T")
G = TypeVar("G")


class Later(Generic[T]):
    """A result that is being worked out beside, or is worked out when asked for."""

    def __init__(self, work: Callable[[], T], future: "Future[T] | None") -> None:
        self._work = work
        self._future = future

    def result(self) -> T:
        """The result; worked out here where the helper has not begun, or has failed to live."""
        if self._future is None or self._future.cancel():
            return self._work()
        try:
            return self._future.result()
        except BrokenProcessPool:
            return self._work()

    def waited(self) -> T:
        """The result as a helper gives it, however long that takes; worked out here where there is none.

        Raises:
            BrokenProcessPool: the helper died.
        """
        return self._work() if self._future is None else self._future.result()


class Beside:
    """Helping processes for the length of a `with`; none where `helpers` is 0 or the machine gives none.

    A helper is a fresh interpreter, so that nothing depends on what this one has loaded or opened; it
    imports what it will need while this process still reads and plans.
    """

    def __init__(self, helpers: int, prepare: Callable[[], object]) -> None:
        self._helpers = helpers
        self._prepare = prepare
        self._pool: ProcessPoolExecutor | None = None

    def __enter__(self) -> "Beside":
        if self._helpers > 0:
            import multiprocessing

            try:
                self._pool = ProcessPoolExecutor(
                    self._helpers, multiprocessing.get_context("spawn"), initializer=end_with_the_run
                )
                with interruptions_left_to_this_process():
                    for _ in range(self._helpers):
                        self._pool.submit(self._prepare)
            except (OSError, ImportError, NotImplementedError):  # no semaphores, no processes: do without
                self._pool = None
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._pool is not None:
            self._pool.shutdown(wait=True, cancel_futures=True)  # unwaited, its end can race with our own

    def start(self, work: Callable[P, T], *given: P.args, **named: P.kwargs) -> Later[T]:
        """Begin a piece of work; `work` and what it is given are sent to a helper."""
        future: Future[T] | None = None
        if self._pool is not None:
            try:
                future = self._pool.submit(work, *given, **named)
            except (BrokenProcessPool, RuntimeError):
                future = None
        return Later(lambda: work(*given, **named), future)


def tidied(work: Callable[[G], T], piece: G) -> T:
    """One piece of work of many, with nothing of it left in memory but its result and what is kept for the next.

    What refers to itself in a circle is collected after each piece, and what survives is not looked at again, so
    that this costs as much as the piece left behind.
    """
    try:
        return work(piece)
    finally:
        gc.collect()
        gc.freeze()


def end_with_the_run() -> None:
    """In a helper: end as soon as the process that started it is gone, which a killed process cannot ask for.

    A helper holds both ends of the queue it is given work through, so that queue never tells of the end.
    """
    import multiprocessing
    import threading

    def watch() -> None:
        run = multiprocessing.parent_process()
        if run is not None:
            run.join()
            os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


@contextlib.contextmanager
def interruptions_left_to_this_process() -> Iterator[None]:
    """Processes started meanwhile ignore an interruption at the terminal, from their first moment on."""
    import signal

    try:
        before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    except ValueError:  # not the main thread, which alone may say so
        yield
        return
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
