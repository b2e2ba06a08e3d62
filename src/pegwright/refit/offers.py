"""What else could be made, where a refit cannot be as it was asked for.

Ways are tried in one order, the smallest change to the piece first; each is proved on the simulated
loom before it is offered, and where it fails it says why.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum
from math import isclose

from pegwright.designs.model import Design, SizeRequest
from pegwright.errors import NotPossible, PegwrightError, Severity
from pegwright.garments.registry import garment
from pegwright.knitting.wraps import SHIPPED, Cloth
from pegwright.loom.board import Loom
from pegwright.loom.spacers import stack_for_gap
from pegwright.loom.visit import Visit
from pegwright.loom.wrap_test import gap_for
from pegwright.making import Made, prove
from pegwright.refit.needed import Needed, needed, widest_columns
from pegwright.refit.reader import Reader, carried, sizes_for, with_yarn, wrap_drawn
from pegwright.units import UnitSystem, format_both, format_number

__all__ = ["NEAR_WIDTH", "Match", "Offer", "Way", "matching_gap", "offers", "prove_whole"]

NEAR_WIDTH = 0.85
"""A piece narrower than this part of the wanted width is no longer near it (an assumption, no
source)."""

_TOO_SHORT_IS_NOT_WHY = "it is not a board too short for the piece that stands in the way"
_SAME_LENGTH = 1e-6


class Way(StrEnum):
    """How a pattern is made on the reader's board."""

    AS_ASKED = "as asked"
    GAP = "another gap"
    NARROWER = "fewer pegs"
    PANELS = "panels"
    SIZE = "another size"
    WRAP = "another wrap"


@dataclass(frozen=True, slots=True)
class Offer:
    """One way that was tried.

    :param words: what it means, or why it does not do.
    :param made: its proof; None where it does not do.
    :param needed: for panels: how many of what width.
    """

    way: Way
    words: str
    made: Made | None = None
    needed: Needed | None = None

    @property
    def possible(self) -> bool:
        """Whether it was proved."""
        return self.made is not None


def prove_whole(design: Design) -> Made:
    """A design proved in every size.

    :raises PegwrightError: where a size cannot be planned, or was executed with a fault.
    """
    made = prove(design)
    for finding in made.findings:
        if finding.severity is Severity.FAULT:
            raise NotPossible(finding.what, given=str(finding.spot), hint=finding.mend)
    return made


def offers(
    design: Design, reader: Reader, asked: Design | None, refused: tuple[SizeRequest, ...]
) -> tuple[Offer, ...]:
    """Every way in order, each tried.

    :param asked: the design on the reader's board; None where it cannot even be set up there.
    :param refused: the sizes that cannot be made as asked.
    """
    start = asked or _roughly(design, reader)
    sizes = refused or start.sizes
    gap = (Way.GAP, lambda: _gap(design, reader, start))
    if asked is None and reader.board is None and reader.wrap_test is not None:
        return (_tried(*gap),)  # nothing is known of her board but that it draws otherwise
    ways: tuple[tuple[Way, Callable[[], Offer]], ...] = (
        gap,
        (Way.NARROWER, lambda: _narrower(start, sizes)),
        (Way.PANELS, lambda: _panels(start, sizes)),
        (Way.SIZE, lambda: _size(design, start)),
        (Way.WRAP, lambda: _wrap(design, start)),
    )
    return tuple(_tried(way, attempt) for way, attempt in ways)


def _tried(way: Way, attempt: Callable[[], Offer]) -> Offer:
    try:
        return attempt()
    except PegwrightError as error:
        tail = f" ({error.given})" if error.given else ""
        hint = f" Try: {error.hint}." if error.hint else ""
        return Offer(way, f"{error.what}{tail}.{hint}")


def _roughly(design: Design, reader: Reader) -> Design:
    """The design with the reader's board and yarn, where its wrap cannot be worked there."""
    return replace(
        with_yarn(design, reader),
        loom=reader.board or design.loom,
        slack=reader.slack or design.slack,
        swatches=reader.swatches,
        sizes=sizes_for(design, reader),
    )


# --- the ways ------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Match:
    """A gap at which a board draws what the pattern's draws, as near as her spacers come to it.

    :param words: how to set it, in whole sentences.
    """

    gap_mm: float
    words: str


def matching_gap(design: Design, reader: Reader, asked: Design) -> Match:
    """The gap at which the reader's board draws what the design's own does.

    :raises NotPossible: where there is none, or the gap is right already.
    """
    loom = asked.loom
    if not loom.is_double or not design.loom.is_double:
        raise NotPossible("one row of pegs has no gap to set")
    columns = _common_columns(design, asked)
    wanted_mm = wrap_drawn(design, columns).length_mm
    unknown = reader.board is None and reader.wrap_test is not None
    if not unknown and isclose(_drawn_mm(asked, columns), wanted_mm, rel_tol=_SAME_LENGTH):
        raise NotPossible("the board draws what the pattern asks for, so its gap is right already")

    def order(board: Loom) -> tuple[Visit, ...]:
        return asked.wrap.visits(board, 1, columns)

    diameter_mm, visits = asked.body_yarn.wrapped_diameter_mm, order(loom)
    closed = loom.number(visits[0].peg) == loom.number(visits[-1].peg)
    answer = gap_for(loom, order, diameter_mm, wanted_mm, asked.slack.value, closed)
    asks = format_both(wanted_mm, design.units)
    if unknown:
        words = f"Change your gap until a wrap of {columns} pegs draws {asks}, as the pattern's."
        return Match(answer.gap_mm, words)
    gap_mm, spacers = _with_spacers(answer.gap_mm, reader, design.units)
    drawn_mm = wrap_drawn(replace(asked, loom=replace(loom, gap_mm=gap_mm)), columns).length_mm
    words = (
        f"Set the rows {format_both(gap_mm, design.units, denominator=32)} apart, centre to"
        f" centre: then a wrap of {columns} pegs draws {format_both(drawn_mm, design.units)}, where"
        f" the pattern's draws {asks}.{spacers}"
    )
    return Match(gap_mm, words)


def _with_spacers(gap_mm: float, reader: Reader, units: UnitSystem) -> tuple[float, str]:
    """The gap that the reader's spacers come to, and the stack in words."""
    if reader.spacers is None:
        return gap_mm, ""
    bare_mm = reader.spacers.bare_gap_mm
    stack = stack_for_gap(gap_mm, reader.spacers.thicknesses_mm, gap_offset_mm=bare_mm)
    pieces = " + ".join(format_both(p, units, denominator=32) for p in stack.pieces)
    return bare_mm + stack.total_mm, f" Spacers at each end: {pieces or 'none'}."


def _gap(design: Design, reader: Reader, asked: Design) -> Offer:
    """Set the rows so that her board draws what the design's draws."""
    match = matching_gap(design, reader, asked)
    set_apart = replace(asked, loom=replace(asked.loom, gap_mm=match.gap_mm))
    swatches = reader.swatches or carried(design, set_apart)
    return Offer(Way.GAP, match.words, prove_whole(replace(set_apart, swatches=swatches)))


def _drawn_mm(asked: Design, columns: int) -> float:
    """What the board draws as it stands; 0 where the yarn cannot even pass."""
    try:
        return wrap_drawn(asked, columns).length_mm
    except PegwrightError:
        return 0.0


def _common_columns(design: Design, asked: Design) -> int:
    most = min(15, design.loom.pegs, asked.loom.pegs)
    wrap = asked.wrap
    columns = most - (most - wrap.plus) % wrap.multiple
    wrap.fits(asked.loom, columns)
    design.wrap.fits(design.loom, columns)
    return columns


def _narrower(asked: Design, sizes: tuple[SizeRequest, ...]) -> Offer:
    """The widest piece that the board takes."""
    if "pegs" not in {option.name for option in garment(asked.garment).options}:
        raise NotPossible("this garment does not let its pegs be chosen")
    columns = widest_columns(asked)
    if columns is None:
        asked.wrap.fits(asked.loom, asked.loom.pegs)
        raise NotPossible("no number of pegs of this board suits the wrap")
    wanted = [found.columns for size in sizes if (found := needed(asked, size)) is not None]
    if len(wanted) < len(sizes) or min(wanted) <= columns:
        raise NotPossible(_TOO_SHORT_IS_NOT_WHY)
    if columns < NEAR_WIDTH * max(wanted):
        raise NotPossible(
            f"the most that fit are {columns} pegs, and {max(wanted)} are wanted: so narrow a"
            " piece is another piece"
        )
    options = {**asked.options, "pegs": columns}
    made = prove_whole(replace(asked, sizes=sizes, options=options))
    piece = made.sizes[0].plan.pieces[0]
    words = (
        f"Use {columns} pegs, the most that fit: the piece is then"
        f" {format_both(piece.width.value, asked.units)} wide in"
        f" {' and '.join(size.name for size in sizes)}."
    )
    return Offer(Way.NARROWER, words, made)


def _panels(asked: Design, sizes: tuple[SizeRequest, ...]) -> Offer:
    """Panels for the first of the sizes that do not fit."""
    found = needed(asked, sizes[0])
    if found is None:
        raise NotPossible(_TOO_SHORT_IS_NOT_WHY)
    if found.panels is None:
        raise NotPossible("what is not one straight piece is not made up of panels")
    if found.panels.number < 2:
        raise NotPossible(_TOO_SHORT_IS_NOT_WHY)
    for name, wanted_m in found.panels.metres.items():
        yarn, have_g = asked.yarns[name], asked.available_g.get(name)
        if have_g is not None and yarn.length_m(have_g) < wanted_m:
            raise NotPossible(
                f"{name} runs out: the panels draw {format_number(wanted_m)} m, and"
                f" {format_number(have_g)} g are {format_number(yarn.length_m(have_g))} m"
            )
    return Offer(Way.PANELS, f"{sizes[0].name}: {found.words}", found.panels.made, found)


def _size(design: Design, asked: Design) -> Offer:
    """The sizes of the design that her board takes."""
    names = {size.name for size in asked.sizes}
    tried = (*asked.sizes, *(size for size in design.sizes if size.name not in names))
    made = prove(replace(asked, sizes=tried), keep_going=True)
    faulty = {f.spot.size for f in made.findings if f.severity is Severity.FAULT}
    kept = {s.name for s in made.sizes} - faulty
    fitting = tuple(size for size in tried if size.name in kept)
    if not fitting:
        raise NotPossible("no size of the pattern fits on this board")
    words = f"On this board there is room for: {', '.join(size.name for size in fitting)}."
    return Offer(Way.SIZE, words, prove_whole(replace(asked, sizes=fitting)))


def _wrap(design: Design, asked: Design) -> Offer:
    """The first other wrap of the garment in which every size fits."""
    suited = garment(design.garment).wraps
    for wrap in SHIPPED:
        if wrap == asked.wrap or wrap.cloth is Cloth.CORD or (suited and wrap.name not in suited):
            continue
        try:
            made = prove_whole(replace(asked, wrap=wrap, swatches=()))
        except PegwrightError:
            continue
        words = (
            f"Work it in {wrap.name}: {made.sizes[0].plan.pieces[0].columns} pegs in"
            f" {made.sizes[0].name}. It is another fabric, and its gauge is only predicted."
        )
        return Offer(Way.WRAP, words, made)
    raise NotPossible("no other wrap that suits this garment fits on this board")
