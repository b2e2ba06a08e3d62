"""A pattern refitted: the design on a reader's board, proved, beside the original."""

from __future__ import annotations

from dataclasses import dataclass

from pegwright.designs.model import Design
from pegwright.errors import NotPossible, PegwrightError, Severity
from pegwright.garments.base import Wearer
from pegwright.gauge.fabric_gauge import GaugeSource, explain
from pegwright.loom.wrap_test import compare
from pegwright.making import Made, SizeRefused, prove
from pegwright.refit.differences import Difference, differences
from pegwright.refit.offers import Offer, Way, matching_gap, offers
from pegwright.refit.reader import YOUR_SIZE, Reader, nearest_size, set_up, wrap_drawn
from pegwright.units import format_both

__all__ = ["WHOLE", "Refit", "refit"]

WHOLE = "the whole pattern"
"""Names what is refused where it is no single size."""

_WEARER = {
    Wearer.ADULT: "a grown wearer",
    Wearer.CHILD: "a child",
    Wearer.INFANT: "a child under three",
}


@dataclass(frozen=True, slots=True)
class Refit:
    """A pattern on another board.

    :param design: the version that is given: as asked, or the nearest that can be made; None where
        nothing can.
    :param made: its proof, executed in every size.
    :param before: the original, worked out on its own board.
    :param differences: the version beside the original, figure by figure.
    :param advice: whole sentences for the reader, the most important first.
    :param way: how the version came about; None where there is none.
    :param refused: why it cannot be as asked, size by size; empty where it can.
    :param offers: every other way that was tried, in order; none were needed where it fits.
    """

    design: Design | None
    made: Made | None
    before: Made
    differences: tuple[Difference, ...]
    advice: tuple[str, ...]
    way: Way | None
    refused: tuple[SizeRefused, ...] = ()
    offers: tuple[Offer, ...] = ()

    @property
    def as_asked(self) -> bool:
        """Whether it can be made just as it was asked for."""
        return self.way is Way.AS_ASKED

    @property
    def remarks(self) -> tuple[str, ...]:
        """The advice without what ``refused`` and ``offers`` say already."""
        possible = sum(offer.possible for offer in self.offers)
        return self.advice if self.as_asked else self.advice[len(self.refused) + possible :]


def refit(design: Design, reader: Reader) -> Refit:
    """A design on the reader's board, with her yarn, hand and measures.

    What cannot be made comes back as a result with its reason, never as an error, so that the
    nearest that can be stands beside it.

    :raises BadInput: for a measure that is missing or cannot be.
    """
    before = prove(design, keep_going=True)
    try:
        asked = set_up(design, reader)
    except PegwrightError as error:
        if error.place is not None:  # a slip in what was given, not a board that does not suit
            raise
        tried = offers(design, reader, None, ())
        return _nearest(before, (SizeRefused(WHOLE, error),), tried)
    made = prove(asked, keep_going=True)
    refused = made.refused + _faulty(made)
    if not refused:
        advice = _advice(before, made, reader)
        return Refit(asked, made, before, differences(before, made), advice, Way.AS_ASKED)
    names = {size.name for size in refused}
    sizes = tuple(size for size in asked.sizes if size.name in names)
    return _nearest(before, refused, offers(design, reader, asked, sizes))


def _faulty(made: Made) -> tuple[SizeRefused, ...]:
    """Sizes that were executed and have faults, each with its first."""
    found: dict[str, SizeRefused] = {}
    for finding in made.findings:
        if finding.severity is Severity.FAULT:
            size = finding.spot.size or WHOLE
            error = NotPossible(f"size {size}: {finding.what}", hint=finding.mend)
            found.setdefault(size, SizeRefused(size, error))
    return tuple(found.values())


def _nearest(before: Made, refused: tuple[SizeRefused, ...], tried: tuple[Offer, ...]) -> Refit:
    best = next((offer for offer in tried if offer.made is not None), None)
    reasons = tuple(_reason(each) for each in refused)
    if best is None or best.made is None:
        advice = (*reasons, "Nothing near it can be made on this board either.")
        return Refit(None, None, before, (), advice, None, refused, tried)
    other = tuple(f"Or: {o.words}" for o in tried if o.possible and o is not best)
    advice = (*reasons, f"The nearest that can be made: {best.words}", *other, *_sure(best.made))
    changed = differences(before, best.made)
    return Refit(best.made.design, best.made, before, changed, advice, best.way, refused, tried)


def _reason(each: SizeRefused) -> str:
    error = each.error
    given = f" ({error.given})" if error.given else ""
    hint = f" Try: {error.hint}." if error.hint else ""
    return f"{error.what[0].upper()}{error.what[1:]}{given}.{hint}"


# --- advice --------------------------------------------------------------------------------------


def _advice(before: Made, made: Made, reader: Reader) -> tuple[str, ...]:
    said = [*_measured_words(made, reader), *_compared(before, made, reader)]
    if reader.measures is not None and reader.wearer is None:
        near = nearest_size(before.design, reader.measures)
        said.append(
            f"{YOUR_SIZE.capitalize()} is taken to be for {_WEARER[near.wearer]}, as {near.name}"
            " is; say so where it is not."
        )
    if before.design.swatches and not reader.swatches:
        said.append(_swatch_words(before, made))
    return (*said, *_sure(made))


def _measured_words(made: Made, reader: Reader) -> list[str]:
    """What a reader's own wrap test told."""
    if reader.wrap_test is None:
        return []
    design = made.design
    drawn = format_both(reader.wrap_test.length_mm, design.units)
    if reader.board is None and design.loom.is_double:
        gap = format_both(design.loom.gap_mm, design.units, denominator=32)
        return [
            f"Your wrap test of {drawn} means rows {gap} apart, centre to centre, on a board"
            " otherwise like the pattern's: measure yours, as another pitch would change this."
        ]
    return [
        f"Your wrap test of {drawn} is {design.slack.value:.2f} times what the yarn drawn taut"
        " would measure, and the yarn is reckoned so."
    ]


def _compared(before: Made, made: Made, reader: Reader) -> list[str]:
    """Her board against the pattern's, where both draw the same wrap."""
    one, other = before.design, made.design
    if before.wrap_test is None or made.wrap_test is None or one.wrap != other.wrap:
        return []
    columns = min(before.wrap_test.columns, made.wrap_test.columns)
    suits = compare(wrap_drawn(one, columns), wrap_drawn(other, columns), system=other.units)
    if suits.suits:
        return [suits.advice[0]]
    return [
        suits.advice[0],
        "So the pegs and rows were chosen anew, to come out at the pattern's size; those of the"
        " pattern do not hold on this board.",
        *_or_match(one, reader, other),
    ]


def _or_match(design: Design, reader: Reader, asked: Design) -> list[str]:
    """How to set the board so that the pattern holds as printed, where that can be."""
    try:
        words = matching_gap(design, reader, asked).words
    except PegwrightError:
        return []
    return [f"Or keep the pattern's own numbers. {words}"]


def _swatch_words(before: Made, made: Made) -> str:
    if made.design.swatches == before.design.swatches:
        return "The gauge is the pattern's own, as measured on its swatches."
    if made.design.swatches:
        return (
            "The pattern's swatches were carried over to your board by the yarn in a loop, with a"
            " wider interval."
        )
    return "The pattern's swatches do not hold here, so the gauge is only predicted."


def _sure(made: Made) -> tuple[str, ...]:
    """How sure the sizes are."""
    words = [explain(made.gauge, made.design.units)[1]]
    if made.gauge.source is GaugeSource.PREDICTED:
        words.append("No swatch stands behind these sizes: knit one before anything that must fit.")
    return tuple(words)
