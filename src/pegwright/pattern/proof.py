"""The proof statement: what was executed before the pattern was printed."""

from __future__ import annotations

from pegwright.knitting.wraps import Cloth
from pegwright.pattern.model import ProofStatement
from pegwright.pattern.source import Source
from pegwright.tongue.said import joined, numeral, say

__all__ = ["proof_statement"]


def proof_statement(source: Source) -> ProofStatement:
    """What was executed, in every size, and what remains to be said."""
    sizes = source.sizes
    loops = sum(s.run.fabric.loops for s in sizes)
    operations = sum(s.run.operations for s in sizes)
    movements = sum(s.run.movements for s in sizes)
    named = joined((s.name for s in sizes), ", ")
    which = (
        say(
            "Before this pattern was written, the size {size} was knitted from end to end on a "
            "simulated loom.",
            size=named,
        )
        if len(sizes) == 1
        else say(
            "Before this pattern was written, all {count} sizes ({sizes}) were knitted from end to "
            "end on a simulated loom.",
            count=len(sizes),
            sizes=named,
        )
    )
    made = say(
        "It made {movements} movements of the hands and {loops} loops.",
        movements=numeral(f"{movements:,}"),
        loops=numeral(f"{loops:,}"),
    )
    held = (
        say(
            "Every loop is held by another loop, a cord or a fastened end; both faces are joined "
            "in every row, and the edges that are sewn are unbroken chains."
        )
        if source.wrap.cloth is Cloth.DOUBLE
        else say(
            "Every loop is held by another loop, a cord or a fastened end; and the edges that are "
            "sewn are unbroken chains."
        )
    )
    sentences = (
        which,
        joined((made, held)),
        say("Counts, peg numbers, yarn and dimensions in this pattern were read from that run."),
        say("A proof of the knitting is no promise of size: measure your own wrap test or swatch."),
    )
    findings = tuple(f for s in sizes for f in s.findings)
    return ProofStatement(sentences, source.version, source.digest, operations, loops, findings)
