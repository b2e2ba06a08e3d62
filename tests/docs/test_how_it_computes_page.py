"""docs/how-it-computes.md gives the numbers, the marks and the sources that the code has."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from pegwright.designs.form import LoomTable
from pegwright.gauge import constants
from pegwright.gauge.constants import PUBLISHED, Mark
from pegwright.gauge.fabric_gauge import HAND_RELATIVE_SD, TAPE_SD_MM
from pegwright.knitting.wrap_trial import WRAP_TEST_PAIRS
from pegwright.loom import wrap_test
from pegwright.planning.forecast import COVERAGE, SWITCH_CONFIDENCE
from pegwright.planning.needs import BESIDE_RELATIVE_SD
from pegwright.planning.stripes import JOIN_M
from pegwright.planning.weighings import MOISTURE_PART, ROW_SCATTER
from tests.docs.docs_pages import DOCS

TEXT = " ".join((DOCS / "how-it-computes.md").read_text(encoding="utf-8").split())
SOURCES = Path(__file__).resolve().parents[2] / "src" / "pegwright"


def percent(part: float) -> str:
    return f"{100 * part:g} %"


@pytest.mark.parametrize("row", PUBLISHED, ids=[str(row.name) for row in PUBLISHED])
def test_a_constant_stands_there_with_its_mark(row: constants.Constants) -> None:
    told = re.search(rf"\| {row.name} \| ([\d.]+) \| ([\d.]+) \| ([^|]+) \|", TEXT)
    assert told is not None, row.name
    assert (float(told[1]), float(told[2])) == (row.k_c, row.k_w)
    mark = {Mark.READ: "read in the abstract", Mark.MEMORY: "from memory"}[row.mark]
    assert told[3].endswith(mark)
    assert row.source.split(",")[0] in told[3]


@pytest.mark.parametrize(
    "words",
    [
        f"up to {percent(constants.HAND_WORK_RELATIVE_SD)} to either side",
        f"and {percent(constants.STAND_IN_RELATIVE_SD)} where another structure stands in",
        f"falls below {constants.JAMMING_RATIO:g}",
        f"the tape's {TAPE_SD_MM:g} mm and {percent(HAND_RELATIVE_SD)} between swatches",
        f"the same length within {percent(wrap_test.TOLERANCE)}",
        f"it is known to {percent(LoomTable.model_fields['slack_sd'].default)}",
        f"may be off by {percent(BESIDE_RELATIVE_SD)}",
        f"both tails of a join ({JOIN_M / 0.0254:g} in",
        f"single rows is taken as {percent(ROW_SCATTER)}",
        f"moisture is {percent(MOISTURE_PART)} of a reading",
        f"from a chance of {100 * SWITCH_CONFIDENCE:g} in 100",
    ],
)
def test_a_number_is_that_of_the_code(words: str) -> None:
    assert words in TEXT


def test_numbers_in_words_are_those_of_the_code() -> None:
    assert (WRAP_TEST_PAIRS, COVERAGE) == (15, 0.9)
    assert "Wrap fifteen pegs on both boards" in TEXT
    assert "hold nine times out of ten" in TEXT


@pytest.mark.parametrize(
    ("module", "source"),
    [
        ("gauge/pooling.py", "DerSimonian & Laird 1986"),
        ("gauge/pooling.py", "Abramowitz & Stegun 26.4"),
        ("gauge/pooling.py", "Borenstein, Hedges, Higgins & Rothstein"),
        ("knitting/run.py", "R. P. Brent"),
        ("planning/weighings.py", "Kalman 1960"),
        ("measured.py", "JCGM 100:2008, 5.1.2"),
        ("loom/wrap_test.py", "Munden 1959"),
        ("yarn/count.py", "ISO 1144"),
        ("gauge/fabric_gauge.py", "Gelman et al."),
    ],
)
def test_a_source_on_the_page_is_that_of_the_code(module: str, source: str) -> None:
    assert source in TEXT
    code = (SOURCES / module).read_text(encoding="utf-8")
    said = " ".join(
        str(node.value)
        for node in ast.walk(ast.parse(code))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    )
    assert source in " ".join(said.split())


def test_every_section_of_the_page_says_what_it_rests_on() -> None:
    page = (DOCS / "how-it-computes.md").read_text(encoding="utf-8")
    marks = r"from memory|no source|\*Elementary geometry|ISO 1144|no constant is taken|read in"
    for section in page.split("\n## ")[1:]:
        assert re.search(marks, " ".join(section.split())), section.splitlines()[0]
