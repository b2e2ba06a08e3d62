"""Where the studio listens, where its library lies, and how much it takes at a time."""

from __future__ import annotations

import os
import sys
from dataclasses import dataclass, field
from pathlib import Path

__all__ = ["DEFAULT_PORT", "Settings", "default_library"]

DEFAULT_PORT = 8311

_LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


def default_library() -> Path:
    """The maker's own library: ``PEGWRIGHT_LIBRARY``, or a file in her own data folder."""
    named = os.environ.get("PEGWRIGHT_LIBRARY")
    if named:
        return Path(named)
    home = Path.home()
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or home / "AppData" / "Local")
    elif sys.platform == "darwin":
        base = home / "Library" / "Application Support"
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or home / ".local" / "share")
    return base / "pegwright" / "library.db"


@dataclass(frozen=True, slots=True)
class Settings:
    """How the studio runs.

    :param library: the library's file; it is made where there is none.
    :param port: port on the loopback address; 0 takes any that is free.
    :param extra_hosts: further ``Host`` values that are answered, such as a test client's.
    :param most_json_bytes: the longest request that is no upload.
    :param most_upload_bytes: the largest photo, design or library that is taken.
    """

    library: Path = field(default_factory=default_library)
    host: str = "127.0.0.1"
    port: int = DEFAULT_PORT
    extra_hosts: tuple[str, ...] = ()
    most_json_bytes: int = 1_500_000
    most_upload_bytes: int = 25_000_000

    @property
    def hosts(self) -> frozenset[str]:
        """``Host`` values that are answered: the loopback's names at this port, and the extras."""
        return frozenset({*(f"{name}:{self.port}" for name in _LOOPBACK), *self.extra_hosts})

    @property
    def address(self) -> str:
        """The studio's address in a browser."""
        return f"http://{self.host}:{self.port}/"
