"""Trims by the name of their kind come to the same as made one by one."""

from __future__ import annotations

import pytest

from pegwright.cli import yarn_trims
from pegwright.errors import BadInput
from pegwright.planning.trim_kinds import TRIM_KINDS, TrimAsked, trim_of
from pegwright.planning.trims import Trim, fringe, pompom, seam, tails, tassel, tied_joins

THICK_MM = 2.54


@pytest.mark.parametrize(
    ("asked", "made"),
    [
        (TrimAsked("tassel", 2, length=100.0, strands=20), tassel(100, 20, THICK_MM, number=2)),
        (
            TrimAsked("tassel", length=100.0, strands=20, neck=9),
            tassel(100, 20, THICK_MM, neck_wraps=9),
        ),
        (TrimAsked("pompom", 3, across=60.0, winds=100), pompom(60, 100, number=3)),
        (TrimAsked("pompom", across=60.0, winds=90, hole=15.0), pompom(60, 90, core_mm=15)),
        (TrimAsked("fringe", 30, length=80.0, strands=3), fringe(30, 3, 80, THICK_MM)),
        (TrimAsked("seam", 2, chains=50, row=6.0), seam(50, 6, THICK_MM, number=2)),
        (TrimAsked("tails", 4), tails(4)),
        (TrimAsked("joins", 4), tied_joins(4, THICK_MM)),
    ],
)
def test_each_kind_is_what_its_own_function_gives(asked: TrimAsked, made: Trim) -> None:
    assert trim_of(asked, THICK_MM) == made


@pytest.mark.parametrize(
    ("kind", "field"), [(kind.name, name) for kind in TRIM_KINDS.values() for name in kind.needs]
)
def test_what_a_kind_needs_is_asked_for(kind: str, field: str) -> None:
    whole = {name: 40 for name in TRIM_KINDS[kind].needs if name != field}
    with pytest.raises(BadInput, match="missing") as refused:
        trim_of(TrimAsked(kind, **whole), THICK_MM)
    assert refused.value.place is not None
    assert refused.value.place.field == field


def test_a_kind_that_is_not_known_is_refused() -> None:
    with pytest.raises(BadInput, match="no such trim"):
        trim_of(TrimAsked("bobble"), THICK_MM)


def test_the_command_knows_every_kind() -> None:
    assert tuple(TRIM_KINDS) == yarn_trims._KINDS
