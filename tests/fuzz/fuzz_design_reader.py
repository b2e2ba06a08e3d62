"""A fuzz target for the reader of design files.

Whatever the bytes, the reader gives a design or one clear refusal, and soon.  With a fuzzer that
follows the code (atheris), run this file with a folder of designs to start from:

    python tests/fuzz/fuzz_design_reader.py src/pegwright/designs/shipped

Without one, ``test_fuzz_design_reader.py`` runs the same target in every test run.
"""

from __future__ import annotations

import importlib
import sys
import time

from pegwright.designs.model import Design
from pegwright.designs.reader import read_bytes
from pegwright.errors import PegwrightError

MOST_SECONDS = 2.0


def read_or_refuse(data: bytes) -> Design | PegwrightError:
    """The target: a design or a refusal, in time; anything else escapes and is a find."""
    start = time.perf_counter()
    outcome: Design | PegwrightError
    try:
        outcome = read_bytes(data, "fuzzed.toml")
    except PegwrightError as refusal:
        outcome = refusal
        check_refusal(refusal)
    taken = time.perf_counter() - start
    assert taken < MOST_SECONDS, f"{taken:.1f} s for {len(data)} bytes"
    return outcome


def check_refusal(refusal: PegwrightError) -> None:
    """A refusal says what is wrong and where, in few words, as text and as data."""
    assert refusal.what
    assert refusal.place is not None
    assert refusal.place.file == "fuzzed.toml"
    assert len(str(refusal)) < 3000
    assert set(refusal.as_data()) >= {"error", "given", "try", "file", "line", "field"}
    str(refusal).encode("utf-8")


def one_input(data: bytes) -> None:
    """The target in the shape that the fuzzer calls."""
    read_or_refuse(data)


if __name__ == "__main__":
    atheris = importlib.import_module("atheris")
    atheris.instrument_all()
    atheris.Setup(sys.argv, one_input)
    atheris.Fuzz()
