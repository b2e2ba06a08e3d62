"""``pegwright completion``: completion for a shell, made from the parser itself."""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pegwright.cli import screen
from pegwright.cli.parser import subparsers

__all__ = [
    "NAME",
    "SHELLS",
    "WORDS",
    "Option",
    "Part",
    "add_arguments",
    "completion",
    "parts",
    "run",
]

NAME = "completion"
WORDS = "print completion for your shell"
SHELLS = ("bash", "zsh", "fish")


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("shell", choices=SHELLS, help="which shell")


def run(options: argparse.Namespace) -> int:
    """Print it."""
    screen.say(completion(options.shell, parts(options.whole_parser)))
    return 0


@dataclass(frozen=True, slots=True)
class Option:
    """An option: its name with both dashes, its words, and what may follow it.

    ``values`` is None for an option that takes nothing, empty for one that takes anything.
    """

    name: str
    words: str
    values: tuple[str, ...] | None


@dataclass(frozen=True, slots=True)
class Part:
    """A command as completion sees it: its options, and words that may stand after it.

    ``under`` are the commands under it, as ``split`` under ``yarn``.
    """

    name: str
    words: str
    options: tuple[Option, ...]
    choices: tuple[str, ...]
    takes_file: bool
    under: tuple[Part, ...] = ()

    @property
    def all_words(self) -> str:
        """Everything that may be typed after the command, apart from files."""
        return " ".join([*self.choices, *(option.name for option in self.options)])


def parts(parser: argparse.ArgumentParser) -> tuple[Part, ...]:
    """Every command of a parser."""
    return tuple(_part(name, sub) for name, sub in subparsers(parser).items())


def _part(name: str, parser: argparse.ArgumentParser) -> Part:
    if parts_under := parts(parser):
        names = tuple(part.name for part in parts_under)
        return Part(name, parser.description or "", (), names, False, parts_under)
    options: list[Option] = []
    choices: list[str] = []
    takes_file = False
    for action in parser._actions:
        values = tuple(str(choice) for choice in action.choices or ())
        if action.option_strings:
            long = [s for s in action.option_strings if s.startswith("--")]
            takes = None if action.nargs == 0 else values
            options += [Option(s, action.help or "", takes) for s in long]
        elif values:
            choices += values
        else:
            takes_file = True
            choices += _known(action.dest)
    return Part(name, parser.description or "", tuple(options), tuple(choices), takes_file)


def _known(argument: str) -> tuple[str, ...]:
    """Names that come with Pegwright and may stand for an argument."""
    from pegwright.designs.files import shipped_designs
    from pegwright.garments.registry import garments

    match argument:
        case "design":
            return shipped_designs()
        case "garment":
            return tuple(garments())
    return ()


def completion(shell: str, commands: Sequence[Part]) -> str:
    """The completion script for a shell."""
    makers = {"bash": _bash, "zsh": _zsh, "fish": _fish}
    return "\n".join(makers[shell](commands))


def _values(commands: Sequence[Part]) -> dict[str, tuple[str, ...]]:
    """The options that take one of a few words, with those words."""
    leaves = [leaf for part in commands for leaf in (part, *part.under)]
    return {o.name: o.values for part in leaves for o in part.options if o.values}


def _bash(commands: Sequence[Part]) -> Iterator[str]:
    names = " ".join(part.name for part in commands)
    yield "# pegwright completion for bash; to use it: source <(pegwright completion bash)"
    yield "_pegwright() {"
    yield "    local word=${COMP_WORDS[COMP_CWORD]} words='' files=''"
    yield '    if [ "$COMP_CWORD" -eq 1 ]; then'
    yield f"        COMPREPLY=($(compgen -W '{names} --help --version' -- \"$word\"))"
    yield "        return"
    yield "    fi"
    yield '    case "${COMP_WORDS[COMP_CWORD-1]}" in'
    for name, values in _values(commands).items():
        reply = f"COMPREPLY=($(compgen -W '{' '.join(values)}' -- \"$word\"))"
        yield f"        {name}) {reply}; return ;;"
    yield "    esac"
    yield '    case "${COMP_WORDS[1]}" in'
    for part in commands:
        yield from _bash_part(part)
    yield "    esac"
    yield '    COMPREPLY=($(compgen -W "$words" -- "$word"))'
    yield '    [ -z "$files" ] || COMPREPLY+=($(compgen -f -- "$word"))'
    yield "}"
    yield "complete -o filenames -F _pegwright pegwright"


def _bash_part(part: Part, indent: str = " " * 8) -> Iterator[str]:
    if not part.under:
        files = " files=yes" if part.takes_file else ""
        yield f"{indent}{part.name}) words='{part.all_words}'{files} ;;"
        return
    yield f"{indent}{part.name}) [ \"$COMP_CWORD\" -gt 2 ] || words='{part.all_words}'"
    yield f'{indent}    [ "$COMP_CWORD" -le 2 ] || case "${{COMP_WORDS[2]}}" in'
    for one in part.under:
        yield from _bash_part(one, indent + "        ")
    yield f"{indent}    esac ;;"


def _zsh(commands: Sequence[Part]) -> Iterator[str]:
    yield "#compdef pegwright"
    yield "# pegwright completion for zsh; to use it: source <(pegwright completion zsh)"
    yield "_pegwright() {"
    yield "    local -a commands"
    yield "    commands=("
    for part in commands:
        yield f"        '{part.name}:{_quoted(part.words)}'"
    yield "    )"
    yield "    if (( CURRENT == 2 )); then"
    yield "        _describe 'command' commands"
    yield "        return"
    yield "    fi"
    yield '    case "${words[CURRENT-1]}" in'
    for name, values in _values(commands).items():
        yield f"        {name}) compadd -- {' '.join(values)}; return ;;"
    yield "    esac"
    yield '    case "${words[2]}" in'
    for part in commands:
        yield from _zsh_part(part)
    yield "    esac"
    yield "}"
    yield "compdef _pegwright pegwright"


def _zsh_part(part: Part, indent: str = " " * 8) -> Iterator[str]:
    if not part.under:
        files = "; _files" if part.takes_file else ""
        yield f"{indent}{part.name}) compadd -- {part.all_words}{files} ;;"
        return
    yield f"{indent}{part.name}) if (( CURRENT == 3 )); then compadd -- {part.all_words}; else"
    yield f'{indent}    case "${{words[3]}}" in'
    for one in part.under:
        yield from _zsh_part(one, indent + "        ")
    yield f"{indent}    esac; fi ;;"


def _fish(commands: Sequence[Part]) -> Iterator[str]:
    yield "# pegwright completion for fish; to use it: pegwright completion fish | source"
    yield "complete -c pegwright -f"
    for part in commands:
        start = "complete -c pegwright -n __fish_use_subcommand"
        yield f"{start} -a {part.name} -d '{_quoted(part.words)}'"
    for part in commands:
        seen = f"__fish_seen_subcommand_from {part.name}"
        if part.under:
            names = " ".join(part.choices)
            yield from _fish_part(part, f"{seen}; and not __fish_seen_subcommand_from {names}")
            for one in part.under:
                yield from _fish_part(one, f"{seen}; and __fish_seen_subcommand_from {one.name}")
        else:
            yield from _fish_part(part, seen)


def _fish_part(part: Part, seen: str) -> Iterator[str]:
    start = f"complete -c pegwright -n '{seen}'"
    if part.choices:
        yield f"{start} -a '{' '.join(part.choices)}'"
    if part.takes_file:
        yield f"{start} -F"
    for option in part.options:
        takes = "" if option.values is None else " -r"
        takes = f" -x -a '{' '.join(option.values)}'" if option.values else takes
        yield f"{start} -l {option.name.removeprefix('--')}{takes} -d '{_quoted(option.words)}'"


def _quoted(words: str) -> str:
    """Words that may stand between single quotes in every shell."""
    return words.replace("'", "").replace(":", ",")
