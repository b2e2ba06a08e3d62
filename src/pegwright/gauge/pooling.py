"""Pooling swatches that may differ by more than their tape readings explain.

Each swatch *i* gives a size y_i with its own variance v_i.  Behind them stands one true size, from
which each swatch also strays by a random amount of variance tau² (the **between-swatch** spread).
This is the random-effects model, estimated by moments (DerSimonian & Laird 1986; textbook:
Borenstein, Hedges, Higgins & Rothstein, Introduction to Meta-Analysis; both from memory):

* w_i = 1 / v_i and Q = sum of w_i (y_i - mean)², with the mean weighted by w;
* tau² = (Q - (n - 1)) / (sum of w - sum of w² / sum of w), or 0 where that is negative;
* the pooled size weighs each by 1 / (v_i + tau²), and its variance is one over those weights' sum.

With few swatches tau² itself is poorly known, so the interval of a set that disagrees is narrow:
where swatches stray by 8 %, the nine-in-ten interval holds the truth some seven times in ten with
two swatches and more than eight with six.  Such a set is told of; another swatch helps more than
any formula.

:func:`pegwright.measured.pooled` is the other way to pool: it widens the answer but lets one fine
reading outvote all others, which suits repeated readings of one thing and not separate swatches.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from pegwright.errors import BadInput
from pegwright.measured import Measured

__all__ = ["between_variance", "chi_squared_beyond", "disagreement", "pooled_random"]


def pooled_random(items: Sequence[Measured]) -> Measured:
    """The pooled size and its standard deviation, in the unit of the items.

    :param items: one or more independent measurements, each with a standard deviation above zero.
    :raises BadInput: for none, or an exact one.
    """
    _checked(items)
    tau2 = between_variance(items)
    weights = [1 / (item.sd**2 + tau2) for item in items]
    return Measured(_mean(items, weights), 1 / math.sqrt(math.fsum(weights)))


def between_variance(items: Sequence[Measured]) -> float:
    """tau², the variance between swatches beyond what their own explains; 0 for a single one."""
    _checked(items)
    weights = _weights(items)
    whole = math.fsum(weights)
    spare = whole - math.fsum(w * w for w in weights) / whole
    if len(items) < 2 or spare <= 0:
        return 0.0
    return max(0.0, (_q(items) - (len(items) - 1)) / spare)


def disagreement(items: Sequence[Measured]) -> float:
    """How often sets with no spread of their own between swatches would lie so far apart: 0 to 1.

    The upper tail of chi-squared at Q with n - 1 degrees of freedom (Cochran's test).
    """
    _checked(items)
    return 1.0 if len(items) < 2 else chi_squared_beyond(_q(items), len(items) - 1)


def chi_squared_beyond(x: float, degrees: int) -> float:
    """The probability that chi-squared with whole degrees of freedom exceeds x.

    Exact, from the closed forms for 1 and 2 degrees and the step from d to d + 2, which adds
    (x/2)^(d/2) e^(-x/2) / gamma(d/2 + 1) (Abramowitz & Stegun 26.4, from memory).
    """
    half = max(x, 0.0) / 2
    d = 1 if degrees % 2 else 2
    tail = math.erfc(math.sqrt(half)) if d == 1 else math.exp(-half)
    while d < degrees:
        if half:
            tail += math.exp(d / 2 * math.log(half) - half - math.lgamma(d / 2 + 1))
        d += 2
    return min(1.0, tail)


def _checked(items: Sequence[Measured]) -> None:
    if not items:
        raise BadInput("nothing to pool", hint="give at least one swatch")
    if any(item.sd == 0 for item in items):
        raise BadInput(
            "a swatch cannot be exact",
            given=", ".join(str(item) for item in items),
            hint="give each measurement its uncertainty",
        )


def _weights(items: Sequence[Measured]) -> list[float]:
    return [1 / item.sd**2 for item in items]


def _mean(items: Sequence[Measured], weights: Sequence[float]) -> float:
    pairs = zip(items, weights, strict=True)
    return math.fsum(w * item.value for item, w in pairs) / math.fsum(weights)


def _q(items: Sequence[Measured]) -> float:
    weights = _weights(items)
    mean = _mean(items, weights)
    return math.fsum(w * (item.value - mean) ** 2 for item, w in zip(items, weights, strict=True))
