"""HiGHS without a word on standard output, where only the command line speaks."""

import os
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import highspy


def silent_solver() -> "highspy.Highs":
    """A solver on one thread. It greets on standard output while it is made, whatever it is told later."""
    import highspy

    nowhere = os.open(os.devnull, os.O_WRONLY)
    output = os.dup(1)
    try:
        os.dup2(nowhere, 1)
        solver = highspy.Highs()  # type: ignore[no-untyped-call]
    finally:
        os.dup2(output, 1)
        os.close(output)
        os.close(nowhere)
    for option, value in (("output_flag", False), ("threads", 1), ("random_seed", 0)):
        solver.setOptionValue(option, value)
    return solver
