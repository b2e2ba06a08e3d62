"""An invented pattern of the invented Tern Point rowing club: every block, every drawing."""

from __future__ import annotations

from pegwright.errors import Finding, Severity, Spot
from pegwright.loom.board import Arrangement, Loom
from pegwright.loom.visit import Turn, Visit
from pegwright.pattern.model import (
    Caution,
    CautionBlock,
    Dimension,
    Facts,
    Figure,
    FoldDrawing,
    Item,
    KnitOverDrawing,
    MaterialBlock,
    Paragraph,
    Pattern,
    PatternStep,
    ProofStatement,
    SchematicDrawing,
    SchematicPiece,
    Section,
    SetUpDrawing,
    StepBlock,
    TableBlock,
    WrapDrawing,
)

BOARD = Loom(
    Arrangement.OPPOSED, pegs=30, pitch_mm=9.5, gap_mm=31.75, peg_diameter_mm=3.2, name="club board"
)
SMALL = Loom(Arrangement.OPPOSED, pegs=10, pitch_mm=9.5, gap_mm=31.75, peg_diameter_mm=3.2)


def zigzag(loom: Loom) -> tuple[tuple[Visit, ...], tuple[Visit, ...]]:
    """Out over alternate pegs of both boards and back over the pegs passed by.

    The order is common practice, no source; turns are such that the yarn goes round the outside.
    """
    n = loom.pegs
    out, back = [], []
    for column in range(1, n + 1):
        front_first = column % 2 == 1
        out.append(loom.front(column) if front_first else loom.back(column))
        back.append(loom.back(column) if front_first else loom.front(column))

    def turned(pegs: list[int], away: bool) -> tuple[Visit, ...]:
        senses = (Turn.LEFT, Turn.RIGHT) if away else (Turn.RIGHT, Turn.LEFT)
        return tuple(Visit(p, senses[int(loom.is_back(p))]) for p in pegs)

    return turned(out, True), turned(back[::-1], False)


SET_UP = Figure(
    "set-up",
    "The board set up for size 2, seen from above",
    "Two facing boards of 30 pegs each. Pegs 1 to 22 of both boards are in use; pegs 23 to 30 "
    "stay empty. Pegs stand 3/8 in apart and the boards 1 1/4 in apart.",
    SetUpDrawing(
        BOARD,
        frozenset(BOARD.front(i) for i in range(1, 23))
        | frozenset(BOARD.back(i) for i in range(1, 23)),
        "3/8 in (9.5 mm)",
        "1 1/4 in (32 mm)",
    ),
)
WRAP = Figure(
    "wrap",
    "One row of double-board stockinette",
    "The yarn starts at F1, goes to B2, F3, B4 and so on to the last pair, then straight across "
    "the end and back over the pegs that it passed by.",
    WrapDrawing(SMALL, zigzag(SMALL), ("out: every other peg", "back: the pegs passed by"), 2.4),
)
KNIT_OVER = Figure(
    "knit-over",
    "Knitting over",
    "Three views of one peg. First it holds two loops; then a hook lifts the lower loop over the "
    "upper one; at last one loop is left.",
    KnitOverDrawing(),
)
SCHEMATIC = Figure(
    "pieces",
    "The finished pieces, size 2",
    "A strip 8 in wide and 20 in long, folded in the middle of its length, and a cord 24 in long.",
    SchematicDrawing(
        (
            SchematicPiece(
                "hood",
                Dimension(203.0, "8 in (20.5 cm)"),
                Dimension(508.0, "20 in (51 cm)"),
                "cast-on edge",
                "bound-off edge",
                "side edges",
                0.5,
            ),
            SchematicPiece(
                "cord",
                Dimension(8.0, "5/16 in (8 mm)"),
                Dimension(610.0, "24 in (61 cm)"),
                "start",
                "end",
                "",
            ),
        ),
        "2",
    ),
)
FOLD = Figure(
    "making-up",
    "From strip to hood",
    "Four stages. The strip lies flat; it is folded at the crown; the back edges are closed with "
    "chain stitches; the neck is gathered on a cord with two free ends at the front.",
    FoldDrawing(
        203.0,
        508.0,
        (
            "The strip lies flat, right side down.",
            "Fold it at the crown so that the neck edges meet.",
            "Close the back edges with chain stitches, from neck to crown.",
            "Thread the cord along the neck edge and draw it up.",
        ),
        "cord",
    ),
)

STEPS = (
    PatternStep(
        1,
        "Anchor the yarn",
        ("Lay an anchor cord along the gap, about three board lengths of smooth yarn.",),
    ),
    PatternStep(
        2,
        "Wrap the first row",
        (
            "Start at F1. Wrap out and back as the figure shows, over 22 pegs of each board.",
            "Lay the anchor cord over the wraps and tie its ends below the boards.",
        ),
        "44 pegs hold one loop each.",
        "wrap",
    ),
    PatternStep(
        3,
        "Knit the strip",
        (
            "Wrap a row, then knit over on every peg: lower loop over upper loop, and off.",
            "Repeat until 110 rows are done.",
        ),
        "110 rows; the strip measures 20 in (51 cm).",
        "knit-over",
    ),
    PatternStep(
        4,
        "Bind off",
        ("Crochet the loops off from the end opposite the tail.",),
        "No loop is left.",
    ),
)

FINISHING = (
    PatternStep(
        5,
        "Close the back",
        ("Fold the strip at the crown. Join the back edges with chain stitches.",),
        figure="making-up",
    ),
    PatternStep(
        6,
        "Gather the neck",
        ("Thread the cord through the neck edge, every second stitch, and draw it up.",),
        "The cord has two free ends of 9 in (23 cm).",
        "making-up",
    ),
)

SECTIONS = (
    Section(
        "about",
        "About this hood",
        (
            Paragraph(
                "A close, double-faced hood for cold mornings on the water, knitted as one "
                "straight strip, folded at the crown and closed at the back."
            ),
            TableBlock(
                "Finished sizes",
                ("Size", "Head", "Width", "Length"),
                (
                    ("1", "20 in (51 cm)", "7 1/2 in (19 cm)", "19 in (48 cm)"),
                    ("2", "22 in (56 cm)", "8 in (20.5 cm)", "20 in (51 cm)"),
                    ("3", "24 in (61 cm)", "8 1/2 in (21.5 cm)", "21 in (53 cm)"),
                ),
            ),
            SCHEMATIC,
        ),
    ),
    Section(
        "materials",
        "What you need",
        (
            MaterialBlock(
                (
                    Item("Tern Point Worsted (invented)", "145 g (290 m)", "navy; 10 % is spare"),
                    Item("Anchor cord", "3 yd (2.7 m)", "smooth, another colour"),
                ),
                (
                    Item("Peg board", "30 pegs a side", "3/8 in apart, boards 1 1/4 in apart"),
                    Item("Lifting hook"),
                    Item("Crochet hook", "", "5 mm (US H-8)"),
                ),
            ),
            Facts(
                (
                    ("Gauge", "5 1/2 stitches and 11 rows to 2 in (5 cm), after washing"),
                    ("Wrap test", "15 pegs on both boards draw 45 in (114 cm)"),
                )
            ),
        ),
    ),
    Section(
        "cautions",
        "Before you begin",
        (
            CautionBlock(
                (
                    Caution(
                        "A cord at the neck: for adults only",
                        "Do not knit this hood with a cord for a child. A cord at the neck can "
                        "catch and strangle. The drawn-up neck without a cord is the one to make.",
                        "ASTM F1816-18 and 16 CFR 1120; head-wear itself lies outside EN 14682",
                    ),
                )
            ),
        ),
    ),
    Section(
        "set-up",
        "Set up the board",
        (SET_UP, Paragraph("Sit so that F1 is at your left hand.")),
    ),
    Section(
        "knit", "Knit the strip", (StepBlock(STEPS[:2]), WRAP, StepBlock(STEPS[2:]), KNIT_OVER)
    ),
    Section("make-up", "Make up the hood", (StepBlock(FINISHING), FOLD)),
)

PROOF = ProofStatement(
    (
        "This pattern was executed on a simulated board before it was printed, in every size.",
        "Every loop is held, no peg is missed, and both faces are joined.",
    ),
    "0.1.0",
    "4f0d6c1e9ab27c5530b8e1d2a9f4477c0e6bb1853d92c7fa64e0195d3c8a7be2",
    14872,
    4884,
    (
        Finding(
            "little-yarn-left",
            Severity.NOTE,
            "About 6 m of yarn is left at the end of size 3.",
            "Have a second ball at hand.",
            Spot(size="3", row=116, step=3),
        ),
    ),
)

HOOD = Pattern(
    "tern-point-hood",
    "Tern Point hood",
    "Knitted on a double board in one straight strip",
    "The winter-kit circle's first hood: one strip, one fold, one seam. A good second project "
    "for anyone who can wrap and knit over.",
    ("1", "2", "3"),
    SECTIONS,
    PROOF,
    minutes=410,
    language="en-GB",
    notes=("Tern Point and its yarns are invented.",),
)
