"""An order for stripes of which it is only known how many there are of each yarn.

**When there is one.**  Let a row of N free places stand between a fixed stripe of yarn ``p`` on its
left and one of yarn ``l`` on its right, and let ``d(y)`` stripes of yarn y go into the places,
N in all.  An order without two alike side by side exists if and only if

* d(y) ≤ ceil(N/2) for every yarn y other than p and l, and
* where p and l differ: d(p) ≤ floor(N/2) and d(l) ≤ floor(N/2);
* where p and l are the same yarn: d(p) ≤ ceil(N/2) − 1.

An end that is free is an end of a yarn that no stripe has.

*Necessary:* stripes of one yarn cannot lie side by side, so of N places in a line at most ceil(N/2)
take them; p cannot take the first place, nor l the last, which leaves lines of N − 1 places, or
N − 2 where both are one yarn.

*Sufficient:* fill the places from the left, so that after every place the condition holds for what
remains (N − 1 places, the yarn just placed as the new p):

1. Where N is even, p is not l, and d(l) = N/2: place l.  Then l is on both sides, with
   d(l) = N/2 − 1 = ceil((N−1)/2) − 1; all others together have N/2 = ceil((N−1)/2).
2. Otherwise place a yarn y, other than p and l, of which most remain.  There is one, since p and l
   together have less than N: where they differ and N is odd, at most 2·floor(N/2) = N − 1; where
   N is even, at most N/2 + N/2 − 1, by rule 1; where they are one yarn, at most ceil(N/2) − 1.
   Any other yarn z, not p or l, has d(z) ≤ d(y) and d(z) + d(y) ≤ N, so d(z) ≤ floor(N/2), which
   is ceil((N−1)/2).  The old p is bounded by floor(N/2) as well.  y itself, now the left side, has
   d(y) − 1 ≤ ceil(N/2) − 1 ≤ floor((N−1)/2).  For l, which differs from y, floor((N−1)/2) is
   needed: for odd N that is floor(N/2), which held; for even N it is N/2 − 1, which holds by rule 1
   where p is not l, and is ceil(N/2) − 1 where it is.

So a plan can be chosen by counts alone, and an order is then found in one walk from left to right.
"""

from __future__ import annotations

from collections.abc import Sequence

__all__ = ["FREE", "has_order", "order", "shared_out"]

FREE = -1
"""The yarn of an end that is free."""


def has_order(counts: Sequence[int], left: int = FREE, right: int = FREE) -> bool:
    """Whether stripes can be laid between two fixed ones with no two alike side by side.

    :param counts: stripes of each yarn, not counting the fixed ones.
    :param left: the yarn of the fixed stripe at the left, or :data:`FREE`; ``right`` likewise.
    """
    places = sum(counts)
    most, fewer = (places + 1) // 2, places // 2
    for yarn, count in enumerate(counts):
        bound = most
        if yarn in (left, right):
            bound = most - 1 if left == right else fewer
        if count > bound:
            return False
    return not (left == right != FREE and places == 0)


def order(counts: Sequence[int], left: int = FREE, right: int = FREE) -> tuple[int, ...]:
    """An order of stripes; see the module.

    Of several yarns of which as many remain, the one that lay longest ago is taken, then the first.

    :raises ValueError: where there is none.
    """
    if not has_order(counts, left, right):
        raise ValueError(f"no order of {list(counts)} between {left} and {right}")
    remain = list(counts)
    laid: list[int] = []
    before = left
    last = [-1] * len(remain)
    for place in range(sum(counts)):
        places = sum(remain)
        if right != FREE and before != right and 2 * remain[right] == places:
            yarn = right
        else:
            yarn = max(
                (y for y in range(len(remain)) if y not in (before, right) and remain[y]),
                key=lambda y: (remain[y], -last[y], -y),
            )
        remain[yarn] -= 1
        last[yarn] = place
        laid.append(yarn)
        before = yarn
    return tuple(laid)


def shared_out(rows: int, stripes: int) -> tuple[int, ...]:
    """Rows shared out over stripes as evenly as whole rows go, the wider ones spread among them.

    The widths differ by one row at most, so they keep every limit that their mean keeps.
    """
    return tuple(
        rows * (index + 1) // stripes - rows * index // stripes for index in range(stripes)
    )
