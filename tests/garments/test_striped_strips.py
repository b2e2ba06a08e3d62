"""Striped strips: knitted on the simulated loom, and their yarn and words read from the run."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pegwright.designs.files import read_any
from pegwright.designs.model import Design
from pegwright.designs.reader import read_text
from pegwright.designs.starter import starter_text
from pegwright.errors import NotPossible, Severity
from pegwright.garments.registry import garments, takes_stripes
from pegwright.garments.strip import TAIL_MM
from pegwright.knitting.operations import CutYarn, JoinYarn, Part, Repeat
from pegwright.knitting.script import flatten
from pegwright.knitting.stripes import Stripe, stripes_of
from pegwright.knitting.wraps import shipped
from pegwright.loom.board import Arrangement
from pegwright.making import files, make, prove
from pegwright.pattern.model import Pattern, StepBlock, TableBlock
from pegwright.pattern.source import ProvedSize

RUST, SLATE, HEMP = "Slipway worsted", "Ebb tide worsted", "Oakum aran"


@pytest.fixture(scope="module")
def strip() -> Design:
    """A narrow strip of the blanket's yarns, without stripes."""
    design = read_any("tern-point-boat-blanket")
    options = {**design.options, "pegs": 12}
    return replace(design, stripes=(), options=options, available_g={})


def stripes(*rows: tuple[str, int]) -> tuple[Stripe, ...]:
    return tuple(Stripe(yarn, count) for yarn, count in rows)


def striped(design: Design, *rows: tuple[str, int]) -> ProvedSize:
    made = prove(replace(design, stripes=stripes(*rows)))
    assert {f.severity for f in made.findings} <= {Severity.NOTE}
    return made.sizes[0]


SEQUENCES = {
    "two": ((RUST, 8), (SLATE, 5)),
    "one row each": ((RUST, 1), (SLATE, 1), (HEMP, 1), (RUST, 1)),
    "recurring": ((RUST, 4), (SLATE, 3)) * 6,
    "recurring, odd": ((RUST, 4), (SLATE, 3), (HEMP, 2)) * 5,
    "mirrored": ((RUST, 4), (SLATE, 3), (HEMP, 5), (SLATE, 3), (RUST, 4)),
}


@pytest.mark.parametrize("rows", SEQUENCES.values(), ids=SEQUENCES)
@pytest.mark.parametrize(
    "wrap", ["double-board stockinette", "double-board rib 1 by 1", "figure eight"]
)
def test_striped_strips_prove_and_knit_those_stripes(
    strip: Design, wrap: str, rows: tuple[tuple[str, int], ...]
) -> None:
    size = striped(replace(strip, wrap=shipped(wrap)), *rows)
    assert stripes_of(size.plan.script) == stripes(*rows)
    assert size.run.piece("strip").rows == sum(count for _, count in rows)
    assert size.plan.piece("strip").rows == size.run.piece("strip").rows


@pytest.mark.parametrize("wrap", ["e-wrap", "u-wrap", "flat", "purl"])
def test_single_boards_take_stripes(strip: Design, wrap: str) -> None:
    row = replace(strip.loom, arrangement=Arrangement.SINGLE, gap_mm=0.0)
    size = striped(replace(strip, loom=row, wrap=shipped(wrap)), (RUST, 3), (SLATE, 4), (RUST, 1))
    assert stripes_of(size.plan.script) == stripes((RUST, 3), (SLATE, 4), (RUST, 1))


@settings(max_examples=25)
@given(
    rows=st.lists(
        st.tuples(st.sampled_from([RUST, SLATE, HEMP]), st.integers(1, 6)), min_size=2, max_size=9
    ).filter(lambda rows: all(a[0] != b[0] for a, b in pairwise(rows)))
)
def test_yarn_of_each_stripe_adds_up(strip: Design, rows: list[tuple[str, int]]) -> None:
    """Rows times a row, within what lies between two rows where one yarn ends; tails by joins."""
    size = striped(strip, *rows)
    for need in size.needs:
        mine = [count for yarn, count in rows if yarn == need.yarn.name]
        if not mine:  # the edges' yarn alone
            assert {part.name for part in need.parts} == {"bind-off"}
            continue
        parts = {part.name: part.metres.value for part in need.parts}
        tails = 2 * len(mine) * TAIL_MM / 1000
        assert parts.get("tails", 0.0) == pytest.approx(tails)
        first = need.yarn.name == rows[0][0]
        assert ("cast-on" in parts) == first
        per_row = row_metres_of(strip, need.yarn.name)
        assert parts["body"] == pytest.approx(per_row * sum(mine), rel=0.06, abs=0.05)
    assert sum(count for _, count in rows) == size.plan.piece("strip").rows


def row_metres_of(design: Design, yarn: str) -> float:
    from pegwright.planning.row_metres import row_metres

    loom, wrap = design.loom, design.wrap
    return row_metres(loom, wrap, 12, design.yarns[yarn], design.slack).value


def test_a_row_is_counted_as_the_run_counts_it(strip: Design) -> None:
    """Fifty rows of one yarn draw fifty times what one row is said to draw."""
    plain = replace(strip, options={**strip.options, "rows": 50})
    (need,) = prove(plain).sizes[0].needs
    body = need.part("body").value
    assert body == pytest.approx(50 * row_metres_of(strip, RUST), rel=0.002)


def test_each_change_cuts_and_joins_with_a_tail(strip: Design) -> None:
    size = striped(strip, *SEQUENCES["recurring, odd"])
    work = [o for step in size.plan.script.steps for o in flatten(step.work)]
    joins = [o for o in work if isinstance(o, JoinYarn)]
    cuts = [o for o in work if isinstance(o, CutYarn)]
    assert len(joins) == len(cuts) == 15
    assert {o.tail_mm for o in joins} == {o.tail_mm for o in cuts} == {TAIL_MM}
    assert [o.yarn for o in joins] == [yarn for yarn, _ in SEQUENCES["recurring, odd"]]


def test_what_recurs_stays_a_repeat(strip: Design) -> None:
    size = striped(strip, *SEQUENCES["recurring"])
    keys = [step.key for step in size.plan.script.steps]
    assert keys.count("stripe") == 3  # the rest of the first, five times two, and the last
    (repeat,) = size.plan.script.steps[3].work
    assert isinstance(repeat, Repeat)
    assert repeat.times == 5


def test_the_cast_on_is_of_the_first_stripes_yarn(strip: Design) -> None:
    size = striped(strip, (HEMP, 4), (RUST, 4))
    needs = {need.yarn.name: {part.name for part in need.parts} for need in size.needs}
    assert str(Part.CAST_ON) in needs[HEMP]
    assert str(Part.CAST_ON) not in needs[RUST]


def test_one_stripe_is_a_plain_strip_in_its_yarn(strip: Design) -> None:
    size = striped(strip, (SLATE, 20))
    assert [step.key for step in size.plan.script.steps].count("rows") == 1
    assert stripes_of(size.plan.script) == stripes((SLATE, 20))


def test_rows_and_stripes_must_agree(strip: Design) -> None:
    asked = replace(strip, stripes=stripes((RUST, 8), (SLATE, 4)))
    assert prove(replace(asked, options={**asked.options, "rows": 12})).proved
    with pytest.raises(NotPossible, match="do not add up"):
        prove(replace(asked, options={**asked.options, "rows": 13}))


# --- the hood ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def hood(strip: Design) -> Design:
    design = read_any("tern-point-hood")
    return replace(design, yarns={**design.yarns, **strip.yarns}, sizes=design.sizes[:1])


def test_a_hood_takes_stripes_that_match_at_the_seam(hood: Design) -> None:
    half = ((RUST, 20), (SLATE, 12), (HEMP, 18))
    mirrored = (*half[:-1], (HEMP, 36), *reversed(half[:-1]))
    size = striped(hood, *mirrored)
    knitted = [s.yarn for s in stripes_of(size.plan.script) for _ in range(s.rows)]
    fold = int(size.plan.facts["fold_row"])
    assert knitted[:fold] == knitted[: fold - 1 : -1]  # chain to chain, both sides are alike


def test_stripes_of_a_hood_must_halve(hood: Design) -> None:
    with pytest.raises(NotPossible, match="halve"):
        prove(replace(hood, stripes=stripes((RUST, 51), (SLATE, 50))))


STRIPED = [name for name, kind in garments().items() if takes_stripes(kind)]


def test_garments_say_whether_they_take_stripes() -> None:
    assert {"plain-strip", "folded-strip-hood"} <= set(STRIPED)
    assert not takes_stripes(object())  # type: ignore[arg-type]


@pytest.mark.parametrize("name", STRIPED)
def test_every_garment_that_takes_stripes_works_them(strip: Design, name: str) -> None:
    """The design that it starts with, in three yarns by turns."""
    plain = read_text(starter_text(name))
    plain = replace(plain, yarns={**plain.yarns, **strip.yarns})
    plain = replace(plain, loom=replace(plain.loom, pegs=150))
    rows = prove(plain).sizes[0].plan.pieces[0].rows
    whole = [(RUST, 4), (SLATE, 3), (HEMP, 2)] * (rows // 9)
    rest = rows - sum(count for _, count in whole)
    size = striped(plain, *whole, *([(RUST, rest)] if rest else []))
    assert stripes_of(size.plan.script) == stripes(*whole, *([(RUST, rest)] if rest else []))
    assert size.plan.pieces[0].rows == rows


# --- in print ------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def pattern(strip: Design) -> Pattern:
    rows = ((RUST, 8), (SLATE, 3), (HEMP, 1), (SLATE, 3), (HEMP, 1), (RUST, 5))
    _, made = make(replace(strip, stripes=stripes(*rows)))
    assert made is not None
    return made


def test_the_table_of_stripes(pattern: Pattern) -> None:
    (section,) = (s for s in pattern.sections if s.key == "stripes")
    (table,) = section.blocks
    assert isinstance(table, TableBlock)
    assert [row[0] for row in table.rows] == [
        "Rows 1–8", "Rows 9–11", "Row 12", "Rows 13–15", "Row 16", "Rows 17–21",
    ]  # fmt: skip
    assert table.rows[0][1] == "Slipway worsted, slate"
    keys = [s.key for s in pattern.sections]
    work = next(s.key for s in pattern.sections if any(isinstance(b, StepBlock) for b in s.blocks))
    assert keys.index("stripes") == keys.index(work) - 1


def test_the_steps_say_the_stripes(pattern: Pattern) -> None:
    said = [(step.title, step.text, step.tally) for step in pattern.steps()]
    titles = [title for title, _, _ in said]
    assert "Begin with Slipway worsted, slate" in said[0][1][0]
    assert titles[2:5] == [
        "Rows 2–8: on with the first stripe",
        "Rows 9–16: stripes that recur, 2 times",
        "Rows 17–21: Slipway worsted, slate",
    ]
    assert "for 7 more rows" in said[2][1][0]
    assert "3 rows in Ebb tide worsted, sea green; 1 row in Oakum aran, hemp" in said[3][1][0]
    assert "Work 5 rows." in said[4][1]
    assert said[4][2] == "21 rows in all."


def test_a_striped_pattern_is_laid_out(pattern: Pattern) -> None:
    made = files(pattern)
    page = made[f"{pattern.key}.html"].decode()
    assert "Rows 9–11" in page
    assert made[f"{pattern.key}.pdf"].startswith(b"%PDF")


def test_materials_name_every_yarn(pattern: Pattern) -> None:
    text = str(next(s for s in pattern.sections if s.key == "materials"))
    for yarn in (RUST, SLATE, HEMP):
        assert yarn in text
