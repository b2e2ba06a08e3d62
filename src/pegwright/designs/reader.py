"""Reads the text of a design file: TOML in, a checked :class:`Design` out, or one clear refusal.

Nothing here opens a file; see :mod:`pegwright.designs.files`.
"""

from __future__ import annotations

import re
import tomllib
from typing import Any, Final

from pegwright.designs.build import build
from pegwright.designs.check import checked
from pegwright.designs.model import Design
from pegwright.designs.outline import Outline
from pegwright.errors import BadInput, Place

__all__ = [
    "MOST_BYTES",
    "checked_letters",
    "decoded",
    "parse_toml",
    "read_bytes",
    "read_text",
    "too_large",
]

MOST_BYTES: Final = 1_000_000
"""The largest design file that is read: hundreds of times what a rich design needs."""

_AT = re.compile(r"\s*\(at (?:line (\d+), column \d+|end of document)\)$")


def read_text(text: str, name: str = "design") -> Design:
    """A design from its text.

    :param name: what errors call it, usually the file's name.
    :raises BadInput: for anything that is no design; it names the line and the key, and where there
        is more than one thing to mend, it carries the others along.
    """
    # Two bytes a letter is a bound that costs nothing; read_bytes keeps the exact one.
    if len(text) > MOST_BYTES:
        raise too_large(name)
    text = checked_letters(text, name)
    outline = Outline(text, name)
    design = parse_toml(text, name)
    return build(checked(design, outline), text, outline)


def read_bytes(data: bytes, name: str = "design") -> Design:
    """A design from the bytes of its file, which are UTF-8; see :func:`read_text`."""
    if len(data) > MOST_BYTES:
        raise too_large(name)
    return read_text(decoded(data, name), name)


def decoded(data: bytes, name: str) -> str:
    """The text of a file's bytes.

    :raises BadInput: where they are not UTF-8; it names the line.
    """
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError as wrong:
        line = data.count(b"\n", 0, wrong.start) + 1
        raise BadInput(
            "the file is not plain UTF-8 text",
            given=f"byte {wrong.start + 1} is 0x{data[wrong.start]:02x}",
            hint="open it in a text editor and save it as UTF-8",
            place=Place(name, line),
        ) from None


def too_large(name: str) -> BadInput:
    """The refusal of a file that is larger than any design."""
    return BadInput(
        "the file is too large to be a design",
        given=f"more than {MOST_BYTES // 1_000_000} MB",
        hint="a design is a short text file; see docs/design-files.md",
        place=Place(name),
    )


def checked_letters(text: str, name: str) -> str:
    """The text without its byte-order mark.

    :raises BadInput: for what no text file holds: NUL, and halves of letters that UTF-8 cannot
        write.
    """
    match = re.search("[\x00\ud800-\udfff]", text)
    if match is None:
        return text.removeprefix("\ufeff")
    raise BadInput(
        "the file holds a character that no text has",
        given=f"U+{ord(match.group()):04X}",
        hint="it may be a file of another kind; a design is plain text",
        place=Place(name, text.count("\n", 0, match.start()) + 1),
    )


def parse_toml(text: str, name: str) -> dict[str, Any]:
    """The data in a TOML text.

    :raises BadInput: where it cannot be read; it names the line.
    """
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as wrong:
        words = str(wrong)
        at = _AT.search(words)
        line = int(at.group(1)) if at and at.group(1) else text.count("\n") + 1 if at else None
        raise BadInput(
            "this line cannot be read as part of a design",
            given=_AT.sub("", words),
            hint='write: key = value, with text and lengths in quotes, as pitch = "7/16 in"',
            place=Place(name, line),
        ) from None
    except (ValueError, OverflowError):  # a number or a date beyond all bounds
        raise BadInput(
            "the file holds a number that is too large to be read",
            hint="write lengths and counts as plain numbers",
            place=Place(name),
        ) from None
    except RecursionError:
        raise BadInput(
            "lists or tables lie too deep inside one another",
            hint="a design is a short file; see docs/design-files.md",
            place=Place(name),
        ) from None
