"""The lists of requirements agree, and every recipe explains itself."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

import pytest

from bench.core import DEMO_DESIGN

_PIN = re.compile(r"^[A-Za-z0-9_.-]+==\S+( ; [^\\]+)? \\$")


def names_in(lines: list[str]) -> set[str]:
    """Names of the distributions that a list of requirements asks for, without their versions."""
    wanted = [line.strip() for line in lines if line.strip() and line[0] not in "#-"]
    return {re.split(r"[^A-Za-z0-9_.-]", line)[0].lower() for line in wanted}


def lines_of(repo: Path, name: str) -> list[str]:
    return (repo / "requirements" / name).read_text(encoding="utf-8").splitlines()


def test_the_locked_lists_ask_for_what_the_project_asks_for(repo: Path) -> None:
    project = tomllib.loads((repo / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    extras = project["optional-dependencies"]
    shipped = [name for e in ("studio", "plan", "board", "lesson") for name in extras[e]]
    for_running = names_in(project["dependencies"] + shipped)
    assert names_in(lines_of(repo, "run.in")) == for_running
    for_tests = names_in(extras["test"]) | names_in(extras["dev"])
    assert names_in(lines_of(repo, "test.in")) == for_tests - {"pegwright"}


@pytest.mark.parametrize("kind", ["build", "run", "test"])
def test_a_locked_list_holds_all_that_was_asked_for(kind: str, repo: Path) -> None:
    assert names_in(lines_of(repo, f"{kind}.in")) <= names_in(lines_of(repo, f"{kind}.txt"))


@pytest.mark.parametrize("name", ["build.txt", "run.txt", "test.txt"])
def test_every_locked_requirement_has_one_version_and_a_hash(name: str, repo: Path) -> None:
    lines = lines_of(repo, name)
    pins = [index for index, line in enumerate(lines) if line and line[0] not in " #"]
    assert pins
    for index in pins:
        assert _PIN.match(lines[index]), lines[index]
        assert lines[index + 1].startswith("    --hash=sha256:"), lines[index]


def test_every_recipe_carries_a_line_of_explanation(repo: Path) -> None:
    makefile = (repo / "Makefile").read_text(encoding="utf-8")
    targets = re.findall(r"^([a-z][a-z-]*):(?!=)(.*)$", makefile, flags=re.MULTILINE)
    assert {name for name, _ in targets} >= {"help", "demo", "test", "bench", "lint", "lock"}
    for name, rest in targets:
        assert re.search(r"## \S", rest), f"make {name} does not say what it does"


def test_the_demo_is_a_design_that_ships(repo: Path) -> None:
    makefile = (repo / "Makefile").read_text(encoding="utf-8")
    match = re.search(r"^DEMO := (\S+)$", makefile, flags=re.MULTILINE)
    assert match is not None
    assert match.group(1) == DEMO_DESIGN
    assert (repo / "src/pegwright/designs/shipped" / f"{DEMO_DESIGN}.toml").is_file()
