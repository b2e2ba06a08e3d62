"""The one place where the command writes files: whole or not at all, and only where it was told."""

from __future__ import annotations

import os
import re
import tempfile
from collections.abc import Mapping
from pathlib import Path

from pegwright.errors import BadInput, Place

__all__ = ["write_new", "write_pack"]

_SAFE_NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]{0,120}")


def write_pack(folder: Path, pack: Mapping[str, bytes]) -> tuple[Path, ...]:
    """Write files into a folder, which is made if it is not there; files of before are replaced.

    Each is written beside its place and moved there when it is whole, so that no reader ever finds
    half a pattern.

    :raises BadInput: where a name would lead out of the folder, or the folder cannot be written.
    """
    for name in pack:
        if not _SAFE_NAME.fullmatch(name):
            raise BadInput(
                "a file may not be written outside the folder that was named",
                given=name,
                hint="name the design and its sizes with letters, digits and hyphens",
            )
    try:
        folder.mkdir(parents=True, exist_ok=True)
        return tuple(_replace(folder / name, data) for name, data in pack.items())
    except OSError as wrong:
        raise _cannot(folder, wrong) from None


def write_new(path: Path, text: str) -> None:
    """Write a file that was not there before.

    :raises BadInput: where there is one already, or it cannot be written.
    """
    try:
        with path.open("x", encoding="utf-8", newline="\n") as file:
            file.write(text)
    except FileExistsError:
        raise BadInput(
            "there is a file of this name already, and it stays as it is",
            given=str(path),
            hint="choose another name",
            place=Place(str(path)),
        ) from None
    except (OSError, ValueError) as wrong:
        raise _cannot(path, wrong) from None


def _replace(path: Path, data: bytes) -> Path:
    handle, beside = tempfile.mkstemp(prefix=f".{path.name}.", dir=path.parent)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        Path(beside).chmod(0o666 & ~_umask())
        Path(beside).replace(path)
    except BaseException:
        Path(beside).unlink(missing_ok=True)
        raise
    return path


def _umask() -> int:
    mask = os.umask(0)
    os.umask(mask)
    return mask


def _cannot(path: Path, wrong: Exception) -> BadInput:
    words = wrong.strerror if isinstance(wrong, OSError) and wrong.strerror else str(wrong)
    return BadInput(
        "this cannot be written",
        given=f"{path}: {words}",
        hint="choose a folder that you may write to",
        place=Place(str(path)),
    )
