"""Where the studio listens, where its library lies, and how much it takes at a time."""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path

from pegwright.library.places import backup_folder, default_path

__all__ = ["DEFAULT_PORT", "Settings"]

DEFAULT_PORT = 8311

_LOOPBACK = ("127.0.0.1", "localhost", "[::1]")


@dataclass(frozen=True, slots=True)
class Settings:
    """How the studio runs.

    :param library: the library's file; it is made where there is none.
    :param port: port on the loopback address; 0 takes any that is free.
    :param scheme: ``https`` where it answers encrypted.
    :param extra_hosts: further ``Host`` values that are answered, such as a test client's.
    :param most_json_bytes: the longest request that is no upload.
    :param most_upload_bytes: the largest photo, design or library that is taken.
    """

    library: Path = field(default_factory=default_path)
    host: str = "127.0.0.1"
    port: int = DEFAULT_PORT
    scheme: str = "http"
    extra_hosts: tuple[str, ...] = ()
    most_json_bytes: int = 1_500_000
    most_upload_bytes: int = 25_000_000

    @property
    def hosts(self) -> frozenset[str]:
        """``Host`` values that are answered: the loopback's names at this port, and the extras."""
        return frozenset({*(f"{name}:{self.port}" for name in _LOOPBACK), *self.extra_hosts})

    @property
    def backups(self) -> Path:
        """The folder of the library's backups."""
        return backup_folder(self.library)

    @property
    def address(self) -> str:
        """The studio's address in a browser."""
        return f"{self.scheme}://{self.host}:{self.port}/"
