"""The one place where design files are opened: a path, what is piped in, or a shipped design."""

from __future__ import annotations

import stat
import sys
from importlib.resources import files
from pathlib import Path
from typing import BinaryIO

from pegwright.designs.model import Design
from pegwright.designs.problems import nearest
from pegwright.designs.reader import MOST_BYTES, read_bytes, read_text, too_large
from pegwright.errors import BadInput, Place

__all__ = [
    "file_bytes",
    "read_any",
    "read_file",
    "read_stdin",
    "shipped_designs",
    "shipped_stash_text",
    "shipped_stashes",
    "shipped_text",
]

_SHIPPED = "shipped"
_STASHES = "stashes"
_ENDING = ".toml"


def read_any(given: str) -> Design:
    """A design by what a maker types: ``-`` for what is piped in, a path, or a shipped name.

    A file of that name comes before a shipped design.
    """
    if given == "-":
        return read_stdin()
    path = Path(given)
    known = shipped_designs()
    if given in known and not path.is_file():
        return read_text(shipped_text(given), f"{given}{_ENDING}")
    if _looks_like_a_name(given) and not path.exists():
        raise BadInput(
            "there is no such file, and no such design comes with Pegwright",
            given=given,
            hint=nearest(given, known),
        )
    return read_file(path)


def read_file(path: Path) -> Design:
    """The design in a file.

    :raises BadInput: for what is no plain file, cannot be opened, or holds no design.
    """
    return read_bytes(file_bytes(path), str(path))


def read_stdin(stream: BinaryIO | None = None) -> Design:
    """The design that is piped in."""
    source = stream or sys.stdin.buffer
    data = source.read(MOST_BYTES + 1)
    if not data.strip():
        raise BadInput(
            "nothing was piped in", hint="pegwright make - < my-design.toml", place=Place("-")
        )
    return read_bytes(data, "-")


def shipped_designs() -> tuple[str, ...]:
    """Names of the designs that come with Pegwright, in alphabetical order."""
    return _names_in(_SHIPPED)


def shipped_stashes() -> tuple[str, ...]:
    """Names of the stashes that come with Pegwright, in alphabetical order."""
    return _names_in(_STASHES)


def _names_in(folder: str) -> tuple[str, ...]:
    names = (entry.name for entry in files("pegwright.designs").joinpath(folder).iterdir())
    return tuple(sorted(name.removesuffix(_ENDING) for name in names if name.endswith(_ENDING)))


def shipped_stash_text(name: str) -> str:
    """The text of a stash of :func:`shipped_stashes`."""
    entry = files("pegwright.designs").joinpath(_STASHES, name + _ENDING)
    return entry.read_text(encoding="utf-8")


def shipped_text(name: str) -> str:
    """The text of a shipped design.

    :raises BadInput: where none of that name comes with Pegwright.
    """
    known = shipped_designs()
    if name not in known:
        raise BadInput("no such design comes with Pegwright", given=name, hint=nearest(name, known))
    entry = files("pegwright.designs").joinpath(_SHIPPED, name + _ENDING)
    return entry.read_text(encoding="utf-8")


def _looks_like_a_name(given: str) -> bool:
    return not given.endswith(_ENDING) and Path(given).name == given


def file_bytes(path: Path) -> bytes:
    """What is in a file that may be as large as a design.

    :raises BadInput: for what is no plain file, cannot be opened, or is too large.
    """
    place = Place(str(path))
    try:
        kind = path.stat().st_mode
        if not stat.S_ISREG(kind):
            what = "this is a folder" if stat.S_ISDIR(kind) else "this is no plain file"
            raise BadInput(what, hint="name the design file itself", place=place)
        with path.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        raise BadInput(
            "there is no such file",
            given=str(path),
            hint="check the name; a new design: pegwright new",
            place=place,
        ) from None
    except (OSError, ValueError) as wrong:  # no permission, a name with NUL or too long
        words = wrong.strerror if isinstance(wrong, OSError) and wrong.strerror else str(wrong)
        raise BadInput("the file cannot be opened", given=words, place=place) from None
    if len(data) > MOST_BYTES:
        raise too_large(str(path))
    return data
