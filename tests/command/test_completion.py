"""Completion: what each shell is told of the command line; bash is asked as a person at a terminal would ask it."""

import shutil
import subprocess

import pytest

from opsreport.cli import main
from opsreport.command.command_words import parser
from opsreport.command.completion import SHELLS, completion_script

SCRIPTS = {shell: completion_script(parser(), shell) for shell in SHELLS}
NEEDS_BASH = pytest.mark.skipif(shutil.which("bash") is None, reason="bash is not installed")


def offered(*words: str) -> list[str]:
    """What bash offers for the last of the words."""
    asking = (
        f"COMP_WORDS=({' '.join(repr(word) for word in words)}); COMP_CWORD={len(words) - 1}; _opsreport; "
        'printf "%s\\n" "${COMPREPLY[@]}"'
    )
    answer = subprocess.run(
        ["bash", "-c", f"{SCRIPTS['bash']}\n{asking}"], capture_output=True, text=True, check=True, timeout=60
    )
    assert answer.stderr == ""
    return answer.stdout.split()


@NEEDS_BASH
@pytest.mark.parametrize(
    ("words", "wanted"),
    [
        (["opsreport", "re"], ["recount"]),
        (["opsreport", "build", "--ef"], ["--effort"]),
        (["opsreport", "build", "--effort", ""], ["short", "usual", "long"]),
        (["opsreport", "scoop", "--measures", "m"], ["metric"]),
        (["opsreport", "completion", ""], ["bash", "zsh", "fish"]),
        (["opsreport", "build", "term"], []),  # files, by bash itself
        (["opsreport", "build", "--out", ""], []),
    ],
)
def test_bash_offers(words: list[str], wanted: list[str]) -> None:
    assert offered(*words) == wanted


@pytest.mark.parametrize("shell", SHELLS)
def test_every_command_and_option_is_told(shell: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["completion", shell]) == 0
    script = capsys.readouterr().out
    assert script == SCRIPTS[shell]
    for word in ("build", "start", "check", "recount", "scoop", "why", "catalogue", "swaps-first", "partial", "as-of"):
        assert word in script
    assert "debug" not in script


@pytest.mark.parametrize("shell", SHELLS)
def test_the_shell_can_read_it(shell: str) -> None:
    found = shutil.which(shell)
    if found is None:
        pytest.skip(f"{shell} is not installed")
    read = subprocess.run([found, "-n", "/dev/stdin"], input=SCRIPTS[shell], capture_output=True, text=True, timeout=60)
    assert (read.returncode, read.stderr) == (0, "")
