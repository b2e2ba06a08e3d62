"""A design proved with its pattern: what a form, a comparison and errata all begin with."""

from __future__ import annotations

from dataclasses import replace

from pegwright.designs.model import Design
from pegwright.errors import NotPossible
from pegwright.making import Made, make
from pegwright.pattern.model import Pattern

__all__ = ["prove_pattern"]


def prove_pattern(design: Design) -> tuple[Made, Pattern]:
    """The design made; how much yarn there is, is not looked at.

    :raises NotPossible: where it has faults.
    """
    made, pattern = make(replace(design, available_g={}))
    if pattern is None:
        raise NotPossible(
            "the design has faults, so there is no pattern of it",
            given=design.title,
            hint="mend the faults first; pegwright check tells them",
        )
    return made, pattern
