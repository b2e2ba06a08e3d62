"""How finely fabric is shown: drawn stitch by stitch, or painted in so many dots."""

from __future__ import annotations

from dataclasses import dataclass

__all__ = ["DRAWN", "MOST_DRAWN", "ON_SCREEN", "PRINTED", "Grain"]

MOST_DRAWN = 6000
"""Most stitches that are drawn one by one."""


@dataclass(frozen=True, slots=True)
class Grain:
    """How fine a picture is.

    :param most_drawn: more stitches are painted, not drawn.
    :param dots: most dots across a wale of a painting.
    """

    most_drawn: int
    dots: float


DRAWN = Grain(MOST_DRAWN, 96.0)
"""For a file of its own: drawn as long as it can be, and painted finely."""

ON_SCREEN = Grain(1200, 20.0)
"""For a page on a phone, which is slow with many thousand lines."""

PRINTED = Grain(0, 16.0)
"""For print: there a thousand drawn stitches are many bytes, and 16 dots are fine enough."""
