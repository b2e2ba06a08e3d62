"""What a run needs of each yarn, part by part, and where a yarn that is too short runs out."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pegwright.errors import Finding, Spot
from pegwright.knitting.drawn import drawn, loop_lengths
from pegwright.knitting.faults import Fault, finding
from pegwright.knitting.run import Run
from pegwright.measured import Measured
from pegwright.yarn.need import Part, YarnNeed
from pegwright.yarn.yarn import Yarn

__all__ = ["BESIDE_RELATIVE_SD", "runs_out", "yarn_needs"]

BESIDE_RELATIVE_SD = 0.15
"""How far knots, tails and seams may be off, as a part: hands differ (an assumption, no source)."""

_MM_PER_M = 1000.0


def yarn_needs(
    run: Run, yarns: Mapping[str, Yarn], slack: Measured, margin: float
) -> tuple[YarnNeed, ...]:
    """The need of each yarn of a run.

    Wraps are taut geometry times the slack; what is drawn beside them takes no slack.

    :param yarns: every yarn by name.
    :param margin: to have beyond the upper bound, as a part of it.
    """
    parts: dict[str, dict[str, Measured]] = {}
    for part in drawn(run, _diameters(yarns)).parts:
        wrapped = slack.scale(part.wrapped_mm / _MM_PER_M)
        beside_m = part.beside_mm / _MM_PER_M
        sum_sd = wrapped.sd + beside_m * BESIDE_RELATIVE_SD
        here = Measured(wrapped.value + beside_m, sum_sd)
        by_name = parts.setdefault(part.yarn, {})
        before = by_name.get(str(part.part), Measured(0.0))
        by_name[str(part.part)] = Measured(before.value + here.value, before.sd + here.sd)
    return tuple(
        YarnNeed(yarns[name], tuple(Part(part, m) for part, m in found.items()), margin=margin)
        for name, found in parts.items()
    )


def runs_out(
    run: Run,
    yarns: Mapping[str, Yarn],
    slack: Measured,
    available_g: Mapping[str, float],
) -> tuple[Finding, ...]:
    """A fault for each yarn of which there is less than the run draws, at the row where it ends.

    :param available_g: grams at hand by yarn name; yarns not named are not checked.
    """
    if not available_g:
        return ()
    found = []
    diameters = _diameters(yarns)
    totals = drawn(run, diameters)
    for name, grams in available_g.items():
        parts = totals.of(name)
        wrapped_m = slack.value * sum(p.wrapped_mm for p in parts) / _MM_PER_M
        beside_m = sum(p.beside_mm for p in parts) / _MM_PER_M
        have_m = yarns[name].length_m(grams)
        if wrapped_m + beside_m > have_m:
            spot = _where(run, name, diameters, slack.value, have_m - beside_m)
            what = (
                f"{name} runs out: the piece draws {wrapped_m + beside_m:.1f} m, and "
                f"{grams:g} g are {have_m:.1f} m (tails and seams kept back)"
            )
            found.append(finding(Fault.YARN_SHORT, what, spot))
    return tuple(found)


def _where(
    run: Run, yarn: str, diameters: Mapping[str, float], slack: float, have_m: float
) -> Spot:
    """The first loop for which the yarn does not reach."""
    fabric, arrays = run.fabric, run.fabric.arrays()
    lengths = loop_lengths(run, diameters) * (slack / _MM_PER_M)
    strands = np.array([name == yarn for name in fabric.strands])
    lengths[~strands[arrays.strand]] = 0.0
    at = int(np.searchsorted(np.cumsum(lengths), max(have_m, 0.0), side="right"))
    at = min(at, len(arrays) - 1)
    return Spot(
        size=run.script.size,
        piece=fabric.pieces[int(arrays.piece[at])],
        row=int(arrays.row[at]),
        peg=run.script.loom.address(int(arrays.peg[at])),
        step=int(arrays.step[at]),
    )


def _diameters(yarns: Mapping[str, Yarn]) -> dict[str, float]:
    return {name: yarn.wrapped_diameter_mm for name, yarn in yarns.items()}
