"""The picture of a size's fabric, in its colours, from one of the sides that it has."""

from __future__ import annotations

from pydantic import BaseModel

from pegwright import making
from pegwright.errors import NotPossible
from pegwright.making import Made
from pegwright.pattern.look import size_colours, size_views

__all__ = ["FabricPicture", "FabricSide", "fabric_of"]

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


def fabric_of(made: Made, size: str = "", key: str = "") -> FabricPicture:
    """A size's picture from a side; the first of each where it names none that is there.

    :raises NotPossible: where no size was knitted, or there are too many loops for a picture.
    """
    from pegwright.publish.fabric_picture import fabric_picture

    if not made.sizes:
        raise NotPossible("no size of the design can be made yet", hint="mend what is wrong first")
    chosen = next((s for s in made.sizes if s.name == size), made.sizes[0])
    if chosen.run.fabric.loops > MOST_LOOPS:
        raise NotPossible(
            "there are too many stitches for a picture",
            given=f"{chosen.run.fabric.loops:,} loops",
            hint="look at it on the loom",
        )
    source = making.source_of(made)
    views = list(size_views(chosen, size_colours(source, chosen)))
    if not views:
        raise NotPossible("the pieces have no rows to be seen", given=chosen.name)
    view = next((v for v in views if v.key == key), views[0])
    return FabricPicture(
        size=chosen.name,
        key=view.key,
        title=view.title,
        words=" ".join(view.words(made.design.units)),
        svg=fabric_picture(view).decode("utf-8"),
        views=[FabricSide(key=v.key, title=v.title) for v in views],
    )
