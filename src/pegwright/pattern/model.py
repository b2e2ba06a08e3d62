"""The finished pattern as a document: what it says, never how it looks.

Exporters (``pegwright.publish``) read only these types.  Texts are whole sentences for the maker;
numbers inside them are already formatted in her units.  A figure is kept as *what it shows* (a
wrap on a loom, a strip to be folded); an exporter draws it.  Every figure carries words for people
who cannot see it.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from pegwright.errors import Finding
from pegwright.garments.make_up import Arrow, Edge, EdgeRole, Inner, Outline, Stage
from pegwright.loom.board import Loom
from pegwright.loom.visit import Visit
from pegwright.safety.caution import Caution
from pegwright.tongue.tongue import ENGLISH, Tongue

if TYPE_CHECKING:
    from pegwright.pattern.fabric_view import FabricView

__all__ = [
    "Arrow",
    "Block",
    "Caution",
    "CautionBlock",
    "ChartCell",
    "ChartDrawing",
    "Dimension",
    "Drawing",
    "Edge",
    "EdgeRole",
    "FabricDrawing",
    "Facts",
    "Figure",
    "FoldDrawing",
    "Inner",
    "Item",
    "KnitOverDrawing",
    "MaterialBlock",
    "MeasuredOn",
    "MeasuringDrawing",
    "Outline",
    "Paragraph",
    "Pattern",
    "PatternStep",
    "ProofStatement",
    "SchematicDrawing",
    "SchematicPiece",
    "Section",
    "SetUpDrawing",
    "Stage",
    "StagesDrawing",
    "StepBlock",
    "TableBlock",
    "WrapDrawing",
]


# --- figures: what they show -------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class SetUpDrawing:
    """The board from above with the pegs in use, and its two measurements.

    ``used`` holds the pegs that the pattern uses; ``gap_label`` and ``pitch_label`` are the
    measurements in the maker's words.
    """

    loom: Loom
    used: frozenset[int]
    pitch_label: str
    gap_label: str


@dataclass(frozen=True, slots=True)
class WrapDrawing:
    """The yarn's way round the pegs, seen from above, in numbered order.

    ``passes`` are drawn apart (the first whole, the second dashed), so that the way out and the way
    back can be told from each other in black and white.
    """

    loom: Loom
    passes: tuple[tuple[Visit, ...], ...]
    pass_labels: tuple[str, ...]
    yarn_diameter_mm: float


@dataclass(frozen=True, slots=True)
class KnitOverDrawing:
    """Pegs seen from the side: the lower ``lift`` loops go over the upper ``over`` and off."""

    lift: int = 1
    over: int = 1


@dataclass(frozen=True, slots=True)
class Dimension:
    """A measured line of a schematic: a length and its words in both units."""

    length_mm: float
    label: str


@dataclass(frozen=True, slots=True)
class SchematicPiece:
    """A rectangle of fabric with its dimensions, its edges named."""

    name: str
    width: Dimension
    length: Dimension
    bottom_edge: str
    top_edge: str
    side_edges: str
    fold_at: float | None = None
    """Where it is folded, as a part of its length from the bottom edge."""

    outline: tuple[tuple[float, float], ...] = ()
    """Its corners in mm where it is no rectangle, anticlockwise, the bottom edge at y = 0."""


@dataclass(frozen=True, slots=True)
class SchematicDrawing:
    """Finished pieces to scale, one beside the other, for one size."""

    pieces: tuple[SchematicPiece, ...]
    size: str


@dataclass(frozen=True, slots=True)
class FoldDrawing:
    """How a folded strip becomes a hood, in numbered stages (flat, folded, seamed, closed).

    ``stages`` are the captions under the stages, in order.  ``closing`` is ``cord`` (a cord with
    two free ends comes out at the front) or ``drawn`` (the gathering yarn is fastened off).
    """

    width_mm: float
    length_mm: float
    stages: tuple[str, str, str, str]
    closing: str


class ChartCell(StrEnum):
    """What a square of a chart says of its stitch, as it is seen on the right side."""

    KNIT = "knit"
    PURL = "purl"
    INCREASE = "increase"
    DECREASE_LEFT = "decrease to the left"
    DECREASE_RIGHT = "decrease to the right"
    MOVED = "moved"
    TURN = "turn"
    WAITING = "waiting"
    NO_STITCH = "no stitch"


@dataclass(frozen=True, slots=True)
class ChartDrawing:
    """A chart: a square for each row and peg of one face.

    ``cells`` has a line for each of ``rows``, from the bottom, and in it a square for each of
    ``pegs`` (addresses), from the maker's left.  ``key`` says every kind of square in words.
    """

    cells: tuple[tuple[ChartCell, ...], ...]
    rows: tuple[int, ...]
    pegs: tuple[str, ...]
    key: tuple[tuple[ChartCell, str], ...]


@dataclass(frozen=True, slots=True)
class StagesDrawing:
    """How pieces are made up: numbered stages, each with its outlines to one scale."""

    stages: tuple[Stage, ...]


@dataclass(frozen=True, slots=True)
class FabricDrawing:
    """Coloured fabric, stitch by stitch, as it looks from one side."""

    view: FabricView


class MeasuredOn(StrEnum):
    """What is measured: a body, or a body with the piece on it whose own height is a measure."""

    HEAD = "head"
    BAND = "head with a band"
    COLLAR = "neck with a cowl"
    HAND = "hand"
    FOOT = "foot"


@dataclass(frozen=True, slots=True)
class MeasuringDrawing:
    """Where the tape runs on a body.

    ``marks`` are names of measures, such as ``head``; each has the letter of its place (A, B …) and
    its label, which is its name for the reader.
    """

    body: MeasuredOn
    marks: tuple[str, ...]
    labels: tuple[str, ...]


Drawing = (
    SetUpDrawing
    | WrapDrawing
    | KnitOverDrawing
    | SchematicDrawing
    | FoldDrawing
    | StagesDrawing
    | ChartDrawing
    | FabricDrawing
    | MeasuringDrawing
)


@dataclass(frozen=True, slots=True)
class Figure:
    """A drawing with its caption and its words for people who cannot see it.

    ``key`` is a stable name in lower case and hyphens, used in file names and links.
    """

    key: str
    caption: str
    alt: str
    drawing: Drawing


# --- blocks of text ------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Paragraph:
    """One paragraph of whole sentences."""

    text: str


@dataclass(frozen=True, slots=True)
class Facts:
    """Short facts, a name and a value each, such as gauge or abbreviations."""

    rows: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class TableBlock:
    """A small table.  The first column names the row; every row is as long as ``header``."""

    caption: str
    header: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class Item:
    """A thing to have at hand: how much of it, and a note."""

    name: str
    amount: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class MaterialBlock:
    """What is used up (supplies) and what is only used (tools)."""

    supplies: tuple[Item, ...]
    tools: tuple[Item, ...]


@dataclass(frozen=True, slots=True)
class PatternStep:
    """One numbered step.

    ``number`` runs through the whole pattern, so that a finding can point at it.  ``figure`` is the
    key of the figure to look at; ``tally`` says what there must be when the step is done.
    """

    number: int
    title: str
    text: tuple[str, ...]
    tally: str = ""
    figure: str | None = None


@dataclass(frozen=True, slots=True)
class StepBlock:
    """Steps in order."""

    steps: tuple[PatternStep, ...]


@dataclass(frozen=True, slots=True)
class CautionBlock:
    """Cautions, the gravest first."""

    cautions: tuple[Caution, ...]


Block = Paragraph | Facts | TableBlock | MaterialBlock | StepBlock | CautionBlock | Figure


@dataclass(frozen=True, slots=True)
class Section:
    """A titled part of the pattern; ``key`` is a stable name in lower case and hyphens."""

    key: str
    title: str
    blocks: tuple[Block, ...]


# --- the whole -----------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class ProofStatement:
    """What was executed before this pattern was printed.

    ``sentences`` are whole sentences; ``digest`` is the SHA-256 of the executed design, in
    hexadecimal; ``version`` is Pegwright's.  ``findings`` are the cautions and notes that remain.
    """

    sentences: tuple[str, ...]
    version: str
    digest: str
    operations: int
    loops: int
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True, slots=True)
class Pattern:
    """A pattern, ready to be laid out.

    ``minutes`` is the estimated time of the whole work, or None.  ``sizes`` are size names in
    order.  ``tongue`` says the words that an exporter adds; ``language`` is the BCP 47 tag of the
    texts.
    """

    key: str
    title: str
    subtitle: str
    summary: str
    sizes: tuple[str, ...]
    sections: tuple[Section, ...]
    proof: ProofStatement
    minutes: int | None = None
    language: str = "en"
    tongue: Tongue = ENGLISH
    notes: tuple[str, ...] = field(default=())

    def blocks(self) -> tuple[Block, ...]:
        """Every block in reading order."""
        return tuple(block for section in self.sections for block in section.blocks)

    def figures(self) -> tuple[Figure, ...]:
        """Every figure in reading order."""
        return tuple(block for block in self.blocks() if isinstance(block, Figure))

    def steps(self) -> tuple[PatternStep, ...]:
        """Every step in reading order."""
        return tuple(s for b in self.blocks() if isinstance(b, StepBlock) for s in b.steps)
