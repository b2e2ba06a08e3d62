"""A command run in this process, and what it answered."""

from __future__ import annotations

import json
from collections.abc import Callable
from typing import Any, NamedTuple

import pytest

from pegwright.cli.main import main

__all__ = ["Ran", "Run", "runner"]


class Ran(NamedTuple):
    """An exit code and what stood on both outputs."""

    code: int
    out: str
    err: str

    @property
    def data(self) -> Any:
        """The output read as JSON."""
        return json.loads(self.out)


Run = Callable[..., Ran]


def runner(capsys: pytest.CaptureFixture[str], *first: str) -> Run:
    """Runs commands whose words all begin with ``first``."""

    def command(*words: object) -> Ran:
        capsys.readouterr()
        code = main([*first, *(str(word) for word in words)])
        return Ran(code, *capsys.readouterr())

    return command
