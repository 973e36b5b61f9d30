"""How the benchmark scripts time a command."""

import os
import resource
import subprocess
import time
from typing import NamedTuple


class Spent(NamedTuple):
    """Seconds by the clock, and of the processor with all processes that the command started and waited for."""

    clock: float
    processor: float


def seconds(command: list[str], most: int | None = None) -> Spent:
    """One run; its output is thrown away. Others at work lengthen the clock, the processor's time hardly.

    Args:
        most: seconds of the processor after which a process of it is stopped, which is no error then.
    """
    start = time.perf_counter()
    limited = None if most is None else lambda: resource.setrlimit(resource.RLIMIT_CPU, (most, most))
    running = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, preexec_fn=limited)
    _, status, used = os.wait4(running.pid, 0)
    running.returncode = os.waitstatus_to_exitcode(status)
    if running.returncode and most is None:
        raise subprocess.CalledProcessError(running.returncode, command)
    return Spent(time.perf_counter() - start, used.ru_utime + used.ru_stime)
