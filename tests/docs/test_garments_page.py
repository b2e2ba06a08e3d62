"""The garment on docs/garments.md is a garment: it plans, proves and prints."""

from __future__ import annotations

import re
from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pegwright.designs.files import read_any
from pegwright.garments import registry
from pegwright.garments.base import Garment, Wearer
from pegwright.making import make


@pytest.fixture
def dish_square(repo: Path) -> Garment:
    page = (repo / "docs" / "garments.md").read_text()
    code = re.search(r"```python\n(.*?)```", page, re.DOTALL)
    assert code is not None
    names: dict[str, Any] = {"__name__": "my_garments"}
    exec(compile(code.group(1), "docs/garments.md", "exec", dont_inherit=True), names)
    made = names["DISH_SQUARE"]
    assert isinstance(made, Garment)
    return made


def test_a_plugged_in_garment_is_proved_and_printed(
    dish_square: Garment, monkeypatch: pytest.MonkeyPatch
) -> None:
    class Point:
        name = "dish-square"
        value = "my_garments:DISH_SQUARE"

        def load(self) -> Garment:
            return dish_square

    def points(group: str) -> list[Point]:
        assert group == "pegwright.garments"
        return [Point()]

    monkeypatch.setattr(registry, "entry_points", points)
    assert registry.garment("dish-square") is dish_square
    design = read_any("tern-point-hood")
    size = replace(design.sizes[0], measures={"side": 200.0}, wearer=Wearer.ADULT)
    made, pattern = make(replace(design, garment="dish-square", options={}, sizes=(size,)))
    assert made.findings == ()
    assert pattern is not None
    assert len(pattern.steps()) == 7
