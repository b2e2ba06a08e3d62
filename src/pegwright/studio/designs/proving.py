"""Proves a design again after a change, and works out anew only what the change touches.

A size is executed again where anything that it is planned from differs: the board, the wrap, a
yarn, the gauge, an option, its own measures.  A new title or price, or a change to another size,
leaves it as it was.
"""

from __future__ import annotations

from dataclasses import replace

from pegwright import making
from pegwright.designs.model import Design, SizeRequest
from pegwright.making import Made
from pegwright.pattern.source import ProvedSize

__all__ = ["Prover"]


class Prover:
    """Remembers the sizes of the last design that it proved."""

    def __init__(self) -> None:
        self._design: Design | None = None
        self._sizes: list[tuple[SizeRequest, ProvedSize]] = []
        self.executed = 0
        """How many sizes were executed so far, those remembered not counted."""

    def prove(self, design: Design) -> Made:
        """The design proved in every size; a size that cannot be planned is kept with its reason.

        :raises PegwrightError: where the design cannot be worked out at all.
        """
        same = self._design is not None and _alike(self._design) == _alike(design)
        known = list(self._sizes) if same else []
        asked: list[SizeRequest] = []

        def remembered(request: SizeRequest) -> ProvedSize | None:
            asked.append(request)
            return next((proved for old, proved in known if old == request), None)

        made = making.prove(design, keep_going=True, known=remembered)
        refused = {one.name for one in made.refused}
        planned = [request for request in asked if request.name not in refused]
        self.executed += sum(all(old != request for old, _ in known) for request in planned)
        self._design, self._sizes = design, list(zip(planned, made.sizes, strict=True))
        return made


def _alike(design: Design) -> Design:
    """The design without what no size is planned from."""
    return replace(
        design, title="", summary="", version="", sizes=(), prices={}, costing=None, source=""
    )
