"""``pegwright refit``: a design on another board, with another yarn or for another body."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen
from pegwright.cli.board import add_board, add_spacers, board_of, names_a_board, spacers_of
from pegwright.cli.own_yarn import add_yarn, yarn_of
from pegwright.cli.reading import add_design, add_units, length_option, read_design

if TYPE_CHECKING:
    from pegwright.designs.model import Design
    from pegwright.refit.offers import Offer
    from pegwright.refit.reader import Reader
    from pegwright.refit.refit import Refit

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "refit"
WORDS = "work a design out for your own board, yarn, hand or head, beside the original"

_OVER = 15


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    add_board(parser, "what is left out is as in the design")
    add_yarn(parser)
    own = parser.add_argument_group("your hand and body")
    own.add_argument("--measured", metavar="LENGTH", help="what a wrap test on your board drew")
    own.add_argument("--over", type=int, metavar="N", help="pegs on each board in it (default: 15)")
    own.add_argument("--slack", type=float, metavar="N", help="drawn over taut, 1 for taut")
    own.add_argument(
        "--measure",
        metavar="NAME=LENGTH",
        action="append",
        default=[],
        help="a measure of the body, such as head=57cm; may be given several times",
    )
    own.add_argument(
        "--wearer", choices=("adult", "child", "infant"), help="whom those measures are of"
    )
    add_spacers(own)
    parser.add_argument(
        "--out", metavar="DIR", type=Path, help="write the pattern of the result there"
    )
    add_units(parser)
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Refit it; the exit code is 4 where it cannot be made as asked."""
    from pegwright.errors import ExitCode
    from pegwright.refit.refit import refit

    design = read_design(options)
    result = refit(design, _reader(options, design))
    written = _write(options.out, result) if options.out is not None else ()
    if options.json:
        screen.say_json({**_data(result), "files": [path.name for path in written]})
    else:
        screen.say(_text(result))
        if written:
            screen.say(f"\nWritten to {options.out}: {len(written)} files.")
    return ExitCode.OK if result.as_asked else ExitCode.NOT_POSSIBLE


# --- what is asked -------------------------------------------------------------------------------


def _reader(options: argparse.Namespace, design: Design) -> Reader:
    from pegwright.garments.base import Wearer
    from pegwright.measured import Measured
    from pegwright.refit.reader import OwnWrapTest, Reader, Spacers

    test = spacers = slack = None
    if options.measured is not None:
        over = _OVER if options.over is None else options.over
        test = OwnWrapTest(over, length_option(options.measured, "--measured"))
    if options.spacers is not None:
        spacers = Spacers(*spacers_of(options))
    if options.slack is not None:
        slack = Measured(_slack(options.slack), design.slack.sd)
    return Reader(
        board=board_of(options, design.loom) if names_a_board(options) else None,
        wrap_test=test,
        yarn=yarn_of(options, design.body_yarn),
        measures=dict(map(_measure, options.measure)) or None,
        wearer=Wearer(options.wearer) if options.wearer else None,
        slack=slack,
        spacers=spacers,
    )


def _slack(given: float) -> float:
    from pegwright.errors import BadUse

    if not 0.5 <= given <= 3:
        raise BadUse("--slack is a factor from 0.5 to 3", given=given, hint="1 is taut")
    return given


def _measure(text: str) -> tuple[str, float]:
    from pegwright.errors import BadUse

    name, equals, length = text.partition("=")
    if not equals:
        raise BadUse("--measure takes a name and a length", given=text, hint="--measure head=57cm")
    return name.strip(), length_option(length, f"--measure {name.strip()}")


def _write(folder: Path, result: Refit) -> tuple[Path, ...]:
    """The pattern of what can be made; nothing where there is none."""
    if result.design is None:
        return ()
    from pegwright import making
    from pegwright.cli.writing import write_pack

    _, pattern = making.make(result.design)
    return write_pack(folder, making.files(pattern)) if pattern is not None else ()


# --- what is said --------------------------------------------------------------------------------


def _text(result: Refit) -> str:
    title = result.before.design.title
    state = "can be made as asked" if result.as_asked else "cannot be made as asked"
    lines = [f"{title} {state}.", "", *result.advice]
    changed = [d for d in result.differences if not d.same]
    if changed:
        rows = [(d.size, d.name, d.words) for d in changed]
        lines += ["", screen.table(("size", "figure", "before → now"), rows)]
    elif result.made is not None:
        lines += ["", "Nothing changes: the pattern holds as it is printed."]
    return "\n".join(lines)


def _data(result: Refit) -> dict[str, object]:
    from pegwright.cli.summary import made_data

    return {
        "as_asked": result.as_asked,
        "way": None if result.way is None else str(result.way),
        "advice": list(result.advice),
        "refused": [{"size": each.name, **each.error.as_data()} for each in result.refused],
        "offers": [_offer_data(offer) for offer in result.offers],
        "differences": [
            {
                "size": d.size or None,
                "name": d.name,
                "unit": d.unit,
                "before": d.before,
                "after": d.after,
                "words": d.words,
            }
            for d in result.differences
        ],
        "made": None if result.made is None else made_data(result.made),
    }


def _offer_data(offer: Offer) -> dict[str, object]:
    return {"way": str(offer.way), "possible": offer.possible, "words": offer.words}
