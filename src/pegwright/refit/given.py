"""What a reader says of what she has, made into a :class:`pegwright.refit.reader.Reader`.

She says only what is other than in the design: a gap, a yarn's category, a head.  Where she has a
board or a yarn of her own that is known whole, what she says is laid over it.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pegwright.designs.model import Design
from pegwright.garments.base import Wearer
from pegwright.knitting.wrap_trial import WRAP_TEST_PAIRS
from pegwright.loom.board import Loom
from pegwright.loom.given import GivenBoard
from pegwright.loom.wrap_test import check_slack
from pegwright.measured import Measured
from pegwright.refit.reader import OwnWrapTest, Reader, Spacers
from pegwright.yarn.given import GivenYarn
from pegwright.yarn.yarn import Yarn

__all__ = ["Given", "reader_of"]


@dataclass(frozen=True, slots=True)
class Given:
    """What a reader says; None, or nothing, is as in the design.

    :param board: said over ``own_board``, or over the design's where she has none that is known.
    :param yarn: said over ``own_yarn``, or over the design's.
    :param drawn_mm: what a wrap test on her board drew, ``over`` so many pegs of each board.
    :param slack: drawn over taut length; ``slack_sd`` as the design's where it is not known.
    """

    board: GivenBoard = field(default_factory=GivenBoard)
    own_board: Loom | None = None
    yarn: GivenYarn = field(default_factory=GivenYarn)
    own_yarn: Yarn | None = None
    drawn_mm: float | None = None
    over: int | None = None
    measures: Mapping[str, float] = field(default_factory=dict)
    wearer: Wearer | None = None
    slack: float | None = None
    slack_sd: float | None = None
    spacers: Spacers | None = None


def reader_of(design: Design, given: Given) -> Reader:
    """The reader.

    :raises BadInput: naming the field, for a slack that cannot be, or a board or yarn that cannot.
    """
    board, yarn, test = given.own_board, given.own_yarn, None
    if not given.board.is_empty:
        board = given.board.on(board or design.loom)
    if not given.yarn.is_empty:
        yarn = given.yarn.like(yarn or design.body_yarn)
    if given.drawn_mm is not None:
        test = OwnWrapTest(WRAP_TEST_PAIRS if given.over is None else given.over, given.drawn_mm)
    return Reader(
        board=board,
        wrap_test=test,
        yarn=yarn,
        measures=dict(given.measures) or None,
        wearer=given.wearer,
        slack=_slack(design, given),
        spacers=given.spacers,
    )


def _slack(design: Design, given: Given) -> Measured | None:
    if given.slack is None:
        return None
    check_slack(given.slack)
    return Measured(given.slack, design.slack.sd if given.slack_sd is None else given.slack_sd)
