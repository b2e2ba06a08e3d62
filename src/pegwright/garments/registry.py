"""The garments there are: those that come with Pegwright and those that makers plug in."""

from __future__ import annotations

import difflib
from importlib.metadata import entry_points

from pegwright.errors import BadInput
from pegwright.garments.base import Garment

__all__ = ["GROUP", "garment", "garments", "takes_stripes"]

GROUP = "pegwright.garments"


def _shipped() -> dict[str, Garment]:
    """The garments that come with Pegwright, by name."""
    from pegwright.garments.cowl import COWL
    from pegwright.garments.folded_strip_hood import FOLDED_STRIP_HOOD
    from pegwright.garments.gathered_hat import GATHERED_HAT
    from pegwright.garments.headband import HEADBAND
    from pegwright.garments.mitt import MITT
    from pegwright.garments.panel_blanket import PANEL_BLANKET
    from pegwright.garments.plain_strip import PLAIN_STRIP
    from pegwright.garments.pouch import POUCH
    from pegwright.garments.ribbed_scarf import RIBBED_SCARF
    from pegwright.garments.slipper import SLIPPER
    from pegwright.garments.triangle_scarf import TRIANGLE_SCARF

    known: tuple[Garment, ...] = (
        FOLDED_STRIP_HOOD,
        PLAIN_STRIP,
        RIBBED_SCARF,
        COWL,
        HEADBAND,
        MITT,
        POUCH,
        SLIPPER,
        GATHERED_HAT,
        PANEL_BLANKET,
        TRIANGLE_SCARF,
    )
    return {g.name: g for g in known}


def garments() -> dict[str, Garment]:
    """Every garment by name, the shipped ones first.

    :raises BadInput: where a plug-in does not give a garment.
    """
    found = _shipped()
    for point in entry_points(group=GROUP):
        loaded = point.load()
        if not isinstance(loaded, Garment):
            raise BadInput(
                "a plug-in does not give a garment",
                given=f"{point.name} = {point.value}",
                hint="see docs/garments.md for what a garment object holds",
            )
        found.setdefault(loaded.name, loaded)
    return found


def garment(name: str) -> Garment:
    """The garment of that name.

    :raises BadInput: where there is none, with the nearest name.
    """
    shipped = _shipped().get(name)
    if shipped is not None:  # without a look through everything that is installed
        return shipped
    known = garments()
    if name in known:
        return known[name]
    near = difflib.get_close_matches(name, known, n=1, cutoff=0.4)
    raise BadInput(
        "no such garment",
        given=name,
        hint=f"did you mean “{near[0]}”?" if near else f"one of: {', '.join(known)}",
    )


def takes_stripes(kind: Garment) -> bool:
    """Whether a garment works a brief's stripes: it says so with ``takes_stripes = True``."""
    return bool(getattr(kind, "takes_stripes", False))
