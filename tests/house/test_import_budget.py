"""Starting the command stays cheap: heavy libraries come in only when they are needed."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

_HEAVY = ("numpy", "pydantic", "typst", "tomlkit", "fontTools", "jinja2", "sqlite3", "asyncio")
_PROBE = """
import importlib, sys
importlib.import_module(sys.argv[1])
print(" ".join(sorted({name.partition(".")[0] for name in sys.modules})))
"""


def modules_after(module: str, repo: Path) -> set[str]:
    """Top-level modules that a fresh Python holds after importing ``module``."""
    run = subprocess.run(
        [sys.executable, "-c", _PROBE, module],
        check=False,
        capture_output=True,
        text=True,
        env={**os.environ, "PYTHONPATH": str(repo / "src")},
    )
    assert run.returncode == 0, run.stderr
    return set(run.stdout.split())


@pytest.mark.parametrize("module", ["pegwright", "pegwright.cli.main"])
def test_nothing_heavy_comes_in_at_start(module: str, repo: Path) -> None:
    loaded = modules_after(module, repo)
    assert "pegwright" in loaded
    assert loaded.isdisjoint(_HEAVY), sorted(loaded & set(_HEAVY))


def test_the_probe_sees_a_heavy_module(repo: Path) -> None:
    assert "numpy" in modules_after("numpy.linalg", repo)
