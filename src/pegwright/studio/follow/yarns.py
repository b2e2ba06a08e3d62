"""Which yarns of the maker's library a making knits with.

A making names records; which yarn of the design each of them is, follows from what it is called: by
name and colour, or by the name alone where one of them has no colour.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from pydantic import BaseModel

from pegwright.errors import BadInput
from pegwright.library.records import Kind, OwnYarn, Record
from pegwright.library.refusals import NoSuchRecord
from pegwright.library.store import Library
from pegwright.studio.follow.document import FollowYarn
from pegwright.yarn.yarn import Yarn

__all__ = ["OwnYarnChoice", "YarnChoice", "check_yarns", "choices", "own_yarns"]


class OwnYarnChoice(BaseModel):
    """A yarn of the library."""

    id: str
    name: str


class YarnChoice(BaseModel):
    """A yarn of a design, and the yarns of the library that it may be, the latest change first."""

    name: str
    own: list[OwnYarnChoice]


def choices(yarns: Iterable[Yarn], records: Sequence[Record]) -> list[YarnChoice]:
    """The yarns of a design that are in the library; others are left out."""
    found = []
    for yarn in yarns:
        own = [
            OwnYarnChoice(id=record.id, name=record.name)
            for record in records
            if isinstance(record.body, OwnYarn)
            and _is_called(record.body.yarn, yarn.name, yarn.label)
        ]
        if own:
            found.append(YarnChoice(name=yarn.label, own=own))
    return found


def own_yarns(
    library: Library, yarn_ids: Iterable[str], yarns: Iterable[FollowYarn]
) -> Mapping[str, Record]:
    """The library's record of every yarn of a making that has one, by the yarn's key.

    Records that are not there any more are passed over; of two for one yarn the first is meant.
    """
    found: dict[str, Record] = {}
    known = list(yarns)
    for yarn_id in yarn_ids:
        try:
            record = library.get(yarn_id)
        except NoSuchRecord:
            continue
        if not isinstance(record.body, OwnYarn):
            continue
        for yarn in known:
            if _is_called(record.body.yarn, yarn.name, yarn.label):
                found.setdefault(yarn.key, record)
    return found


def check_yarns(library: Library, yarn_ids: Iterable[str]) -> None:
    """See that a making's yarns are yarns.

    :raises NoSuchRecord: for an id that is not in the library.
    :raises BadInput: for a record that is no yarn.
    """
    for yarn_id in yarn_ids:
        record = library.get(yarn_id)
        if record.kind is not Kind.YARN:
            raise BadInput("a making knits with yarns", given=record.name, hint="choose a yarn")


def _is_called(own: Yarn, name: str, label: str) -> bool:
    """Whether a yarn of the library is what a design calls so; two colours are never one yarn.

    :param label: the name with the colour, where the design says one.
    """
    if own.label in (name, label):
        return True
    return own.name == name and (own.label == own.name or label == name)
