"""A design that is written reads back as an equal one, whatever it holds."""

from __future__ import annotations

import math
import tomllib
from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.designs.files import shipped_designs, shipped_text
from pegwright.designs.form import LEAST_MM, MOST_ROWS
from pegwright.designs.model import Costing, Design, SizeRequest, slug, wearer_of_age
from pegwright.designs.reader import read_text
from pegwright.designs.writer import length_text, toml_value, write_text
from pegwright.garments.base import OptionKind, OptionSpec, OptionValue, Wearer
from pegwright.garments.registry import garments
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.knitting.wraps import (
    SHIPPED,
    Cloth,
    FirstRow,
    Laid,
    Pass,
    Structure,
    Way,
    Wrap,
)
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.units import UnitSystem, parse_length_mm
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn

NAMES = st.text(
    st.characters(categories=("L", "N", "P", "S", "Zs")), min_size=1, max_size=20
).filter(lambda text: text.isprintable() and bool(text.strip()))
WORDS = st.text(st.characters(categories=("L", "N", "P")) | st.just("\n"), max_size=30).filter(
    lambda text: all(c.isprintable() or c == "\n" for c in text)
)


def lengths(low: float, high: float) -> st.SearchStrategy[float]:
    """Lengths in mm: as a tape shows them, and with all the digits there are."""
    inches = st.integers(math.ceil(low / 25.4 * 64), math.floor(high / 25.4 * 64))
    return st.floats(low, high) | inches.map(lambda marks: marks * 25.4 / 64)


@st.composite
def looms(draw: st.DrawFn, double: bool) -> Loom:
    kinds = ("opposed", "offset") if double else ("single", "ring")
    peg_mm = draw(lengths(1, 10))
    return Loom(
        Arrangement(draw(st.sampled_from(kinds))),
        draw(st.integers(3, 200)),
        draw(lengths(peg_mm + 20, 60)),
        draw(lengths(peg_mm + 20, 120)) if double else 0.0,
        peg_mm,
        draw(lengths(1, 60)),
        draw(NAMES),
    )


AMOUNTS = st.floats(0, 1e9)
COLOUR_NAMES = st.from_regex(r"\A[a-zäöüßøé]{1,12}\Z")


@st.composite
def colour_runs(draw: st.DrawFn) -> ColourRun:
    stretch = st.builds(
        Stretch,
        st.builds(Colour, COLOUR_NAMES, st.from_regex(r"\A#[0-9a-f]{6}\Z")),
        st.integers(1, 100_000).map(lambda mm: mm / 1000),
    )
    return ColourRun(
        tuple(draw(st.lists(stretch, min_size=1, max_size=4))),
        drift=draw(st.just(0.0) | st.floats(0, 0.25)),
        offset_m=draw(st.just(0.0) | st.integers(1, 10_000).map(lambda mm: mm / 1000)),
    )


@st.composite
def costings(draw: st.DrawFn) -> Costing:
    return Costing(
        rate=draw(st.none() | AMOUNTS),
        currency=draw(st.sampled_from(("", "£", "€", "kr "))),
        margin=draw(st.floats(0, 100)),
        loops_per_minute=draw(st.none() | st.floats(0.1, 1000)),
        others=draw(st.dictionaries(NAMES, AMOUNTS, max_size=2)),
    )


@st.composite
def yarns(draw: st.DrawFn) -> Yarn:
    return Yarn(
        name=draw(NAMES),
        category=draw(st.integers(0, 7)),
        metres_per_100g=draw(st.floats(1, 2000)),
        metres_per_100g_sd=draw(st.none() | st.floats(0, 50)),
        ball_g=draw(st.floats(1, 2000)),
        wrapped_diameter_mm=draw(st.none() | lengths(0.1, 19)),
        wraps_per_inch=draw(st.none() | st.floats(2, 100)),
        fibre=draw(WORDS),
        colour=draw(WORDS),
        colour_hex=draw(st.from_regex(r"\A#[0-9a-f]{6}\Z")),
        invented=draw(st.booleans()),
    )


@st.composite
def wraps(draw: st.DrawFn, boards: int) -> Wrap:
    shipped = [wrap for wrap in SHIPPED if wrap.boards == boards]
    if draw(st.booleans()):
        return draw(st.sampled_from(shipped))
    stops = st.sampled_from(["F", "B", "FB", "BF", ""] if boards == 2 else ["F", ""])
    columns = st.lists(stops, min_size=1, max_size=4).filter(any).map(tuple)
    passes = st.lists(st.builds(Pass, st.sampled_from(Way), columns), min_size=1, max_size=3)
    return Wrap(
        draw(NAMES.filter(lambda name: name not in {wrap.name for wrap in SHIPPED})),
        boards,
        draw(st.sampled_from(Structure)),
        tuple(draw(st.lists(passes.map(tuple), min_size=1, max_size=3))),
        draw(st.sampled_from(Laid)),
        draw(st.sampled_from(FirstRow)),
        draw(st.sampled_from(Cloth)),
        draw(st.booleans()),
        draw(st.integers(1, 9)),
        draw(st.integers(0, 9)),
        draw(st.integers(1, 9)),
        draw(WORDS),
    )


def option_values(spec: OptionSpec) -> st.SearchStrategy[OptionValue]:
    match spec.kind:
        case OptionKind.CHOICE:
            return st.sampled_from(spec.choices)
        case OptionKind.FLAG:
            return st.booleans()
        case OptionKind.COUNT:
            return st.integers(int(spec.least), int(min(spec.most, MOST_ROWS)))
        case OptionKind.LENGTH:
            return lengths(max(spec.least, LEAST_MM), spec.most)


@st.composite
def sizes(draw: st.DrawFn, garment: str, name: str) -> SizeRequest:
    measures = {
        m.name: draw(lengths(m.least_mm, m.most_mm))
        for m in garments()[garment].measures
        if m.required or draw(st.booleans())
    }
    months = draw(st.none() | st.integers(0, 1200).map(float) | st.sampled_from([0.5, 17.25]))
    wearer = draw(st.sampled_from(Wearer)) if months is None else wearer_of_age(months)
    return SizeRequest(name, wearer, measures, months)


swatches = st.builds(
    Swatch,
    st.integers(1, 500),
    st.builds(Measured, lengths(1, 900), st.just(0.0) | lengths(0.1, 9)),
    st.integers(1, 500),
    st.builds(Measured, lengths(1, 900), st.just(0.0) | lengths(0.1, 9)),
    st.booleans(),
    WORDS,
)


@st.composite
def designs(draw: st.DrawFn) -> Design:
    garment = draw(st.sampled_from(sorted(garments())))
    kind = garments()[garment]
    double = draw(st.booleans())
    stash = draw(st.lists(yarns(), min_size=1, max_size=3, unique_by=lambda yarn: yarn.name))
    names = [yarn.name for yarn in stash]
    parts = draw(st.sets(st.sampled_from(kind.yarn_parts))) | {"body"}
    options = {s.name: draw(option_values(s)) for s in kind.options if draw(st.booleans())}
    count = draw(st.integers(1, 3))
    return Design(
        title=draw(NAMES),
        summary=draw(WORDS),
        garment=garment,
        units=draw(st.sampled_from(UnitSystem)),
        loom=draw(looms(double)),
        wrap=draw(wraps(2 if double else 1)),
        yarns={yarn.name: yarn for yarn in stash},
        use={part: draw(st.sampled_from(names)) for part in sorted(parts)},
        swatches=tuple(draw(st.lists(swatches, max_size=2))),
        options=options,
        sizes=tuple(draw(sizes(garment, f"size {number}")) for number in range(count)),
        slack=Measured(draw(st.floats(0.5, 3)), draw(st.floats(0, 1))),
        margin=draw(st.floats(0, 1)),
        available_g={name: draw(st.floats(1, 5000)) for name in names if draw(st.booleans())},
        colour_runs={name: draw(colour_runs()) for name in names if draw(st.booleans())},
        prices={name: draw(AMOUNTS) for name in names if draw(st.booleans())},
        costing=draw(st.none() | costings()),
        version=draw(st.sampled_from(("", "1", "1.10", "2-b"))),
    )


@given(designs())
@settings(max_examples=80)
def test_a_written_design_reads_back_as_an_equal_one(design: Design) -> None:
    text = write_text(design)
    again = read_text(text)
    assert again == design
    assert write_text(again) == text


@pytest.mark.parametrize("name", shipped_designs())
def test_shipped_designs_survive_the_way_there_and_back(name: str) -> None:
    design = read_text(shipped_text(name))
    assert read_text(write_text(design)) == design


def test_designs_that_differ_are_not_equal() -> None:
    design = read_text(shipped_text("tern-point-hood"))
    assert replace(design, source="") == design  # other words for the same
    assert replace(design, margin=0.11) != design
    assert read_text(write_text(replace(design, margin=0.11))).margin == 0.11


@pytest.mark.parametrize(
    ("mm", "units", "text"),
    [
        (11.1125, UnitSystem.INCHES, "7/16 in"),  # as a tape shows it
        (550.0, UnitSystem.INCHES, "55 cm"),  # no tape shows 55 cm in inches
        (11.1125, UnitSystem.CENTIMETRES, "7/16 in"),
        (1234.5, UnitSystem.CENTIMETRES, "123.45 cm"),
        (0.015, UnitSystem.INCHES, "0.015 mm"),
        (1 / 3, UnitSystem.INCHES, "0.3333333333333333 mm"),
        (0.0, UnitSystem.INCHES, "0 in"),
    ],
)
def test_lengths_as_a_maker_writes_them(mm: float, units: UnitSystem, text: str) -> None:
    assert length_text(mm, units) == text
    assert parse_length_mm(text) == mm


@given(st.floats(LEAST_MM, 1e7), st.sampled_from(UnitSystem))
def test_a_length_reads_back_to_the_last_digit(mm: float, units: UnitSystem) -> None:
    assert parse_length_mm(length_text(mm, units)) == mm


@given(st.text(st.characters(codec="utf-8"), max_size=40))
def test_any_text_reads_back(text: str) -> None:
    assert tomllib.loads(f"a = {toml_value(text)}")["a"] == text


@pytest.mark.parametrize(
    ("title", "stem"),
    [
        ("Tern Point hood", "tern-point-hood"),
        ("  Été — Ære 2½! ", "ete-re-21-2"),
        ("../../etc/passwd", "etc-passwd"),  # never a way out of the folder
        ("C:\\temp", "c-temp"),
        ("海", "design"),  # no letter that can be kept
        ("CON", "con-design"),  # a name that some system keeps for itself
        ("x" * 500, "x" * 60),
    ],
)
def test_file_names_from_titles(title: str, stem: str) -> None:
    assert slug(title) == stem


@given(st.text(max_size=200))
def test_a_slug_is_always_a_plain_name(title: str) -> None:
    stem = slug(title)
    assert 0 < len(stem) <= 70
    assert set(stem) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert not stem.startswith("-")
