"""Where the library is kept when nobody says otherwise.

``PEGWRIGHT_LIBRARY`` names another file.  Otherwise it lies in the folder where the system keeps a
user's own data: ``XDG_DATA_HOME`` (XDG Base Directory Specification), ``Application Support`` on
macOS, ``LOCALAPPDATA`` on Windows.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Mapping
from pathlib import Path

__all__ = ["VARIABLE", "backup_folder", "default_path"]

VARIABLE = "PEGWRIGHT_LIBRARY"


def default_path(
    environment: Mapping[str, str] | None = None,
    platform: str = sys.platform,
    home: Path | None = None,
) -> Path:
    """The library's file for this user; all three are read from the system unless given."""
    env = os.environ if environment is None else environment
    if named := env.get(VARIABLE):
        return Path(named).expanduser()
    return _data_folder(env, platform, home or Path.home()) / "library.sqlite"


def backup_folder(path: Path) -> Path:
    """The folder of a library's backups, beside it."""
    return path.with_name(f"{path.stem}-backups")


def _data_folder(env: Mapping[str, str], platform: str, home: Path) -> Path:
    if platform == "win32":
        local = env.get("LOCALAPPDATA")
        return (Path(local) if local else home / "AppData" / "Local") / "Pegwright"
    if platform == "darwin":
        return home / "Library" / "Application Support" / "Pegwright"
    given = Path(env.get("XDG_DATA_HOME", ""))
    return (given if given.is_absolute() else home / ".local" / "share") / "pegwright"
