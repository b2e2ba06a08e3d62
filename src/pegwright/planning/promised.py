"""What a run promises of a yarn before the first weighing, for the forecast while knitting."""

from __future__ import annotations

from collections.abc import Mapping

from pegwright.errors import BadInput, Place
from pegwright.knitting.operations import Part
from pegwright.knitting.run import Run
from pegwright.measured import Measured, total
from pegwright.planning.weighings import ROW_SCATTER, Prior
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.yarn import Yarn

__all__ = ["prior_for", "reserve_for"]


def prior_for(
    run: Run,
    yarns: Mapping[str, Yarn],
    name: str,
    slack: Measured,
    *,
    piece: str | None = None,
    scatter: float = ROW_SCATTER,
) -> Prior:
    """The grams per row that a run promises of one yarn.

    Metres per row are the run's own taut paths times the slack; grams follow from the yarn.  The
    sd holds the slack's and the yarn's.  Rows in another colour take none.

    :param name: the yarn, as the script names it.
    :param piece: where the yarn knits several pieces; the first otherwise.
    :raises BadInput: where the run knits no row of it.
    """
    import numpy as np

    from pegwright.knitting.drawn import loop_lengths

    fabric, arrays = run.fabric, run.fabric.arrays()
    lengths = loop_lengths(run, {key: yarn.wrapped_diameter_mm for key, yarn in yarns.items()})
    of_yarn = np.array([*(strand == name for strand in fabric.strands), False])[arrays.strand]
    body = {step.number for step in run.script.steps if step.part is Part.BODY}
    counted = of_yarn & np.isin(arrays.step, sorted(body)) & (arrays.row > 0)
    if piece is not None:
        counted &= np.array([p == piece for p in fabric.pieces])[arrays.piece]
    if name not in yarns or not counted.any():
        raise BadInput(
            "no row of the body is knitted with this yarn",
            given=name if piece is None else f"{name}, {piece}",
            hint=f"the run knits with {', '.join(dict.fromkeys(fabric.strands))}",
            place=Place(field="yarn"),
        )
    at = int(arrays.piece[counted][0])
    counted &= arrays.piece == at
    rows = run.piece(fabric.pieces[at]).rows
    by_row = np.bincount(arrays.row[counted], lengths[counted], minlength=rows + 1)[1 : rows + 1]
    mean_mm = float(by_row[by_row > 0].mean())
    shares = tuple(float(share) for share in by_row / mean_mm)
    return Prior(yarns[name].mass(slack.scale(mean_mm / 1000)), scatter, shares)


def reserve_for(need: YarnNeed) -> Measured:
    """Grams to keep for everything that comes after the body: cord, bind-off, seam, tails."""
    later = [p.metres for p in need.parts if p.name not in (str(Part.CAST_ON), str(Part.BODY))]
    return need.yarn.mass(total(later, shared_error=need.shared_error))
