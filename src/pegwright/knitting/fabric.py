"""The fabric that a run returns: loops, what holds them, and the order of the yarn.

Words used here:

* a **loop** is one visit of the yarn to a peg; loops are numbered from 0 in order of making;
* a **tie** (parent, child) says that the parent was lifted over the child: the child runs through
  the parent and holds it;
* a **hold** (holder, loop) says that something which is not a loop (a cord, a length of yarn, a
  tail) runs through a loop;
* a **strand** is one length of knitting yarn from its first end to its last.

Work that repeats is kept as a :class:`Tile`: the loops of one round and how often it recurs, each
round's numbers shifted by a fixed stride.  :meth:`Fabric.arrays` writes everything out.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from enum import IntEnum
from typing import TYPE_CHECKING, NamedTuple

from pegwright.errors import NotPossible
from pegwright.knitting.operations import Part
from pegwright.loom.visit import Visit

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

__all__ = ["MOST_LOOPS", "Block", "Fabric", "FabricArrays", "LoopKind", "Tile", "Use"]

MOST_LOOPS = 20_000_000
"""Most loops that are ever written out one by one."""


class LoopKind(IntEnum):
    """What a loop is."""

    KNOT = 0
    CAST_ON = 1
    KNIT = 2
    PURL = 3
    EXTRA = 4
    TURN = 5


class Use(NamedTuple):
    """A length of yarn drawn beside the wraps."""

    yarn: str
    part: Part
    piece: int
    yarn_mm: float


@dataclass(frozen=True, slots=True)
class Block:
    """Loops made in a run of operations with one step, piece and strand (-1: no yarn hangs).

    ``lead`` holds the strand's last visits before the block (at most two), which the taut path
    needs.  ``rows`` and ``kinds`` go with ``visits``.
    """

    first_loop: int
    step: int
    piece: int
    strand: int
    lead: tuple[Visit, ...]
    visits: tuple[Visit, ...]
    rows: tuple[int, ...]
    kinds: tuple[int, ...]
    ties: tuple[tuple[int, int], ...]
    holds: tuple[tuple[int, int], ...]
    uses: tuple[Use, ...]

    @property
    def loops(self) -> int:
        """How many loops the block makes."""
        return len(self.visits)


@dataclass(frozen=True, slots=True)
class Tile:
    """Blocks that recur ``times`` times.

    Round k, counted from 0, adds k × ``loop_stride`` to every loop number and k × ``row_stride`` to
    every row.
    """

    blocks: tuple[Block | Tile, ...]
    times: int
    loop_stride: int
    row_stride: int

    @property
    def loops(self) -> int:
        """How many loops all rounds make."""
        return self.loop_stride * self.times


@dataclass(frozen=True, slots=True)
class FabricArrays:
    """Every loop written out.  All arrays of loops have one entry a loop, in order of making.

    ``ties`` is (m, 2): parent, child.  ``holds`` is (k, 2): index into the fabric's ``holders``,
    loop.
    """

    peg: NDArray[np.int32]
    row: NDArray[np.int32]
    kind: NDArray[np.int8]
    step: NDArray[np.int16]
    piece: NDArray[np.int16]
    strand: NDArray[np.int16]
    ties: NDArray[np.int32]
    holds: NDArray[np.int32]

    def __len__(self) -> int:
        return len(self.peg)


@dataclass(frozen=True, slots=True)
class Fabric:
    """The whole fabric, repeats kept as repeats.

    ``pieces``, ``strands`` (the yarn's name of each) and ``holders`` are named by index.
    """

    blocks: tuple[Block | Tile, ...]
    pieces: tuple[str, ...]
    strands: tuple[str, ...]
    holders: tuple[str, ...]

    @property
    def loops(self) -> int:
        """How many loops there are, without writing them out."""
        return sum(b.loops for b in self.blocks)

    def walk(self) -> Iterator[tuple[Block, int]]:
        """Every block once, with how often it recurs in all."""
        yield from _walk(self.blocks, 1)

    def arrays(self) -> FabricArrays:
        """Every loop written out, as numpy arrays.

        :raises NotPossible: above :data:`MOST_LOOPS` loops.
        """
        if self.loops > MOST_LOOPS:
            raise NotPossible(
                "too many loops to write out one by one",
                given=f"{self.loops:,} loops",
                hint=f"work with the repeats kept, or stay below {MOST_LOOPS:,} loops",
            )
        return _arrays(self.blocks)


def _walk(blocks: tuple[Block | Tile, ...], times: int) -> Iterator[tuple[Block, int]]:
    for block in blocks:
        if isinstance(block, Tile):
            yield from _walk(block.blocks, times * block.times)
        else:
            yield block, times


def _arrays(blocks: tuple[Block | Tile, ...]) -> FabricArrays:
    import numpy as np

    parts = [_tiled(b) if isinstance(b, Tile) else _block_arrays(b) for b in blocks]
    if not parts:
        parts = [_block_arrays(Block(0, 0, 0, -1, (), (), (), (), (), (), ()))]
    return FabricArrays(
        *(
            np.concatenate([getattr(p, name) for p in parts])
            for name in ("peg", "row", "kind", "step", "piece", "strand", "ties", "holds")
        )
    )


def _block_arrays(block: Block) -> FabricArrays:
    import numpy as np

    n = block.loops
    return FabricArrays(
        peg=np.fromiter((v.peg for v in block.visits), np.int32, n),
        row=np.asarray(block.rows, np.int32).reshape(n),
        kind=np.asarray(block.kinds, np.int8).reshape(n),
        step=np.full(n, block.step, np.int16),
        piece=np.full(n, block.piece, np.int16),
        strand=np.full(n, block.strand, np.int16),
        ties=np.asarray(block.ties, np.int32).reshape(-1, 2),
        holds=np.asarray(block.holds, np.int32).reshape(-1, 2),
    )


def _tiled(tile: Tile) -> FabricArrays:
    import numpy as np

    one = _arrays(tile.blocks)
    k = np.arange(tile.times, dtype=np.int32)
    shift = (k * tile.loop_stride)[:, None, None]
    rows = one.row[None, :] + (k * tile.row_stride)[:, None]
    holds = np.tile(one.holds, (tile.times, 1, 1))
    holds[:, :, 1] += shift[:, :, 0]
    return FabricArrays(
        peg=np.tile(one.peg, tile.times),
        row=rows.reshape(-1).astype(np.int32),
        kind=np.tile(one.kind, tile.times),
        step=np.tile(one.step, tile.times),
        piece=np.tile(one.piece, tile.times),
        strand=np.tile(one.strand, tile.times),
        ties=(one.ties[None, :, :] + shift).reshape(-1, 2).astype(np.int32),
        holds=holds.reshape(-1, 2),
    )
