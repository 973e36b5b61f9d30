"""What sums give away together: three figures that tell a fourth, and what must be hidden for it."""

import random
from itertools import pairwise, product

from opsreport.plan.people.together import Together

ATOMS = {"a": 40, "b": 3, "c": 30}
SUMS = {"F": {"a": 1, "b": 1}, "G": {"b": 1, "c": 1}, "H": {"a": 1, "c": 1}}


def test_three_sums_tell_every_atom() -> None:
    """43 + 33 − 70 is twice the 3. Any two leave it open, so the smallest figure goes."""
    system = Together(ATOMS, SUMS, [{"b": 1}])
    assert system.told((), system.secrets) == [{"b": 1}]
    assert system.hide(()) == {"G"}


def test_bounds_of_a_label_and_sums_that_are_never_less() -> None:
    """A hidden 3 with a label from 3 to 3 is told; so is a part that cannot be more than the 3 of another."""
    one = {"b": 1}
    assert Together({"b": 3}, {"F": one}, [one], bounds={"F": (3, 3)}).told({"F"}, [one]) == [one]
    assert Together({"b": 3}, {"F": one}, [one], bounds={"F": (1, 10)}).told({"F"}, [one]) == []
    for bounds in ((2, 3), (1, 2), (2, None)):  # a hidden 2 could be a 3, or a 1
        assert Together({"b": 2}, {"F": one}, [one], bounds={"F": bounds}).told({"F"}, [one]) == []
    tied = Together({"b": 1, "c": 1}, {"F": {"c": 1}}, [one], never_less=[{"c": 1, "b": -1}, {"b": 1, "c": -1}])
    assert tied.told((), [one]) == [one]


def test_where_nobody_is_somebody_could_be() -> None:
    """2 in all, both of b: hidden there, one of them could be of a."""
    system = Together({"a": 0, "b": 2}, {"F": {"b": 1}, "all": {"a": 1, "b": 1}}, [{"b": 1}])
    assert system.hide(()) == {"F"}


def test_what_is_hidden_besides_counts_with_what_is_hidden_already() -> None:
    """The 3 of a are told by F, and by 43 - 40, and the 40 stand in two figures: F and the 43 go, not these two."""
    figures = {"F": {"a": 1}, "all": {"a": 1, "b": 1}, "G": {"b": 1}, "H": {"b": 1}}
    assert Together({"a": 3, "b": 40}, figures, [{"a": 1}], bounds={"F": (1, 3)}).hide(()) == {"F", "all"}


def test_a_nought_is_never_hidden() -> None:
    system = Together({"a": 0, "b": 3}, {"F": {"a": 1}, "G": {"a": 1, "b": 1}}, [{"b": 1}])
    assert system.hide(()) == {"G"}


def test_a_hidden_figure_is_no_help_where_it_is_told() -> None:
    """Hiding F alone is no use beside F + G and G; so one of these goes too."""
    system = Together({"a": 3, "b": 40}, {"F": {"a": 1}, "G": {"b": 1}, "all": {"a": 1, "b": 1}}, [{"a": 1}])
    assert system.hide({"F"}) == {"F", "G"}


def test_cheap_figures_go_first_and_take_others_with_them() -> None:
    figures = {"F": {"a": 1, "b": 1}, "G": {"b": 1, "c": 1}, "H": {"a": 1, "c": 1}}
    assert Together(ATOMS, figures, [{"b": 1}], cheap=("H",)).hide(()) == {"H"}
    alike = {"G": ["G", "F"], "F": ["F", "G"]}
    assert Together(ATOMS, figures, [{"b": 1}], with_it=alike, cheap=("F", "G")).hide(()) == {"F", "G"}


def test_a_few_of_each_sort_do_where_there_are_many() -> None:
    """Of 200 groups in F and G, any few people could be of another group; of the one in G only, none could."""
    atoms = {**{f"a{at}": at % 7 for at in range(200)}, "b": 4}
    both = {f"a{at}": 1 for at in range(200)}
    system = Together(atoms, {"F": both, "G": both | {"b": 1}}, [{"a3": 1}, {"b": 1}])
    assert system.told((), system.secrets) == [{"b": 1}]
    tight = [{f"a{at}": -1} for at in range(200) if at != 3]  # nobody more could be anywhere else, nor fewer of these
    assert system.told((), [{"a3": 1}]) == []
    system.never_less = [{f"a{at}": 1} for at in range(200)] + tight
    assert len(system.told((), [{"a3": 1}])) == 1


def drawn(seed: int) -> tuple[Together, set[str], list[dict[str, int]]]:
    """Up to five atoms, figures of some of them, a few hidden; each atom and each hidden figure a secret."""
    r = random.Random(seed)
    names = "abcde"[: r.randint(3, 5)]
    atoms = {atom: r.choice([0, 1, 1, 2, 3]) for atom in names}
    figures = {f"F{at}": {atom: r.choice([1, 1, 1, 2]) for atom in names if r.random() < 0.6} for at in range(4)}
    values = {name: sum(factor * atoms[atom] for atom, factor in terms.items()) for name, terms in figures.items()}
    hidden = [name for name, value in values.items() if value and r.random() < 0.5]
    bounds = {name: r.choice([(1, 3), (1, None), (4, None)]) for name in hidden if r.random() < 0.7}
    bounds = {name: its for name, its in bounds.items() if its[0] <= values[name] <= (its[1] or 99)}
    pairs = [(a, b) for a, b in pairwise(names) if atoms[a] >= atoms[b] and r.random() < 0.3]
    secrets = [*({atom: 1} for atom in names), *(figures[name] for name in hidden if figures[name])]
    return Together(atoms, figures, secrets, [{a: 1, b: -1} for a, b in pairs], bounds), set(hidden), secrets


def told_by_trying(its: Together, hidden: set[str], most: int) -> list[dict[str, int]]:
    """Secrets that have one value in all numbers of atoms, none above so many, that agree with what is printed."""
    names = list(its.atoms)
    agreeing = []
    for numbers in product(range(most + 1), repeat=len(names)):
        other = dict(zip(names, numbers, strict=True))

        def value(terms: dict[str, int], of: dict[str, int] = other) -> int:
            return sum(factor * of[atom] for atom, factor in terms.items())

        def fits(name: str, terms: dict[str, int]) -> bool:
            if name not in hidden:
                return value(terms) == its.value(terms)
            least, above = its.bounds.get(name, (1, None))
            return least <= value(terms) and (above is None or value(terms) <= above)

        if all(fits(*each) for each in its.figures.items()) and all(value(each) >= 0 for each in its.never_less):
            agreeing.append(value)
    return [secret for secret in its.secrets if len({value(secret) for value in agreeing}) == 1]


def test_what_is_told_is_what_trying_all_numbers_finds() -> None:
    """Never less; and hardly more, as few atoms change together in what is looked for."""
    more = 0
    for seed in range(150):
        its, hidden, secrets = drawn(seed)
        told = its.told(hidden, secrets)
        truly = told_by_trying(its, hidden, 5)
        assert all(secret in told for secret in truly)
        more += sum(secret not in truly for secret in told)
    assert more <= 15
