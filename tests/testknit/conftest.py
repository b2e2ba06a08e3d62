"""The Tern Point hood, proved once, and a way to fill its form in."""

from __future__ import annotations

import re
from collections.abc import Callable

import pytest

from pegwright import making
from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from pegwright.making import Made
from pegwright.pattern.model import Pattern
from pegwright.testknit.basis import Basis, basis
from pegwright.testknit.sheet_file import sheet_toml

Fill = Callable[..., str]


@pytest.fixture(scope="session")
def hood() -> tuple[Made, Pattern]:
    text = shipped_text("tern-point-hood").replace("[loom]", 'version = "1.0"\n\n[loom]', 1)
    made, pattern = making.make(read_text(text))
    assert pattern is not None
    return made, pattern


@pytest.fixture(scope="session")
def base(hood: tuple[Made, Pattern]) -> Basis:
    return basis(*hood)


@pytest.fixture(scope="session")
def fill(base: Basis) -> Fill:
    """The file of a size with answers written in: ``fill("bow", depth="27 cm")``.

    A key takes the first empty line of its name; ``key__2`` the second.
    """

    def filled(size: str, **answers: str) -> str:
        text = sheet_toml(base.sheets[size])
        for name, value in answers.items():
            key, _, nth = name.partition("__")
            lines = [m.start() for m in re.finditer(rf"^{key} = \"\"", text, re.MULTILINE)]
            at = lines[int(nth or 1) - 1]
            empty = text.index('""', at)
            text = text[:empty] + f'"{value}"' + text[empty + 2 :]
        return text

    return filled
