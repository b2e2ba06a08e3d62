"""Every fault: the smallest work that has it, where it is found, and the same work mended."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from pegwright.errors import Severity, Spot
from pegwright.knitting.faults import Fault, finding
from pegwright.knitting.operations import (
    CutYarn,
    DrawThrough,
    DrawUp,
    Edge,
    FastenOff,
    Fold,
    Increase,
    JoinYarn,
    KnitOver,
    LayAnchor,
    LiftOff,
    Move,
    Onto,
    Part,
    PullAnchor,
    Purl,
    SeamEdges,
    Skip,
    TakeLength,
    ThreadCastOn,
    ThreadLive,
    WeaveIn,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.run import execute
from pegwright.knitting.script import Script, Work
from pegwright.knitting.unravel import holds_together
from pegwright.knitting.wraps import Cloth
from pegwright.loom.board import Arrangement
from pegwright.loom.visit import Turn, Visit
from tests.knitting.scripts import GATHER, YARN, Told, board, script_of, told

#   single board, the strip on three of its five pegs        F1  F2  F3  .   .
SINGLE = board(5, Arrangement.SINGLE)
#   double board of three pairs                              B1  B2  B3
#                                                            F1  F2  F3
DOUBLE = board(3)
F1, F2, F3, F4, F5 = range(5)
B1, B2, B3 = 3, 4, 5
CAST_ON, EXTRA = WrapKind.CAST_ON, WrapKind.EXTRA
BOTH_EDGES = (("strip", Edge.LIVE), ("strip", Edge.CAST_ON))


def wrap(*pegs: int, kind: WrapKind = WrapKind.ROW) -> WrapPegs:
    return WrapPegs(tuple(Visit(p, Turn.LEFT) for p in pegs), kind)


def over(*pegs: int, lift: int = 1, upper: int = 1) -> KnitOver:
    return KnitOver(pegs, lift, upper)


def strip(**changes: Work) -> Script:
    """Two rows on F1 to F3, laid flat, both edges run through and drawn up.

    Steps: 1 cast_on, 2 row_1, 3 row_2, 4 cut, 5 gather, 6 hem, 7 close, 8 ends; each may be
    changed.
    """
    works: dict[str, Work] = {
        "cast_on": (JoinYarn(YARN), wrap(F1, F2, F3, kind=CAST_ON), LayAnchor()),
        "row_1": (wrap(F3, F2, F1), over(F1, F2, F3)),
        "row_2": (wrap(F1, F2, F3), over(F3, F2, F1)),
        "cut": (CutYarn(),),
        "gather": (TakeLength(GATHER, YARN, 300.0), ThreadLive(GATHER, (F1, F2, F3)), _OFF),
        "hem": (ThreadCastOn(GATHER, "strip", (F1, F2, F3)), PullAnchor()),
        "close": (DrawUp(GATHER, BOTH_EDGES), FastenOff(GATHER)),
        "ends": (WeaveIn("strip"),),
    }
    assert set(changes) <= set(works)
    works |= changes
    return script_of(SINGLE, ((k, Part.BODY, w) for k, w in works.items()), Cloth.SINGLE)


_OFF = LiftOff("strip")
_TAKE = TakeLength(GATHER, YARN, 300.0)


def threaded(*pegs: int) -> Work:
    return (_TAKE, ThreadLive(GATHER, pegs), _OFF)


def double(cloth: Cloth = Cloth.DOUBLE, **changes: Work) -> Script:
    """Two rows of zigzag on three pairs.  Steps: 1 cast_on, 2 row_1, 3 row_2, 4 the rest."""
    zigzag, knitted = (B1, F2, B3, F3, B2, F1), (F1, B2, F3, B3, F2, B1)
    pegs = (F1, B1, F2, B2, F3, B3)
    works: dict[str, Work] = {
        "cast_on": (JoinYarn(YARN), wrap(*zigzag, kind=CAST_ON), LayAnchor()),
        "row_1": (wrap(*zigzag), over(*knitted)),
        "row_2": (wrap(*zigzag), over(*knitted)),
        "rest": (
            CutYarn(),
            *threaded(*pegs),
            ThreadCastOn(GATHER, "strip", pegs),
            PullAnchor(),
            DrawUp(GATHER, BOTH_EDGES),
            FastenOff(GATHER),
            WeaveIn("strip"),
        ),
    }
    assert set(changes) <= set(works)
    works |= changes
    return script_of(DOUBLE, ((k, Part.BODY, w) for k, w in works.items()), cloth)


def seamed(fold: Work, seam: Work, row_2: Work | None = None, row_3: Work | None = None) -> Script:
    """Four rows on F1 to F3, folded and seamed.  The fold is step 7, the seam step 8."""
    works: dict[str, Work] = {
        "cast_on": (JoinYarn(YARN), wrap(F1, F2, F3, kind=CAST_ON), LayAnchor()),
        "row_1": (wrap(F3, F2, F1), over(F1, F2, F3)),
        "row_2": row_2 or (wrap(F1, F2, F3), over(F3, F2, F1)),
        "row_3": row_3 or (wrap(F3, F2, F1), over(F1, F2, F3)),
        "row_4": (wrap(F1, F2, F3), over(F3, F2, F1), CutYarn(), *threaded(F1, F2, F3)),
        "hem": (ThreadCastOn(GATHER, "strip", (F1, F2, F3)), PullAnchor(), FastenOff(GATHER)),
        "fold": fold,
        "seam": (TakeLength("seam yarn", YARN, 90.0, Part.SEAM), *seam, FastenOff("seam yarn")),
        "ends": (WeaveIn("strip"),),
    }
    return script_of(SINGLE, ((k, Part.BODY, w) for k, w in works.items()), Cloth.SINGLE)


def seam(first: tuple[int, int] = (1, 2), other: tuple[int, int] = (4, 3)) -> SeamEdges:
    right = ("strip", Edge.RIGHT)
    return SeamEdges("seam yarn", (*right, *first), (*right, *other))


CAST_ON_3: Work = (JoinYarn(YARN), wrap(F1, F2, F3, kind=CAST_ON))
ROW_1: Work = (wrap(F3, F2, F1), over(F1, F2, F3))
ROW_2: Work = (wrap(F1, F2, F3), over(F3, F2, F1))
HEM: Work = (ThreadCastOn(GATHER, "strip", (F1, F2, F3)), PullAnchor())
FOLD = Fold("strip", 2)
SEAMED = seamed((FOLD,), (seam(),))


@dataclass(frozen=True)
class Case:
    """A broken script, where its fault lies, and the script mended."""

    fault: Fault
    broken: Script
    row: int | None
    peg: str | None
    step: int
    mended: Script = field(default_factory=strip)
    also: frozenset[Fault] | None = None
    """The other findings that follow from the slip, where they are of interest."""

    @property
    def place(self) -> Told:
        return (str(self.fault), self.row, self.peg, self.step)


def also(*names: Fault) -> frozenset[Fault]:
    return frozenset(names)


CASES: dict[str, Case] = {
    "a live loop is not threaded": Case(
        Fault.UNHELD_LOOP,
        strip(gather=threaded(F1, F2)),
        *(2, "F3", 5),
        also=also(Fault.CORD_DRAWN_EARLY),
    ),
    "a peg is knitted over that was not wrapped": Case(
        Fault.TOO_FEW_LOOPS,
        strip(row_2=(wrap(F1, F2), over(F2, F1, F3), Skip((F3,)))),
        *(2, "F3", 3),
    ),
    "an empty peg is purled": Case(
        Fault.TOO_FEW_LOOPS,
        strip(row_2=(Purl(wrap(F1, F2, F3, F4).visits),)),
        *(2, "F4", 3),
        strip(row_2=(Purl(wrap(F1, F2, F3).visits),)),
    ),
    "an empty peg is threaded": Case(
        Fault.TOO_FEW_LOOPS, strip(gather=threaded(F1, F2, F3, F4)), *(2, "F4", 5)
    ),
    "an empty peg is bound off through the tail": Case(
        Fault.TOO_FEW_LOOPS,
        strip(gather=(DrawThrough(F4), *threaded(F1, F2, F3))),
        *(2, "F4", 5),
    ),
    "a peg is wrapped twice and one loop lifted": Case(
        Fault.TOO_MANY_LOOPS,
        strip(row_2=(wrap(F1, F2, F3), wrap(F2, kind=EXTRA), over(F2, F3, F1))),
        *(2, "F2", 3),
        strip(row_2=(wrap(F1, F2, F3), wrap(F2, kind=EXTRA), over(F2, lift=2), over(F3, F1))),
        also(Fault.UNHELD_LOOP, Fault.CORD_DRAWN_EARLY),
    ),
    "a peg is not knitted over": Case(
        Fault.MISSED_PEG,
        strip(row_2=(wrap(F1, F2, F3), over(F3, F2))),
        *(2, "F1", 3),
        also=also(Fault.UNHELD_LOOP, Fault.CORD_DRAWN_EARLY),
    ),
    "a peg is not wrapped": Case(
        Fault.UNWRAPPED_PEG,
        strip(row_2=(wrap(F1, F2), over(F2, F1))),
        *(2, "F3", 3),
        strip(row_2=(wrap(F1, F2), Skip((F3,)), over(F2, F1))),
    ),
    "a skip before the row is begun": Case(
        Fault.UNWRAPPED_PEG,
        strip(row_2=(Skip((F2,)), wrap(F1, F2), over(F2, F1))),
        *(2, "F3", 3),
        strip(row_2=(Skip((F3,)), wrap(F1, F2), over(F2, F1))),
    ),
    "an empty peg's loop is moved": Case(
        Fault.NOTHING_TO_MOVE,
        strip(
            row_2=(Move(F3, F2), Move(F3, F2), wrap(F1, F2), over(F2, lift=2), over(F1)),
            gather=threaded(F1, F2),
        ),
        *(1, "F3", 3),
        strip(
            row_2=(Move(F3, F2), wrap(F1, F2), over(F2, lift=2), over(F1)),
            gather=threaded(F1, F2),
        ),
    ),
    "a decrease moves a loop onto an empty peg": Case(
        Fault.MOVED_ONTO_NOTHING,
        strip(
            row_2=(Move(F3, F4), wrap(F1, F2, F4), over(F4, F2, F1)), gather=threaded(F1, F2, F4)
        ),
        *(1, "F3", 3),
        strip(
            row_2=(Move(F3, F4, Onto.EMPTY), wrap(F1, F2, F4), over(F4, F2, F1)),
            gather=threaded(F1, F2, F4),
        ),
    ),
    "a loop is moved along onto a peg that is not empty": Case(
        Fault.PEG_OCCUPIED,
        strip(
            row_2=(Move(F3, F2, Onto.EMPTY), wrap(F1, F2), over(F2, lift=2), over(F1)),
            gather=threaded(F1, F2),
        ),
        *(1, "F3", 3),
        strip(
            row_2=(Move(F3, F2), wrap(F1, F2), over(F2, lift=2), over(F1)),
            gather=threaded(F1, F2),
        ),
    ),
    "an increase on a peg that is not empty": Case(
        Fault.PEG_OCCUPIED, strip(row_2=(Increase(F2, F3), *ROW_2)), *(1, "F2", 3)
    ),
    "end stitches are moved in the wrong order": Case(
        # F1 F2 F3        on F3, from the bottom: its own loop, then F1's, then F2's
        #       3 1 2     taken off from the top: 2, 1, 3
        Fault.LOOPS_OUT_OF_ORDER,
        strip(cut=(CutYarn(), Move(F1, F3), Move(F2, F3)), gather=threaded(F3, F3, F3)),
        *(2, "F3", 5),
        strip(cut=(CutYarn(), Move(F2, F3), Move(F1, F3)), gather=threaded(F3, F3, F3)),
    ),
    "loops are threaded to and fro": Case(
        Fault.LOOPS_OUT_OF_ORDER, strip(gather=threaded(F2, F1, F3)), *(2, "F1", 5)
    ),
    "an increase before there is a stitch": Case(
        Fault.NOTHING_TO_INCREASE,
        strip(row_1=(Increase(F4, F3), *ROW_1)),
        *(0, "F4", 2),
        strip(
            row_2=(Increase(F4, F3), wrap(F1, F2, F3, F4), over(F4, F3, F2, F1)),
            gather=threaded(F1, F2, F3, F4),
        ),
    ),
    "two increases take the same loop": Case(
        Fault.NOTHING_TO_INCREASE,
        strip(
            row_2=(
                *(Increase(F4, F3), Increase(F5, F3)),
                *(wrap(F1, F2, F3, F4), over(F4, F3, F2, F1)),
            ),
            gather=threaded(F1, F2, F3, F4),
        ),
        *(1, "F5", 3),
        strip(
            row_2=(Increase(F4, F3), wrap(F1, F2, F3, F4), over(F4, F3, F2, F1)),
            gather=threaded(F1, F2, F3, F4),
        ),
    ),
    "no anchor on open cast-on loops": Case(
        Fault.NO_ANCHOR, strip(cast_on=CAST_ON_3), *(1, None, 2)
    ),
    "an anchor on no loops": Case(
        Fault.NO_ANCHOR, strip(cast_on=(LayAnchor(), *CAST_ON_3)), *(0, None, 1)
    ),
    "an anchor of another name is drawn out": Case(
        Fault.NO_ANCHOR,
        strip(hem=(*HEM, PullAnchor("red cord"))),
        *(2, None, 6),
        strip(cast_on=(*CAST_ON_3, LayAnchor("red cord")), hem=(HEM[0], PullAnchor("red cord"))),
    ),
    "the anchor comes out before the gathering yarn goes in": Case(
        Fault.ANCHOR_PULLED_EARLY, strip(hem=HEM[::-1]), *(0, "F1", 6)
    ),
    "the anchor stays in": Case(Fault.ANCHOR_LEFT, strip(hem=HEM[:1]), *(2, None, 8)),
    "nothing of that name to thread with": Case(
        Fault.CORD_NOT_READY,
        strip(gather=(ThreadLive("cord", (F1, F2, F3)), *threaded(F1, F2, F3))),
        *(2, None, 5),
    ),
    "a cord is used while it is on the loom": Case(
        Fault.CORD_NOT_READY,
        strip(gather=(ThreadLive("strip", (F1, F2, F3)), *threaded(F1, F2, F3))),
        *(2, None, 5),
    ),
    "drawn up before it runs through the cast-on": Case(
        Fault.CORD_DRAWN_EARLY,
        strip(gather=(*threaded(F1, F2, F3), DrawUp(GATHER, BOTH_EDGES))),
        *(0, None, 5),
    ),
    "drawn up before it runs through the last row": Case(
        Fault.CORD_DRAWN_EARLY,
        strip(cut=(CutYarn(), _TAKE, DrawUp(GATHER, BOTH_EDGES))),
        *(2, None, 4),
    ),
    "a cast-on loop is passed by": Case(
        Fault.EDGE_LOOP_MISSED,
        strip(hem=(ThreadCastOn(GATHER, "strip", (F1, F3)), PullAnchor())),
        *(0, "F2", 6),
        also=also(Fault.ANCHOR_PULLED_EARLY, Fault.CORD_DRAWN_EARLY, Fault.CAST_ON_OPEN),
    ),
    "the cast-on is left open": Case(
        Fault.CAST_ON_OPEN,
        strip(hem=HEM[1:]),
        *(2, None, 8),
        also=also(Fault.ANCHOR_PULLED_EARLY, Fault.CORD_DRAWN_EARLY),
    ),
    "the gathering yarn has loose ends": Case(
        Fault.GATHER_NOT_FASTENED, strip(close=(DrawUp(GATHER, BOTH_EDGES),)), *(2, None, 8)
    ),
    "the yarn stays on each board in turn": Case(
        # B1--B2--B3      out along the back, straight across, home along the front: a tube
        #          |
        # F1--F2--F3
        Fault.FACES_NOT_JOINED,
        double(row_2=(wrap(B1, B2, B3, F3, F2, F1), over(F1, F2, F3, B3, B2, B1))),
        *(2, None, 3),
        double(),
    ),
    "a tube is meant to be one": Case(
        Fault.FACES_NOT_JOINED,
        double(row_2=(wrap(B1, B2, B3, F3, F2, F1), over(F1, F2, F3, B3, B2, B1))),
        *(2, None, 3),
        double(Cloth.TUBE, row_2=(wrap(B1, B2, B3, F3, F2, F1), over(F1, F2, F3, B3, B2, B1))),
    ),
    "an end peg is skipped where the seam runs": Case(
        Fault.EDGE_NOT_CHAIN,
        seamed(
            (FOLD,),
            (seam(),),
            (wrap(F1, F2), Skip((F3,)), over(F2, F1)),
        ),
        *(2, "F3", 8),
        SEAMED,
    ),
    "an inner peg may be skipped": Case(
        Fault.EDGE_NOT_CHAIN,
        seamed((FOLD,), (seam(),), row_3=(wrap(F2, F1), Skip((F3,)), over(F1, F2))),
        *(3, "F3", 8),
        seamed((FOLD,), (seam(),), row_3=(wrap(F3, F1), Skip((F2,)), over(F1, F3))),
    ),
    "the seam's sides are unlike": Case(
        Fault.SEAM_UNEVEN, seamed((FOLD,), (seam((1, 1)),)), *(4, None, 8), SEAMED
    ),
    "the seam runs on past the last row": Case(
        Fault.SEAM_UNEVEN, seamed((FOLD,), (seam((1, 2), (5, 4)),)), *(4, None, 8), SEAMED
    ),
    "the fold is not where the seam needs it": Case(
        Fault.SEAM_UNEVEN, seamed((Fold("strip", 1),), (seam(),)), *(1, None, 8), SEAMED
    ),
    "a strip is folded on the loom": Case(
        Fault.SEAM_TOO_SOON, strip(row_2=(*ROW_2, Fold("strip", 1))), *(2, None, 3)
    ),
    "a strip is seamed on the loom": Case(
        Fault.SEAM_TOO_SOON,
        strip(row_2=(*ROW_2, TakeLength("seam yarn", YARN, 90.0), seam((1, 1), (2, 2)))),
        *(2, None, 3),
    ),
    "a strip is seamed before it is folded": Case(
        Fault.SEAM_TOO_SOON, seamed((), (seam(), FOLD)), *(4, None, 8), SEAMED
    ),
    "loops are left on the loom": Case(
        Fault.LEFT_ON_LOOM,
        strip(gather=(_TAKE, ThreadLive(GATHER, (F1,)))),
        *(2, "F2", 8),
        also=also(Fault.CORD_DRAWN_EARLY),
    ),
    "there is no such piece to take off": Case(
        Fault.LEFT_ON_LOOM, strip(row_2=(*ROW_2, LiftOff("sleeve"))), *(2, None, 3)
    ),
    "the yarn is cut before the row": Case(
        Fault.NO_YARN,
        strip(row_2=(CutYarn(), wrap(F1, F2, F3))),
        *(1, None, 3),
        strip(row_2=(CutYarn(), JoinYarn(YARN), *ROW_2)),
    ),
    "a yarn is joined while another is in hand": Case(
        Fault.YARN_NOT_CUT,
        strip(row_2=(JoinYarn("harbour white"), *ROW_2)),
        *(1, None, 3),
        strip(row_2=(CutYarn(), JoinYarn("harbour white"), *ROW_2)),
        also(),
    ),
    "the yarn is never cut": Case(Fault.YARN_NOT_CUT, strip(cut=()), *(2, None, 8), also=also()),
    "the tail is drawn through before it is cut": Case(
        Fault.YARN_NOT_CUT,
        strip(cut=(DrawThrough(F1), CutYarn())),
        *(2, "F1", 4),
        strip(cut=(CutYarn(), DrawThrough(F1)), gather=threaded(F2, F3)),
    ),
    "a peg beyond the board's end": Case(
        Fault.NO_SUCH_PEG,
        strip(row_2=(wrap(F1, F2, F3, 7), over(F3, F2, F1))),
        *(2, "peg 8", 3),
    ),
    "the row is knitted from its beginning": Case(
        Fault.KNIT_ORDER, strip(row_2=(wrap(F1, F2, F3), over(F1, F2, F3))), *(2, "F1", 3)
    ),
    "tails hang": Case(Fault.TAIL_LOOSE, strip(ends=()), *(2, None, 8)),
}
"""Each case by what is wrong, in the maker's words."""

CAUTIONS = {
    "the row is knitted from its beginning",
    "tails hang",
}
"""The cases whose finding is a caution, with which a script is still proved."""


@pytest.mark.parametrize("name", CASES)
def test_the_fault_is_found_at_its_place(name: str) -> None:
    case = CASES[name]
    run = execute(case.broken)
    assert case.place in {told(f) for f in run.findings}
    assert run.proved == (name in CAUTIONS)


@pytest.mark.parametrize("name", CASES)
def test_the_mended_work_has_no_finding(name: str) -> None:
    run = execute(CASES[name].mended)
    assert [str(f) for f in run.findings] == []
    assert holds_together(run.fabric.arrays())


@pytest.mark.parametrize("name", [n for n, c in CASES.items() if c.also is not None])
def test_what_follows_from_a_slip_is_told_too_and_no_more(name: str) -> None:
    case = CASES[name]
    assert {f.name for f in execute(case.broken).findings} == {case.fault, *(case.also or ())}


def test_every_fault_has_a_case() -> None:
    # Short yarn is found when the yarn on hand is reckoned, not on the loom.
    assert {c.fault for c in CASES.values()} == set(Fault) - {Fault.YARN_SHORT}


@pytest.mark.parametrize("fault", Fault)
def test_every_fault_says_how_it_is_mended(fault: Fault) -> None:
    found = finding(fault, "something is wrong", Spot(row=2))
    assert found.name == fault.value
    assert found.mend
    assert found.mend[0].islower()
    cautions = {Fault.KNIT_ORDER, Fault.TAIL_LOOSE}
    assert found.severity is (Severity.CAUTION if fault in cautions else Severity.FAULT)


def test_a_mend_of_its_own_takes_the_usual_ones_place() -> None:
    assert finding(Fault.NO_YARN, "no yarn", Spot(), "ask the bow for hers").mend[:3] == "ask"


def test_a_finding_names_the_size_and_the_piece_it_lies_in() -> None:
    run = execute(strip(gather=threaded(F1, F2)))
    found = run.findings[0]
    assert (found.spot.size, found.spot.piece) == ("one size", "strip")
    assert str(found.spot) == "size one size, piece strip, row 2, peg F3, step 5"


def test_the_same_slip_in_every_row_is_told_once_where_it_begins() -> None:
    slip = (wrap(F1, F2), over(F2, F1), wrap(F2, F1), over(F1, F2))
    run = execute(strip(row_2=slip * 5))
    assert [told(f) for f in run.findings if f.name == Fault.UNWRAPPED_PEG] == [
        (Fault.UNWRAPPED_PEG, 2, "F3", 3)
    ]
