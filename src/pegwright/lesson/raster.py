"""SVG to dots, with the fonts that come with Pegwright and none of the machine's."""

from __future__ import annotations

from functools import lru_cache
from importlib.resources import files
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

from pegwright.errors import NotPossible

if TYPE_CHECKING:
    from numpy.typing import NDArray

__all__ = ["missing", "needs", "svg_dots", "svg_png"]


def needs(module: str) -> NotPossible:
    """The refusal where a library of the lesson pack is not installed."""
    return NotPossible(
        "lesson packs need two libraries that are not installed here",
        given=module,
        hint='pip install "pegwright[lesson]"',
    )


_LIBRARIES = {"resvg_py": "resvg-py", "av": "av"}
"""Modules of the lesson pack, and the libraries that they come with: pictures, and films."""


def missing(*, films: bool = True) -> tuple[str, ...]:
    """Which libraries are not installed here: ``resvg-py`` for pictures, ``av`` for films."""
    asked = _LIBRARIES if films else {"resvg_py": _LIBRARIES["resvg_py"]}
    return tuple(library for module, library in asked.items() if find_spec(module) is None)


@lru_cache(maxsize=1)
def _fonts() -> tuple[str, ...]:
    folder = files("pegwright.publish").joinpath("fonts")
    return tuple(sorted(str(f) for f in Path(str(folder)).iterdir() if f.suffix == ".ttf"))


def svg_png(svg: bytes, width_px: int, background: str | None = None) -> bytes:
    """A PNG so many dots wide.

    :raises NotPossible: where the library for it is not installed.
    """
    try:
        import resvg_py
    except ImportError:
        raise needs("resvg-py") from None
    png = resvg_py.svg_to_bytes(
        svg_string=svg.decode("utf-8"),
        width=width_px,
        background=background,
        font_files=list(_fonts()),
        skip_system_fonts=True,
        font_family="Atkinson Hyperlegible",
        sans_serif_family="Atkinson Hyperlegible",
    )
    return bytes(png)


def svg_dots(svg: bytes, width_px: int, background: str) -> NDArray[np.uint8]:
    """The dots themselves, (height, width, 3), red, green, blue.

    :raises NotPossible: where a library for it is not installed.
    """
    try:
        import av
    except ImportError:
        raise needs("av") from None
    decoder = av.CodecContext.create("png", "r")
    frame = decoder.decode(av.Packet(svg_png(svg, width_px, background)))[0]
    return np.ascontiguousarray(frame.to_ndarray(format="rgb24"))
