"""What is followed at the loom: the steps of one size, their rows, repeats, stripes and figures.

Words used here:

* a **counted** step knits rows, and is done when its last row is; any other step is ticked;
* rows are counted by piece from 1, the cast-on not among them; a step's ``first`` row is the row of
  the piece at which it begins;
* **rounds** are a repeat: a stretch of rows that is worked so many times, which may hold further
  rounds;
* a **way** is how the yarn goes in one row: the peg that it is wrapped round first, and the last.
  The ways of a step recur after ``len(ways)`` rows, which is the wrap's own period.

Everything here is pure, and everything is read from the script that was executed and from the
pattern that was made of it, so the page at the loom cannot disagree with the printed one.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace

from pegwright import making
from pegwright.designs.model import Design
from pegwright.designs.problems import check_size
from pegwright.errors import NotPossible, Severity
from pegwright.knitting.operations import (
    JoinYarn,
    Operation,
    Part,
    Purl,
    Repeat,
    WrapKind,
    WrapPegs,
)
from pegwright.knitting.script import Script, Step, Work, flatten
from pegwright.loom.board import Loom
from pegwright.making import Made
from pegwright.pattern.build import build
from pegwright.pattern.model import Pattern, PatternStep
from pegwright.pattern.source import ProvedSize
from pegwright.publish.drawing import ON_PAGE
from pegwright.publish.fabric_picture import ON_SCREEN
from pegwright.publish.figures import picture

__all__ = [
    "FollowDocument",
    "FollowFigure",
    "FollowPiece",
    "FollowStep",
    "FollowStripe",
    "FollowWay",
    "FollowYarn",
    "Followed",
    "Place",
    "Rounds",
    "followed",
    "place_in",
    "rounds_of",
    "rows_of",
]

FORMAT = 1
"""Of the document; a page that knows an older one asks to be loaded anew."""


# --- the document --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Rounds:
    """Rows that are worked ``times`` times; in ``body`` a number stands for so many plain rows."""

    times: int
    body: tuple[int | Rounds, ...]


@dataclass(frozen=True, slots=True)
class Place:
    """Where a row stands in one level of rounds: both counted from 1."""

    time: int
    times: int
    row: int
    rows: int


@dataclass(frozen=True, slots=True)
class FollowWay:
    """How the yarn goes in a row: peg addresses, and how many pegs are wrapped."""

    start: str
    end: str
    pegs: int


@dataclass(frozen=True, slots=True)
class FollowStep:
    """One step; see the module.

    :param rows: rows that it knits; 0 where it is ticked.
    :param figures: keys of the figures to look at, the step's own first.
    """

    number: int
    title: str
    text: tuple[str, ...]
    tally: str
    piece: str
    first: int
    rows: int
    ways: tuple[FollowWay, ...]
    rounds: tuple[int | Rounds, ...]
    figures: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class FollowStripe:
    """Rows ``first`` to ``last`` of a piece are knitted in one yarn, by its key."""

    piece: str
    first: int
    last: int
    yarn: str


@dataclass(frozen=True, slots=True)
class FollowYarn:
    """A yarn of the work.

    :param key: how a weighing names it: ``yarn-1`` is the design's first.
    :param forecast: whether a weighing of it leads to a forecast: it knits rows of the body.
    """

    key: str
    name: str
    label: str
    colour_hex: str
    forecast: bool


@dataclass(frozen=True, slots=True)
class FollowPiece:
    """A piece and how many rows it has in all."""

    name: str
    rows: int


@dataclass(frozen=True, slots=True)
class FollowFigure:
    """A figure as an SVG document, with its caption and its words."""

    key: str
    caption: str
    alt: str
    svg: str


@dataclass(frozen=True, slots=True)
class FollowDocument:
    """All that the page at the loom needs, so that it works with the network off."""

    title: str
    size: str
    summary: str
    subtitle: str
    pieces: tuple[FollowPiece, ...]
    steps: tuple[FollowStep, ...]
    stripes: tuple[FollowStripe, ...]
    yarns: tuple[FollowYarn, ...]
    figures: tuple[FollowFigure, ...]
    digest: str
    format: int = FORMAT


@dataclass(frozen=True, slots=True)
class Followed:
    """A document, and the proved size that it was made of."""

    document: FollowDocument
    design: Design
    size: ProvedSize


def followed(design: Design, size: str) -> Followed:
    """What is followed when a size of a design is knitted.

    :raises BadInput: where the design has no such size.
    :raises NotPossible: where a fault was found: an unproved pattern is not knitted.
    """
    check_size(size, (one.name for one in design.sizes))
    request = next(one for one in design.sizes if one.name == size)
    made = making.prove(replace(design, sizes=(request,)))
    if not made.proved:
        worst = [f for f in made.findings if f.severity is Severity.FAULT]
        raise NotPossible(
            "this design has a fault and is not to be knitted",
            given=worst[0].what if worst else None,
            hint=worst[0].mend if worst else "look at it under Designs",
        )
    pattern = build(making.source_of(made))
    return Followed(_document(made, pattern, size), design, made.sizes[0])


def _document(made: Made, pattern: Pattern, size: str) -> FollowDocument:
    script = made.sizes[0].plan.script
    keys = {name: f"yarn-{number}" for number, name in enumerate(made.design.yarns, 1)}
    rows = _rows_before(script)
    shown = {figure.key for figure in pattern.figures()}
    words = {step.number: step for step in pattern.steps()}
    steps = tuple(
        _step(script.loom, step, words[step.number], before, shown)
        for step, before in zip(script.steps, rows, strict=True)
    )
    wanted = {key for step in steps for key in step.figures}
    return FollowDocument(
        title=pattern.title,
        size=size,
        summary=pattern.summary,
        subtitle=pattern.subtitle,
        pieces=_pieces(script),
        steps=steps,
        stripes=tuple(
            replace(stripe, yarn=keys[stripe.yarn])
            for stripe in _stripes(script)
            if stripe.yarn in keys
        ),
        yarns=_yarns(made, keys),
        figures=tuple(
            FollowFigure(f.key, f.caption, f.alt, _svg(picture(f, ON_PAGE, grain=ON_SCREEN).svg))
            for f in pattern.figures()
            if f.key in wanted
        ),
        digest=pattern.proof.digest,
    )


def _svg(data: bytes) -> str:
    return data.decode("utf-8")


def _step(loom: Loom, step: Step, words: PatternStep, before: int, shown: set[str]) -> FollowStep:
    rows = [item for item in flatten(step.work) if _is_row(item)]
    figures = [words.figure] if words.figure is not None else []
    if rows and step.part is Part.BODY:  # the wrap is what is looked at between the rows
        figures.append("wrap")
    return FollowStep(
        number=step.number,
        title=words.title,
        text=words.text,
        tally=words.tally,
        piece=step.piece,
        first=before + 1,
        rows=len(rows),
        ways=_ways(loom, rows),
        rounds=rounds_of(step.work),
        figures=tuple(dict.fromkeys(key for key in figures if key in shown)),
    )


def _yarns(made: Made, keys: dict[str, str]) -> tuple[FollowYarn, ...]:
    run = made.sizes[0].run
    in_body = _body_yarns(run.script)
    return tuple(
        FollowYarn(keys[name], name, yarn.label, yarn.colour_hex, name in in_body)
        for name, yarn in made.design.yarns.items()
        if name in set(made.design.use.values()) | in_body
    )


# --- rows ----------------------------------------------------------------------------------------


def rows_of(rounds: Iterable[int | Rounds]) -> int:
    """How many rows there are in all, every round counted."""
    return sum(
        item if isinstance(item, int) else item.times * rows_of(item.body) for item in rounds
    )


def rounds_of(work: Work) -> tuple[int | Rounds, ...]:
    """The rows of a stretch of work, those that are worked in rounds kept so.

    A repeat of one plain row is plain rows; a repeat that is worked once is what it holds.
    """
    found: list[int | Rounds] = []
    for item in work:
        if isinstance(item, Repeat):
            body = rounds_of(item.body)
            if item.times == 1:
                found.extend(body)
            elif body == (1,):
                found.append(item.times)
            elif body and item.times:
                found.append(Rounds(item.times, body))
        elif _is_row(item):
            found.append(1)
    whole: list[int | Rounds] = []
    for part in found:
        if isinstance(part, int) and whole and isinstance(whole[-1], int):
            whole[-1] += part
        elif part:
            whole.append(part)
    return tuple(whole)


def place_in(rounds: Iterable[int | Rounds], row: int) -> tuple[Place, ...]:
    """Where row ``row`` (counted from 1) stands in the rounds, the outermost first."""
    for item in rounds:
        rows = item if isinstance(item, int) else item.times * rows_of(item.body)
        if row > rows:
            row -= rows
            continue
        if isinstance(item, int):
            return ()
        length = rows_of(item.body)
        time, inside = divmod(row - 1, length)
        here = Place(time + 1, item.times, inside + 1, length)
        return (here, *place_in(item.body, inside + 1))
    return ()


def _is_row(item: Operation | Repeat) -> bool:
    """Whether a new row begins: the same rule as for stripes and for weighings."""
    return isinstance(item, Purl) or (isinstance(item, WrapPegs) and item.kind is WrapKind.ROW)


def _ways(loom: Loom, rows: Iterable[Operation]) -> tuple[FollowWay, ...]:
    """The ways of a step's rows, up to where they recur."""
    ways = [
        FollowWay(
            loom.address(row.visits[0].peg),
            loom.address(row.visits[-1].peg),
            len({visit.peg for visit in row.visits}),
        )
        for row in rows
        if isinstance(row, WrapPegs | Purl)
    ]
    for period in range(1, len(ways)):
        if all(way == ways[at % period] for at, way in enumerate(ways)):
            return tuple(ways[:period])
    return tuple(ways)


def _rows_before(script: Script) -> list[int]:
    """For every step, how many rows of its piece are knitted when it begins."""
    done: dict[str, int] = {}
    found = []
    for step in script.steps:
        found.append(done.get(step.piece, 0))
        done[step.piece] = found[-1] + rows_of(rounds_of(step.work))
    return found


def _pieces(script: Script) -> tuple[FollowPiece, ...]:
    rows = {piece.name: 0 for piece in script.pieces}
    for step in script.steps:
        rows[step.piece] += rows_of(rounds_of(step.work))
    return tuple(FollowPiece(name, count) for name, count in rows.items())


def _stripes(script: Script) -> tuple[FollowStripe, ...]:
    """Which rows of which piece are knitted with which yarn (by name), in the order of the work."""
    found: list[FollowStripe] = []
    done: dict[str, int] = {}
    yarn = ""
    for step in script.steps:
        for item in flatten(step.work):
            if isinstance(item, JoinYarn):
                yarn = item.yarn
            elif _is_row(item):
                row = done[step.piece] = done.get(step.piece, 0) + 1
                last = found[-1] if found else None
                if last and (last.piece, last.yarn, last.last) == (step.piece, yarn, row - 1):
                    found[-1] = replace(last, last=row)
                else:
                    found.append(FollowStripe(step.piece, row, row, yarn))
    return tuple(found)


def _body_yarns(script: Script) -> set[str]:
    """The yarns that knit rows of the body."""
    found: set[str] = set()
    yarn = ""
    for step in script.steps:
        for item in flatten(step.work):
            if isinstance(item, JoinYarn):
                yarn = item.yarn
            elif _is_row(item) and step.part is Part.BODY:
                found.add(yarn)
    return found
