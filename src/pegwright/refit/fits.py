"""What can be knitted on a board with a yarn: every garment, in standard sizes, tried out.

Sizes come from the published tables of heads where a garment needs no other measure than a head's;
a garment with a width and a length of its own is tried in three common formats.  Of a garment that
needs other measures nothing is claimed: it is named, with what to measure.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pegwright.designs.model import DEFAULT_MARGIN, Design, SizeRequest, wearer_of_age
from pegwright.errors import NotPossible, PegwrightError, Severity
from pegwright.garments.base import Garment, Wearer
from pegwright.garments.registry import garments
from pegwright.knitting.wraps import SHIPPED, Cloth, Wrap
from pegwright.loom.board import Loom
from pegwright.loom.taut import check_yarn_passes
from pegwright.making import Made, prove
from pegwright.measured import Measured
from pegwright.refit.needed import needed
from pegwright.sizing.heads import adult_head, head_for_age
from pegwright.units import UnitSystem, format_both
from pegwright.yarn.yarn import Yarn

__all__ = ["Fit", "Trial", "standard_sizes", "suited_wraps", "trials", "tried", "what_fits"]

_AGES_MONTHS = (6.0, 12.0, 24.0, 60.0)

_STRIPS = (
    ("square to learn on", 100.0, 100.0),
    ("scarf", 180.0, 1500.0),
    ("blanket", 900.0, 1200.0),
)
"""Name, width and length in mm (common practice, no source)."""


@dataclass(frozen=True, slots=True)
class Fit:
    """One garment in one size, tried on a board.

    :param size: the size in words, with the measure it stands for.
    :param wrap: the wrap in which it fits, or the first that was tried.
    :param fits: None where no standard size is known, so that nothing was tried.
    :param why: how many pegs it takes, or why it cannot be and what would do.
    :param made: its proof where it fits.
    """

    garment: str
    size: str
    wrap: str
    fits: bool | None
    why: str
    made: Made | None = None

    def as_data(self) -> dict[str, object]:
        """The same as plain data; counts of every piece where it fits."""
        pieces = self.made.sizes[0].plan.pieces if self.made else ()
        return {
            "garment": self.garment,
            "size": self.size or None,
            "wrap": self.wrap or None,
            "fits": self.fits,
            "why": self.why,
            "pegs": [piece.columns for piece in pieces],
            "rows": [piece.rows for piece in pieces],
        }


@dataclass(frozen=True, slots=True)
class Trial:
    """One garment in one size that is to be tried; None where no standard size is known."""

    kind: Garment
    size: SizeRequest | None


def trials(units: UnitSystem = UnitSystem.INCHES, only: str | None = None) -> tuple[Trial, ...]:
    """Everything that is tried, garment by garment.

    :param only: one garment, by its name.
    """
    return tuple(
        Trial(kind, size)
        for kind in garments().values()
        if only is None or kind.name == only
        for size in standard_sizes(kind, units) or (None,)
    )


def tried(
    one: Trial, loom: Loom, yarn: Yarn, units: UnitSystem, slack: Measured | None = None
) -> Fit:
    """One garment in one size on a board with a yarn, proved."""
    kind, size = one.kind, one.size
    if size is None:
        wanted = "; ".join(f"{m.name}, {m.words}" for m in kind.measures if m.required)
        return Fit(kind.name, "", "", None, f"No standard size is known. Measure: {wanted}.")
    return _first_fit(kind, size, loom, yarn, units, slack or Measured(1.0, 0.05))


def what_fits(
    loom: Loom,
    yarn: Yarn,
    *,
    units: UnitSystem = UnitSystem.INCHES,
    slack: Measured | None = None,
    only: str | None = None,
) -> tuple[Fit, ...]:
    """Every garment in its standard sizes on a board with a yarn, each proved.

    :param only: one garment, by its name.
    :raises BadInput: where the yarn does not pass between the pegs.
    """
    check_yarn_passes(loom, yarn.wrapped_diameter_mm)
    return tuple(tried(one, loom, yarn, units, slack) for one in trials(units, only))


def _first_fit(
    kind: Garment, size: SizeRequest, loom: Loom, yarn: Yarn, units: UnitSystem, slack: Measured
) -> Fit:
    """The first of the garment's wraps in which the size fits, or why the usual one does not."""
    refusals: list[Fit] = []
    for wrap in suited_wraps(kind, loom):
        design = _design(kind, size, loom, yarn, wrap, units, slack)
        try:
            made = prove(design)
            return _fit(kind, size, wrap, made, units)
        except PegwrightError as error:
            refusals.append(Fit(kind.name, size.name, wrap.name, False, _why(error, design, size)))
    if refusals:
        return refusals[0]
    rows = "two rows" if loom.is_double else "one row"
    why = f"No wrap of this garment works on {rows} of pegs."
    return Fit(kind.name, size.name, "", False, why)


def _fit(kind: Garment, size: SizeRequest, wrap: Wrap, made: Made, units: UnitSystem) -> Fit:
    fault = next((f for f in made.findings if f.severity is Severity.FAULT), None)
    if fault is not None:
        raise NotPossible(fault.what, hint=fault.mend)
    counts = " and ".join(
        f"{p.columns} of {made.design.loom.pegs} pegs for {p.rows} rows"
        for p in made.sizes[0].plan.pieces
    )
    piece = made.sizes[0].plan.pieces[0]
    why = f"{counts}: {format_both(piece.width.value, units)} wide."
    return Fit(kind.name, size.name, wrap.name, True, why, made)


def _why(error: PegwrightError, design: Design, size: SizeRequest) -> str:
    what = error.what.removeprefix(f"size {size.name}: ")
    why = f"{what[:1].upper()}{what[1:]}."
    need = needed(design, size)
    if need is not None:
        return f"{why} {need.words}"
    return f"{why} Try: {error.hint}." if error.hint else why


def suited_wraps(kind: Garment, loom: Loom) -> tuple[Wrap, ...]:
    """The wraps that suit a garment and a board, the usual one first."""
    by_name = {wrap.name: wrap for wrap in SHIPPED}
    suited = [by_name[n] for n in kind.wraps if n in by_name] if kind.wraps else list(SHIPPED)
    return tuple(
        wrap
        for wrap in suited
        if (wrap.boards == 2) == loom.is_double and wrap.cloth is not Cloth.CORD
    )


def _design(
    kind: Garment,
    size: SizeRequest,
    loom: Loom,
    yarn: Yarn,
    wrap: Wrap,
    units: UnitSystem,
    slack: Measured,
) -> Design:
    return Design(
        title=kind.title,
        summary="",
        garment=kind.name,
        units=units,
        loom=loom,
        wrap=wrap,
        yarns={yarn.name: yarn},
        use={"body": yarn.name},
        swatches=(),
        options={},
        sizes=(size,),
        slack=slack,
        margin=DEFAULT_MARGIN,
        available_g={},
    )


# --- standard sizes ------------------------------------------------------------------------------


def standard_sizes(kind: Garment, units: UnitSystem) -> tuple[SizeRequest, ...]:
    """The sizes in which a garment is tried; none where it needs measures that no table has."""
    return tuple(_sizes(kind, units))


def _sizes(kind: Garment, units: UnitSystem) -> Iterator[SizeRequest]:
    required = {measure.name for measure in kind.measures if measure.required}
    if required == {"head"}:
        for name, wearer, head_mm in _heads():
            words = f"{name}, head {format_both(head_mm, units)}"
            yield SizeRequest(words, wearer, {"head": head_mm})
    elif required == {"width", "length"}:
        most = {measure.name: measure.most_mm for measure in kind.measures}
        for name, width_mm, length_mm in _STRIPS:
            if width_mm > most["width"] or length_mm > most["length"]:
                continue
            words = f"{name}, {format_both(width_mm, units)} by {format_both(length_mm, units)}"
            yield SizeRequest(words, Wearer.ADULT, {"width": width_mm, "length": length_mm})


def _heads() -> Iterator[tuple[str, Wearer, float]]:
    """Median heads, the smallest first."""
    for months in _AGES_MONTHS:
        head = head_for_age(months)
        yield head.name, wearer_of_age(months), head.circumference.value
    adult = adult_head()
    yield adult.name, Wearer.ADULT, adult.circumference.value
