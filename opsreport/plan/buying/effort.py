"""How long cheaper orders are looked for, counted in work, so that the same effort gives the same orders anywhere."""

from dataclasses import dataclass
from typing import Final


@dataclass(frozen=True, slots=True)
class Effort:
    """Limits of the search. steps: states opened in solving foods, for each need of a food. nodes: of the solver, each
    time it is asked for the best choice among known ways. rounds: of prices. rounds_in_a_dive: of prices once
    deliveries are decided. turns: of the whole. parts: of all plans that are looked into by themselves in a turn."""

    steps: int
    nodes: int
    rounds: int
    rounds_in_a_dive: int
    turns: int
    parts: int


EFFORTS: Final = {
    "short": Effort(30, 0, 5, 1, 1, 0),
    "usual": Effort(60, 0, 20, 3, 2, 150),
    "long": Effort(400, 20, 60, 6, 3, 1_500),
}
"""What `--effort` may say."""

USUAL: Final = EFFORTS["usual"]
