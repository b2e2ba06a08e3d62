"""Every further garment from design to pattern: words, pegs, figures and yarn."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import product

import pytest

from pegwright.designs.files import read_any
from pegwright.designs.model import Design, SizeRequest
from pegwright.garments.base import OptionValue, Wearer
from pegwright.garments.registry import garment
from pegwright.knitting.operations import Part, TakeLength
from pegwright.knitting.script import flatten
from pegwright.knitting.wraps import Wrap, shipped
from pegwright.loom.board import Arrangement, Loom
from pegwright.making import Made, files, make
from pegwright.pattern.model import Pattern, StagesDrawing
from pegwright.publish.figures import figure_svg

SHIPPED = {
    "folded-strip-hood": "tern-point-channel-hood",
    "ribbed-scarf": "tern-point-ribbed-scarf",
    "cowl": "tern-point-cowl",
    "headband": "tern-point-headband",
    "mitt": "tern-point-mitts",
    "pouch": "tern-point-pouch",
    "slipper": "tern-point-boathouse-slippers",
}
LONG = Loom(Arrangement.OPPOSED, 80, 11.1125, 25.4, 4.7625)
ROW = Loom(Arrangement.SINGLE, 120, 11.1125, peg_diameter_mm=4.7625)
SVG = "{http://www.w3.org/2000/svg}"
PEG = re.compile(r"\b[FBP]\d+\b")


@dataclass(frozen=True, slots=True)
class Kind:
    """A garment with its choices, and the wrap and board that it is made on."""

    garment: str
    options: dict[str, OptionValue]
    wrap: Wrap
    loom: Loom

    def __str__(self) -> str:
        return "-".join((self.garment, *map(str, self.options.values()), self.wrap.name))

    def design(self) -> Design:
        """The shipped design of the garment, so changed."""
        base = read_any(SHIPPED[self.garment])
        options = {**base.options, **self.options}
        return replace(base, options=options, wrap=self.wrap, loom=self.loom)


def kinds() -> Iterator[Kind]:
    """Every garment in every choice; in stockinette, in rib, and on one row where it can be."""
    for name in SHIPPED:
        choices = [(o.name, o.choices) for o in garment(name).options if o.choices]
        for values in product(*(values for _, values in choices)):
            options: dict[str, OptionValue] = dict(
                zip((n for n, _ in choices), values, strict=True)
            )
            if options.get("shape") not in (None, "standard"):
                continue
            yield Kind(name, options, shipped("double-board stockinette"), LONG)
        yield Kind(name, {}, shipped("double-board rib 2 by 2"), LONG)
        if not garment(name).wraps:
            options = {"closing": "drawn"} if name == "pouch" else {}
            yield Kind(name, options, shipped("e-wrap"), ROW)


KINDS = list(kinds())


@pytest.fixture(scope="module", params=KINDS, ids=str)
def made(request: pytest.FixtureRequest) -> tuple[Design, Made, Pattern]:
    design = request.param.design()
    result, pattern = make(design)
    assert pattern is not None, [str(f) for f in result.findings]
    return design, result, pattern


def said(pattern: Pattern) -> str:
    """Everything that the steps say."""
    return " ".join(t for s in pattern.steps() for t in (s.title, *s.text, s.tally))


def test_steps_have_words_and_no_template_is_left(made: tuple[Design, Made, Pattern]) -> None:
    design, _, pattern = made
    for step in pattern.steps():
        assert step.title
        assert step.text
        assert not set("{}") & set(" ".join((step.title, *step.text, step.tally)))
        for text in (*step.text, step.tally):
            assert not text or text.endswith("."), text
            assert "  " not in text
    assert {s.name for s in design.sizes} == set(pattern.sizes)


def test_pegs_that_are_named_are_in_use(made: tuple[Design, Made, Pattern]) -> None:
    design, result, pattern = made
    most = max(s.plan.pieces[0].columns for s in result.sizes)
    pegs = PEG.findall(said(pattern))
    assert pegs
    for peg in pegs:
        assert design.loom.number(design.loom.peg(peg)) <= most


def test_figures_draw_and_have_words(made: tuple[Design, Made, Pattern]) -> None:
    _, _, pattern = made
    keys = [f.key for f in pattern.figures()]
    assert len(keys) == len(set(keys))
    for figure in pattern.figures():
        root = ET.fromstring(figure_svg(figure))
        assert root.findtext(f"{SVG}title") == figure.caption
        assert root.findtext(f"{SVG}desc") == figure.alt
        assert figure.alt.endswith(".")
        assert len(figure.alt) > 40
    assert {s.figure for s in pattern.steps() if s.figure} <= set(keys)


def test_stages_are_told_one_by_one_in_the_words(made: tuple[Design, Made, Pattern]) -> None:
    _, result, pattern = made
    shown = [f for f in pattern.figures() if isinstance(f.drawing, StagesDrawing)]
    with_stages = [s for s in result.sizes if s.plan.make_up is not None]
    assert bool(shown) == bool(with_stages)
    for figure in shown:
        assert isinstance(figure.drawing, StagesDrawing)
        for number, stage in enumerate(figure.drawing.stages, start=1):
            assert f"{number}: {stage.words}" in figure.alt


def test_yarn_of_every_part_is_counted(made: tuple[Design, Made, Pattern]) -> None:
    """What the script cuts for seams, edges, gathers and fringes is in the need, to the mm."""
    _, result, _ = made
    for size in result.sizes:
        cut: dict[str, float] = {}
        for step in size.plan.script.steps:
            for operation in flatten(step.work):
                if isinstance(operation, TakeLength):
                    part = str(operation.part)
                    cut[part] = cut.get(part, 0.0) + operation.yarn_mm / 1000
        for part, metres in cut.items():
            drawn = sum(n.part(part).value for n in size.needs if part in {p.name for p in n.parts})
            assert drawn == pytest.approx(metres)
        for need in size.needs:
            total = sum(p.metres.value for p in need.parts)
            assert total == pytest.approx(need.metres.value)


@pytest.mark.parametrize("name", SHIPPED.values())
def test_the_shipped_designs_print(name: str) -> None:
    result, pattern = make(read_any(name))
    assert pattern is not None
    made = files(pattern)
    assert made[f"{pattern.key}.pdf"].startswith(b"%PDF")
    figures = {f.key for f in pattern.figures()}
    assert {f"{pattern.key}-{k}.svg" for k in figures} <= made.keys()
    assert result.proved


# --- what a reader must be told ------------------------------------------------------------------


def steps_of(name: str, **options: OptionValue) -> str:
    design = read_any(name)
    _, pattern = make(replace(design, options={**design.options, **options}))
    assert pattern is not None
    return said(pattern)


def test_a_ring_is_joined_without_a_twist() -> None:
    for name in ("tern-point-cowl", "tern-point-headband"):
        assert "without a twist" in steps_of(name)
        assert "cast-on loop that was made on this peg" in steps_of(name)


def test_a_pair_is_made_twice() -> None:
    for name, piece in (("tern-point-mitts", "mitt"), ("tern-point-boathouse-slippers", "slipper")):
        design = read_any(name)
        _, pattern = make(design)
        assert pattern is not None
        *first, begin, again = pattern.steps()
        assert begin.title == f"Begin the second {piece}"
        assert f"Work steps 2 to {len(first)} once more" in again.text[0]


def test_a_child_s_channel_speaks_of_yarn_and_an_adult_s_of_a_cord() -> None:
    _, pattern = make(read_any("tern-point-channel-hood"))
    assert pattern is not None
    child, adult = (s for s in pattern.sections if s.key.startswith("steps"))

    def words(section: object) -> str:
        return repr(section).replace("anchor cord", "").replace("two-peg cord", "")

    assert "Draw the yarn through" in words(child)
    assert "leave no free ends" in words(child)
    assert "cord" not in words(child)
    assert "Draw the cord through" in words(adult)
    assert "Fasten a safety pin to the cord" in words(adult)


def test_a_child_s_pouch_is_drawn_in_with_yarn() -> None:
    design = read_any("tern-point-pouch")
    sizes = (SizeRequest("junior", Wearer.CHILD, design.sizes[0].measures, None),)
    result, pattern = make(replace(design, sizes=sizes))
    assert pattern is not None
    assert [f.name for f in result.findings] == ["cord-refused"]
    assert "leave no free ends" in said(pattern)


def test_fringe_yarn_can_be_of_another_colour() -> None:
    result, pattern = make(read_any("tern-point-ribbed-scarf"))
    assert pattern is not None
    for size in result.sizes:
        needs = {n.yarn.name: {p.name for p in n.parts} for n in size.needs}
        assert needs["Pennant aran"] == {str(Part.TRIM)}
        assert str(Part.TRIM) not in needs["Slipway worsted"]
    assert "Knot the fringe" in said(pattern)


def test_what_is_cut_in_words_is_what_the_script_cuts() -> None:
    """The toe yarn of the smallest slipper, in the maker's units."""
    from pegwright.units import format_cm

    result, pattern = make(read_any("tern-point-boathouse-slippers"))
    assert pattern is not None
    step = next(s for s in pattern.steps() if s.title == "Take the toe off")
    for size in result.sizes:
        work = flatten(size.plan.script.steps[step.number - 1].work)
        cut = next(o for o in work if isinstance(o, TakeLength))
        assert format_cm(cut.yarn_mm).removesuffix(" cm") in step.text[0]
