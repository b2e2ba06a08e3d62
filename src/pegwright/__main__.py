"""``python -m pegwright`` is the command ``pegwright``."""

from __future__ import annotations

from pegwright.cli.main import entry

if __name__ == "__main__":
    entry()
