"""The command line's words: each command is there once, says what it does, and faults are told in one line."""

import argparse

import pytest

from opsreport.cli import COMMANDS, main
from opsreport.command.command_words import parser


def commands() -> list[argparse.ArgumentParser]:
    (action,) = (each for each in parser()._actions if isinstance(each, argparse._SubParsersAction))
    return list(action.choices.values())


def test_every_command_has_its_work(capsys: pytest.CaptureFixture[str]) -> None:
    for name in COMMANDS:
        with pytest.raises(SystemExit) as left:
            parser().parse_args([name, "--help"])
        assert left.value.code == 0
        assert f"usage: opsreport {name}" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ([], "COMMAND"),
        (["biuld"], "invalid choice: 'biuld'"),
        (["build"], "required"),
        (["build", "x.xlsx", "--as-of", "8 Feb"], "'8 Feb' is not a date such as 2027-02-08"),
        (["build", "x.xlsx", "--as-of", "9999-12-31"], "'9999-12-31' is not in the years 1900 to 2199"),
        (["build", "x.xlsx", "--out", ""], "the folder's name is empty"),
        (["completion", "csh"], "invalid choice: 'csh'"),
    ],
)
def test_a_wrong_word_is_told_and_ends_with_2(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(words)
    assert left.value.code == 2
    told = capsys.readouterr().err
    assert said in told
    assert told.splitlines()[-1].endswith(" --help")


def test_help_is_in_words_of_our_own(capsys: pytest.CaptureFixture[str]) -> None:
    """No word that only programmers know stands over what may be typed, and every option says what it is for."""
    for words in ([], *([name] for name in COMMANDS)):
        with pytest.raises(SystemExit):
            parser().parse_args([*words, "--help"])
        shown = capsys.readouterr().out
        assert not any(word in shown for word in ("positional", "arguments", "options:", "exit", "render"))
        assert "may be added:" in shown
    for action in (each for command in commands() for each in command._actions):
        assert action.help, action.dest
