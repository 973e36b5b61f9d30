"""The command line's words: each command is there once, says what it does, and faults are told in one line."""

import pytest

from opsreport.cli import COMMANDS, main
from opsreport.command.command_words import parser


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
        (["completion", "csh"], "invalid choice: 'csh'"),
    ],
)
def test_a_wrong_word_is_told_and_ends_with_2(words: list[str], said: str, capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit) as left:
        main(words)
    assert left.value.code == 2
    assert said in capsys.readouterr().err
