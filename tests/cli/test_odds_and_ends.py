"""What a maker meets on the way from odds and ends to a plan, and what bad input is told."""

from __future__ import annotations

import re
from decimal import Decimal
from pathlib import Path

import pytest

from pegwright.designs.files import shipped_stash_text, shipped_stashes, shipped_text
from pegwright.designs.reader import read_text
from pegwright.designs.stash import read_stash_text
from tests.cli.ran import Run, runner

LEFT = "tern-point-leftovers"
HOOD = shipped_text("tern-point-hood")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys)


@pytest.fixture
def changing(tmp_path: Path) -> Path:
    """The hood in a yarn that changes colour, with its price."""
    path = tmp_path / "changing.toml"
    more = 'colours = "rust 3 m, cream 2 m"\nprice = 7.50\ninvented = true'
    path.write_text(HOOD.replace("invented = true", more), encoding="utf-8")
    return path


# --- yarn ----------------------------------------------------------------------------------------


def test_the_leftovers_are_what_the_blanket_says_there_is() -> None:
    assert LEFT in shipped_stashes()
    blanket = read_text(shipped_text("tern-point-boat-blanket"))
    stash = read_stash_text(shipped_stash_text(LEFT))
    assert {own.yarn.name: own.grams.value for own in stash} == dict(blanket.available_g)
    assert {own.yarn.name: own.yarn for own in stash} == dict(blanket.yarns)
    assert all(own.yarn.invented for own in stash)


def test_stock_is_taken(run: Run) -> None:
    ran = run("yarn", "stash", LEFT, "--json")
    assert ran.data["grams"]["value"] == 882  # 212 + 118 + 87 + 95 + 143 + 166 + 61
    slate = ran.data["yarns"][0]
    assert slate["metres"]["value"] == pytest.approx(212 * 1.75)
    sure = run("yarn", "stash", LEFT, "--sure", "0.5", "--json").data["yarns"][0]["metres"]
    assert sure["low"] > slate["metres"]["low"]
    assert "Gull worsted, white" in run("yarn", "stash", LEFT).out


def test_wraps_are_counted(run: Run) -> None:
    ran = run("yarn", "wraps", "20", "19", "21", "--over", "2 in", "--json")
    assert ran.data["wraps_per_inch"]["value"] == pytest.approx(10)
    assert "mend: Wind the yarn afresh" in run("yarn", "wraps", "10").out


def test_strands_are_held_together(run: Run) -> None:
    ran = run("yarn", "strands", "Gull worsted", "Gull worsted, white", "--stash", LEFT, "--json")
    assert ran.data["metres_per_100g"] == pytest.approx(95)  # 190 halved
    both = run("yarn", "strands", "3:220", "3:110", "--json").data
    assert both["metres_per_100g"] == pytest.approx(1 / (1 / 220 + 1 / 110))


def test_a_ball_is_split(run: Run) -> None:
    figures = ("--category", "4", "--metres", "175")
    ran = run("yarn", "split", "90 g", "--into", "3", *figures, "--json")
    assert [part["remain_g"] for part in ran.data["parts"]] == [60, 30, 0]
    assert ran.data["parts"][0]["off_rows"] is None
    shares = ("--shares", "1/2, 0.25, 1/4")
    hood = run("yarn", "split", "80 g", *shares, "--design", "tern-point-hood", "--json")
    assert [part["remain_g"] for part in hood.data["parts"]] == [40, 20, 0]
    assert hood.data["parts"][0]["off_rows"]["sd"] > 0


def test_stand_ins_are_found(run: Run) -> None:
    ran = run("yarn", "stand-ins", "tern-point-hood", "--stash", LEFT, "--most", "3", "--json")
    assert ran.code == 0
    assert ran.data["changes"][0]["yarn"] == "Slipway worsted, slate"
    assert ran.data["changes"][0]["size_part"]["value"] == 0
    assert len(ran.data["changes"]) == 3


def test_no_stand_in_is_exit_code_four(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "little.toml"
    balls = re.sub(r"balls = .*", 'balls = ["5 g"]', shipped_stash_text(LEFT))
    path.write_text(balls, encoding="utf-8")
    ran = run("yarn", "stand-ins", "tern-point-hood", "--stash", path)
    assert ran.code == 4
    assert "Nothing in the stash" in ran.out


@pytest.mark.parametrize(
    ("words", "least_m"),
    [
        (("tassel", "--length", "10 cm", "--strands", "20"), 4.0),  # 20 turns of 20 cm
        (("pompom", "--across", "6 cm", "--winds", "100"), 6.0),  # 100 winds of 2 x 2 cm at least
        (("fringe", "--length", "10 cm", "--strands", "2", "--number", "5"), 2.0),
        (("seam", "--chains", "50", "--row", "6 mm"), 0.6),  # both edges once
        (("tails", "--number", "4"), 0.5),
        (("joins", "--number", "4"), 1.0),
    ],
)
def test_trims_are_reckoned(run: Run, words: tuple[str, ...], least_m: float) -> None:
    ran = run("yarn", "trims", *words, "--stash", LEFT, "--json")
    metres = ran.data["metres"]["value"]
    assert least_m < metres < 4 * least_m
    assert ran.data["g"]["value"] == pytest.approx(metres * 100 / 175)


# --- colours -------------------------------------------------------------------------------------


def test_colours_are_shown_from_every_side(run: Run, changing: Path, tmp_path: Path) -> None:
    out = tmp_path / "pictures"
    ran = run("colours", "show", changing, "--size", "bow", "--out", out, "--png", "--json")
    views = {view["title"] for view in ran.data["views"]}
    assert {"Strip, front face", "Strip, back face", "Hood, front", "Hood, back"} <= views
    names = {path.name for path in out.iterdir()}
    assert names == {Path(name).name for name in ran.data["files"]}
    for view in ran.data["views"]:
        stem = f"tern-point-hood-bow-{view['key'].removeprefix('look-')}"
        assert (out / f"{stem}.svg").read_bytes().startswith(b"<svg")
        assert (out / f"{stem}.png").read_bytes().startswith(b"\x89PNG")
    assert ran.data["sight"]["worst"]


def test_a_plain_piece_is_shown_too(run: Run, tmp_path: Path) -> None:
    ran = run("colours", "show", "tern-point-scarf", "--out", tmp_path)
    assert ran.code == 0
    assert "There is only one colour." in ran.out


def test_a_search_finds_rows_of_one_colour(run: Run) -> None:
    # A row of 28 pegs draws about 2.1 m, so two rows of each colour can be had.
    ran = run(
        *("colours", "search", "tern-point-hood", "--colours", "rust 40 m, cream 40 m"),
        *("--pegs", "26-28", "--json"),
    )
    assert [p["pegs"] for p in ran.data["best"]] != []
    assert ran.data["best"][0]["score"] > 0.8
    assert {p["pegs"] for p in ran.data["best"]} <= {26, 27, 28}


# --- cost and forecast ---------------------------------------------------------------------------


def test_the_cost_adds_up(run: Run, changing: Path) -> None:
    ran = run(
        *("cost", changing, "--rate", "12", "--margin", "0.25", "--other", "label=0.40"),
        *("--currency", "£", "--json"),
    )
    lines = [Decimal(line["amount"]) for line in ran.data["lines"] if line["counted"]]
    assert sum(lines) == Decimal(ran.data["cost"])
    assert Decimal(ran.data["cost"]) + Decimal(ran.data["added"]) == Decimal(ran.data["price"])
    assert lines[0] == 2 * Decimal("7.50")
    assert "£0.40" in run("cost", changing, "--rate", "0", "--other", "label=0.4",
                          "--currency", "£").out  # fmt: skip


def test_the_design_says_what_work_is_worth(run: Run, changing: Path, tmp_path: Path) -> None:
    path = tmp_path / "worth.toml"
    cost = "\n[cost]\nrate = 10\nmargin = 0.5\npace = 50\nothers = { label = 1 }\n"
    path.write_text(changing.read_text() + cost, encoding="utf-8")
    own = run("cost", path, "--json").data
    assert own["margin"] == 0.5
    assert own["time"]["pace"]["loops_per_minute"] == 50
    typed = run("cost", path, "--margin", "0", "--pace", "25", "--json").data
    assert Decimal(typed["added"]) == 0
    assert typed["time"]["pace"]["loops_per_minute"] == 25


def test_a_sitting_tells_the_pace(run: Run, changing: Path) -> None:
    ran = run("cost", changing, "--rate", "10", "--sitting", "10=28", "--json")
    # 28 pegs on both boards and 10 rows are 560 loops, in 28 minutes.
    assert ran.data["time"]["pace"]["loops_per_minute"] == pytest.approx(20)


def test_a_forecast_narrows(run: Run, tmp_path: Path) -> None:
    one = run("forecast", "tern-point-hood", "--at", "0=130", "--json").data
    two = run("forecast", "tern-point-hood", "--at", "0=130 g", "--at", "40=82 g", "--json").data
    assert two["grams_per_row"]["sd"] < one["grams_per_row"]["sd"]
    assert two["grams_per_row"]["value"] == pytest.approx(1.2, rel=0.03)  # 48 g over 40 rows
    path = tmp_path / "left.toml"
    path.write_text(
        'yarn = "Slipway worsted"\n[[weighings]]\nrow = 0\nleft = "130 g"\n'
        '[[weighings]]\nrow = 40\nleft = "82 g"\n',
        encoding="utf-8",
    )
    assert run("forecast", "tern-point-hood", "--weighings", path, "--json").data == two


# --- bad input -----------------------------------------------------------------------------------

TYPED = [
    (("yarn", "stash", LEFT, "--sure", "2"), "--sure"),
    (("yarn", "wraps", "10", "0"), "COUNT"),
    (("yarn", "wraps", "10", "--over", "0 in"), "--over"),
    (("yarn", "strands", "3:0", "3:220"), "YARN"),
    (("yarn", "strands", "3:220"), "YARN"),
    (("yarn", "strands", "Gul worsted", "3:2", "--stash", LEFT), "Gull worsted"),
    (("yarn", "strands", "Gull worsted", "3:2"), "--stash"),
    (("yarn", "split", "-5 g", "--into", "2"), "MASS"),
    (("yarn", "split", "0", "--into", "2", "--stash", LEFT), "MASS"),
    (("yarn", "split", "50 g", "--into", "0", "--stash", LEFT), "--into"),
    (("yarn", "split", "50 g", "--shares", "1/2, 1/3", "--stash", LEFT), "--shares"),
    (("yarn", "split", "50 g", "--shares", "1/0", "--stash", LEFT), "--shares"),
    (("yarn", "split", "50 g", "--into", "2", "--scale", "0 g", "--stash", LEFT), "--scale"),
    (("yarn", "split", "50 g", "--into", "2"), "which yarn"),
    (("yarn", "stand-ins", "tern-point-hood", "--stash", LEFT, "--most", "0"), "--most"),
    (("yarn", "stand-ins", "tern-point-hood", "--stash", LEFT, "--yarn", "x"), "--yarn"),
    (("yarn", "stand-ins", "tern-point-hood", "--stash", LEFT, "--size", "x"), "--size"),
    (("yarn", "trims", "tassel", "--length", "0 cm", "--strands", "9", "--stash", LEFT), "--len"),
    (("yarn", "trims", "tassel", "--length", "1 cm", "--strands", "0", "--stash", LEFT), "--str"),
    (("yarn", "trims", "tassel", "--strands", "9", "--stash", LEFT), "--length"),
    (("yarn", "trims", "tails", "--winds", "9", "--stash", LEFT), "--winds"),
    (("yarn", "trims", "tails", "--number", "-1", "--stash", LEFT), "--number"),
    (("colours", "show", "tern-point-hood", "--piece", "sleeve"), "--piece"),
    (("colours", "search", "tern-point-hood"), "--colours"),
    (("colours", "search", "tern-point-hood", "--colours", "rust 0 cm, cream 1 m"), "--colours"),
    (("colours", "search", "tern-point-hood", "--colours", "rust -3 cm"), "--colours"),
    (("colours", "search", "x", "--pegs", "9-2", "--colours", "red 1 m, blue 1 m"), "x"),
    (
        ("colours", "search", "tern-point-hood", "--pegs", "9-2", "--colours", "red 1 m, tan 1 m"),
        "--pegs",
    ),
    (
        ("colours", "search", "tern-point-hood", "--rows", "1", "--colours", "red 1 m, tan 1 m"),
        "--rows",
    ),
    (("cost", "tern-point-hood", "--price", "Slipway worsted=-1", "--rate", "1"), "--price"),
    (("cost", "tern-point-hood", "--price", "Slipway worsted=1", "--rate=-1"), "--rate"),
    (("cost", "tern-point-hood", "--price", "Slipway worsted=1"), "--rate"),
    (("cost", "tern-point-hood", "--price", "Slipway=1", "--rate", "1"), "--price"),
    (
        ("cost", "tern-point-hood", "--price", "Slipway worsted=1", "--rate", "1", "--margin=-1"),
        "--margin",
    ),
    (("cost", "tern-point-hood", "--rate", "1", "--sitting", "0=40"), "--sitting"),
    (("cost", "tern-point-hood", "--rate", "1", "--sitting", "12"), "--sitting"),
    (("cost", "tern-point-hood", "--rate", "1", "--pace=-3"), "--pace"),
    (("forecast", "tern-point-hood", "--at", "0=-5 g"), "--at"),
    (("forecast", "tern-point-hood", "--at", "900=5 g"), "--at"),
    (("forecast", "tern-point-hood", "--at", "x=5 g"), "--at"),
    (("forecast", "tern-point-hood", "--at", "0=50 g", "--at", "9=90 g"), "--at"),
    (("forecast", "tern-point-hood", "--at", "0=50 g", "--sure", "2"), "--sure"),
    (("forecast", "tern-point-hood", "--at", "0=50 g", "--scale", "0 g"), "--scale"),
]


@pytest.mark.parametrize(("words", "named"), TYPED, ids=range(len(TYPED)))
def test_a_slip_in_what_was_typed_names_the_option(
    run: Run, words: tuple[str, ...], named: str
) -> None:
    ran = run(*words)
    assert ran.code in (2, 3)
    assert ran.out == ""
    assert ran.err.startswith("pegwright: ")
    assert ran.err.count("pegwright: ") == 1
    assert named in ran.err
    assert run(*words, "--json").data["error"]


STASH_SLIPS = [
    ('"100 g", "74 g"', '"100 g", "-74 g"', "yarns[1].balls[2]"),
    ("metres_per_100g = 175", "metres_per_100g = 0", "yarns[1].metres_per_100g"),
    ("metres_per_100g = 175", 'sample = { length = "0 m", weight = "3 g" }', "yarns[1].sample.l"),
    ("invented = true", 'colours = "rust 0 cm"', "yarns[1].colours"),
    ("invented = true", 'colour_offset = "3 cm"', "yarns[1].colour_offset"),
    ("invented = true", "price = 3", "yarns[1].price"),
]


@pytest.mark.parametrize(
    "words",
    [("yarn", "stash"), ("yarn", "stand-ins", "tern-point-hood", "--stash")],
    ids=["stash", "stand-ins"],
)
@pytest.mark.parametrize(("old", "new", "field"), STASH_SLIPS)
def test_a_slip_in_a_stash_names_its_line(
    run: Run, tmp_path: Path, words: tuple[str, ...], old: str, new: str, field: str
) -> None:
    path = tmp_path / "stash.toml"
    text = shipped_stash_text(LEFT).replace(old, new, 1)
    path.write_text(text, encoding="utf-8")
    ran = run(*words, path, "--json")
    assert ran.code == 3
    assert ran.data["field"].startswith(field)
    key = new.partition(" =")[0] if " = " in new else "balls"
    assert text.splitlines()[ran.data["line"] - 1].startswith(key)
    assert not ran.data.get("more")


DESIGN_SLIPS = [
    ("price = 7.50", "price = -1", "yarns[1].price"),
    ("cream 2 m", "cream 0 m", "yarns[1].colours"),
    ("cream 2 m", "crem 2 m", "yarns[1].colours"),
    ("price = 7.50", "colour_drift = 0.5", "yarns[1].colour_drift"),
    ("price = 7.50", 'colour_offset = "-1 cm"', "yarns[1].colour_offset"),
]


@pytest.mark.parametrize("words", [("cost",), ("colours", "show"), ("colours", "search")])
@pytest.mark.parametrize(("old", "new", "field"), DESIGN_SLIPS)
def test_a_slip_in_a_design_names_its_line(
    run: Run, changing: Path, words: tuple[str, ...], old: str, new: str, field: str
) -> None:
    text = changing.read_text(encoding="utf-8").replace(old, new)
    changing.write_text(text, encoding="utf-8")
    ran = run(*words, changing, "--json")
    assert ran.code == 3
    assert ran.data["field"] == field
    assert new.partition(" =")[0].split()[-1] in text.splitlines()[ran.data["line"] - 1]


def test_a_missing_price_names_the_yarn_s_lines(run: Run) -> None:
    ran = run("cost", "tern-point-hood", "--rate", "3", "--json")
    assert ran.code == 3
    assert (ran.data["field"], ran.data["given"]) == ("yarns[1].price", "Slipway worsted, slate")
    assert HOOD.splitlines()[ran.data["line"] - 1] == "[[yarns]]"


WEIGHED_SLIPS = [
    ('left = "106 g"', 'left = "-1 g"', 6, "weighings[2].left"),
    ('left = "106 g"', 'left = "206 g"', 4, "weighings[2]"),
    ("row = 20", "row = 900", 4, "weighings[2]"),
    ("row = 20", "row = -1", 5, "weighings[2].row"),
    ('left = "106 g"', 'left = "106 g"\nball = 2', 7, "weighings[2].ball"),
    ('yarn = "Slipway worsted"', 'yarn = "Slipway"', 1, "yarn"),
    ('yarn = "Slipway worsted"', 'scale = "0 g"', 1, "scale"),
]


@pytest.mark.parametrize(("old", "new", "line", "field"), WEIGHED_SLIPS)
def test_a_slip_in_weighings_names_its_line(
    run: Run, tmp_path: Path, old: str, new: str, line: int, field: str
) -> None:
    path = tmp_path / "left.toml"
    text = (
        'yarn = "Slipway worsted"\n[[weighings]]\nrow = 0\nleft = "130 g"\n'
        '[[weighings]]\nrow = 20\nleft = "106 g"\n'
    )
    text = text.replace(old, new)
    path.write_text(text, encoding="utf-8")
    ran = run("forecast", "tern-point-hood", "--weighings", path, "--json")
    assert ran.code == 3
    assert (ran.data["file"], ran.data["field"]) == (str(path), field)
    assert ran.data["line"] == line + (0 if line == 1 else 1)
