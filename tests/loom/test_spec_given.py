"""A board to build from the measures that somebody gives."""

from __future__ import annotations

import pytest

from pegwright.errors import BadInput
from pegwright.loom.board import Arrangement
from pegwright.loom.spec import BoardSpec, PegKind
from pegwright.loom.spec_given import LENGTHS, NAMES, SpecGiven, measures_of, spec_of


def given(lengths: dict[str, float], arrangement: Arrangement = Arrangement.OPPOSED) -> SpecGiven:
    return SpecGiven(arrangement, 44, 11.1125, 25.4, lengths)


def test_what_is_left_out_is_usual() -> None:
    assert spec_of(given({})) == BoardSpec()


def test_every_measure_comes_to_its_place() -> None:
    """Each length another one, so that none can stand in for a second."""
    lengths = {name: 5 + number / 8 for number, name in enumerate(LENGTHS)}
    lengths |= {"drill": 5.0, "kerf": 2.0}
    spec = spec_of(given(lengths))
    found = measures_of(spec)
    assert {name: found[name] for name in LENGTHS} == lengths
    assert (found["pitch"], found["gap"]) == (11.1125, 25.4)
    assert (spec.peg.diameter_mm, spec.wood.width_mm) == (
        lengths["peg_diameter"],
        lengths["wood_width"],
    )


def test_a_ring_comes_from_a_sheet() -> None:
    ring = spec_of(given({"wood_width": 400.0}, Arrangement.RING))
    assert (ring.wood.name, ring.wood.width_mm, ring.wood.length_mm) == ("plywood", 400.0, 600.0)


def test_more_gaps_are_for_two_rows() -> None:
    single = SpecGiven(Arrangement.SINGLE, 20, 12.0, 0.0, {}, PegKind.NAIL, gaps_mm=(30.0,))
    assert spec_of(single).other_gaps_mm == ()


@pytest.mark.parametrize(
    ("lengths", "name"),
    [({"drill": 9.0}, "drill"), ({"kerf": 50.0}, "kerf"), ({"bolt": -1}, "bolt")],
)
def test_a_refusal_can_be_told_by_the_given_name(lengths: dict[str, float], name: str) -> None:
    with pytest.raises(BadInput) as refused:
        spec_of(given(lengths))
    assert refused.value.place is not None
    assert NAMES[refused.value.place.field or ""] == name
