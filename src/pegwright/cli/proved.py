"""A design proved with its pattern, for commands that reckon with all of its sizes."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.making import Made
    from pegwright.pattern.model import Pattern

__all__ = ["prove_pattern"]


def prove_pattern(design: Design) -> tuple[Made, Pattern]:
    """The design made; how much yarn there is, is not looked at.

    :raises NotPossible: where it has faults.
    """
    from pegwright.errors import NotPossible
    from pegwright.making import make

    made, pattern = make(replace(design, available_g={}))
    if pattern is None:
        raise NotPossible(
            "the design has faults, so there is no pattern of it",
            given=design.title,
            hint="pegwright check tells them",
        )
    return made, pattern
