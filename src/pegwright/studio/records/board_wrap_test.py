"""A board's wrap test: what it draws, what the maker's own drew, the gap for a length wanted."""

from __future__ import annotations

from dataclasses import dataclass, replace
from statistics import fmean
from typing import Annotated

from fastapi import APIRouter, Query
from pydantic import BaseModel

from pegwright.errors import BadInput, NotPossible, Place
from pegwright.knitting.wrap_trial import (
    WrapTrial,
    gap_words,
    own_slack,
    stack_words,
    trial,
)
from pegwright.library.records import OwnBoard
from pegwright.loom.spacers import Stack, stack_for_gap
from pegwright.measured import Measured
from pegwright.pattern.figures import board_figure, course_figure
from pegwright.studio.designs.api import RecordId, Revision
from pegwright.studio.designs.sheet import SheetField, SheetGroup
from pegwright.studio.designs.view import FigureView
from pegwright.studio.library.record_bodies import FormValues, read_count, read_lengths
from pegwright.studio.records.board_forms import (
    WrapAsked,
    figure_view,
    needed_thickness,
    slack_asked,
    wrap_asked,
    wrap_fields,
    yarn_fields,
)
from pegwright.studio.records.tasks import (
    Kept,
    Typed,
    at_field,
    board_record,
    units_asked,
    units_field,
)
from pegwright.studio.refusals import ANSWERS
from pegwright.studio.shapes import Asked
from pegwright.studio.state import Studio, TheStudio
from pegwright.tongue.said import say
from pegwright.units import UnitSystem, format_both, parse_length_mm

__all__ = ["router"]

router = APIRouter(prefix="/api/boards", tags=["boards"], responses=ANSWERS)


class WrapTestAsked(WrapAsked):
    """The values of the form by field; what is left out is usual."""

    measured: Typed = ""
    wanted: Typed = ""
    units: Typed = ""


class KeepAsked(Asked):
    """What a wrap test found, to be kept on the board of this revision."""

    revision: Revision
    test: WrapTestAsked


class DrewView(BaseModel):
    """What the maker's own board drew.

    :param mean_mm: of all that she measured.
    :param slack: of her own hand, and ``slack_sd`` how far it varies; ``words`` say both.
    :param against: what it is compared with; then whether it suits, and what follows.
    """

    mean_mm: float
    slack: float
    slack_sd: float
    words: list[str]
    against: str
    suits: bool
    ratio: float
    advice: list[str]


class StackView(BaseModel):
    """Spacers for a gap; ``gap_mm`` is what they give, and ``words`` what the wrap then draws."""

    pieces_mm: list[float]
    error_mm: float
    gap_mm: float
    words: list[str]


class WantedView(BaseModel):
    """The gap for a wanted length; None where no gap gives it, or the board has none to set.

    ``suits`` says whether the board draws it as it stands, for the hand that is asked about.
    """

    suits: bool
    gap_mm: float | None
    words: list[str]
    stack: StackView | None


class WrapTestView(BaseModel):
    """A wrap test on a board; lengths are mm."""

    words: str
    wrap: str
    over: int
    closed: bool
    yarn_diameter_mm: float
    slack: float
    length_mm: float
    per_loop_mm: float
    loops: int
    how: list[str]
    figures: list[FigureView]
    drew: DrewView | None
    wanted: WantedView | None


@dataclass(frozen=True, slots=True)
class _Test:
    """What a form asks about."""

    own: OwnBoard
    trial: WrapTrial
    measured_mm: tuple[float, ...]
    wanted_mm: float | None
    units: UnitSystem


# --- the API -------------------------------------------------------------------------------------


@router.get("/{board_id}/wrap-test/form")
def wrap_test_form(board_id: RecordId, studio: TheStudio) -> list[SheetGroup]:
    """The form of a wrap test on a board."""
    _, own = board_record(studio, board_id)
    return [
        SheetGroup(
            key="test",
            title="The test",
            fields=[
                *wrap_fields(own.loom, own.slack.value if own.slack else 1.0),
                *yarn_fields(studio.library, chosen=True),
                units_field(),
            ],
        ),
        SheetGroup(
            key="drew",
            title="What your board drew",
            words="Leave it empty until you have wrapped it.",
            fields=[
                SheetField(path="measured", label="It drew", kind="length",
                           help="Wrap it again and add what it drew, with a comma between: "
                           "43 in, 43 1/4 in.")
            ],
        ),
        SheetGroup(
            key="pattern",
            title="What a pattern asks for",
            fields=[
                SheetField(path="wanted", label="It shall draw", kind="length",
                           help="The length in the pattern, for the same wrap and pegs.")
            ],
        ),
    ]  # fmt: skip


@router.get("/{board_id}/wrap-test")
def wrap_test(
    board_id: RecordId, studio: TheStudio, asked: Annotated[WrapTestAsked, Query()]
) -> WrapTestView:
    """What a wrap test draws, what the maker's own drew, and the gap for a wanted length."""
    test = _test(studio, board_id, asked)
    one, drawn = test.trial, test.trial.drawn()
    slack = _slack(test)
    return WrapTestView(
        words=one.words(test.units),
        wrap=one.wrap.name,
        over=one.columns,
        closed=one.closed,
        yarn_diameter_mm=one.diameter_mm,
        slack=one.slack,
        length_mm=drawn.length_mm,
        per_loop_mm=drawn.per_loop_mm,
        loops=drawn.loops,
        how=list(one.how()),
        figures=_figures(test),
        drew=None if slack is None else _drew(test, slack),
        wanted=None if test.wanted_mm is None else _wanted(test, slack, test.wanted_mm),
    )


@router.post("/{board_id}/wrap-test/slack")
def keep_slack(board_id: RecordId, asked: KeepAsked, studio: TheStudio) -> Kept:
    """Keep the slack of the maker's own hand on the board."""
    test = _test(studio, board_id, asked.test)
    slack = _slack(test)
    if slack is None:
        raise BadInput(
            "nothing was measured yet",
            hint="wrap the board, unwind the yarn and type what it drew",
            place=Place(field="measured"),
        )
    kept = Measured(round(slack.value, 3), round(slack.sd, 3))
    record = studio.library.put(
        replace(test.own, slack=kept), record_id=board_id, expected=asked.revision
    )
    words = f"Kept: this board's slack is {kept.value:g}, and varies by {kept.sd:g}."
    return Kept(revision=record.revision, words=words)


@router.post("/{board_id}/wrap-test/gap")
def keep_gap(board_id: RecordId, asked: KeepAsked, studio: TheStudio) -> Kept:
    """Keep the gap that gives the wanted length, as the spacers set it where there are any."""
    test = _test(studio, board_id, asked.test)
    found = None if test.wanted_mm is None else _wanted(test, _slack(test), test.wanted_mm)
    if found is None or found.gap_mm is None:
        raise BadInput(
            "there is no gap to keep",
            hint="type the length that a pattern asks for",
            place=Place(field="wanted"),
        )
    gap_mm = found.stack.gap_mm if found.stack else round(found.gap_mm, 2)
    record = studio.library.put(
        replace(test.own, loom=replace(test.own.loom, gap_mm=gap_mm)),
        record_id=board_id,
        expected=asked.revision,
    )
    gap = format_both(gap_mm, test.units, denominator=32)
    return Kept(revision=record.revision, words=f"Kept: this board's gap is {gap}.")


# --- inside --------------------------------------------------------------------------------------


def _test(studio: Studio, board_id: str, asked: WrapTestAsked) -> _Test:
    _, own = board_record(studio, board_id)
    read = FormValues(asked.model_dump())
    diameter_mm = needed_thickness(read, studio.library).mm
    slack = slack_asked(read, own.slack.value if own.slack else 1.0)
    over = read.as_("over", read_count)
    wrap = wrap_asked(read, double=own.loom.is_double)
    with at_field("wrap" if over is None else "over"):
        one = trial(own.loom, wrap, diameter_mm, slack, over)
    with at_field("yarn"):
        one.drawn()
    wanted_mm = read.as_("wanted", parse_length_mm)
    if wanted_mm is not None and wanted_mm <= 0:
        raise BadInput("a length above zero is needed", place=Place(field="wanted"))
    return _Test(own, one, read.as_("measured", read_lengths) or (), wanted_mm, units_asked(read))


def _figures(test: _Test) -> list[FigureView]:
    one = test.trial
    board = board_figure(
        one.loom, one.columns, test.units, say("The board from above, with the pegs to wrap")
    )
    return [
        figure_view(board),
        figure_view(course_figure(one.wrap, one.loom, one.diameter_mm)),
    ]


def _slack(test: _Test) -> Measured | None:
    """The slack of the maker's own hand; None where she has measured nothing."""
    if not test.measured_mm:
        return None
    return own_slack(test.measured_mm, test.trial.drawn(1.0).length_mm)


def _drew(test: _Test, slack: Measured) -> DrewView:
    one, mean_mm = test.trial, fmean(test.measured_mm)
    if test.wanted_mm is None:
        against = "Against a pattern written for this board's measures and the slack in the form:"
        suits = one.compared(mean_mm, test.units)
    else:
        against = "Against the length that the pattern asks for:"
        suits = replace(one, slack=slack.value).matched(test.wanted_mm, test.units)
    times = len(test.measured_mm)
    return DrewView(
        mean_mm=mean_mm,
        slack=slack.value,
        slack_sd=slack.sd,
        words=list(_slack_words(slack, times)),
        against=against,
        suits=suits.suits,
        ratio=suits.ratio,
        advice=list(suits.advice),
    )


def _slack_words(slack: Measured, times: int) -> tuple[str, str]:
    """The slack, and how sure it is."""
    draws = f"Your hand draws {slack.value:.3f} times what taut yarn would."
    if times == 1:
        return draws, (
            f"One wrap does not show how far it varies: {slack.sd:.2f} is taken, as is usual. Wrap"
            " it again to know."
        )
    return draws, f"From {times} wraps, it varies by {slack.sd:.3f}."


def _wanted(test: _Test, slack: Measured | None, wanted_mm: float) -> WantedView:
    """The gap for a length, with the maker's own slack where she has measured."""
    one = test.trial if slack is None else replace(test.trial, slack=slack.value)
    with at_field("wanted"):
        suits = one.matched(wanted_mm, test.units)
    told = [] if slack is not None else list(suits.advice)  # told with what she drew
    if not one.loom.is_double:
        return WantedView(
            suits=suits.suits,
            gap_mm=None,
            words=[*told, "One row of pegs has no gap to set."],
            stack=None,
        )
    try:
        answer = one.gap_for(wanted_mm)
    except NotPossible as error:
        sentence = f"{error.what[:1].upper()}{error.what[1:]}: {error.hint}."
        return WantedView(suits=suits.suits, gap_mm=None, words=[*told, sentence], stack=None)
    words = [*told[:1], gap_words(answer, test.units)]
    stack, why = _stack(test.own, one, answer.gap_mm, test.units)
    return WantedView(
        suits=suits.suits,
        gap_mm=answer.gap_mm,
        words=[*words, *([why] if why else [])],
        stack=stack,
    )


def _stack(
    own: OwnBoard, one: WrapTrial, gap_mm: float, units: UnitSystem
) -> tuple[StackView | None, str]:
    """The spacers of the board for a gap, or why there are none."""
    if not own.spacers_mm or own.bare_gap_mm is None:
        return None, (
            "Note with the board which spacers you have and the gap without them; then the stack "
            "is told here."
        )
    try:
        stack: Stack = stack_for_gap(gap_mm, own.spacers_mm, gap_offset_mm=own.bare_gap_mm)
    except NotPossible as error:
        return None, f"{error.what[:1].upper()}{error.what[1:]}. Try: {error.hint}."
    set_mm = own.bare_gap_mm + stack.total_mm
    words = [stack_words(stack, units)]
    if set_mm > one.loom.peg_diameter_mm + one.diameter_mm:
        drawn = replace(one, loom=replace(one.loom, gap_mm=set_mm)).drawn()
        words.append(
            f"The rows then stand {format_both(set_mm, units, denominator=32)} apart, and the wrap"
            f" draws {format_both(drawn.length_mm, units)}."
        )
    return (
        StackView(
            pieces_mm=list(stack.pieces), error_mm=stack.error_mm, gap_mm=set_mm, words=words
        ),
        "",
    )
