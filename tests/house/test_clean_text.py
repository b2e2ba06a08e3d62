"""No file names the place it was written at, or fetches anything from the network.

The words looked for are put together here from halves, so that this file passes its own test.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

_FOLDERS = ("src", "tests", "docs", "bench", "requirements", "tools", ".ci")
_MADE = {"__pycache__", ".mypy_cache", ".ruff_cache", ".pytest_cache", ".hypothesis"}

_REGISTRY_HOSTS = tuple(
    "".join(halves)
    for halves in (
        ("pyp", "i.org"),
        ("pythonhos", "ted.org"),
        ("npm", "js.org"),
        ("npm", "js.com"),
        ("yarn", "pkg.com"),
        ("deb.deb", "ian.org"),
        ("crate", "s.io"),
        ("proxy.go", "lang.org"),
    )
)
_CDN_HOSTS = tuple(
    "".join(halves)
    for halves in (
        ("jsde", "livr.net"),
        ("unp", "kg.com"),
        ("cdnjs.cloud", "flare.com"),
        ("googlea", "pis.com"),
        ("gsta", "tic.com"),
        ("esm", ".sh"),
    )
)
_MACHINE_PATH = re.compile(
    r"(?<![\w.$~{}-])/(?:" + "|".join(("wo" + "rk", "ro" + "ot", "ho" + "me", "Us" + "ers")) + ")/"
)
_FETCH = re.compile(
    r"""(?xi)
      \bsrc\s*=\s*["']?https?://(?!localhost|127\.0\.0\.1)
    | <link\b[^>]*\bhref\s*=\s*["']?https?://
    | @import\s+(?:url\()?\s*["']?https?://
    | \burl\(\s*["']?https?://
    | \b(?:fetch|urlopen|importScripts)\(\s*f?["'`]https?://(?!localhost|127\.0\.0\.1)
    | \bimport\b[^;\n]*["']https?://
    """
)


def texts(repo: Path) -> Iterator[tuple[Path, str]]:
    """Every text file of the tree, by its path inside it."""
    files = [file for file in repo.iterdir() if file.is_file()]
    for folder in _FOLDERS:
        files += [file for file in (repo / folder).rglob("*") if file.is_file()]
    for file in sorted(files):
        path = file.relative_to(repo)
        if _MADE & set(path.parts) or any(part.endswith(".egg-info") for part in path.parts):
            continue
        try:
            yield path, file.read_text(encoding="utf-8")
        except UnicodeDecodeError:
            continue  # a font or a picture


def faults(text: str) -> list[str]:
    """What in a text does not belong there."""
    lowered = text.lower()
    found = [host for host in (*_REGISTRY_HOSTS, *_CDN_HOSTS) if host in lowered]
    found += [match.group() for match in _MACHINE_PATH.finditer(text)]
    found += [match.group() for match in _FETCH.finditer(text)]
    return found


def test_the_tree_is_clean(repo: Path) -> None:
    seen = 0
    wrong = []
    for path, text in texts(repo):
        seen += 1
        wrong += [f"{path}: {fault}" for fault in faults(text)]
    assert seen > 20, "the tree was not found"
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    "text",
    [
        "--index-url https:" + "//pyp" + "i.org/simple",
        "see /wo" + "rk/main/src",
        'open("/ho' + 'me/someone/loom.toml")',
        '<script src="https:' + '//example.org/a.js">',
        '<link rel="stylesheet" href="https:' + '//example.org/a.css">',
        "@import url(https:" + "//example.org/a.css);",
        'fetch("https:' + '//example.org/data.json")',
        'import x from "https:' + '//example.org/x.js"',
    ],
)
def test_what_does_not_belong_is_seen(text: str) -> None:
    assert faults(text)


@pytest.mark.parametrize(
    "text",
    [
        'xmlns="http://www.w3.org/2000/svg"',  # a name, never fetched
        '<a href="https://schema.org/HowTo">HowTo</a>',  # followed only by a reader's own click
        'fetch("/api/looms")',
        'fetch("http://127.0.0.1:8080/api/looms")',
        "docs/work/flow.md and ~/home/",  # a path inside a folder, not the machine's
    ],
)
def test_what_belongs_is_left_alone(text: str) -> None:
    assert not faults(text)
