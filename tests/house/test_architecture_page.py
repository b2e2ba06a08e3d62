"""docs/architecture.md has a section for every room of the house, and for no other."""

from __future__ import annotations

import re
from pathlib import Path


def test_every_room_has_its_section(repo: Path) -> None:
    page = (repo / "docs" / "architecture.md").read_text(encoding="utf-8")
    built, _, later = page.partition("## Rooms still to come")
    told = set(re.findall(r"^### `(\w+)`", built, flags=re.MULTILINE))
    package = repo / "src" / "pegwright"
    rooms = {file.relative_to(package).with_suffix("").parts[0] for file in package.rglob("*.py")}
    rooms -= {"__init__", "__main__"}
    assert told >= rooms, f"no section for {sorted(rooms - told)}"
    assert later, "the page lost its last part"
    for room in re.findall(r"^### `(\w+)`", later, flags=re.MULTILINE):
        assert room not in rooms, f"{room} is built: move its section up"
