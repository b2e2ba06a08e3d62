"""Designs of the Tern Point club, made once for all tests of the lesson pack."""

from __future__ import annotations

import functools
from dataclasses import dataclass, replace

import pytest

from pegwright.designs.files import read_any
from pegwright.lesson.cue_sheet import CueSheet, cue_sheet
from pegwright.lesson.template import USUAL
from pegwright.making import make, source_of
from pegwright.pattern.build import build
from pegwright.pattern.model import Pattern
from pegwright.pattern.source import ProvedSize, Source


@dataclass(frozen=True)
class Proved:
    """A design made: what its pattern was built from, with every size and with the first alone."""

    source: Source
    pattern: Pattern
    one: Source
    single: Pattern
    sheet: CueSheet

    @property
    def size(self) -> ProvedSize:
        return self.one.sizes[0]


@functools.lru_cache(maxsize=8)
def proved(name: str) -> Proved:
    made, pattern = make(read_any(name))
    assert pattern is not None
    source = source_of(made)
    one = replace(source, sizes=source.sizes[:1])
    single = build(one)
    return Proved(source, pattern, one, single, cue_sheet(one, single, USUAL))


@pytest.fixture(scope="session")
def hood() -> Proved:
    return proved("tern-point-hood")


@pytest.fixture(scope="session")
def blanket() -> Proved:
    return proved("tern-point-boat-blanket")


@pytest.fixture(scope="session")
def headband() -> Proved:
    return proved("tern-point-headband")


@pytest.fixture(params=["tern-point-hood", "tern-point-cap", "tern-point-panel-blanket"])
def any_design(request: pytest.FixtureRequest) -> Proved:
    return proved(str(request.param))
