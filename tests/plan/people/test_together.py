"""What sums give away together: three figures that tell a fourth, and what must be hidden for it."""

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
    tied = Together({"b": 1, "c": 1}, {"F": {"c": 1}}, [one], never_less=[{"c": 1, "b": -1}, {"b": 1, "c": -1}])
    assert tied.told((), [one]) == [one]


def test_a_nought_is_never_hidden() -> None:
    system = Together({"a": 0, "b": 3}, {"F": {"a": 1}, "G": {"a": 1, "b": 1}}, [{"b": 1}])
    assert system.hide(()) == {"G"}
