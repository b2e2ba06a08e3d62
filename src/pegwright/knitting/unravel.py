"""What is lost when every free end is pulled: a second, simpler look at the finished fabric.

The simulated loom finds faults while it works.  This module knows nothing of pegs, rows or steps:
it takes the finished loops, lets every loop slip that nothing keeps from slipping, and says what is
gone.  A fabric that was proved must lose nothing.

The physics (common practice, no source):

* nothing sits on a peg any more, and both ends of each pulled strand are drawn as far as they come;
* a loop is kept from slipping by what runs through it: a loop that was drawn up through it (its
  child) and is still there, or a cord, a length of yarn or a tail (a holder);
* a loop through which nothing runs slips out of the fabric, whether the yarn ends beside it or runs
  on to its neighbours: at an end the yarn comes away, in the middle it drops a ladder;
* a loop that slips no longer runs through the loops that it held, and they may slip next.

Friction is not counted: what stays only because the yarn is rough counts as lost.  Two loops that
run through each other lock, as a knot does.
"""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING

from pegwright.knitting.fabric import FabricArrays

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["holds_together", "pull_ends"]


def pull_ends(arrays: FabricArrays, strands: Collection[int] | None = None) -> NDArray[np.int64]:
    """Pull both ends of strands, and find the loops that slip.

    :param strands: the strands pulled, by their index; every strand where none are named.  A loop
        of a strand that is not pulled stays where it is.
    :returns: the numbers of the lost loops, ascending.
    """
    import numpy as np

    count = len(arrays)
    parents, children = arrays.ties[:, 0], arrays.ties[:, 1]
    keepers = np.bincount(parents, minlength=count)
    keepers += np.bincount(arrays.holds[:, 1], minlength=count)
    if strands is not None:
        keepers += ~np.isin(arrays.strand, sorted(strands))
    slipping = np.flatnonzero(keepers == 0)
    if not slipping.size:
        return slipping
    by_child = np.argsort(children, kind="stable")
    held = parents[by_child].tolist()
    ends = np.cumsum(np.bincount(children, minlength=count)).tolist()
    lost = _slip(slipping.tolist(), keepers.tolist(), held, [0, *ends])
    return np.array(sorted(lost), np.int64)


def _slip(slipping: list[int], keepers: list[int], held: list[int], starts: list[int]) -> list[int]:
    """Let loops slip until none is left that may.

    ``keepers`` counts what runs through each loop; the loops that loop n runs through are
    ``held[starts[n] : starts[n + 1]]``.
    """
    lost = []
    while slipping:
        loop = slipping.pop()
        lost.append(loop)
        for parent in held[starts[loop] : starts[loop + 1]]:
            keepers[parent] -= 1
            if not keepers[parent]:
                slipping.append(parent)
    return lost


def holds_together(arrays: FabricArrays, strands: Collection[int] | None = None) -> bool:
    """Whether no loop is lost when strands (every strand, where none are named) are pulled."""
    return not pull_ends(arrays, strands).size
