"""``pegwright stripes``: stripes from odds and ends, for a size of a design."""

from __future__ import annotations

import argparse
import signal
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pegwright.cli import screen
from pegwright.cli.reading import add_design, add_units, length_option, read_design

if TYPE_CHECKING:
    from types import FrameType

    from pegwright.designs.model import Design
    from pegwright.errors import BadInput, PegwrightError
    from pegwright.planning.stripe_solver import StripeProgress
    from pegwright.planning.stripes import StripeProblem
    from pegwright.yarn.stash import StashYarn

__all__ = ["NAME", "WORDS", "add_arguments", "run"]

NAME = "stripes"
WORDS = "find stripes that use your odds and ends of yarn, in a size of a design"

_OPTIONS = {
    "rows": "--rows",
    "multiple": "--multiple",
    "least_rows": "--least-rows",
    "most_rows": "--most-rows",
    "most_stripes": "--most-stripes",
    "margin": "--margin",
    "coverage": "--sure",
    "join_m": "--join",
    "pieces": "--pieces",
}
"""The option that sets a limit."""

_TOLD_EVERY_S = 1.0


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    add_design(parser)
    parser.add_argument("--size", metavar="NAME", help="which size (default: the first)")
    parser.add_argument(
        "--stash",
        metavar="FILE",
        help="take the yarns of a stash file instead, or of a stash that comes with Pegwright",
    )
    parser.add_argument(
        "--aim",
        choices=("most", "even"),
        help="as many rows as there are, or the same part of every yarn (default: even where rows "
        "or a length are asked for, else most)",
    )
    long = parser.add_mutually_exclusive_group()
    long.add_argument("--rows", type=int, metavar="N", help="so many rows in all")
    long.add_argument("--length", metavar="LENGTH", help="so long in all")
    _add_limits(parser.add_argument_group("limits"))
    _add_margins(parser.add_argument_group("how sure to be"))
    parser.add_argument(
        "--time-limit",
        type=float,
        default=30.0,
        metavar="SECONDS",
        help="then the best so far is given (default: 30)",
    )
    parser.add_argument(
        "--out", metavar="FILE", type=Path, help="write the design with these stripes to a new file"
    )
    add_units(parser)
    screen.add_json(parser)


def _add_limits(limits: argparse._ArgumentGroup) -> None:
    def count(option: str, default: int, words: str) -> None:
        limits.add_argument(option, type=int, default=default, metavar="N", help=words)

    count("--least-rows", 2, "rows of the narrowest stripe (default: 2)")
    count("--most-rows", 20, "rows of the widest stripe (default: 20)")
    count("--most-stripes", 60, "most stripes (default: 60)")
    count("--multiple", 1, "rows in all are a multiple of this, 2 for a fold (default: 1)")
    count("--pieces", 1, "so many pieces alike, all with these stripes (default: 1)")
    limits.add_argument("--mirror", action="store_true", help="the same from either end")
    limits.add_argument("--match-ends", action="store_true", help="first and last stripe alike")


def _add_margins(margins: argparse._ArgumentGroup) -> None:
    margins.add_argument(
        "--join",
        metavar="LENGTH",
        default="12 in",
        help="both tails of a join together (default: 12 in)",
    )
    margins.add_argument(
        "--reserve",
        metavar="YARN=LENGTH",
        action="append",
        default=[],
        help="keep so much of a yarn, besides seams, edges and cords",
    )
    margins.add_argument(
        "--margin",
        type=float,
        metavar="N",
        help="more for every row, 0.1 for a tenth (default: the design's)",
    )
    margins.add_argument(
        "--sure",
        type=float,
        default=0.9,
        metavar="N",
        help="how sure a row and a weight are taken to be (default: 0.9)",
    )


def run(options: argparse.Namespace) -> int:
    """Find them; stopped from the keyboard, the best so far is given."""
    from pegwright.designs.striping import with_stripes
    from pegwright.planning.stripe_solver import plan_stripes

    design = read_design(options)
    stash = _stash(options)
    problem = _problem(options, design, stash)
    with _stop_asked() as stopped:
        plan = plan_stripes(
            problem,
            time_limit_s=_time_limit(options),
            progress=_teller(problem),
            cancelled=stopped,
        )
        if stopped():
            screen.aside("stopped: this is the best so far")
    striped = with_stripes(design, plan.stripes, stash)
    if options.out is not None:
        from pegwright.cli.writing import write_new
        from pegwright.designs.writer import write_text

        write_new(options.out, write_text(striped))
    if options.json:
        file = None if options.out is None else str(options.out)
        screen.say_json({**plan.as_data(), "file": file})
    else:
        screen.say(plan.words(design.units))
        if options.out is not None:
            screen.say(f"\nWritten: {options.out}. Now: pegwright make {options.out}")
    return 0


# --- what is asked -------------------------------------------------------------------------------


def _stash(options: argparse.Namespace) -> tuple[StashYarn, ...]:
    """The yarns of the stash, named apart where several colours have one name."""
    if options.stash is None:
        return ()
    from pegwright.designs.files import shipped_stash_text, shipped_stashes
    from pegwright.designs.stash import read_stash_file, read_stash_text
    from pegwright.yarn.stash import named_apart

    if options.stash in shipped_stashes() and not Path(options.stash).is_file():
        stash = read_stash_text(shipped_stash_text(options.stash), options.stash)
    else:
        stash = read_stash_file(Path(options.stash))
    return named_apart(stash)


def _problem(
    options: argparse.Namespace, design: Design, stash: tuple[StashYarn, ...]
) -> StripeProblem:
    from pegwright.errors import BadInput
    from pegwright.making import stripe_problem
    from pegwright.planning.stripes import Aim

    limits: dict[str, Any] = {
        name: getattr(options, name)
        for name in ("least_rows", "most_rows", "most_stripes", "multiple", "mirror", "match_ends")
    }
    if options.margin is not None:
        limits["margin"] = options.margin
    rows = _rows(options, design)
    aim = options.aim or ("most" if rows is None else "even")
    try:
        return stripe_problem(
            design,
            options.size,
            stash,
            _reserved(options),
            aim=Aim(aim),
            rows=rows,
            coverage=options.sure,
            join_m=length_option(options.join, "--join") / 1000,
            pieces=(1.0,) * options.pieces,
            **limits,
        )
    except BadInput as error:
        raise _placed(error, options, design, bool(stash)) from None


def _rows(options: argparse.Namespace, design: Design) -> int | None:
    if options.length is None:
        return options.rows if options.rows is None else int(options.rows)
    from pegwright.making import rows_of_length

    length_mm = length_option(options.length, "--length")
    return rows_of_length(design, length_mm, options.multiple)


def _reserved(options: argparse.Namespace) -> dict[str, float]:
    from pegwright.errors import BadUse

    kept: dict[str, float] = {}
    for given in options.reserve:
        name, equals, length = given.rpartition("=")
        if not equals:
            hint = '--reserve "Slipway worsted=3 m"'
            raise BadUse("--reserve: a yarn and a length are needed", given=given, hint=hint)
        kept[name] = kept.get(name, 0.0) + length_option(length, "--reserve") / 1000
    return kept


def _time_limit(options: argparse.Namespace) -> float:
    from pegwright.errors import BadUse

    seconds = float(options.time_limit)
    if not 0 < seconds <= 86_400:
        raise BadUse("--time-limit is a number of seconds up to a day", given=options.time_limit)
    return seconds


def _placed(
    error: BadInput, options: argparse.Namespace, design: Design, from_stash: bool
) -> PegwrightError:
    """The error at the option, or at the line of the file, that it is about."""
    from pegwright.designs.outline import Outline
    from pegwright.errors import BadUse, Place

    field = (error.place.field if error.place else None) or ""
    if field in _OPTIONS:
        return BadUse(f"{_OPTIONS[field]}: {error.what}", given=error.given, hint=error.hint)
    if not field.startswith("yarns["):
        return error
    if from_stash:
        error.place = Place(str(options.stash), field=field)
        return error
    number, _, key = field.removeprefix("yarns[").partition("].")
    weighed = [index for index, name in enumerate(design.yarns) if name in design.available_g]
    index = weighed[int(number) - 1] if weighed else 0
    error.place = Outline(design.source, options.design).place(("yarns", index, key))
    return error


# --- while it runs -------------------------------------------------------------------------------


def _teller(problem: StripeProblem) -> Callable[[StripeProgress], None]:
    """Tells on standard error how far the search has come, not before a second is over."""
    told = [time.monotonic()]

    def tell(now: StripeProgress) -> None:
        if time.monotonic() - told[0] < _TOLD_EVERY_S or now.value is None:
            return
        told[0] = time.monotonic()
        words = now.words(problem.aim)
        screen.aside(f"{now.seconds:.0f} s: {words}; Ctrl-C takes the best so far")

    return tell


@contextmanager
def _stop_asked() -> Iterator[Callable[[], bool]]:
    """Whether a stop was asked for from the keyboard; a second one stops at once."""
    asked = threading.Event()

    def handle(_: int, __: FrameType | None) -> None:
        if asked.is_set():
            raise KeyboardInterrupt
        asked.set()

    if threading.current_thread() is not threading.main_thread():
        yield asked.is_set
        return
    before = signal.signal(signal.SIGINT, handle)
    try:
        yield asked.is_set
    finally:
        signal.signal(signal.SIGINT, before)
