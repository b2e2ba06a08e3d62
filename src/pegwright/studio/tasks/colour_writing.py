"""Pegs and a start at which a yarn's colours fall well, as changes to a design.

What a design cannot say (pegs that its garment takes from the measures, a wrap that it is not
knitted in) is told beside what is written, so that nobody looks for it in vain.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from pegwright import making
from pegwright.designs.model import Design
from pegwright.designs.writer import digits
from pegwright.garments.registry import garment
from pegwright.gauge.fabric_gauge import Gauge
from pegwright.knitting.wraps import SHIPPED, Cloth, Wrap
from pegwright.making import Made
from pegwright.planning.colour_search import Placement
from pegwright.studio.designs.edits import Change, Deed
from pegwright.units import UnitSystem
from pegwright.yarn.colour import along_yarn
from pegwright.yarn.yarn import Yarn

__all__ = ["ColourWriting", "gauge_in", "known_wraps", "measured_offset_m", "writing_of"]

_PLACES_CM = 1
"""Where a yarn begins is measured along a tape, to the millimetre."""


@dataclass(frozen=True, slots=True)
class ColourWriting:
    """The changes, in words what they write, and in sentences what to know before."""

    changes: tuple[Change, ...]
    writes: tuple[str, ...]
    mind: tuple[str, ...]


def known_wraps(design: Design) -> dict[str, Wrap]:
    """The wraps that a strip on the design's board may be knitted in, its own first."""
    boards = 2 if design.loom.is_double else 1
    others = (w for w in SHIPPED if w.boards == boards and w.cloth is not Cloth.CORD)
    return {wrap.name: wrap for wrap in (design.wrap, *others)}


def gauge_in(design: Design, wrap: Wrap, yarn: Yarn) -> Gauge:
    """The gauge in another wrap or yarn; the design's swatches hold for its own alone."""
    same = wrap == design.wrap and yarn.name == design.use["body"]
    use = {**design.use, "body": yarn.name}
    swatches = design.swatches if same else ()
    return making.design_gauge(replace(design, wrap=wrap, use=use, swatches=swatches))[0]


def measured_offset_m(offset_m: float) -> float:
    """A start as it can be measured and written down."""
    return round(100 * offset_m, _PLACES_CM) / 100


def writing_of(made: Made, yarn: Yarn, placement: Placement, colours: str = "") -> ColourWriting:
    """What a placement writes into a design.

    :param made: the design as it is.
    :param colours: one repeat as it was typed, where it is not the design's own.
    """
    design = made.design
    said = _Said([], [], [])
    place = list(design.yarns).index(yarn.name)
    if colours.strip():
        said.write(f"{yarn.label}: colours {colours.strip()}", ("yarns", place, "colours"), colours)
    _start(said, place, yarn, placement.offset_m, design.units)
    if yarn.name != design.use["body"]:
        said.write(f"The body is knitted with {yarn.label}", ("use", "body"), yarn.name)
    _wrap(said, design, placement.wrap)
    _pegs(said, made, placement.pegs)
    if design.stripes:
        said.mind.append("The stripes stay: they cut the yarn, so it falls otherwise than shown.")
    if any(size.plan.pieces[0].name != "strip" for size in made.sizes):
        title = garment(design.garment).title
        said.mind.append(f"{title} is not knitted as one strip, so it falls otherwise there.")
    return ColourWriting(tuple(said.changes), tuple(said.writes), tuple(said.mind))


# --- inside --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class _Said:
    changes: list[Change]
    writes: list[str]
    mind: list[str]

    def write(self, words: str, path: tuple[str | int, ...], value: str | int | None) -> None:
        self.writes.append(words)
        self.changes.append(Change(Deed.SET, path, value))


def _start(said: _Said, place: int, yarn: Yarn, offset_m: float, units: UnitSystem) -> None:
    measured_m = measured_offset_m(offset_m)
    path = ("yarns", place, "colour_offset")
    if measured_m == 0:
        said.write(f"{yarn.label} begins at the start of its repeat", path, None)
        return
    words = f"{yarn.label} begins {along_yarn(measured_m, units)} into its repeat"
    said.write(words, path, f"{digits(round(100 * measured_m, _PLACES_CM))} cm")


def _wrap(said: _Said, design: Design, name: str) -> None:
    if name == design.wrap.name:
        return
    kind = garment(design.garment)
    if kind.wraps and name not in kind.wraps:
        now = design.wrap.name
        said.mind.append(f"The wrap stays {now}: {kind.title} is not knitted in {name}.")
        return
    said.write(f"The wrap is {name}", ("design", "wrap"), name)


def _pegs(said: _Said, made: Made, pegs: int) -> None:
    design, kind = made.design, garment(made.design.garment)
    now = {size.name: size.plan.pieces[0].columns for size in made.sizes}
    if now and set(now.values()) == {pegs}:
        return
    told = ", ".join(f"{name} {count}" for name, count in now.items())
    if any(spec.name == "pegs" for spec in kind.options):
        every = " in every size" if len(design.sizes) > 1 else ""
        said.write(f"{pegs} pegs{every} (now {told})", ("garment", "pegs"), pegs)
    else:
        said.mind.append(f"The pegs stay ({told}): {kind.title} takes them from its measures.")
