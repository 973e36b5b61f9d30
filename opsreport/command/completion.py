"""Scripts by which bash, zsh and fish complete the command line, made from its parser."""

import argparse
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Final

SHELLS: Final = ("bash", "zsh", "fish")


@dataclass(frozen=True, slots=True)
class _Option:
    """name: `--out`. takes: whether a word follows. choices: the words that may follow, where they are few."""

    name: str
    said: str
    takes: bool
    choices: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Command:
    name: str
    said: str
    options: tuple[_Option, ...]
    words: tuple[str, ...]
    """What may stand without a dash, where that is not a file or free text."""


def completion_script(parser: argparse.ArgumentParser, shell: str) -> str:
    """The script for one of SHELLS."""
    commands = tuple(_commands(parser))
    return {"bash": _bash, "zsh": _zsh, "fish": _fish}[shell](parser.prog, commands)


def _commands(parser: argparse.ArgumentParser) -> Iterator[_Command]:
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            said = {choice.dest: choice.help or "" for choice in action._choices_actions}
            for name, each in action.choices.items():
                words = [
                    str(word) for other in each._actions if not other.option_strings for word in other.choices or ()
                ]
                yield _Command(name, said.get(name, ""), tuple(_options(each)), tuple(words))


def _options(parser: argparse.ArgumentParser) -> Iterator[_Option]:
    for action in parser._actions:
        for name in action.option_strings:
            if name.startswith("--") and action.help != argparse.SUPPRESS:
                said = " ".join((action.help or "").replace("%%", "%").split())
                yield _Option(name, said, action.nargs != 0, tuple(map(str, action.choices or ())))


def _bash(prog: str, commands: tuple[_Command, ...]) -> str:
    """Words offered by the command and the word before; where none is, bash offers files."""
    after, options, words = [], [], []
    for command in commands:
        for option in command.options:
            if option.takes:
                offer = f'COMPREPLY=($(compgen -W "{" ".join(option.choices)}" -- "$word")); ' if option.choices else ""
                after.append(f"    {command.name}:{option.name}) {offer}return ;;")
        options.append(f'      {command.name}) offered="{" ".join(option.name for option in command.options)}" ;;')
        if command.words:
            words.append(f'      {command.name}) offered="{" ".join(command.words)}" ;;')
    return f"""\
_{prog}() {{
  local word="${{COMP_WORDS[COMP_CWORD]}}" before="${{COMP_WORDS[COMP_CWORD-1]}}" asked="${{COMP_WORDS[1]}}" offered=""
  COMPREPLY=()
  case "$asked:$before" in
{chr(10).join(after)}
  esac
  if [[ $COMP_CWORD -eq 1 ]]; then
    offered="{" ".join(command.name for command in commands)} --help --version"
  elif [[ $word == -* ]]; then
    case "$asked" in
{chr(10).join(options)}
    esac
  else
    case "$asked" in
{chr(10).join(words)}
    esac
  fi
  [[ -z $offered ]] || COMPREPLY=($(compgen -W "$offered" -- "$word"))
}}
complete -o default -F _{prog} {prog}
"""


def _zsh(prog: str, commands: tuple[_Command, ...]) -> str:
    described = "\n".join(f"    {_quoted(f'{command.name}:{command.said}')}" for command in commands)
    cases = []
    for command in commands:
        lines = [f"      {_quoted(_zsh_option(option))}" for option in command.options]
        rest = f"({' '.join(command.words)})" if command.words else "_files"
        cases.append(f"    {command.name}) _arguments \\\n" + " \\\n".join([*lines, f"      '*:word:{rest}'"]) + " ;;")
    return f"""\
#compdef {prog}
_{prog}() {{
  local -a commands
  commands=(
{described}
  )
  if (( CURRENT == 2 )); then
    _describe command commands
    return
  fi
  local asked="${{words[2]}}"
  shift words
  (( CURRENT-- ))
  case "$asked" in
{chr(10).join(cases)}
  esac
}}
if [[ "${{funcstack[1]}}" == _{prog} ]]; then _{prog} "$@"; else compdef _{prog} {prog}; fi
"""


def _zsh_option(option: _Option) -> str:
    said = option.said.replace("[", "(").replace("]", ")").replace(":", ",")
    follows = f":word:({' '.join(option.choices)})" if option.choices else ":word:_files" if option.takes else ""
    return f"*{option.name}[{said}]{follows}"


def _fish(prog: str, commands: tuple[_Command, ...]) -> str:
    lines = [
        f"complete -c {prog} -n __fish_use_subcommand -f -a {command.name} -d {_quoted(command.said)}"
        for command in commands
    ]
    for command in commands:
        here = f"complete -c {prog} -n '__fish_seen_subcommand_from {command.name}'"
        lines += [f"{here} -f -a '{' '.join(command.words)}'"] if command.words else []
        for option in command.options:
            follows = f" -x -a '{' '.join(option.choices)}'" if option.choices else " -r" if option.takes else ""
            lines.append(f"{here} -l {option.name.removeprefix('--')}{follows} -d {_quoted(option.said)}")
    return "\n".join(lines) + "\n"


def _quoted(text: str) -> str:
    """A word that every one of these shells takes as it stands: in single quotes, with an apostrophe turned."""
    return "'" + text.replace("\\", "").replace("'", "’") + "'"
