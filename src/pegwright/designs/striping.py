"""A design with the stripes that were planned for it, and with the yarns that they are made of."""

from __future__ import annotations

from dataclasses import replace

from pegwright.designs.model import Design
from pegwright.knitting.stripes import Stripe
from pegwright.yarn.stash import StashYarn

__all__ = ["with_stripes"]


def with_stripes(
    design: Design, stripes: tuple[Stripe, ...], stash: tuple[StashYarn, ...] = ()
) -> Design:
    """The design with these stripes, and with a stash's yarns where they come from there.

    The stripes say how many rows there are, so the option ``rows`` is left out.  A yarn of the
    stash takes the place of one of the same name, with its grams and its own colours.

    :param stash: yarns named apart (:func:`pegwright.yarn.stash.named_apart`).
    """
    options = {name: value for name, value in design.options.items() if name != "rows"}
    taken = {own.yarn.name: own for own in stash}
    runs = {name: run for name, run in design.colour_runs.items() if name not in taken}
    runs |= {name: own.colour_run for name, own in taken.items() if own.colour_run is not None}
    return replace(
        design,
        yarns={**design.yarns, **{name: own.yarn for name, own in taken.items()}},
        available_g={
            **design.available_g,
            **{name: own.grams.value for name, own in taken.items()},
        },
        options=options,
        stripes=stripes,
        colour_runs=runs,
        source="",
    )
