"""Files that only their owner may read."""

from __future__ import annotations

import contextlib
import os
from pathlib import Path

__all__ = ["write_private"]


def write_private(path: Path, data: bytes) -> None:
    """Write a file whole, or leave the one that is there; no one else may read it at any time.

    :raises OSError: where it cannot be written.
    """
    part = path.with_name(f"{path.name}.part")
    try:
        part.unlink(missing_ok=True)
        handle = os.open(part, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600)
        with os.fdopen(handle, "wb") as file:
            file.write(data)
        part.replace(path)
    except OSError:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        raise
