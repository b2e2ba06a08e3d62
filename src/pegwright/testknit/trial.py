"""The whole trial: every tester, all together, what was learned; in words and as data."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from pegwright.errors import BadInput, Finding, Severity
from pegwright.measured import Measured
from pegwright.planning.pace import duration
from pegwright.testknit.answers import Answers, read_files
from pegwright.testknit.basis import Basis
from pegwright.testknit.compare import (
    Held,
    Kind,
    Pooled,
    StepTroubles,
    TesterResult,
    hold,
    pool,
    troubles_by_step,
)
from pegwright.testknit.hands import Hands
from pegwright.testknit.learned import Learned, learn
from pegwright.units import UnitSystem, format_both, format_mass, format_number
from pegwright.yarn.telling import change_words, counted, measured_data

__all__ = [
    "HeldWords",
    "LearnedWords",
    "Trial",
    "compare",
    "compare_files",
    "held_words",
    "learned_words",
    "together_words",
    "trouble_heading",
]

_OFTEN = 2


@dataclass(frozen=True, slots=True)
class Trial:
    """Testers' answers beside the prediction, and what they teach.

    :param findings: what was noticed of testers, figures and steps, in that order.
    """

    title: str
    version: str
    basis: Basis
    results: tuple[TesterResult, ...]
    pooled: tuple[Pooled, ...]
    troubles: tuple[StepTroubles, ...]
    learned: Learned
    findings: tuple[Finding, ...]

    @property
    def heading(self) -> str:
        """Which pattern it was, and how many tried it."""
        version = f", version {self.version}" if self.version else ""
        return f"{self.title}{version}: answers of {counted(len(self.results), 'tester')}."

    def words(self, units: UnitSystem) -> tuple[str, ...]:
        """Whole sentences: tester by tester, together, what was learned."""
        return tuple(_words(self, units))

    def as_data(self) -> dict[str, object]:
        """The same as plain data; lengths in mm, masses in g, times in minutes."""
        return {
            "design": self.basis.made.design.key,
            "version": self.version,
            "testers": [_tester_data(result) for result in self.results],
            "together": [_pooled_data(one) for one in self.pooled],
            "troubles": [_trouble_data(one) for one in self.troubles],
            "learned": _learned_data(self),
            "findings": [finding.as_data() for finding in self.findings],
        }


def compare(basis: Basis, answers: Sequence[Answers]) -> Trial:
    """All testers' answers held against a design's prediction.

    :raises BadInput: for no answers.
    """
    if not answers:
        raise BadInput("there are no answers to compare", hint="give one file or more")
    results = tuple(hold(basis, each) for each in answers)
    pooled, disagreements = pool(results)
    troubles = troubles_by_step(basis, results)
    learned = learn(basis, results)
    found = (
        *(finding for result in results for finding in result.findings),
        *disagreements,
        *(_hard_step(one) for one in troubles if _testers(one) >= _OFTEN),
        *learned.findings,
    )
    design = basis.made.design
    return Trial(
        design.title, design.version, basis, results, pooled, troubles, learned, tuple(found)
    )


def compare_files(basis: Basis, files: Sequence[tuple[str, bytes]]) -> Trial:
    """The same from the files themselves, each given as its name and what is in it.

    :raises BadInput: for no files; for the first that cannot be read, with its line.
    """
    return compare(basis, read_files(files, basis.sheets))


def _testers(troubles: StepTroubles) -> int:
    return len({tester for tester, _ in troubles.told})


def _hard_step(troubles: StepTroubles) -> Finding:
    return Finding(
        "step-troubled",
        Severity.CAUTION,
        f"{_testers(troubles)} testers had trouble with step {troubles.step}, {troubles.title}.",
        "Read what they say, and work the step yourself from its words alone.",
    )


# --- in words ------------------------------------------------------------------------------------


def _words(trial: Trial, units: UnitSystem) -> Iterator[str]:
    yield trial.heading
    for result in trial.results:
        yield ""
        yield f"{result.answers.tester}, size {result.answers.size}:"
        yield from (f"  {_held_sentence(held, units)}" for held in result.held)
        if not result.held:
            yield "  Nothing was measured."
        if result.answers.remarks:
            yield f"  Remarks: {result.answers.remarks}"
    if together := together_words(trial):
        yield ""
        yield "All testers together:"
        yield from (f"  {words}" for words in together)
    if trial.troubles:
        yield ""
        yield "Trouble:"
        yield from (f"  {line}" for one in trial.troubles for line in _trouble_words(one))
    yield ""
    yield "What was learned:"
    yield from (f"  {one.title}: {one.words}" for one in learned_words(trial, units))
    if trial.findings:
        yield ""
        yield from (f"{finding.severity}: {finding.what}" for finding in trial.findings)


@dataclass(frozen=True, slots=True)
class HeldWords:
    """A figure of a tester in words: what she got, what was expected, where nine in ten lie."""

    name: str
    got: str
    expected: str
    low: str
    high: str
    z: str


def held_words(held: Held, units: UnitSystem) -> HeldWords:
    """A figure in words, in the units that come first."""
    got, expected, low, high = (
        _figure(value, held.unit, units)
        for value in (held.got, held.expected.value, held.low, held.high)
    )
    return HeldWords(held.name, got, expected, low, high, _signed(held.z))


def _held_sentence(held: Held, units: UnitSystem) -> str:
    words = held_words(held, units)
    state = "inside" if held.inside else "OUTSIDE"
    return (
        f"{words.name}: {words.got}; expected {words.expected}, nine in ten from {words.low} to"
        f" {words.high}: {state} (z {words.z})."
    )


def _figure(value: float, unit: str, units: UnitSystem) -> str:
    if unit == "mm":
        return format_both(value, units)
    return format_mass(value, units) if unit == "g" else duration(value / 60)


def _signed(z: float) -> str:
    text = format_number(abs(z), 1)
    return text if text == "0" else f"{'+' if z > 0 else '−'}{text}"


def together_words(trial: Trial) -> tuple[str, ...]:
    """Every figure over all testers, a sentence each; nothing where there is one tester only."""
    return tuple(map(_pooled_words, trial.pooled)) if len(trial.results) > 1 else ()


def _pooled_words(pooled: Pooled) -> str:
    more, less = ("more", "less") if pooled.kind in (Kind.YARN, Kind.WRAP_TEST) else (
        "larger", "smaller"
    )  # fmt: skip
    change = change_words(pooled.ratio.value - 1, more, less)
    if change == "the same":
        change = "as expected"
    return (
        f"{pooled.name}: {pooled.inside} of {pooled.testers} inside nine in ten; on average"
        f" {change} (z {_signed(pooled.z)})."
    )


def trouble_heading(troubles: StepTroubles) -> str:
    """Which step it was, and how many testers had trouble with it."""
    return f"Step {troubles.step}, {troubles.title}: {counted(_testers(troubles), 'tester')}."


def _trouble_words(troubles: StepTroubles) -> Iterator[str]:
    yield trouble_heading(troubles)
    yield from (f"  {tester}: {words}" for tester, words in troubles.told if words)


@dataclass(frozen=True, slots=True)
class LearnedWords:
    """What was learned of one thing.

    :param key: the group of the design file that it belongs to: ``swatches``, ``loom`` or ``cost``.
    :param taught: False where nothing was learned; the words then say what would tell.
    """

    key: str
    title: str
    words: str
    taught: bool


def learned_words(trial: Trial, units: UnitSystem) -> tuple[LearnedWords, ...]:
    """What was learned of gauge, slack and pace, in words."""
    learned, design = trial.learned, trial.basis.made.design
    gauge, slack, pace = (
        "nothing; a piece measured both ways, or a swatch, would tell.",
        "nothing; yarn weighed before and after would tell.",
        "nothing; minutes at the loom would tell.",
    )
    if learned.swatches:
        gauge = _gauge_words(trial, units)
    if learned.slack is not None:
        slack = _hand_words(design.slack, learned.design.slack, learned.slack, 2)
    if learned.pace is not None:
        pace = _hand_words(trial.basis.pace, learned.pace.next, learned.pace, 1)
    pace_title = "Pace" if learned.pace is None else "Pace, loops a minute"
    return (
        LearnedWords("swatches", "Gauge", gauge, bool(learned.swatches)),
        LearnedWords("loom", "Slack", slack, learned.slack is not None),
        LearnedWords("cost", pace_title, pace, learned.pace is not None),
    )


def _gauge_words(trial: Trial, units: UnitSystem) -> str:
    before, after = trial.basis.made.gauge, trial.learned.gauge
    inches = units is UnitSystem.INCHES
    was, now = (g.per_4in() if inches else g.per_10cm() for g in (before, after))
    span = "4 in" if inches else "10 cm"
    stitch, row = (
        format_number(100 * (m.interval()[1] / m.value - 1), 1) for m in (after.wale, after.course)
    )
    return (
        f"{_rate(was.stitches)} stitches and {_rate(was.rows)} rows to {span} become"
        f" {_rate(now.stitches)} and {_rate(now.rows)}; nine times in ten a width is within"
        f" {stitch} % and a length within {row} %, with"
        f" {counted(len(trial.learned.swatches), 'tester')} more."
    )


def _rate(count: Measured) -> str:
    return format_number(count.value, 1)


def _hand_words(was: Measured, now: Measured, hands: Hands, places: int) -> str:
    low, high = (format_number(max(end, 0.0), places) for end in now.interval())
    return (
        f"{format_number(was.value, places)} becomes {format_number(now.value, places)}; the next"
        f" maker's lies between {low} and {high} nine times in ten, after"
        f" {counted(hands.testers, 'tester')}."
    )


# --- as data -------------------------------------------------------------------------------------


def _tester_data(result: TesterResult) -> dict[str, object]:
    answers = result.answers
    return {
        "tester": answers.tester,
        "size": answers.size,
        "on_the_designs_board_and_yarn": result.on_board,
        "figures": [_held_data(held) for held in result.held],
        "making_up_minutes": answers.making_up_min,
        "remarks": answers.remarks,
    }


def _held_data(held: Held) -> dict[str, object]:
    return {
        "kind": str(held.kind),
        "name": held.name,
        "unit": held.unit,
        "got": held.got,
        "expected": held.expected.value,
        "low": held.low,
        "high": held.high,
        "z": held.z,
        "inside": held.inside,
    }


def _pooled_data(pooled: Pooled) -> dict[str, object]:
    return {
        "kind": str(pooled.kind),
        "name": pooled.name,
        "testers": pooled.testers,
        "inside": pooled.inside,
        "ratio": measured_data(pooled.ratio),
        "z": pooled.z,
        "agree": pooled.agree,
    }


def _trouble_data(troubles: StepTroubles) -> dict[str, object]:
    told = [{"tester": tester, "words": words} for tester, words in troubles.told]
    return {"step": troubles.step, "title": troubles.title, "told": told}


def _learned_data(trial: Trial) -> dict[str, object]:
    learned = trial.learned
    return {
        "swatches": len(learned.swatches),
        "wale_mm": measured_data(learned.gauge.wale),
        "course_mm": measured_data(learned.gauge.course),
        "slack": None if learned.slack is None else measured_data(learned.design.slack),
        "loops_per_minute": None if learned.pace is None else measured_data(learned.pace.next),
        "toml": learned.toml(),
    }
