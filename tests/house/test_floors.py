"""Imports only point down: every room stands on the floors below it and on nothing else."""

from __future__ import annotations

import ast
from pathlib import Path

import pytest

GROUND = frozenset({"errors", "tongue", "units", "measured"})

# Room → the rooms that it may import.  The ground is open to everyone; within it, errors come
# first.  A new room fails here until it has been given its place, here and in docs/architecture.md.
_MAY: dict[str, frozenset[str]] = {
    "errors": frozenset(),
    "tongue": frozenset({"errors"}),
    "units": frozenset({"errors", "tongue"}),
    "measured": frozenset({"errors", "tongue", "units"}),
}
_MAY["loom"] = GROUND
_MAY["yarn"] = GROUND
_MAY["sizing"] = GROUND
_MAY["knitting"] = GROUND | {"loom", "yarn"}
_MAY["gauge"] = _MAY["knitting"] | {"knitting"}
_MAY["garments"] = _MAY["gauge"] | {"gauge", "sizing"}
_MAY["planning"] = _MAY["garments"] | {"garments"}
_MAY["safety"] = _MAY["garments"] | {"garments"}
_MAY["pattern"] = _MAY["planning"] | {"planning", "safety"}
# An exporter reads the finished document, and the shapes of looms and yarns that it draws.
_MAY["publish"] = GROUND | {"loom", "yarn", "pattern"}
_MAY["designs"] = _MAY["garments"] | {"garments"}
_MAY["lesson"] = _MAY["pattern"] | {"pattern", "publish", "designs"}
_MAY["making"] = _MAY["lesson"] | {"lesson"}
_MAY["refit"] = _MAY["making"] | {"making"}
_MAY["catalogue"] = _MAY["refit"] | {"refit"}
_MAY["testknit"] = _MAY["making"] | {"making"}
_MAY["library"] = _MAY["gauge"] | {"gauge", "sizing"}
_MAY["studio"] = _MAY["catalogue"] | {"catalogue", "library", "testknit"}
_MAY["cli"] = _MAY["studio"] | {"studio"}
_MAY["__main__"] = frozenset({"cli"})
_MAY["__init__"] = frozenset()

# Rooms that know no disk, screen or clock.  (Tables that ship inside the package are read through
# importlib.resources, which is not on this list.)
_PURE = GROUND | {
    "loom",
    "yarn",
    "sizing",
    "knitting",
    "gauge",
    "garments",
    "planning",
    "safety",
    "pattern",
    "refit",
    "testknit",
}
_OUTSIDE = frozenset(
    {"http", "logging", "shutil", "socket", "sqlite3", "subprocess", "tempfile", "urllib"}
)


def room_of(file: Path, package: Path) -> str:
    """The room that a source file stands in: its folder, or its own name at the top."""
    return file.relative_to(package).with_suffix("").parts[0]


def imported(source: str) -> set[tuple[str, ...]]:
    """The dotted names that a source imports anywhere, inside functions too.

    ``from a import b`` counts as ``a.b``, since ``b`` may be a module.
    """
    names: set[tuple[str, ...]] = set()
    for node in ast.walk(ast.parse(source)):
        if isinstance(node, ast.Import):
            names.update(tuple(alias.name.split(".")) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, "a relative import hides which room it points at"
            base = tuple((node.module or "").split("."))
            names.update((*base, alias.name) for alias in node.names)
    return names


def rooms_imported(source: str, rooms: frozenset[str]) -> set[str]:
    """The rooms that a source imports; names of the package itself (its version) are none."""
    return {
        name[1]
        for name in imported(source)
        if name[0] == "pegwright" and len(name) > 1 and name[1] in rooms
    }


@pytest.fixture(scope="module")
def package(repo: Path) -> Path:
    return repo / "src" / "pegwright"


@pytest.fixture(scope="module")
def sources(package: Path) -> list[Path]:
    found = sorted(package.rglob("*.py"))
    assert len(found) > 10, "the sources were not found"
    return found


def test_every_room_has_a_floor(sources: list[Path], package: Path) -> None:
    assert {room_of(file, package) for file in sources} <= set(_MAY)


def test_the_floors_have_no_way_round() -> None:
    for room, below in _MAY.items():
        for lower in below:
            assert room not in _MAY[lower], f"{room} and {lower} may import each other"


def test_imports_only_point_down(sources: list[Path], package: Path) -> None:
    wrong = []
    for file in sources:
        room = room_of(file, package)
        used = rooms_imported(file.read_text(encoding="utf-8"), frozenset(_MAY)) - {room}
        wrong += [f"{file.relative_to(package)} ({room}) imports {up}" for up in used - _MAY[room]]
    assert not wrong, "\n".join(wrong)


def test_no_room_is_imported_under_a_name_that_is_unknown(
    sources: list[Path], package: Path
) -> None:
    own = {"__version__"}
    for file in sources:
        for name in imported(file.read_text(encoding="utf-8")):
            if name[0] == "pegwright" and len(name) > 1:
                assert name[1] in _MAY.keys() | own, f"{file.name} imports {'.'.join(name)}"


def test_the_core_touches_nothing_outside(sources: list[Path], package: Path) -> None:
    wrong = []
    for file in sources:
        if room_of(file, package) in _PURE:
            tops = {name[0] for name in imported(file.read_text(encoding="utf-8"))}
            wrong += [f"{file.relative_to(package)} imports {top}" for top in tops & _OUTSIDE]
    assert not wrong, "\n".join(wrong)


@pytest.mark.parametrize(
    ("source", "rooms"),
    [
        ("import pegwright.publish.svg", {"publish"}),
        ("from pegwright import publish", {"publish"}),
        ("from pegwright import __version__", set()),
        ("def lazy():\n    from pegwright.loom.board import Loom", {"loom"}),
        ("import pegwrightish.publish", set()),
    ],
)
def test_the_reader_of_imports_sees_every_form(source: str, rooms: set[str]) -> None:
    assert rooms_imported(source, frozenset(_MAY)) == rooms
