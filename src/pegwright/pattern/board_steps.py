"""The written steps of building a board."""

from __future__ import annotations

from pegwright.loom.plan import BoardPlan
from pegwright.loom.spec import Join, PegKind
from pegwright.pattern.board_words import workshop
from pegwright.pattern.model import PatternStep
from pegwright.units import UnitSystem

__all__ = ["board_steps"]

_Draft = tuple[str, tuple[str, ...], str]


def board_steps(plan: BoardPlan, units: UnitSystem, wrap_known: bool) -> tuple[PatternStep, ...]:
    """The steps in order.

    :param wrap_known: the plan tells what a wrap test draws.
    """
    drafts = [_print(plan, units), _saw(plan, units), _mark(plan), _drill(plan, units)]
    if plan.spec.is_ring:
        drafts.append(_saw_ring(plan, units))
    if plan.spec.is_double and plan.spec.join is Join.BOLT:
        drafts.append(_bolts(plan, units))
    drafts += [_finish(), _pegs(plan, units)]
    if plan.spec.is_double:
        drafts.append(_assemble(plan, units))
    drafts.append(_prove(plan, wrap_known))
    return tuple(
        PatternStep(number, title, text, tally)
        for number, (title, text, tally) in enumerate(drafts, start=1)
    )


def _print(plan: BoardPlan, units: UnitSystem) -> _Draft:
    holes = plan.template.holes
    text = (
        "Print the template sheets at 100 %, with nothing fitted to the page. Measure the square "
        "on every sheet with a steel rule: each side is 50 mm. A sheet that is off is printed "
        "again; it cannot be mended by drilling.",
        "Where there are several sheets, cut each along its line marked cut here, lay it on the "
        "sheet before so that the halves of the circles and crosses close, and tape it down.",
    )
    if plan.spec.is_ring:
        across = workshop(2 * plan.template.radii_mm[1], units)
        return "Print and join the template", text, f"the circle of pegs is {across} across"
    run = workshop(holes[-1].x_mm - holes[0].x_mm, units)
    tally = f"from hole 1 to hole {len(holes)}, middle to middle, is {run}"
    return "Print and join the template", text, tally


def _saw(plan: BoardPlan, units: UnitSystem) -> _Draft:
    first = plan.boards[0]
    size = f"{workshop(first.length_mm, units)} by {workshop(first.width_mm, units)}"
    if plan.spec.is_ring:
        return (
            "Saw the square",
            (f"Saw a square {size} for the ring. Leave the ring itself for later: a square is "
             "held more safely while it is drilled.",),
            "the square lies flat, its sides at right angles",
        )  # fmt: skip
    count = "two boards" if plan.spec.is_double else "one board"
    text = f"Saw {count}, {size}, ends square."
    if plan.spec.is_double:
        text += " Hold them side by side: they are of one length. Mark the inner edge of each, the"
        text += " straighter one, and on top the front board's left end."
    return "Saw the wood", (text,), "each piece lies flat and its ends are square"


def _mark(plan: BoardPlan) -> _Draft:
    text = [
        "Tape the template to the wood, its outline on the edges all round, and prick the middle "
        "of every hole through the paper with an awl."
    ]
    if plan.spec.is_double:
        text.append(
            "The same template serves both boards: lay its inner edge to the inner edge of each. "
            "On the back board it then lies turned half round, as that board will face the first."
        )
    each = " in each board" if plan.spec.is_double else ""
    return "Mark the holes", tuple(text), f"{plan.spec.pegs} marks{each}"


def _drill(plan: BoardPlan, units: UnitSystem) -> _Draft:
    spec = plan.spec
    drill, depth = workshop(spec.peg.drill_mm, units), workshop(spec.depth_mm, units)
    text = [
        "Clamp waste wood and try the drill there first: a peg must go in with a firm push and "
        "stand by itself. Take the next drill up or down where it does not.",
        f"Set a stop for a depth of {depth} and drill every mark {drill} wide, upright: a drill "
        "stand does it best. Drill slowly and clear the dust often.",
    ]
    if spec.peg.kind is PegKind.NAIL:
        text.append("The holes are narrower and shallower than the nails, which hold themselves.")
    return "Drill", tuple(text), f"{plan.loom.peg_count} holes, none of them through the wood"


def _saw_ring(plan: BoardPlan, units: UnitSystem) -> _Draft:
    inner, _, outer = plan.template.radii_mm
    text = (
        f"Saw the ring from the square: inside first, {workshop(2 * inner, units)} across, then "
        f"outside, {workshop(2 * outer, units)} across, both on the waste side of the line."
    )
    return "Saw the ring", (text,), "no hole is cut into"


def _bolts(plan: BoardPlan, units: UnitSystem) -> _Draft:
    spec = plan.spec
    text = (
        f"Drill a hole {workshop(spec.bolt_mm, units)} wide through each end of both boards, from "
        f"edge to edge, {workshop(spec.bolt_from_end_mm, units)} from the end and half-way up the "
        "wood. Drill from both edges to the middle, so that it comes out where it should; bore "
        "the spacers in the same way.",
    )
    return "Bore for the bolts", text, "a bolt goes through both boards and the spacers by hand"


def _pegs(plan: BoardPlan, units: UnitSystem) -> _Draft:
    spec = plan.spec
    height = workshop(spec.peg.height_mm, units)
    match spec.peg.kind:
        case PegKind.DOWEL:
            length = workshop(spec.peg.height_mm + spec.seat_mm, units)
            text = (
                f"Cut {plan.loom.peg_count} pegs {length} long and round off one end of each with "
                "sandpaper. Put a drop of wood glue into the hole, not on the peg, and push the "
                f"peg in until {height} stand out; a block with a hole so deep makes them alike.",
            )
        case PegKind.NAIL:
            text = (
                f"Drive each nail in until {height} stand out; a block of that height beside it "
                "makes them alike. File off anything that catches wool.",
            )
        case PegKind.SCREW_IN:
            text = (f"Screw each peg in by hand until {height} stand out.",)
    return "Set the pegs", text, "all pegs stand upright and alike, and none turns"


def _finish() -> _Draft:
    text = (
        "Sand every edge round and the top smooth, down to a paper that leaves nothing for wool to "
        "catch on. Oil or wax the wood thinly, and let it dry for as long as its maker says.",
    )
    return "Sand and finish", text, "wool drawn over the wood and along its edges does not catch"


def _assemble(plan: BoardPlan, units: UnitSystem) -> _Draft:
    spec = plan.spec
    stack = plan.stacks[0].stack
    pieces = " + ".join(workshop(p, units) for p in stack.pieces)
    between = f"with spacers of {pieces} at each end" if pieces else "with no spacers between"
    hold = "bolts and wing nuts" if spec.join is Join.BOLT else "a clamp at each end"
    text = (
        f"Lay the boards with their inner edges together, {between}, and hold them with {hold}.",
        "Measure the gap at both ends, middle of a peg to the middle of the peg across.",
    )
    gap = workshop(plan.stacks[0].gap_mm, units)
    return "Put it together", text, f"the rows are {gap} apart at both ends"


def _prove(plan: BoardPlan, wrap_known: bool) -> _Draft:
    text = [
        "Measure the finished board and use what you measure, not what was planned, in a design: "
        "pegwright board measure works it out from a tape."
    ]
    if wrap_known:
        text.append("Do the wrap test of this plan, and compare the yarn that it draws.")
    return "Measure it", tuple(text), f"pegs counted: {plan.loom.peg_count}"
