"""Reads a tester's answers: the sheet filled in, checked against the design that it is about.

Empty texts count as not answered.  What cannot be (an unknown size, a step that is not there, less
yarn than none, a measure that must be a slip of the unit) is refused with its file, line and the
nearest that is known, all in one go.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from pegwright.designs import reader
from pegwright.designs.check import checked_as
from pegwright.designs.outline import Outline
from pegwright.designs.outline import Path as KeyPath
from pegwright.designs.problems import Problems, nearest
from pegwright.gauge.fabric_gauge import Swatch
from pegwright.measured import Measured
from pegwright.testknit.answers_form import AnswersForm, SwatchAnswerForm, form_of
from pegwright.testknit.sheet import TesterSheet
from pegwright.units import format_both

__all__ = [
    "Answers",
    "BoardAnswer",
    "PieceAnswer",
    "Trouble",
    "YarnAnswer",
    "read_answers",
    "read_files",
]

_SLIP = 2.0
"""A measure so many times larger or smaller than predicted is taken for a slip of the unit."""

_SHORT_MM = 10.0
"""… and may be so much off besides, since short lengths are off by more of themselves."""


@dataclass(frozen=True, slots=True)
class BoardAnswer:
    """The tester's board, as far as she measured it; mm."""

    pegs: int | None = None
    pitch_mm: float | None = None
    gap_mm: float | None = None
    peg_diameter_mm: float | None = None


@dataclass(frozen=True, slots=True)
class PieceAnswer:
    """A piece before it was made up; mm, None where it was not measured."""

    name: str
    width_mm: float | None
    length_mm: float | None


@dataclass(frozen=True, slots=True)
class YarnAnswer:
    """A yarn weighed before and after.

    :param instead: the name of another yarn that was used in its place; "" for none.
    :param metres_per_100g: of that other yarn, where it is known.
    """

    name: str
    before_g: float
    after_g: float
    instead: str = ""
    metres_per_100g: float | None = None

    @property
    def used_g(self) -> float:
        """What went into the piece, tails and mistakes included."""
        return self.before_g - self.after_g


@dataclass(frozen=True, slots=True)
class Trouble:
    """Trouble with a step, in the tester's words."""

    step: int
    words: str


@dataclass(frozen=True, slots=True)
class Answers:
    """One tester's answers.

    :param tester: what she calls herself; the file's name where she says nothing.
    :param digest: of the pattern that she knitted, "" where the file does not say.
    :param washed: the piece was washed before it was measured; None where she does not say.
    :param wrap_test_mm: what the wrap test of the form drew.
    :param measures_mm: finished measurements by name.
    :param knitting_min: minutes at the loom.
    """

    size: str
    tester: str
    version: str = ""
    digest: str = ""
    scale_g: float = 1.0
    washed: bool | None = None
    board: BoardAnswer = BoardAnswer()
    wrap_test_mm: float | None = None
    swatch: Swatch | None = None
    measures_mm: Mapping[str, float] | None = None
    pieces: tuple[PieceAnswer, ...] = ()
    yarns: tuple[YarnAnswer, ...] = ()
    knitting_min: float | None = None
    making_up_min: float | None = None
    troubles: tuple[Trouble, ...] = ()
    remarks: str = ""

    def measure_mm(self, name: str) -> float | None:
        """A finished measurement, or None where it was not taken."""
        return None if self.measures_mm is None else self.measures_mm.get(name)


def read_answers(text: str, sheets: Mapping[str, TesterSheet], name: str = "answers") -> Answers:
    """The answers in a text.

    :param sheets: the sheet of every size of the design (:func:`pegwright.testknit.sheet.sheets`).
    :param name: what refusals call the file.
    :raises BadInput: for what is no answer to this design; it names file, line and key, and carries
        further problems along.
    """
    if len(text) > reader.MOST_BYTES:
        raise reader.too_large(name)
    text = reader.checked_letters(text, name)
    outline = Outline(text, name)
    data = _answered(reader.parse_toml(text, name))
    form = checked_as(AnswersForm, data, outline, forms=form_of, must_say_format=False)
    problems = Problems(outline)
    sheet = _sheet(form, sheets, problems)
    problems.raise_if_any()
    assert sheet is not None
    _check_measures(form, sheet, problems)
    _check_pieces(form, sheet, problems)
    _check_rest(form, sheet, problems)
    swatch = _swatch(form.swatch, problems)
    yarns = _yarns(form, sheet, problems)
    problems.raise_if_any()
    board = form.board
    return Answers(
        size=form.size,
        tester=form.tester.strip() or name,
        version=form.version,
        digest=form.pattern,
        scale_g=form.scale,
        washed=form.washed,
        board=BoardAnswer(board.pegs, board.pitch, board.gap, board.peg_diameter),
        wrap_test_mm=form.wrap_test.drawn,
        swatch=swatch,
        measures_mm=dict(form.measures),
        pieces=tuple(PieceAnswer(p.name, p.width, p.length) for p in form.pieces),
        yarns=yarns,
        knitting_min=form.time.knitting,
        making_up_min=form.time.making_up,
        troubles=tuple(Trouble(t.step, t.words.strip()) for t in form.troubles if t.step),
        remarks=form.remarks.words.strip(),
    )


def read_files(
    files: Iterable[tuple[str, bytes]], sheets: Mapping[str, TesterSheet]
) -> tuple[Answers, ...]:
    """The answers in several files, each given as its name and what is in it.

    :raises BadInput: for the first file that holds no answer to this design, as
        :func:`read_answers`; or that is no plain text.
    """
    return tuple(read_answers(reader.decoded(data, name), sheets, name) for name, data in files)


def _answered(data: Mapping[str, Any]) -> dict[str, Any]:
    """The data without empty texts.  Entries of lists stay, so that they keep their numbers."""

    def kept(value: Any) -> Any:
        if isinstance(value, Mapping):
            return _answered(value)
        return [kept(each) for each in value] if isinstance(value, list) else value

    return {
        key: kept(value)
        for key, value in data.items()
        if not (isinstance(value, str) and not value.strip())
    }


# --- against the design --------------------------------------------------------------------------


def _sheet(
    form: AnswersForm, sheets: Mapping[str, TesterSheet], problems: Problems
) -> TesterSheet | None:
    any_sheet = next(iter(sheets.values()))
    if form.design and form.design != any_sheet.key:
        problems.refuse(
            ("design",),
            "these are answers about another design",
            given=form.design,
            hint=f"this one is {any_sheet.key}",
        )
    if form.size not in sheets:
        hint = nearest(form.size, sheets)
        problems.refuse(("size",), "the design has no such size", given=form.size, hint=hint)
    return sheets.get(form.size)


def _check_measures(form: AnswersForm, sheet: TesterSheet, problems: Problems) -> None:
    predicted = {m.name: m.predicted for m in sheet.measures}
    for name, mm in form.measures.items():
        path: KeyPath = ("measures", name)
        if name not in predicted:
            hint = nearest(name, predicted)
            problems.refuse(path, "the size has no such finished measure", given=name, hint=hint)
        else:
            _check_length(mm, predicted[name], sheet, path, problems)


def _check_pieces(form: AnswersForm, sheet: TesterSheet, problems: Problems) -> None:
    known = {piece.name: piece for piece in sheet.pieces}
    seen: set[str] = set()
    for i, given in enumerate(form.pieces):
        piece = known.get(given.name)
        path: KeyPath = ("pieces", i, "name")
        if piece is None:
            hint = nearest(given.name, known)
            problems.refuse(path, "no such piece is asked for", given=given.name, hint=hint)
            continue
        if given.name in seen:
            problems.refuse(path, "this piece is told of twice", given=given.name)
        seen.add(given.name)
        for key, mm, predicted in (
            ("width", given.width, piece.width),
            ("length", given.length, piece.length),
        ):
            if mm is not None and predicted is not None:
                _check_length(mm, predicted, sheet, ("pieces", i, key), problems)


def _check_length(
    mm: float, predicted: Measured, sheet: TesterSheet, path: KeyPath, problems: Problems
) -> None:
    """Refuse what is so far off that it must be a slip, as inches for centimetres."""
    low, high = predicted.value / _SLIP - _SHORT_MM, predicted.value * _SLIP + _SHORT_MM
    if low <= mm <= high:
        return
    about = format_both(predicted.value, sheet.units)
    problems.refuse(
        path,
        "this cannot be that measure of this size",
        given=format_both(mm, sheet.units),
        hint=f"about {about} is expected: look at the unit, and measure again",
    )


def _check_rest(form: AnswersForm, sheet: TesterSheet, problems: Problems) -> None:
    test = form.wrap_test
    if test.drawn is not None and sheet.wrap_test_mm is None:
        problems.refuse(("wrap_test",), "no wrap test is asked for on one row of pegs")
    elif test.drawn is not None and test.pegs not in (None, sheet.wrap_test_pegs):
        problems.refuse(
            ("wrap_test", "pegs"),
            "the wrap test is taken over another number of pegs",
            given=test.pegs,
            hint=f"wrap {sheet.wrap_test_pegs} pegs on each board",
        )
    if form.board.gap is not None and not sheet.double:
        problems.refuse(("board", "gap"), "one row of pegs has no gap", hint="leave it empty")
    numbers = [number for number, _ in sheet.steps]
    for i, trouble in enumerate(form.troubles):
        if trouble.step is not None and trouble.step not in numbers:
            problems.refuse(
                ("troubles", i, "step"),
                f"size {sheet.size} has no such step",
                given=trouble.step,
                hint=f"steps run from {numbers[0]} to {numbers[-1]}",
            )
        elif trouble.step is None and trouble.words.strip():
            hint = "give its number; what is about no step goes under [remarks]"
            problems.refuse(("troubles", i), "which step was it?", hint=hint)


def _swatch(form: SwatchAnswerForm, problems: Problems) -> Swatch | None:
    parts = {
        "stitches": form.stitches,
        "width": form.width,
        "rows": form.rows,
        "length": form.length,
    }
    missing = [key for key, value in parts.items() if value is None]
    if len(missing) == len(parts):
        return None
    if missing:
        what = f"the swatch lacks its {' and '.join(missing)}"
        problems.refuse(("swatch",), what, hint="a swatch needs all four, or leave it empty")
        return None
    assert form.stitches is not None and form.width is not None  # noqa: PT018
    assert form.rows is not None and form.length is not None  # noqa: PT018
    return Swatch(
        form.stitches,
        Measured(form.width),
        form.rows,
        Measured(form.length),
        washed=bool(form.washed),
    )


def _yarns(form: AnswersForm, sheet: TesterSheet, problems: Problems) -> tuple[YarnAnswer, ...]:
    found: dict[str, YarnAnswer] = {}
    for i, yarn in enumerate(form.yarns):
        if yarn.name not in sheet.yarns:
            hint = nearest(yarn.name, sheet.yarns)
            what = "this size is not knitted with a yarn of this name"
            problems.refuse(("yarns", i, "name"), what, given=yarn.name, hint=hint)
        if yarn.name in found:
            problems.refuse(("yarns", i, "name"), "this yarn is told of twice", given=yarn.name)
        if yarn.before is None and yarn.after is None:
            continue
        if yarn.before is None or yarn.after is None:
            which = "before" if yarn.before is None else "after"
            what = f"“{which}” is missing: both weights are needed"
            problems.refuse(("yarns", i), what, hint="or leave both empty")
            continue
        if yarn.after >= yarn.before:
            problems.refuse(
                ("yarns", i, "after"),
                "as much yarn is left as there was, or more",
                given=f"{yarn.before:g} g before, {yarn.after:g} g after",
                hint="weigh all that there was before, and all that is left",
            )
        found[yarn.name] = YarnAnswer(
            yarn.name, yarn.before, yarn.after, yarn.instead or "", yarn.metres_per_100g
        )
    return tuple(found.values())
