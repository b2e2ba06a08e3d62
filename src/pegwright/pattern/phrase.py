"""A step in words: what a phrase is, and what it may speak of."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from pegwright.knitting.operations import Operation
from pegwright.knitting.script import Step, flatten
from pegwright.knitting.stripes import Stripe
from pegwright.knitting.wraps import Wrap
from pegwright.loom.board import Loom
from pegwright.pattern.graded import Graded, in_sizes
from pegwright.tongue.said import Fact, Said, say
from pegwright.units import UnitSystem
from pegwright.yarn.yarn import Yarn

__all__ = ["Context", "Phrase"]


@dataclass(frozen=True, slots=True)
class Phrase:
    """A step in words.  ``tally`` says what there must be when it is done."""

    title: str
    text: tuple[str, ...]
    tally: str = ""
    figure: str | None = None


@dataclass(frozen=True, slots=True)
class Context:
    """What a phrase may speak of.

    ``steps`` are the same step in every size of the group; ``facts`` are graded numbers by name.
    ``yarns`` are all yarns by name; ``stripes`` those of the first size, where the piece has any;
    ``done`` tells for every size how many rows are knitted before this step.
    """

    wrap: Wrap
    loom: Loom
    units: UnitSystem
    steps: tuple[Step, ...]
    facts: Mapping[str, Graded]
    fold_figure: str = "fold-and-seam"
    yarns: Mapping[str, Yarn] = field(default_factory=dict)
    stripes: tuple[Stripe, ...] = ()
    done: tuple[int, ...] = ()

    def say(self, template: str, /, **facts: Fact) -> Said:
        """A sentence with its numbers filled in: the script's own, and those that are given."""
        return say(template, **{**self.facts, **facts})

    def first(self, kind: type[Operation]) -> list[Operation]:
        """For every size, the step's first operation of a kind."""
        return [next(o for o in flatten(s.work) if isinstance(o, kind)) for s in self.steps]

    def label(self, yarn: str) -> str:
        """A yarn's name and colour."""
        return self.yarns[yarn].label if yarn in self.yarns else yarn

    def peg(self, pegs: list[int]) -> Said:
        """Peg names for every size, as ``F32 (F34, F36)``."""
        return in_sizes([self.loom.address(p) for p in pegs])

    def length(self, values_mm: list[float]) -> Said:
        """Lengths for every size in both units."""
        return Graded(tuple(values_mm), self.units).length()
