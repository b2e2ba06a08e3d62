"""What each command does, as a maker meets it."""

from __future__ import annotations

import io
import re
import stat
import sys
from pathlib import Path
from typing import Any

import pytest

from pegwright.designs.files import shipped_text
from pegwright.designs.reader import read_text
from tests.cli.ran import Run, runner

HOOD = shipped_text("tern-point-hood")


@pytest.fixture
def run(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys)


@pytest.fixture
def short(tmp_path: Path) -> Path:
    """A design whose yarn runs out."""
    path = tmp_path / "short.toml"
    path.write_text(HOOD.replace("invented = true", 'available = "20 g"\ninvented = true'))
    return path


# --- make and check ------------------------------------------------------------------------------


def test_make_writes_the_pattern(run: Run, tmp_path: Path) -> None:
    out = tmp_path / "new" / "folder"
    ran = run("make", "tern-point-hood", "--out", out)
    assert (ran.code, ran.err) == (0, "")
    names = {path.name for path in out.iterdir()}
    assert {"tern-point-hood.pdf", "tern-point-hood.html", "tern-point-hood-proof.json"} <= names
    assert (out / "tern-point-hood.pdf").read_bytes().startswith(b"%PDF-")
    for name in names:
        assert name in ran.out
    for word in ("cox", "bow", "coach", "proved", "Slipway worsted"):
        assert word in ran.out


def test_make_again_gives_the_same_bytes(run: Run, tmp_path: Path) -> None:
    assert run("make", "tern-point-scarf", "--out", tmp_path / "one").code == 0
    assert run("make", "tern-point-scarf", "--out", tmp_path / "two").code == 0
    for path in (tmp_path / "one").iterdir():
        assert path.read_bytes() == (tmp_path / "two" / path.name).read_bytes(), path.name


def test_make_in_json(run: Run, tmp_path: Path) -> None:
    ran = run("make", "tern-point-hood", "--out", tmp_path, "--json")
    assert ran.data["proved"] is True
    assert [size["name"] for size in ran.data["sizes"]] == ["cox", "bow", "coach"]
    sizes = {path.name: path.stat().st_size for path in tmp_path.iterdir()}
    assert ran.data["files"] == sizes
    for size in ran.data["sizes"]:
        assert size["pieces"][0]["rows"] % 2 == 0  # the strip is folded in half
        assert size["yarn"][0]["balls"] >= 1


def test_paper_print_and_units_change_the_pattern(run: Run, tmp_path: Path) -> None:
    made = {}
    for name, extra in {
        "plain": [],
        "letter": ["--paper", "letter"],
        "large": ["--large-print"],
        "metric": ["--units", "centimetres"],
    }.items():
        assert run("make", "tern-point-hood", "--out", tmp_path / name, *extra).code == 0
        made[name] = (tmp_path / name / "tern-point-hood.pdf").read_bytes()
    assert len(set(made.values())) == 4


def test_a_design_with_a_fault_is_told_of_and_never_printed(
    run: Run, short: Path, tmp_path: Path
) -> None:
    out = tmp_path / "out"
    ran = run("make", short, "--out", out)
    assert ran.code == 1
    assert "No pattern was written" in ran.out
    assert "runs out" in ran.out
    assert "mend:" in ran.out
    assert not out.exists()


def test_check_tells_faults_as_data(run: Run, short: Path) -> None:
    ran = run("check", short, "--json")
    assert ran.code == 1
    assert ran.data["proved"] is False
    faults = [f for f in ran.data["findings"] if f["severity"] == "fault"]
    assert {f["name"] for f in faults} == {"yarn-short"}
    assert [f["size"] for f in faults] == ["cox", "bow", "coach"]
    assert all(f["row"] and f["mend"] for f in faults)


def test_check_goes_on_past_a_size_that_cannot_be_made(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "wide.toml"
    wide = 'head = "57 cm"\ndepth = "48 cm"'  # more pegs than the board has
    path.write_text(HOOD.replace('head = "57 cm"', wide), encoding="utf-8")
    ran = run("check", path, "--json")
    assert ran.code == 4
    assert ran.data["proved"] is False
    assert [one["size"] for one in ran.data["refused"]] == ["bow"]
    assert [size["name"] for size in ran.data["sizes"]] == ["cox", "coach"]
    assert "size bow cannot be made" in run("check", path).out
    assert run("make", path, "--out", tmp_path / "out").code == 4
    assert not (tmp_path / "out").exists()


def test_check_of_what_is_piped_in(run: Run, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(HOOD.encode())))
    ran = run("check", "-")
    assert ran.code == 0
    assert "Nothing found" in ran.out


def test_the_junior_hood_comes_with_its_caution(run: Run) -> None:
    ran = run("check", "tern-point-junior-hood")
    assert ran.code == 0
    assert ran.out.count("caution:") == 1  # said once, for both sizes
    assert "junior 8" in ran.out
    assert "EN 14682" in ran.out


# --- the wrap test -------------------------------------------------------------------------------

BOARD = ("--pitch", "7/16 in", "--gap", "1 1/4 in", "--peg-diameter", "1/8 in", "--category", "4")


def test_a_wrap_test_of_a_board(run: Run) -> None:
    # 15 pegs on both boards with rows 1 1/4 in apart draw about 45 in on a common board
    # (common practice, no source); geometry alone gives 44 to 47 in for common pegs and yarns.
    ran = run("wrap-test", *BOARD, "--json")
    assert ran.data["loops"] == 30
    assert 44 * 25.4 <= ran.data["length_mm"] <= 50 * 25.4
    assert "on both boards" in run("wrap-test", *BOARD).out


def test_the_gap_for_a_wanted_length_gives_that_length(run: Run) -> None:
    wanted = run("wrap-test", *BOARD, "--wanted", "40 in", "--json").data["gap_mm"]
    again = [f"{wanted} mm" if word == "1 1/4 in" else word for word in BOARD]
    assert run("wrap-test", *again, "--json").data["length_mm"] == pytest.approx(1016, abs=1e-3)


def test_spacers_are_stacked_to_the_gap(run: Run) -> None:
    asked = (*BOARD, "--wanted", "40 in", "--spacers", "1/4 in, 1/8 in", "--bare-gap", "1/2 in")
    ran = run("wrap-test", *asked, "--json")
    stack = sum(ran.data["spacers_mm"])
    assert 12.7 + stack - ran.data["gap_mm"] == pytest.approx(ran.data["spacers_error_mm"])
    assert abs(ran.data["spacers_error_mm"]) <= 25.4 / 16  # half of the thinnest
    assert "Spacers" in run("wrap-test", *asked).out


def test_a_readers_own_measurement_is_compared(run: Run) -> None:
    drawn_mm = run("wrap-test", "tern-point-hood", "--json").data["length_mm"]
    same = run("wrap-test", "tern-point-hood", "--measured", f"{drawn_mm:.3f} mm", "--json").data
    assert same["suits"] is True
    other = run("wrap-test", "tern-point-hood", "--measured", f"{drawn_mm * 1.1:.3f} mm", "--json")
    assert other.data["suits"] is False
    assert other.data["ratio"] == pytest.approx(1.1, abs=1e-4)
    assert any("10 % wider" in sentence for sentence in other.data["advice"])


def test_another_board_is_compared_with_the_designs(run: Run) -> None:
    data = run("wrap-test", "tern-point-hood", "--gap", "1 1/2 in", "--json").data
    assert data["suits"] is False
    assert data["gap_mm"] == pytest.approx(25.4, abs=1e-3)  # the design's own gap mends it


@pytest.mark.parametrize(
    ("words", "what"),
    [
        ((), "--pitch is needed"),
        (BOARD[:6], "thickness is needed"),
        ((*BOARD, "--spacers", "1/4 in"), "needs a length to reach"),
        ((*BOARD, "--wanted", "40 in", "--spacers", "1/4 in"), "no spacers in"),
        ((*BOARD, "--wanted", "40"), "--wanted: a length needs its unit"),
        ((*BOARD, "--wanted", "40 in", "--measured", "40 in"), "not allowed with"),
        ((*BOARD, "--slack", "nan"), "--slack"),
        ((*BOARD, "--over", "x"), "--over"),
    ],
)
def test_a_wrap_test_asked_wrongly(run: Run, words: tuple[str, ...], what: str) -> None:
    ran = run("wrap-test", *words)
    assert ran.code == 2
    assert what in ran.err


@pytest.mark.parametrize(
    ("words", "code"),
    [
        ((*BOARD, "--pegs", "0"), 3),
        ((*BOARD, "--over", "1"), 4),  # the wrap needs two
        ((*BOARD, "--wanted", "4 in"), 4),  # no gap draws so little
        ((*BOARD, "--wrap", "e-wrp"), 3),
        ((*BOARD, "--wrap", "e-wrap"), 4),  # a wrap for one row
        ((*BOARD, "--arrangement", "single", "--wrap", "e-wrap"), 0),
        ((*BOARD, "--arrangement", "ring", "--wrap", "flat"), 0),
        ((*BOARD, "--wrap", "double-board rib 2 by 2"), 0),  # on 14 pegs, which it takes
    ],
)
def test_boards_and_wraps_that_go_together(run: Run, words: tuple[str, ...], code: int) -> None:
    assert run("wrap-test", *words).code == code


# --- gauge ---------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "stitches_mm", "rows_mm"),
    [
        ("18 sts 24 rows = 4 in", 101.6 / 18, 101.6 / 24),
        ("18 stitches and 24 rows to 10 cm", 100 / 18, 100 / 24),
        ("4.5 sts per inch", 25.4 / 4.5, None),
        ("28 rows / 10 cm", None, 100 / 28),
        ("5 mm per stitch", None, None),
    ],
)
def test_a_gauge_is_converted(
    run: Run, text: str, stitches_mm: float | None, rows_mm: float | None
) -> None:
    ran = run("gauge", text, "--json")
    if stitches_mm is None and rows_mm is None:
        assert ran.code == 3  # neither a count nor a design
        return
    found = {things: sizes["mm_each"] for things, sizes in ran.data.items()}
    wanted = {"stitches": stitches_mm, "rows": rows_mm}
    assert found == pytest.approx({k: v for k, v in wanted.items() if v is not None})


def test_a_gauge_in_words(run: Run) -> None:
    out = run("gauge", "18 sts 24 rows = 4 in").out
    assert "17.7 stitches to 10 cm" in out  # 18 × 100 / 101.6
    assert "6 rows to the inch" in out
    metric = run("gauge", "18 sts = 10 cm", "--units", "centimetres").out
    assert metric.startswith("Stitches: 18 stitches to 10 cm")


def test_the_gauge_of_a_design_is_explained(run: Run) -> None:
    predicted = run("gauge", "tern-point-hood", "--json").data
    measured = run("gauge", "tern-point-scarf", "--json").data
    assert predicted["source"] == "predicted"
    assert measured["source"] != "predicted"

    def spread(data: Any) -> float:
        low, high = data["wale_mm"]["interval_90"]
        return float((high - low) / data["wale_mm"]["value"])

    assert spread(measured) < spread(predicted)  # a swatch makes it surer
    assert "Predicted from" in run("gauge", "tern-point-hood").out


# --- list, new, schema ---------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("topic", "some"),
    [
        ("wraps", "double-board stockinette"),
        ("garments", "folded-strip-hood"),
        ("designs", "tern-point-scarf"),
        ("yarn-weights", "super bulky"),
        ("faults", "unheld-loop"),
    ],
)
def test_lists(run: Run, topic: str, some: str) -> None:
    assert some in run("list", topic).out
    rows = run("list", topic, "--json").data
    assert any(some in row.values() for row in rows)
    assert len({tuple(row) for row in rows}) == 1  # the same keys in every row


def test_a_new_design_is_written_once(run: Run, tmp_path: Path) -> None:
    path = tmp_path / "mine.toml"
    assert run("new", "plain-strip", path).code == 0
    text = path.read_text(encoding="utf-8")
    assert read_text(text).garment == "plain-strip"
    again = run("new", "folded-strip-hood", path)
    assert again.code == 3
    assert "stays as it is" in again.err
    assert path.read_text(encoding="utf-8") == text


def test_a_new_design_on_the_screen(run: Run, tmp_path: Path) -> None:
    assert read_text(run("new", "plain-strip").out).garment == "plain-strip"
    assert read_text(run("new").out).garment == "folded-strip-hood"
    metric = run("new", "plain-strip", "--units", "centimetres").out
    assert read_text(metric).units == "centimetres"
    assert run("new", tmp_path / "a.toml").code == 0  # a file alone: the hood
    assert (tmp_path / "a.toml").is_file()
    assert "did you mean" in run("new", "plain-stripe").err


def test_the_schema_is_json(run: Run) -> None:
    assert run("schema").data == run("schema", "--json").data
    assert run("schema").data["$schema"].endswith("2020-12/schema")


# --- writing -------------------------------------------------------------------------------------


def test_files_appear_whole_or_not_at_all(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from pegwright.cli.writing import write_pack
    from pegwright.errors import BadInput

    write_pack(tmp_path, {"a.txt": b"before"})

    def broken(self: Path, target: Path) -> Path:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", broken)
    with pytest.raises(BadInput, match="cannot be written"):
        write_pack(tmp_path, {"a.txt": b"after"})
    assert [(p.name, p.read_bytes()) for p in tmp_path.iterdir()] == [("a.txt", b"before")]


@pytest.mark.parametrize(
    "name", ["../a.txt", "/a.txt", "a/b.txt", "..", ".hidden", "", "a\\b", "a\nb", "x" * 300]
)
def test_nothing_is_written_outside_the_folder(tmp_path: Path, name: str) -> None:
    from pegwright.cli.writing import write_pack
    from pegwright.errors import BadInput

    folder = tmp_path / "inside"
    with pytest.raises(BadInput, match="outside"):
        write_pack(folder, {"good.txt": b"1", name: b"2"})
    assert not folder.exists()


def test_a_link_in_the_folder_is_replaced_and_not_followed(tmp_path: Path) -> None:
    from pegwright.cli.writing import write_pack

    outside = tmp_path / "outside.txt"
    outside.write_bytes(b"mine")
    folder = tmp_path / "inside"
    folder.mkdir()
    (folder / "a.txt").symlink_to(outside)
    write_pack(folder, {"a.txt": b"new"})
    assert outside.read_bytes() == b"mine"
    assert (folder / "a.txt").read_bytes() == b"new"
    assert not (folder / "a.txt").is_symlink()
    assert stat.S_IMODE((folder / "a.txt").stat().st_mode) & 0o444


def test_a_folder_that_cannot_be_made(run: Run, tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    ran = run("make", "tern-point-scarf", "--out", tmp_path / "file")
    assert ran.code == 3
    assert re.search(r"cannot be written", ran.err)
