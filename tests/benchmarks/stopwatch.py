"""How the benchmark scripts time a command."""

import subprocess
import time


def seconds(command: list[str]) -> float:
    """Wall-clock time of one run; its output is thrown away."""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start
