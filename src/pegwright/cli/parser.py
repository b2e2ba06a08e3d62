"""The parser of the command line: refusals as our own errors, with the nearest word for a slip."""

from __future__ import annotations

import argparse
import difflib
from collections.abc import Iterable, Sequence
from typing import Any, NoReturn, Protocol

from pegwright.errors import BadUse

__all__ = ["Command", "Parser", "add_parts", "build_parser", "every_parser", "subparsers"]


class Command(Protocol):
    """What each module of a command offers."""

    NAME: str
    WORDS: str
    """What it does, in one line."""

    def add_arguments(self, parser: argparse.ArgumentParser) -> None:
        """Declare what the command takes."""
        ...

    def run(self, options: argparse.Namespace) -> int:
        """Do it; gives the exit code."""
        ...


class Parser(argparse.ArgumentParser):
    """An argument parser that raises :class:`BadUse` and never guesses at shortened options."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("allow_abbrev", False)
        super().__init__(*args, **kwargs)

    def error(self, message: str) -> NoReturn:
        """Raise what is wrong with the words typed."""
        raise BadUse(message, hint=f"{self.prog} --help")

    def _check_value(self, action: argparse.Action, value: Any) -> None:
        if action.choices is None or value in action.choices:
            return
        known = [str(choice) for choice in action.choices]
        named = action.dest in ("command", "part")
        what = "no such command" if named else "not one of the choices"
        raise BadUse(what, given=str(value), hint=meant(str(value), known))

    def parse(self, arguments: Sequence[str]) -> argparse.Namespace:
        """Parse everything that was typed.

        :raises BadUse: where it cannot be understood.
        """
        options, extra = self.parse_known_args(list(arguments))
        if not extra:
            return options
        parser: argparse.ArgumentParser = self
        for name in ("command", "part"):
            parser = subparsers(parser).get(str(getattr(options, name, "")), parser)
        if not extra[0].startswith("-"):
            raise BadUse("one word too many", given=extra[0], hint=f"{parser.prog} --help")
        typed = extra[0].partition("=")[0]
        raise BadUse("no such option", given=typed, hint=meant(typed, option_strings(parser)))


def meant(typed: str, known: Iterable[str]) -> str:
    """A hint: the known word that is nearest, or all of them."""
    names = list(known)
    near = difflib.get_close_matches(typed, names, n=1, cutoff=0.5)
    return f"did you mean {near[0]}?" if near else f"one of: {', '.join(names)}"


def option_strings(parser: argparse.ArgumentParser) -> list[str]:
    """The options of a parser, as they are typed in full."""
    return [s for a in parser._actions for s in a.option_strings if s.startswith("--")]


def subparsers(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The parsers of the commands by name."""
    for action in parser._actions:
        if isinstance(action, argparse._SubParsersAction):
            return dict(action.choices)
    return {}


def every_parser(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
    """The parsers of the commands and of their parts, by all their words: ``yarn split``."""
    found: dict[str, argparse.ArgumentParser] = {}
    for name, sub in subparsers(parser).items():
        found[name] = sub
        found |= {f"{name} {part}": under for part, under in subparsers(sub).items()}
    return found


def add_parts(parser: argparse.ArgumentParser, parts: Iterable[Command]) -> None:
    """Commands under a command, such as ``pegwright yarn split``."""
    under = parser.add_subparsers(dest="part", metavar="COMMAND", title="commands")
    for part in parts:
        sub = under.add_parser(part.NAME, help=part.WORDS, description=part.WORDS)
        part.add_arguments(sub)
        sub.set_defaults(run=part.run)


def build_parser(commands: Iterable[Command], version: str) -> Parser:
    """The parser with every command."""
    parser = Parser(
        prog="pegwright",
        description="Design, prove and write up hand-knitting on peg boards and peg looms.",
        epilog="Each command explains itself: pegwright COMMAND --help",
    )
    parser.add_argument("--version", action="version", version=f"pegwright {version}")
    under = parser.add_subparsers(
        dest="command", metavar="COMMAND", title="commands", parser_class=Parser
    )
    for command in commands:
        sub = under.add_parser(command.NAME, help=command.WORDS, description=command.WORDS)
        command.add_arguments(sub)
        sub.set_defaults(run=command.run)
    return parser
