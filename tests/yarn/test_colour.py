"""Colours along a yarn: exact repeats, drift, and what a maker types."""

from __future__ import annotations

from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pegwright.errors import BadInput, NotPossible
from pegwright.units import UnitSystem
from pegwright.yarn.colour import Colour, ColourRun, Stretch, along_yarn, parse_colour_run

RUST, CREAM, TEAL = Colour("rust", "#A4482C"), Colour("cream", "#f2ead8"), Colour("teal", "#1d6e73")


def run_of(*lengths_m: float, **more: float) -> ColourRun:
    """A run of as many colours as lengths, taken in turn from three."""
    colours = (RUST, CREAM, TEAL)
    stretches = tuple(Stretch(colours[i % 3], m) for i, m in enumerate(lengths_m))
    return ColourRun(stretches, **more)  # type: ignore[arg-type]


def by_fractions(lengths_mm: list[int], at_mm: int) -> int:
    """Which stretch lies at a distance, by walking the repeat in whole millimetres."""
    left = at_mm % sum(lengths_mm)
    for i, length in enumerate(lengths_mm):
        if left < length:
            return i
        left -= length
    raise AssertionError


@given(
    st.lists(st.integers(1, 4000), min_size=2, max_size=3),
    st.lists(st.integers(0, 900_000_000), min_size=1, max_size=30),
    st.integers(0, 20_000),
)
def test_a_repeat_is_exact_however_far_along(
    lengths_mm: list[int], at_mm: list[int], offset_mm: int
) -> None:
    run = run_of(*(mm / 1000 for mm in lengths_mm), offset_m=offset_mm / 1000)
    found = run.colours_at(np.array(at_mm) / 1000)
    assert found.tolist() == [by_fractions(lengths_mm, mm + offset_mm) for mm in at_mm]


def test_a_change_belongs_to_the_colour_that_begins() -> None:
    # 0.1 + 0.2 is not 0.3 in binary; the millionth repeat must start with rust all the same.
    run = run_of(0.1, 0.2)
    assert float(Fraction(3, 10)) != 0.1 + 0.2
    assert run.colours_at([0.0, 0.1, 0.3, 300_000.0, 300_000.1]).tolist() == [0, 1, 0, 0, 1]


def test_one_colour_is_everywhere() -> None:
    run = ColourRun.solid(RUST)
    assert run.is_solid
    assert run.colours_at(np.zeros((2, 3))).shape == (2, 3)
    assert not run.colours_at([0, 5, 1e5]).any()
    assert run.words(UnitSystem.INCHES) == ("The yarn is rust throughout.",)


def test_reach_back_and_onward() -> None:
    run = run_of(0.5, 0.25)
    colour, before, after = run.stretches_at([0.1, 0.5, 0.7])
    assert colour.tolist() == [0, 1, 1]
    assert before == pytest.approx([0.1, 0.0, 0.2])
    assert after == pytest.approx([0.4, 0.25, 0.05])


def test_neighbouring_stretches_of_one_colour_are_one_across_the_repeat() -> None:
    run = ColourRun((Stretch(RUST, 0.2), Stretch(CREAM, 0.3), Stretch(RUST, 0.5)))
    assert run.colours == (RUST, CREAM)
    colour, before, after = run.stretches_at([0.6, 1.1, 0.3])
    assert colour.tolist() == [0, 0, 1]
    assert before == pytest.approx([0.1, 0.6, 0.1])
    assert after == pytest.approx([0.6, 0.1, 0.2])


def repeat_lengths(run: ColourRun, far_m: float) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    """The repeats of a two-colour run, measured from change to change on a fine grid."""
    at = np.arange(0, far_m, 0.001)
    colours = run.colours_at(at)
    starts = at[1:][(colours[1:] == 0) & (colours[:-1] == 1)]
    return np.diff(starts)


def test_drift_is_as_large_as_it_says() -> None:
    lengths = repeat_lengths(run_of(0.6, 0.4, drift=0.1, seed=5), 1500.0)
    assert len(lengths) > 1400
    assert lengths.mean() == pytest.approx(1.0, rel=0.01)
    assert lengths.std() == pytest.approx(0.1, rel=0.06)  # cut at three sd: 0.987 of it
    assert abs(np.corrcoef(lengths[1:], lengths[:-1])[0, 1]) < 0.06


def test_drift_is_the_same_for_the_same_seed_however_much_is_asked() -> None:
    run = run_of(0.6, 0.4, drift=0.1, seed=5)
    at = np.linspace(0, 50, 999)
    near = run.colours_at(at)
    whole = run.colours_at(np.concatenate((at, [90_000.0])))
    assert (near == whole[:-1]).all()
    other = run_of(0.6, 0.4, drift=0.1, seed=6)
    assert (near != other.colours_at(at)).any()


def test_too_many_drifting_repeats_are_refused() -> None:
    with pytest.raises(NotPossible, match="too many repeats"):
        run_of(0.001, 0.001, drift=0.1).colours_at([1e6])


@pytest.mark.parametrize(
    ("make", "field"),
    [
        (lambda: Colour("", "#112233"), "name"),
        (lambda: Colour("rust", "rust"), "hex"),
        (lambda: Stretch(RUST, 0.0), "length_m"),
        (lambda: Stretch(RUST, float("nan")), "length_m"),
        (lambda: Stretch(RUST, 0.0001), "length_m"),
        (lambda: ColourRun(()), "stretches"),
        (lambda: run_of(9e5, 9e5), "stretches"),
        (lambda: run_of(1, drift=-0.1), "drift"),
        (lambda: run_of(1, drift=0.5), "drift"),
        (lambda: run_of(1, offset_m=-1), "offset_m"),
        (lambda: run_of(1, offset_m=1e9), "offset_m"),
        (lambda: run_of(1, seed=-1), "seed"),
        (lambda: run_of(1, 2).colours_at([-0.1]), "distance_m"),
        (lambda: run_of(1, 2).colours_at([float("nan")]), "distance_m"),
        (lambda: parse_colour_run(""), "colours"),
        (lambda: parse_colour_run("rust"), "colours"),
        (lambda: parse_colour_run("barnacle 3 m"), "colours"),
        (lambda: parse_colour_run("rust #a4482c 30"), "colours"),
    ],
)
def test_bad_input_names_its_field(make: object, field: str) -> None:
    with pytest.raises(BadInput) as caught:
        make()  # type: ignore[operator]
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_reading_what_a_maker_types() -> None:
    run = parse_colour_run("rust #A4482C 30 cm, sea foam #cfe8dd 1 1/2 in; navy 46,5 cm")
    assert [s.colour.name for s in run.stretches] == ["rust", "sea foam", "navy"]
    assert [s.length_m for s in run.stretches] == pytest.approx([0.3, 0.0381, 0.465])
    # Navy's value is that of CSS Color Module Level 4, named colours.
    assert [s.colour.hex for s in run.stretches] == ["#a4482c", "#cfe8dd", "#000080"]


def test_words_and_data() -> None:
    run = parse_colour_run("rust #a4482c 30 cm, cream #f2ead8 3 m", offset_m=0.5, drift=0.05)
    assert run.words(UnitSystem.CENTIMETRES) == (
        "One repeat of colour is 3.3 m (3.6 yd): rust 30 cm (11 3/4 in), cream 3 m (3.3 yd).",
        "The yarn begins 50 cm (19 5/8 in) into the repeat.",
        "Repeats differ in length by about 5 %.",
    )
    assert run.as_data()["repeat_m"] == pytest.approx(3.3)
    assert along_yarn(2.5, UnitSystem.INCHES) == "2.7 yd (2.5 m)"


def test_names_on_ball_bands_are_colours_that_can_be_told_from_grey() -> None:
    from pegwright.yarn.colour_names import YARN_COLOURS

    run = parse_colour_run("Rust 30 cm, Sea  green 1 m, red 2 m, slate #000001 1 m")
    assert [c.hex for c in run.colours] == [
        YARN_COLOURS["rust"],
        YARN_COLOURS["sea green"],
        "#ff0000",  # the web's own
        "#000001",  # a code goes before a name
    ]
    assert all(Colour(name, hex_).hex == hex_ for name, hex_ in YARN_COLOURS.items())
