"""Yarns that may stand in for one of a design's, and the changes that put one in its place.

Those of the library count as they were last weighed, those of the design where it says how much
there is of them.  Each is **named** by its record in the library, or by its name in the design.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any

from pydantic import BaseModel, Field

from pegwright.designs.model import Design
from pegwright.errors import BadInput
from pegwright.library.records import Kind
from pegwright.library.store import Library
from pegwright.measured import Measured
from pegwright.studio.designs.api import RecordId
from pegwright.studio.designs.edits import Change, Deed
from pegwright.studio.designs.taking import renamed, yarn_in_place
from pegwright.studio.records.board_forms import own_yarn
from pegwright.studio.shapes import Asked
from pegwright.yarn.need import YarnNeed
from pegwright.yarn.plied import held_together
from pegwright.yarn.stash import StashYarn, named_apart, weighed
from pegwright.yarn.yarn import DiameterSource, Yarn

__all__ = ["AtHand", "Unweighed", "YarnRef", "at_hand", "changes_to_take", "label_of", "yarn_of"]


class YarnRef(Asked):
    """A yarn of the design by its name, or one of the library by its record."""

    own: Annotated[str, Field(min_length=1, max_length=200)] | None = None
    record: RecordId | None = None


class Unweighed(BaseModel):
    """A yarn of the library of which nobody knows how much there is."""

    record: str
    label: str


@dataclass(frozen=True, slots=True)
class AtHand:
    """The yarns that were looked through, each with how it is named.

    :param unweighed: those of the library that could not be.
    """

    yarns: tuple[tuple[YarnRef, StashYarn], ...]
    unweighed: tuple[Unweighed, ...]

    @property
    def stash(self) -> tuple[StashYarn, ...]:
        """The yarns alone."""
        return tuple(own for _, own in self.yarns)

    def ref(self, wanted: StashYarn) -> YarnRef:
        """How one of the stash is named."""
        return next(ref for ref, own in self.yarns if own is wanted)


def at_hand(design: Design, needs: Sequence[YarnNeed], library: Library, wanted: str) -> AtHand:
    """Every yarn at hand in place of one of the design's: the library's, then the design's others.

    A yarn that both have is the library's.  What the design draws itself of its other yarns is not
    at hand.

    :param needs: of the size that is looked at.
    """
    drawn = {need.yarn.label: need.grams for need in needs if need.yarn.name != wanted}
    found: list[tuple[YarnRef, StashYarn]] = []
    unweighed: list[Unweighed] = []
    labels = set()
    for record in sorted(library.list(Kind.YARN), key=lambda r: (r.name.casefold(), r.id)):
        stash = library.stash(record.id)
        if stash is None:
            unweighed.append(Unweighed(record=record.id, label=record.name))
            continue
        labels.add(stash.yarn.label)
        if (left := _left(stash, drawn)) is not None:
            found.append((YarnRef(record=record.id), left))
    for name, yarn in design.yarns.items():
        grams = design.available_g.get(name)
        if grams is None or name == wanted or yarn.label in labels:
            continue
        own = weighed(yarn, [grams], colour_run=design.colour_runs.get(name))
        if (left := _left(own, drawn)) is not None:
            found.append((YarnRef(own=name), left))
    return AtHand(tuple(found), tuple(unweighed))


def _left(own: StashYarn, drawn: Mapping[str, Measured]) -> StashYarn | None:
    """What is left of a yarn beside what the design draws of it; None where nothing is."""
    if own.yarn.label not in drawn:
        return own
    left = own.grams - drawn[own.yarn.label]
    return replace(own, balls=(left,)) if left.value > 0 else None


def yarn_of(design: Design, library: Library, ref: YarnRef) -> Yarn:
    """The yarn that is named.

    :raises BadInput: where there is none.
    """
    if (ref.own is None) == (ref.record is None):
        raise BadInput("a yarn is the design's or the library's", hint="give own or record")
    if ref.record is not None:
        return own_yarn(library, ref.record).yarn
    return _own(design, ref.own or "")


def _own(design: Design, name: str) -> Yarn:
    if name not in design.yarns:
        raise BadInput("the design has no such yarn", given=name, hint="reload the page")
    return design.yarns[name]


def label_of(yarns: Sequence[Yarn]) -> str:
    """What one yarn, or several strands held together, are called."""
    return _one(yarns).label


def _one(yarns: Sequence[Yarn]) -> Yarn:
    """One yarn, or strands as the yarn that they equal, with the thickness that they have."""
    if len(yarns) == 1:
        return yarns[0]
    return replace(held_together(yarns).yarn, diameter_source=DiameterSource.GIVEN)


def changes_to_take(
    design: Design, data: Mapping[str, Any], library: Library, wanted: str, refs: Sequence[YarnRef]
) -> list[Change]:
    """The changes that put a stand-in in the place of one of the design's yarns.

    :param data: the design's text as plain data.
    :param refs: one yarn, or one for each of two strands held together.
    :raises BadInput: where a yarn is not there.
    """
    _own(design, wanted)
    yarns = [yarn_of(design, library, ref) for ref in refs]
    others = {yarn.label: name for name, yarn in design.yarns.items() if name != wanted}
    if len(yarns) == 1 and (own := others.get(yarns[0].label)) is not None:
        parts = [part for part, name in design.use.items() if name == wanted]
        used = [Change(Deed.SET, ("use", part), own) for part in parts]
        return [*renamed(data, wanted, own), *used, *_stripes_joined(design, wanted, own)]
    stash = library.stash(refs[0].record or "") if len(refs) == 1 else None
    apart = _named_apart(_one(yarns), [name for name in design.yarns if name != wanted])
    row = list(design.yarns).index(wanted) + 1
    run = stash.colour_run if stash is not None else None
    changes = yarn_in_place(data, apart, design.units, row, run)
    if stash is not None and wanted in design.available_g:
        grams = f"{stash.grams.value:g} g"
        changes.append(Change(Deed.SET, ("yarns", row - 1, "available"), grams))
    return changes


def _stripes_joined(design: Design, old: str, new: str) -> list[Change]:
    """Stripes that lie side by side in one yarn, once one yarn is another, are one stripe."""
    yarns = [new if stripe.yarn == old else stripe.yarn for stripe in design.stripes]
    rows = [stripe.rows for stripe in design.stripes]
    changes: list[Change] = []
    for at in range(len(yarns) - 1, 0, -1):  # from the last, so that places before it stay
        if yarns[at] == yarns[at - 1]:
            rows[at - 1] += rows[at]
            changes.append(Change(Deed.SET, ("stripes", at - 1, "rows"), rows[at - 1]))
            changes.append(Change(Deed.REMOVE, ("stripes", at)))
    return changes


def _named_apart(yarn: Yarn, others: Sequence[str]) -> Yarn:
    return replace(yarn, name=named_apart([weighed(yarn, [yarn.ball_g])], others)[0].yarn.name)
