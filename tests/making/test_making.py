"""The main job from design to files, on the shipped designs."""

from __future__ import annotations

import json
import re
from dataclasses import replace

import pytest

from pegwright.designs.files import read_any, shipped_designs
from pegwright.designs.model import Design
from pegwright.errors import NotPossible, Severity
from pegwright.knitting.operations import WrapPegs
from pegwright.knitting.script import flatten
from pegwright.making import files, make, prove
from pegwright.pattern.model import Pattern, StepBlock
from pegwright.yarn.need import YarnNeed


def made_pattern(name: str) -> Pattern:
    _, pattern = make(read_any(name))
    assert pattern is not None
    return pattern


@pytest.fixture(scope="module")
def hood() -> Design:
    return read_any("tern-point-hood")


@pytest.fixture(scope="module")
def hood_pattern() -> Pattern:
    return made_pattern("tern-point-hood")


@pytest.mark.parametrize("name", shipped_designs())
def test_every_shipped_design_is_proved_and_written(name: str) -> None:
    made, pattern = make(read_any(name))
    assert made.proved
    assert pattern is not None
    assert [s.name for s in made.sizes] == list(pattern.sizes)


def test_the_files_are_the_same_every_time(hood_pattern: Pattern) -> None:
    again = made_pattern("tern-point-hood")
    assert files(hood_pattern) == files(again)


def test_the_pack_holds_what_is_promised(hood_pattern: Pattern) -> None:
    made = files(hood_pattern)
    assert made["tern-point-hood.pdf"].startswith(b"%PDF")
    assert b'"@type"' in made["tern-point-hood.html"]
    assert json.loads(made["tern-point-hood-proof.json"])["loops"] > 10_000
    drawn = {n for n in made if n.endswith(".svg")}
    assert drawn == {
        f"tern-point-hood-{k}.svg"
        for k in ("measuring", "board", "wrap", "knit-over", "schematic", "fold-and-seam")
    }


def test_steps_point_at_figures_that_are_there(hood_pattern: Pattern) -> None:
    keys = {f.key for f in hood_pattern.figures()}
    named = {s.figure for s in hood_pattern.steps() if s.figure}
    assert named <= keys
    assert named >= {"wrap", "knit-over", "fold-and-seam"}


def test_steps_are_numbered_as_the_script_was(hood: Design, hood_pattern: Pattern) -> None:
    script = prove(hood).sizes[0].plan.script
    assert [s.number for s in hood_pattern.steps()] == [s.number for s in script.steps]


def test_every_peg_named_in_the_steps_is_on_the_board(hood: Design, hood_pattern: Pattern) -> None:
    said = " ".join(t for s in hood_pattern.steps() for t in (*s.text, s.tally))
    pegs = re.findall(r"\b[FB]\d+\b", said)
    assert len(pegs) > 10
    for peg in pegs:
        hood.loom.peg(peg)


def test_step_text_has_no_template_left(hood_pattern: Pattern) -> None:
    for step in hood_pattern.steps():
        assert "{" not in " ".join((*step.text, step.tally, step.title))


def test_yarn_parts_add_up_to_the_run(hood: Design) -> None:
    """Cast-on, body, cord, seam and tails are counted apart and sum to the whole."""
    for size in prove(hood).sizes:
        (need,) = size.needs
        names = [p.name for p in need.parts]
        assert set(names) == {"cast-on", "body", "cord", "seam", "tails"}
        assert sum(p.metres.value for p in need.parts) == pytest.approx(need.metres.value)
        low, high = need.metres_interval
        assert low < need.metres.value < high
        assert need.grams_to_have == pytest.approx(need.grams_interval[1] * 1.10)


def _body(need: YarnNeed) -> float:
    return need.part("body").value


def test_body_yarn_is_loops_times_the_loop(hood: Design) -> None:
    """Rows × pegs × the steady loop length, within the ends of the rows."""
    made = prove(hood)
    for size in made.sizes:
        piece = size.plan.piece("strip")
        loops = 2 * piece.columns * piece.rows
        assert _body(size.needs[0]) * 1000 == pytest.approx(loops * made.loop_mm, rel=0.01)


def test_too_little_yarn_is_a_fault_at_the_row_where_it_ends(hood: Design) -> None:
    plenty = prove(replace(hood, available_g={"Slipway worsted": 500.0}))
    assert plenty.proved
    made = prove(replace(hood, available_g={"Slipway worsted": 80.0}))
    assert not made.proved
    for size, found in zip(made.sizes, made.findings, strict=True):
        assert found.name == "yarn-short"
        assert found.spot.size == size.name
        assert found.spot.piece == "strip"
        total_m = size.needs[0].metres.value
        have_m = 80.0 * 1.75
        expected = size.plan.piece("strip").rows * have_m / total_m
        assert found.spot.row == pytest.approx(expected, rel=0.1)


def test_a_faulty_design_gets_no_pattern(hood: Design) -> None:
    made, pattern = make(replace(hood, available_g={"Slipway worsted": 10.0}))
    assert pattern is None
    assert not made.proved


def test_a_size_that_does_not_fit_is_named(hood: Design) -> None:
    short = replace(hood, loom=replace(hood.loom, pegs=28))
    with pytest.raises(NotPossible, match="size bow"):
        prove(short)


def test_a_child_gets_no_cord_and_is_told_why() -> None:
    made, pattern = make(read_any("tern-point-junior-hood"))
    assert pattern is not None
    refused = [f for f in made.findings if f.name == "cord-refused"]
    assert len(refused) == len(made.sizes)
    for finding in refused:
        assert finding.severity is Severity.CAUTION
        assert "EN 14682" in finding.what
        assert "outside its scope" in finding.what
    said = " ".join(t for s in pattern.steps() for t in s.text)
    assert "cord" not in said.replace("anchor cord", "")
    assert "no free ends" in said


def test_adults_and_children_in_one_design_have_their_own_steps(hood: Design) -> None:
    junior = read_any("tern-point-junior-hood").sizes[0]
    _, pattern = make(replace(hood, sizes=(*hood.sizes, junior)))
    assert pattern is not None
    blocks = [s for s in pattern.sections if any(isinstance(b, StepBlock) for b in s.blocks)]
    assert [s.title for s in blocks] == [
        "Knit and make up: cox, bow, coach",
        f"Knit and make up: {junior.name}",
    ]
    assert len({f.key for f in pattern.figures()}) == len(pattern.figures())
    keys = {f.key for f in pattern.figures()}
    assert {s.figure for s in pattern.steps() if s.figure} <= keys
    assert files(pattern)[f"{pattern.key}.pdf"].startswith(b"%PDF")


def test_the_digest_follows_what_is_executed(hood: Design) -> None:
    _, one = make(hood)
    _, other_words = make(replace(hood, summary="Another summary."))
    _, other_rows = make(replace(hood, options={**hood.options, "rows": 104}))
    assert one is not None
    assert other_words is not None
    assert other_rows is not None
    assert one.proof.digest == other_words.proof.digest
    assert one.proof.digest != other_rows.proof.digest


def test_the_first_wrap_of_the_words_is_the_first_wrap_of_the_run(hood: Design) -> None:
    made, pattern = make(hood)
    assert pattern is not None
    script = made.sizes[0].plan.script
    wrap = next(o for o in flatten(script.steps[0].work) if isinstance(o, WrapPegs))
    start = script.loom.address(wrap.visits[0].peg)
    end = script.loom.address(wrap.visits[-1].peg)
    assert f"beginning at {start} and ending at {end}" in " ".join(pattern.steps()[0].text)
