"""What several funders may be told of the same answers: every outcome is held to what all the others say.

Numbers of pairs, of those who improved, stayed and got worse, means times pairs and sums of squared changes all add up
over people. So from the outcomes of one question a reader gets, by adding and subtracting, those of the people whom
some documents count and others do not.
"""

import math
from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from itertools import combinations, permutations
from typing import Final

from opsreport.plan.people.answer_worlds import Pair, Said, Sort, Worlds
from opsreport.plan.people.outcomes import Answers, adjusted, compare
from opsreport.plan.people.together import Atom, Figure, Together
from opsreport.plan.people.told_outcomes import safe_outcome
from opsreport.plan.people_model import Outcome

_SIDES: Final = ("improved", "same", "worse")


def told_together(answers: Sequence[Sequence[Answers]], small: Sequence[int]) -> list[tuple[Outcome, ...]]:
    """Each funder's outcomes that rest on enough people, without what would tell a small count, be it of this document
    or of those whom some documents count and others do not. p is adjusted for all questions, shown or not.

    Args:
        answers: by funder, then question: those of its people. small: its small count, by funder.
    """
    compared = [[compare(each) for each in of_funder] for of_funder in answers]
    kept: list[list[Outcome]] = [[] for _ in answers]
    for of_question, outcomes in zip(zip(*answers, strict=True), zip(*compared, strict=True), strict=True):
        for at, outcome in _Question(of_question, outcomes, small).told().items():
            kept[at].append(outcome)
    return [
        adjusted(of_funder, len(asked) - sum(each.p is not None for each in of_funder))
        for of_funder, asked in zip(kept, compared, strict=True)
    ]


@dataclass(frozen=True)
class _Question:
    """One question, with its answers and its outcome by document."""

    answers: Sequence[Answers]
    outcomes: Sequence[Outcome]
    small: Sequence[int]

    @cached_property
    def pairs(self) -> list[frozenset[str]]:
        return [frozenset(each.before.keys() & each.after.keys()) for each in self.answers]

    @cached_property
    def most(self) -> int:
        """The small count of what documents say together: the largest of any."""
        return max(self.small)

    def told(self) -> dict[int, Outcome]:
        """What each document tells, by its number; one that may tell nothing is left out."""
        kept = [at for at, outcome in enumerate(self.outcomes) if outcome.n > self._own_small(at)]
        overlap = any(self.pairs[one] & self.pairs[other] for one, other in combinations(kept, 2))
        if overlap:
            kept = self._enough(kept)
        safe = {at: safe_outcome(self.outcomes[at], self._own_small(at)) for at in kept}
        if overlap:
            safe = self._held_together(safe)
        self._unmatched(safe)
        return safe

    def _own_small(self, at: int) -> int:
        """The largest small count of the documents that count all of this one's pairs, its own too."""
        pairs = self.pairs[at]
        if not pairs:
            return self.small[at]
        return max(small for small, other in zip(self.small, self.pairs, strict=True) if pairs <= other)

    def _enough(self, kept: Sequence[int]) -> list[int]:
        """Documents whose numbers of pairs do not tell together of a few people."""
        atoms = Counter(_seen_in(self.pairs, kept).values())
        gone = self._hide(atoms, {at: {of: 1 for of in atoms if at in of} for at in kept}, _rests(atoms, kept))
        return [at for at in kept if at not in gone]

    def _held_together(self, safe: dict[int, Outcome]) -> dict[int, Outcome]:
        """The same with more hidden, until other answers could stand behind all that is told together: always one step
        in the document that most of what is told is about, the smallest of such."""
        open_: set[Said] = set()
        while pinned := self._pinned(safe, open_):
            at = min(
                (at for at in safe if any(at in sort for secret in pinned for sort in secret.sorts)),
                key=lambda at: (
                    -sum(any(at in sort for sort in secret.sorts) for secret in pinned), self.outcomes[at].n, at
                ),
            )  # fmt: skip
            fewer = self._with_less(safe, at)
            if fewer.keys() != safe.keys():
                open_ = set()
            safe = fewer
        return safe

    def _with_less(self, safe: Mapping[int, Outcome], at: int) -> dict[int, Outcome]:
        """The next step of hiding in one document: its sides, then its intervals, then its averages, then all of it; of
        yes and no all but the number of pairs at once."""
        told = safe[at]
        fewer = dict(safe)
        if any(getattr(told, side) is not None for side in _SIDES):
            fewer[at] = safe_outcome(self.outcomes[at], self._own_small(at), sides=False)
        elif told.low is not None:
            fewer[at] = replace(told, low=None, high=None, effect=None, p=None)
        elif told.change is not None:
            fewer[at] = replace(told, before=None, after=None, change=None)
        else:
            del fewer[at]
        return fewer

    def _pinned(self, safe: Mapping[int, Outcome], open_: set[Said]) -> list[Said]:
        """Numbers that are to be secret and can be worked out, a few of them at most.

        Args:
            open_: those that could not be worked out from more, so neither from this; others of them are added.
        """
        if not safe:
            return []
        true = Counter((of, self._whole[who]) for who, of in _seen_in(self.pairs, safe).items())
        sorts = list(dict.fromkeys(of for of, _ in true))
        inside = {at: frozenset(of for of in sorts if at in of) for at in safe}
        said = [each for at, outcome in safe.items() for each in self._said(outcome, inside[at])]
        secrets = [
            Said(inside[at], self._sums[side], name=side)
            for at, outcome in safe.items()
            for side in _SIDES
            if getattr(outcome, side) is None and getattr(self.outcomes[at], side)
        ]
        for rest in _rests(sorts, list(safe)):
            for name, weights in self._sums.items():
                few = sum(many * weights.get(pair, 0) for (of, pair), many in true.items() if of in rest)
                if 1 <= few <= self.most:
                    secrets.append(Said(frozenset(rest), weights, name=name))
        pinned, others = Worlds(true, said).pinned([each for each in dict.fromkeys(secrets) if each not in open_])
        open_ |= set(others)
        return pinned

    def _said(self, outcome: Outcome, inside: frozenset[Sort]) -> Iterator[Said]:
        """All that one document says of its pairs."""
        sums = self._sums
        yield Said(inside, sums["pairs"])
        hidden = [side for side in _SIDES if getattr(outcome, side) is None]
        for side in _SIDES:
            if side not in hidden:
                yield Said(inside, sums[side])
            elif len(hidden) < len(_SIDES):
                yield Said(inside, sums[side], 1)  # a nought would be printed
        if outcome.change is None:
            return
        yield Said(inside, {pair: pair[0] for pair in sums["pairs"]})
        yield Said(inside, {pair: pair[1] for pair in sums["pairs"]})
        if outcome.kind != "yes-no" and outcome.low is not None:
            yield Said(inside, {(was, then): (then - was) ** 2 for was, then in sums["pairs"]})
        if outcome.kind != "yes-no" and outcome.p is not None:
            for change in sorted({then - was for was, then in sums["pairs"]}):
                yield Said(inside, {(was, then): 1 for was, then in sums["pairs"] if then - was == change})

    @cached_property
    def _whole(self) -> dict[str, Pair]:
        """Everybody's pair of answers in whole numbers of the greatest step that all of them are made of."""
        given = {
            who: (each.before[who], each.after[who])
            for each, pairs in zip(self.answers, self.pairs, strict=True)
            for who in pairs
        }
        scale = math.lcm(*(answer.denominator for pair in given.values() for answer in pair))
        return {who: (int(before * scale), int(after * scale)) for who, (before, after) in given.items()}

    @cached_property
    def _sums(self) -> Mapping[str, Mapping[Pair, int]]:
        """Counts that must not be small, as what each pair of answers adds to them."""
        answers = sorted({answer for pair in self._whole.values() for answer in pair})
        pairs: list[Pair] = [(was, then) for was in answers for then in answers]
        up = {pair: 1 for pair in pairs if pair[1] > pair[0]}
        down = {pair: 1 for pair in pairs if pair[1] < pair[0]}
        question = self.answers[0].question
        improved, worse = (up, down) if question.better == "higher" else (down, up)
        sums = {
            "pairs": dict.fromkeys(pairs, 1), "improved": improved, "worse": worse,
            "same": {pair: 1 for pair in pairs if pair[0] == pair[1]},
        }  # fmt: skip
        if question.kind == "yes-no":
            for time, when in enumerate(("before", "after")):
                for yes, word in enumerate(("no", "yes")):
                    sums[f"{word} {when}"] = {pair: 1 for pair in pairs if pair[time] == yes}
        return sums

    def _unmatched(self, safe: dict[int, Outcome]) -> None:
        """Hide numbers of people who answered once only, where these would tell of a few of them."""
        single = [frozenset(each.before.keys() ^ each.after.keys()) for each in self.answers]
        atoms = Counter(_seen_in(single, safe).values())
        hidden = {at for at, outcome in safe.items() if outcome.unmatched is None}
        figures = {at: {of: 1 for of in atoms if at in of} for at in safe}
        for at in self._hide(atoms, figures, _rests(atoms, list(safe)), hidden):
            safe[at] = replace(safe[at], unmatched=None)

    def _hide(
        self, atoms: Mapping[Atom, int], figures: Mapping[Figure, Mapping[Atom, int]],
        secrets: Sequence[Mapping[Atom, int]], hidden: Collection[Figure] = (),
    ) -> set[Figure]:  # fmt: skip
        system = Together(atoms, figures, ())
        system.secrets = [each for each in secrets if 1 <= system.value(each) <= self.most]
        return system.hide(hidden)


def _seen_in(sets: Sequence[frozenset[str]], documents: Collection[int]) -> dict[str, Sort]:
    """By person: the documents that count them."""
    found: dict[str, list[int]] = {}
    for at in sorted(documents):
        for who in sets[at]:
            found.setdefault(who, []).append(at)
    return {who: tuple(found[who]) for who in sorted(found)}


def _rests(kinds: Collection[Sort], documents: Sequence[int]) -> list[dict[Atom, int]]:
    """Of people by the documents that count them: each sort alone, and those in one document but not in another."""
    rests: list[dict[Atom, int]] = [{kind: 1} for kind in kinds]
    for one, other in permutations(documents, 2):
        rests.append({kind: 1 for kind in kinds if one in kind and other not in kind})
    return rests
