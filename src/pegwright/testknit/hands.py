"""What several makers' figures say of makers: their mean, how far they differ, what the next draws.

Every maker *i* has her own true figure, normal about a mean with a standard deviation tau; it was
found with an error of its own.  The design's maker counts as one more, whose figure is the design's
and taken as it stands.  So few makers tell little of tau: the spread that the design states counts
as one degree of freedom beside theirs (as a day's pace does in :mod:`pegwright.planning.pace`),

    tau² = (stated² + (n - 1) t²) / n,

where t² is the spread between the n testers by moments
(:func:`pegwright.gauge.pooling.between_variance`).  The mean weighs each maker by
1 / (v_i + tau²): the random-effects model named there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pegwright.gauge.pooling import between_variance, pooled_random
from pegwright.measured import Measured

__all__ = ["Hands", "hands", "pooled_with"]


@dataclass(frozen=True, slots=True)
class Hands:
    """Makers, as far as they are known.

    :param mean: of makers, with how far it may be off.
    :param spread: how far makers differ (standard deviation).
    :param testers: how many stand behind it, beside the design's own maker.
    """

    mean: Measured
    spread: float
    testers: int

    @property
    def next(self) -> Measured:
        """What is to be expected of the next maker."""
        return Measured(self.mean.value, math.hypot(self.mean.sd, self.spread))


def hands(stated: Measured, testers: Sequence[Measured], shared_relative: float = 0.0) -> Hands:
    """The makers' mean and spread from what a design states and testers' own figures.

    :param stated: the design's figure; its sd says how far makers differ.
    :param testers: each with its own error; none leaves what is stated.
    :param shared_relative: an error that all testers' figures have in common, as a part of them;
        no number of testers makes it smaller.
    """
    n = len(testers)
    if not n:
        return Hands(Measured(stated.value), stated.sd, 0)
    between = between_variance(testers) if n > 1 else 0.0
    tau2 = (stated.sd**2 + (n - 1) * between) / n
    items = [Measured(stated.value), *testers]
    weights = [1 / (item.sd**2 + tau2) if item.sd**2 + tau2 else math.inf for item in items]
    if math.inf in weights:  # the design says that all makers are alike
        return Hands(Measured(stated.value), 0.0, n)
    whole = math.fsum(weights)
    mean = math.fsum(w * i.value for w, i in zip(weights, items, strict=True)) / whole
    of_testers = 1 - weights[0] / whole
    shared = shared_relative * mean * of_testers
    return Hands(Measured(mean, math.hypot(1 / math.sqrt(whole), shared)), math.sqrt(tau2), n)


def pooled_with(items: Sequence[Measured], shared_sd: float) -> Measured:
    """Testers' figures pooled, with an error added that they all have in common."""
    pooled = pooled_random(items)
    return Measured(pooled.value, math.hypot(pooled.sd, shared_sd))
