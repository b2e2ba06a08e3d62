"""The proof statement: what was executed before the pattern was printed."""

from __future__ import annotations

from pegwright.knitting.wraps import Cloth
from pegwright.pattern.model import ProofStatement
from pegwright.pattern.source import Source

__all__ = ["proof_statement"]


def proof_statement(source: Source) -> ProofStatement:
    """What was executed, in every size, and what remains to be said."""
    sizes = source.sizes
    loops = sum(s.run.fabric.loops for s in sizes)
    operations = sum(s.run.operations for s in sizes)
    movements = sum(s.run.movements for s in sizes)
    named = ", ".join(s.name for s in sizes)
    which = f"the size {named}" if len(sizes) == 1 else f"all {len(sizes)} sizes ({named})"
    was = "was" if len(sizes) == 1 else "were"
    double = source.wrap.cloth is Cloth.DOUBLE
    faces = "both faces are joined in every row, and " if double else "and "
    sentences = (
        f"Before this pattern was written, {which} {was} knitted from end to end on a simulated "
        "loom.",
        f"It made {movements:,} movements of the hands and {loops:,} loops. Every loop is held by "
        f"another loop, a cord or a fastened end; {faces}the edges that are sewn are unbroken "
        "chains.",
        "Counts, peg numbers, yarn and dimensions in this pattern were read from that run.",
        "A proof of the knitting is no promise of size: measure your own wrap test or swatch.",
    )
    findings = tuple(f for s in sizes for f in s.findings)
    return ProofStatement(sentences, source.version, source.digest, operations, loops, findings)
