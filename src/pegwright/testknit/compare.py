"""Testers' answers held against what the design predicted, one by one and together."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from pegwright.errors import Finding, PegwrightError, Severity, Spot
from pegwright.gauge.pooling import disagreement
from pegwright.loom.board import Loom
from pegwright.loom.wrap_test import TOLERANCE
from pegwright.making import design_gauge
from pegwright.measured import Measured
from pegwright.testknit.answers import Answers, YarnAnswer
from pegwright.testknit.basis import Basis, Expected
from pegwright.testknit.hands import pooled_with
from pegwright.units import format_number
from pegwright.yarn.yarn import BAND_RELATIVE_SD

__all__ = [
    "COVERAGE",
    "Held",
    "Kind",
    "Pooled",
    "StepTroubles",
    "TesterResult",
    "hold",
    "pool",
    "troubles_by_step",
]

COVERAGE = 0.9
"""Nine testers in ten are expected inside the interval."""

_DISAGREE = 0.05


class Kind(StrEnum):
    """What a figure is of."""

    WRAP_TEST = "wrap test"
    SWATCH = "swatch"
    PIECE = "piece"
    FINISHED = "finished"
    YARN = "yarn"
    TIME = "time"


@dataclass(frozen=True, slots=True)
class Held:
    """One figure of one tester beside what was expected.

    :param unit: of all four figures: ``mm``, ``g`` or ``min``.
    :param low: nine testers in ten come out between ``low`` and ``high``.
    :param z: how many standard deviations it lies above what was expected.
    """

    kind: Kind
    name: str
    unit: str
    expected: Expected
    low: float
    high: float
    got: float
    z: float

    @property
    def inside(self) -> bool:
        """Whether it lies where nine in ten do."""
        return self.low <= self.got <= self.high

    @property
    def ratio(self) -> Measured:
        """What she got over what was expected, with her own spread."""
        return Measured(self.got / self.expected.value, self.expected.own_sd / self.expected.value)


@dataclass(frozen=True, slots=True)
class TesterResult:
    """One tester's answers beside the prediction.

    :param on_board: her board draws as much yarn as the design's, as far as she measured it, and
        she used the design's body yarn: her figures tell of the design.
    """

    answers: Answers
    held: tuple[Held, ...]
    on_board: bool
    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Pooled:
    """One figure over all testers who gave it, whatever their size.

    :param ratio: what they got over what was expected, all together.
    :param z: how many standard deviations that lies above 1.
    :param agree: how often testers who differ no more than expected would lie so far apart.
    """

    kind: Kind
    name: str
    testers: int
    inside: int
    ratio: Measured
    z: float
    agree: float


@dataclass(frozen=True, slots=True)
class StepTroubles:
    """What testers had trouble with at one step: each tester with her words."""

    step: int
    title: str
    told: tuple[tuple[str, str], ...]


def hold(basis: Basis, answers: Answers) -> TesterResult:
    """One tester's answers held against the prediction of her size.

    :param answers: as checked by :func:`pegwright.testknit.answers.read_answers`.
    """
    design = basis.made.design
    loom, strayed = _board(basis, answers)
    body = next((y for y in answers.yarns if y.name == design.use["body"]), None)
    same_yarn = body is None or not body.instead
    held = (
        *_wrap_test(basis, answers),
        *_swatch(basis, answers),
        *_lengths(basis, answers),
        *(_yarn(basis, answers, yarn) for yarn in answers.yarns),
        *_time(basis, answers),
    )
    findings = (*strayed, *_versions(basis, answers))
    return TesterResult(answers, held, loom and same_yarn, findings)


# --- figure by figure ----------------------------------------------------------------------------


def _held(kind: Kind, name: str, unit: str, expected: Expected, got: float) -> Held:
    low, high = expected.measured.interval(COVERAGE)
    z = (got - expected.value) / expected.sd
    return Held(kind, name, unit, expected, max(low, 0.0), high, got, z)


def _wrap_test(basis: Basis, answers: Answers) -> list[Held]:
    expected = basis.wrap_test(answers.size)
    if expected is None or answers.wrap_test_mm is None:
        return []
    return [_held(Kind.WRAP_TEST, "wrap test", "mm", expected, answers.wrap_test_mm)]


def _swatch(basis: Basis, answers: Answers) -> list[Held]:
    """The swatch as a width and a length of its own counts."""
    swatch, gauge = answers.swatch, basis.made.gauge
    if swatch is None:
        return []
    width = basis.measure(gauge.width(swatch.stitches))
    length = basis.measure(gauge.length(swatch.rows))
    return [
        _held(Kind.SWATCH, "swatch width", "mm", width, swatch.width.value),
        _held(Kind.SWATCH, "swatch length", "mm", length, swatch.length.value),
    ]


def _lengths(basis: Basis, answers: Answers) -> list[Held]:
    sheet = basis.sizes[answers.size].sheet
    predicted = {piece.name: piece for piece in sheet.pieces}
    found: list[Held] = []
    for given in answers.pieces:
        piece = predicted[given.name]
        for key, mm, planned in (
            ("width", given.width_mm, piece.width),
            ("length", given.length_mm, piece.length),
        ):
            if mm is not None and planned is not None:
                name = f"{given.name} {key}"
                found.append(_held(Kind.PIECE, name, "mm", basis.measure(planned), mm))
    for measure in sheet.measures:
        got = answers.measure_mm(measure.name)
        if got is not None:
            expected = basis.measure(measure.predicted)
            found.append(_held(Kind.FINISHED, measure.name, "mm", expected, got))
    return found


def _yarn(basis: Basis, answers: Answers, yarn: YarnAnswer) -> Held:
    grist = None
    if yarn.instead and yarn.metres_per_100g is not None:
        grist = Measured(yarn.metres_per_100g, BAND_RELATIVE_SD * yarn.metres_per_100g)
    expected = basis.yarn(answers.size, yarn.name, answers.scale_g, grist)
    return _held(Kind.YARN, yarn.name, "g", expected, yarn.used_g)


def _time(basis: Basis, answers: Answers) -> list[Held]:
    """Minutes at the loom.  The pace is what is normal, so its interval is turned round."""
    if answers.knitting_min is None:
        return []
    loops, pace = basis.sizes[answers.size].sheet.loops, basis.pace
    slow, fast = pace.interval(COVERAGE)
    z = -(loops / answers.knitting_min - pace.value) / pace.sd
    value = loops / pace.value
    expected = Expected(value, value * pace.relative, 0.0)
    return [
        Held(
            Kind.TIME,
            "knitting",
            "min",
            expected,
            loops / fast,
            loops / slow,
            answers.knitting_min,
            z,
        )
    ]


# --- is it the same board and the same pattern? --------------------------------------------------


def _board(basis: Basis, answers: Answers) -> tuple[bool, tuple[Finding, ...]]:
    """Whether her board draws as much yarn in a loop as the design's, as far as she measured it."""
    loom, board = basis.made.design.loom, answers.board
    try:
        hers = replace(
            loom,
            pitch_mm=board.pitch_mm or loom.pitch_mm,
            gap_mm=board.gap_mm or loom.gap_mm,
            peg_diameter_mm=board.peg_diameter_mm or loom.peg_diameter_mm,
        )
        change = _loop_change(basis, hers)
    except PegwrightError as error:
        return False, (_other_board(answers, f"no yarn passes on it so ({error.what})"),)
    if abs(change) <= TOLERANCE:
        return True, ()
    more = "more" if change > 0 else "less"
    part = format_number(100 * abs(change))
    return False, (_other_board(answers, f"it draws {part} % {more} yarn in a loop"),)


def _loop_change(basis: Basis, hers: Loom) -> float:
    design = basis.made.design
    if hers == design.loom:
        return 0.0
    return design_gauge(replace(design, loom=hers))[1] / basis.made.loop_mm - 1


def _other_board(answers: Answers, how: str) -> Finding:
    return Finding(
        "tester-board-differs",
        Severity.CAUTION,
        f"{answers.tester}'s board is not the design's: {how}.",
        "Her sizes and yarn are shown, but gauge and slack are not learned from them; work the"
        " design out for her board with pegwright refit.",
        Spot(size=answers.size),
    )


def _versions(basis: Basis, answers: Answers) -> tuple[Finding, ...]:
    sheet = basis.sizes[answers.size].sheet
    same = not answers.digest or answers.digest == sheet.digest
    if same and (not answers.version or answers.version == sheet.version):
        return ()
    return (
        Finding(
            "answers-of-another-version",
            Severity.CAUTION,
            f"{answers.tester} knitted another version of the pattern"
            f" ({answers.version or 'no version'}, this is {sheet.version or 'no version'}).",
            "Counts and steps may have changed since: compare with the design as it was then.",
            Spot(size=answers.size),
        ),
    )


# --- together ------------------------------------------------------------------------------------


def pool(results: Sequence[TesterResult]) -> tuple[tuple[Pooled, ...], tuple[Finding, ...]]:
    """Every figure over all testers who gave it, and where they differ by more than expected.

    Time is left to the pace, which says the same with less noise.
    """
    figures: dict[tuple[Kind, str], list[Held]] = {}
    for result in results:
        for held in result.held:
            if held.kind is not Kind.TIME:
                figures.setdefault((held.kind, held.name), []).append(held)
    order = list(Kind)
    pooled = [_pooled(k, n, held) for (k, n), held in figures.items()]
    pooled.sort(key=lambda p: order.index(p.kind))
    found = tuple(_disagree(p) for p in pooled if p.agree < _DISAGREE)
    return tuple(pooled), found


def _pooled(kind: Kind, name: str, held: Sequence[Held]) -> Pooled:
    ratios = [one.ratio for one in held]
    shared = max(one.expected.shared_sd / one.expected.value for one in held)
    ratio = pooled_with(ratios, 0.0)
    z = (ratio.value - 1) / pooled_with(ratios, shared).sd
    inside = sum(one.inside for one in held)
    return Pooled(kind, name, len(held), inside, ratio, z, disagreement(ratios))


def _disagree(pooled: Pooled) -> Finding:
    return Finding(
        "testers-disagree",
        Severity.CAUTION,
        f"Testers differ in {pooled.name} by more than hand and tape explain.",
        "Ask whether board, yarn and the way of measuring were the same; more testers help too.",
    )


def troubles_by_step(basis: Basis, results: Sequence[TesterResult]) -> tuple[StepTroubles, ...]:
    """Troubles by step, in the order of the steps.  Sizes with other steps are told apart."""
    found: dict[tuple[int, str], list[tuple[str, str]]] = {}
    for result in results:
        answers = result.answers
        sheet = basis.sizes[answers.size].sheet
        for trouble in answers.troubles:
            key = (trouble.step, sheet.step_title(trouble.step))
            found.setdefault(key, []).append((answers.tester, trouble.words))
    return tuple(
        StepTroubles(step, title, tuple(found[step, title])) for step, title in sorted(found)
    )
