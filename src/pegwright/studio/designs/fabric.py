"""The picture of a size's fabric, in its colours, from one of the sides that it has."""

from __future__ import annotations

from dataclasses import dataclass

from pydantic import BaseModel

from pegwright import making
from pegwright.errors import NotPossible
from pegwright.making import Made
from pegwright.pattern.fabric_view import FabricView
from pegwright.pattern.look import size_colours, size_views
from pegwright.pattern.source import ProvedSize
from pegwright.planning.colour import Joining, StitchColours

__all__ = ["FabricPicture", "FabricSide", "SeenSize", "fabric_of", "seen_size"]

MOST_LOOPS = 400_000
"""Most loops of which a picture is drawn; the loom shows larger pieces."""


class FabricSide(BaseModel):
    """A side that the fabric can be seen from."""

    key: str
    title: str


class FabricPicture(BaseModel):
    """The picture as SVG, its words, and the sides that there are."""

    size: str
    key: str
    title: str
    words: str
    svg: str
    views: list[FabricSide]


@dataclass(frozen=True, slots=True, eq=False)
class SeenSize:
    """A size with the colour of every stitch, seen from every side."""

    size: ProvedSize
    colours: StitchColours
    views: tuple[FabricView, ...]

    def view(self, key: str) -> FabricView:
        """The view of that key; the first where there is none."""
        return next((v for v in self.views if v.key == key), self.views[0])


def seen_size(made: Made, size: str = "", joining: Joining | None = None) -> SeenSize:
    """A size seen from every side; the first where none of that name is there.

    :raises NotPossible: where no size was knitted, or there are too many loops for a picture.
    """
    if not made.sizes:
        raise NotPossible("no size of the design can be made yet", hint="mend what is wrong first")
    chosen = next((s for s in made.sizes if s.name == size), made.sizes[0])
    if chosen.run.fabric.loops > MOST_LOOPS:
        raise NotPossible(
            "there are too many stitches for a picture",
            given=f"{chosen.run.fabric.loops:,} loops",
            hint="look at it on the loom",
        )
    colours = size_colours(making.source_of(made), chosen, joining)
    views = tuple(size_views(chosen, colours))
    if not views:
        raise NotPossible("the pieces have no rows to be seen", given=chosen.name)
    return SeenSize(chosen, colours, views)


def fabric_of(made: Made, size: str = "", key: str = "") -> FabricPicture:
    """A size's picture from a side; the first of each where it names none that is there.

    It takes its colours from the page in which it stands, light or dark; the yarns' are their own.

    :raises NotPossible: as :func:`seen_size`.
    """
    from pegwright.publish.drawing import ON_PAGE
    from pegwright.publish.fabric_picture import fabric_picture

    seen = seen_size(made, size)
    view = seen.view(key)
    return FabricPicture(
        size=seen.size.name,
        key=view.key,
        title=view.title,
        words=" ".join(view.words(made.design.units)),
        svg=fabric_picture(view, style=ON_PAGE).decode("utf-8"),
        views=[FabricSide(key=v.key, title=v.title) for v in seen.views],
    )
