"""Which colour lands on which stitch, held against a plain walk along the yarn."""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate

import numpy as np
import pytest

from pegwright.errors import BadInput
from pegwright.garments.blocks import Field, cast_on, first_row, rows
from pegwright.knitting.drawn import drawn, loop_lengths
from pegwright.knitting.operations import CutYarn, JoinYarn, Part, TakeLength
from pegwright.knitting.run import Run, execute
from pegwright.knitting.script import PieceSpec, Script, Step, Work
from pegwright.knitting.wraps import SHIPPED, Wrap, shipped
from pegwright.planning.colour import Joining, StitchColours, stitch_colours
from pegwright.yarn.colour import Colour, ColourRun, Stretch
from pegwright.yarn.yarn import Yarn
from tests.knitting.scripts import STOCKINETTE, YARN, board, field_of, hood, panel, unrolled

RUST, CREAM, TEAL = Colour("rust", "#a4482c"), Colour("cream", "#f2ead8"), Colour("teal", "#1d6e73")
SLIPWAY = Yarn(YARN, 4, 200, wrapped_diameter_mm=2.4, invented=True)
RUN = ColourRun((Stretch(RUST, 0.31), Stretch(CREAM, 0.17), Stretch(TEAL, 0.42)), offset_m=0.2)
BODY = [w for w in SHIPPED if "cord" not in w.name]


def coloured(run: Run, colours: ColourRun = RUN, slack: float = 1.08) -> StitchColours:
    return stitch_colours(run, {YARN: SLIPWAY}, {YARN: colours}, slack=slack)


def walked(
    lengths_mm: list[float], start_m: float, colours: ColourRun, slack: float
) -> tuple[list[int], list[float]]:
    """Colour and fraction of loops laid one after the other, in plain Python, each by itself."""
    ends = list(accumulate(s.length_m for s in colours.stretches))
    at = start_m + colours.offset_m
    index, fraction = [], []
    for mm in lengths_mm:
        length = mm * slack / 1000
        middle = (at + length / 2) % ends[-1]
        which = min(bisect_right(ends, middle), len(ends) - 1)
        low, high = ends[which] - colours.stretches[which].length_m, ends[which]
        inside = min(high, middle + length / 2) - max(low, middle - length / 2)
        index.append(which)
        fraction.append(inside / length if length else 1.0)
        at += length
    return index, fraction


@pytest.mark.parametrize("wrap", BODY, ids=lambda w: w.name)
def test_a_strip_is_what_a_walk_along_the_yarn_finds(wrap: Wrap) -> None:
    run = execute(panel(field_of(wrap, 14), 9))
    found = coloured(run)
    lengths = loop_lengths(run, {YARN: 2.4})
    lengths[0] += 30.0 / 1.08  # the slip loop's knot takes no slack
    index, fraction = walked(lengths.tolist(), 0.150, RUN, 1.08)
    assert found.index.tolist() == index
    assert found.fraction == pytest.approx(fraction, abs=1e-5)
    assert 0 < (found.fraction < 0.999).mean() < 1


def test_kept_repeats_give_the_same_as_written_out_ones() -> None:
    script = hood(12, 40)
    one, other = coloured(execute(script)), coloured(execute(unrolled(script)))
    assert (one.index == other.index).all()
    assert one.end_m == pytest.approx(other.end_m)


def test_it_draws_as_much_as_the_run_says() -> None:
    run = execute(hood(12, 40))
    found = coloured(run, slack=1.0)
    wrapped = sum(p.wrapped_mm for p in drawn(run, {YARN: 2.4}).parts)
    assert float((found.end_m - found.start_m).sum()) * 1000 == pytest.approx(wrapped + 2 * 30)


# --- the order of the yarn ----------------------------------------------------------------------


def stripes(works: tuple[tuple[str, Work], ...]) -> Run:
    """A strip that changes yarn: each step's work by key."""
    steps = tuple(
        Step(i, key, "strip", Part.CAST_ON if i == 1 else Part.BODY, work)
        for i, (key, work) in enumerate(works, 1)
    )
    return execute(Script(board(8), (PieceSpec("strip"),), steps))


def two_yarns(between: Work = ()) -> Run:
    """Three rows of one yarn, three of another, three of the first again."""
    field = Field(board(8), STOCKINETTE, 1, 8)
    return stripes(
        (
            ("cast-on", cast_on(field, YARN, 150.0, 30.0)),
            ("first", first_row(field)),
            ("rows", rows(field, 2)),
            ("change", (CutYarn(120.0), *between, JoinYarn("Foam", 90.0))),
            ("other", rows(field, 3, done=3)),
            ("back", (CutYarn(110.0), JoinYarn(YARN, 80.0))),
            ("again", rows(field, 3, done=6)),
        )
    )


FOAM = Yarn("Foam", 4, 200, wrapped_diameter_mm=2.4, colour="foam", colour_hex="#cfe8dd")


def starts(run: Run, joining: Joining) -> list[float]:
    """Where each strand's first loop begins, in metres along its yarn."""
    yarns = {YARN: SLIPWAY, "Foam": FOAM}
    found = stitch_colours(run, yarns, {YARN: RUN}, slack=1.08, joining=joining)
    firsts = [int(np.argmax(found.loops.strand == s)) for s in range(3)]
    return [float(found.start_m[i]) for i in firsts]


def first_strand_end(run: Run) -> float:
    yarns = {YARN: SLIPWAY, "Foam": FOAM}
    found = stitch_colours(run, yarns, {YARN: RUN}, slack=1.08)
    return float(found.end_m[found.loops.strand == 0][-1])


def test_a_ball_goes_on_where_it_was_cut() -> None:
    run = two_yarns()
    first, foam, again = starts(run, Joining.CARRY_ON)
    assert [first, foam] == pytest.approx([0.150, 0.090])
    assert again == pytest.approx(first_strand_end(run) + 0.120 + 0.080)


def test_joined_anew_it_starts_at_its_offset() -> None:
    assert starts(two_yarns(), Joining.ANEW) == pytest.approx([0.150, 0.090, 0.080])


def test_a_length_cut_off_between_comes_off_the_ball() -> None:
    run = two_yarns((TakeLength("seam yarn", YARN, 700.0, Part.SEAM),))
    again = starts(run, Joining.CARRY_ON)[2]
    assert again == pytest.approx(first_strand_end(run) + 0.120 + 0.700 + 0.080)


def test_a_length_cut_off_while_the_ball_hangs_comes_off_after() -> None:
    field = Field(board(8), STOCKINETTE, 1, 8)
    head: tuple[tuple[str, Work], ...] = (
        ("cast-on", cast_on(field, YARN, 150.0, 30.0)),
        ("first", first_row(field)),
    )
    tail: tuple[tuple[str, Work], ...] = (
        ("rows", rows(field, 4)),
        ("change", (CutYarn(120.0), JoinYarn(YARN, 80.0))),
        ("more", rows(field, 2, done=5)),
    )
    plain = coloured(stripes(head + tail))
    taken: Work = (TakeLength("seam yarn", YARN, 700.0, Part.SEAM),)
    cut = coloured(stripes((*head, ("take", taken), *tail)))
    one = plain.loops.strand == 0
    assert cut.start_m[one] == pytest.approx(plain.start_m[one])
    assert cut.start_m[~one] == pytest.approx(plain.start_m[~one] + 0.700)


def test_yarns_keep_their_own_colours() -> None:
    yarns = {YARN: SLIPWAY, "Foam": FOAM}
    found = stitch_colours(two_yarns(), yarns, {YARN: RUN}, slack=1.08)
    foam = found.colours.index(Colour("foam", "#cfe8dd"))
    assert (found.index[found.loops.strand == 1] == foam).all()
    assert not (found.index[found.loops.strand != 1] == foam).any()
    solid = stitch_colours(two_yarns(), yarns)
    assert [c.name for c in solid.colours] == [YARN, "foam"]


# --- closed forms -------------------------------------------------------------------------------


def row_length_m(pegs: int, slack: float = 1.0) -> float:
    """What each row after the first draws on so many pegs, from the run itself."""
    run = execute(panel(field_of(STOCKINETTE, pegs), 12))
    arrays = run.fabric.arrays()
    lengths = loop_lengths(run, {YARN: 2.4}) * slack / 1000
    each = [float(lengths[arrays.row == r].sum()) for r in range(2, 13)]
    assert each == pytest.approx([each[0]] * len(each))
    return each[0]


def by_row_and_peg(found: StitchColours) -> dict[int, list[int]]:
    order = np.argsort(found.loops.peg, kind="stable")
    return {
        row: [int(found.index[i]) for i in order if found.loops.row[i] == row]
        for row in range(1, 13)
    }


def test_a_repeat_as_long_as_a_row_stacks_colours_in_columns() -> None:
    length_m = row_length_m(16)
    run = ColourRun((Stretch(RUST, length_m / 2), Stretch(CREAM, length_m / 2)), offset_m=0.003)
    lines = by_row_and_peg(coloured(execute(panel(field_of(STOCKINETTE, 16), 12)), run, 1.0))
    assert len(set(lines[1])) == 2
    assert all(lines[row] == lines[1] for row in lines)


def test_a_repeat_of_two_rows_alternates() -> None:
    length_m = row_length_m(16)
    field = field_of(STOCKINETTE, 16)
    script = panel(field, 12)
    first = coloured(execute(script), ColourRun.solid(RUST), 1.0)
    row_one_m = float(first.start_m[first.loops.row == 1].min())
    # The repeat begins where row 1 does, so every row has one colour, and the next the other.
    offset_m = 2 * length_m - row_one_m % (2 * length_m)
    stretches = (Stretch(RUST, length_m), Stretch(CREAM, length_m))
    lines = by_row_and_peg(coloured(execute(script), ColourRun(stretches, offset_m=offset_m), 1.0))
    assert [set(lines[row]) for row in range(1, 13)] == [{0}, {1}] * 6


def test_shares_and_words() -> None:
    found = coloured(execute(hood(12, 40)))
    shares = found.shares("strip")
    assert sum(s.stitches for s in shares) == int((found.loops.piece == 0).sum())
    assert sum(s.share for s in shares) == pytest.approx(1)
    # In the long run each colour has its part of the repeat.
    assert {s.colour.name: s.share for s in shares}["teal"] == pytest.approx(0.42 / 0.9, abs=0.03)
    assert found.words()[0].startswith("Of the stitches of the strip: teal 4")
    data = found.as_data()["pieces"]
    assert isinstance(data, dict)
    assert set(data) == {"strip", "cord"}


@pytest.mark.parametrize(
    ("yarns", "runs", "slack", "field"),
    [
        ({}, {}, 1.0, "yarns"),
        ({YARN: SLIPWAY}, {"Kelp": RUN}, 1.0, "runs"),
        ({YARN: SLIPWAY}, {}, 0.0, "slack"),
    ],
)
def test_bad_input_names_its_field(
    yarns: dict[str, Yarn], runs: dict[str, ColourRun], slack: float, field: str
) -> None:
    run = execute(panel(field_of(shipped("flat"), 4), 3))
    with pytest.raises(BadInput) as caught:
        stitch_colours(run, yarns, runs, slack=slack)
    assert caught.value.place is not None
    assert caught.value.place.field == field


def test_an_unknown_piece_is_refused() -> None:
    with pytest.raises(BadInput, match="no such piece"):
        coloured(execute(hood(12, 40))).shares("sleeve")
