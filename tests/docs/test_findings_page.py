"""Every finding that can be reported stands on docs/findings.md, with its weight."""

from __future__ import annotations

import re
from pathlib import Path

from pegwright.errors import Spot
from pegwright.knitting.faults import Fault, finding


def documented(repo: Path) -> dict[str, str]:
    page = (repo / "docs" / "findings.md").read_text()
    return dict(re.findall(r"^\| `([a-z-]+)` \| (\w+) \|", page, re.MULTILINE))


def test_every_fault_is_documented_with_its_weight(repo: Path) -> None:
    page = documented(repo)
    for fault in Fault:
        assert page[str(fault)] == str(finding(fault, "x", Spot()).severity)


def test_every_name_in_the_code_is_documented(repo: Path) -> None:
    """Names are written as the first argument of a Finding; each must stand on the page."""
    named: set[str] = set()
    for file in (repo / "src" / "pegwright").rglob("*.py"):
        named |= set(re.findall(r'Finding\(\s*(?:name=)?"([a-z-]+)"', file.read_text()))
    assert named, "no finding was found in the code"
    assert named <= set(documented(repo))
