"""What is done with a board of the library, held against the command, sums by hand, and a ruler."""

from __future__ import annotations

import io
import re
import threading
import zipfile
from itertools import pairwise
from typing import Any

import pypdf
import pytest
from ezdxf.filemanagement import read
from ezdxf.units import MM
from fastapi import FastAPI
from starlette.testclient import TestClient

from pegwright.library.records import OwnBoard, OwnYarn, Record
from pegwright.loom.board import Arrangement, Loom
from pegwright.measured import Measured
from pegwright.refit.fits import tried
from pegwright.studio.records import board_fits
from pegwright.studio.state import Studio
from pegwright.yarn.yarn import Yarn
from tests.cli.ran import Run, runner
from tests.publish.pdf_paths import paths
from tests.studio.long_work import begun, ended

BOARD = ("--pegs", 44, "--pitch", "7/16 in", "--gap", "1 in", "--peg-diameter", "3/16 in")
WRAPS = ("--wraps-per-inch", 10)
TAPE = {
    "over_1": "18 13/16 in",
    "left_gap": "1 in, 1 in",
    "right_gap": "1 1/32 in",
    "diameters": "3/16 in, 3/16 in",
    "resolution": "1/64 in",
}


@pytest.fixture
def board(studio: Studio) -> Record:
    """The boathouse board with its spacers; bare, its rows stand 3/4 in apart."""
    loom = Loom(Arrangement.OPPOSED, 44, 11.1125, 25.4, 4.7625, 25.4, "boathouse board")
    return studio.library.put(OwnBoard(loom, None, 19.05, (6.35, 3.175)), notes="of ash")


@pytest.fixture
def yarn(studio: Studio) -> Record:
    return studio.library.put(OwnYarn(Yarn("Slipway", 4, 175, wraps_per_inch=10, invented=True)))


@pytest.fixture
def command(capsys: pytest.CaptureFixture[str]) -> Run:
    return runner(capsys)


def asked(client: TestClient, path: str, **values: str) -> Any:
    answer = client.get(path, params=values)
    assert answer.status_code == 200, answer.text
    return answer.json()


def refused(client: TestClient, path: str, **values: str) -> Any:
    answer = client.get(path, params=values)
    assert answer.status_code == 422, answer.text
    return answer.json()


def own_board(studio: Studio, record: Record) -> OwnBoard:
    body = studio.library.get(record.id).body
    assert isinstance(body, OwnBoard)
    return body


# --- the wrap test -------------------------------------------------------------------------------


def test_a_wrap_test_is_the_command_s(
    client: TestClient, board: Record, yarn: Record, command: Run
) -> None:
    found = asked(client, f"/api/boards/{board.id}/wrap-test", yarn=yarn.id)
    said = command("wrap-test", *BOARD, *WRAPS, "--json").data
    for name, value in said.items():
        assert found[name] == (pytest.approx(value) if isinstance(value, float) else value), name
    assert found["words"] == command("wrap-test", *BOARD, *WRAPS).out.strip()
    assert found["drew"] is None
    assert found["wanted"] is None
    assert [figure["key"] for figure in found["figures"]] == ["board", "wrap"]
    assert "15" in found["how"][0]


def test_what_the_board_drew_and_the_slack_of_the_hand(
    client: TestClient, board: Record, yarn: Record, command: Run
) -> None:
    path = f"/api/boards/{board.id}/wrap-test"
    taut_mm = asked(client, path, yarn=yarn.id)["length_mm"]
    drew = asked(client, path, yarn=yarn.id, measured="48 in")["drew"]
    said = command("wrap-test", *BOARD, *WRAPS, "--measured", "48 in", "--json").data
    assert (drew["suits"], drew["advice"]) == (said["suits"], said["advice"])
    assert drew["ratio"] == pytest.approx(said["ratio"])
    assert drew["slack"] == pytest.approx(48 * 25.4 / taut_mm)
    assert drew["slack_sd"] == pytest.approx(0.05), "one wrap says nothing of how far it varies"
    twice = asked(client, path, yarn=yarn.id, measured="47 in, 49 in")["drew"]
    assert twice["mean_mm"] == pytest.approx(48 * 25.4)
    # Two readings, 1 in to either side: variance 2 in²; the usual 0.05 counts as one degree beside.
    spread = 2 * (25.4 / taut_mm) ** 2
    assert twice["slack_sd"] == pytest.approx(((0.05**2 + spread) / 2) ** 0.5)


def test_the_slack_that_is_kept_is_a_design_s(
    client: TestClient, studio: Studio, board: Record, yarn: Record
) -> None:
    path = f"/api/boards/{board.id}/wrap-test"
    test = {"yarn": yarn.id, "measured": "51 in"}
    kept = client.post(f"{path}/slack", json={"revision": board.revision, "test": test})
    assert kept.status_code == 200, kept.text
    assert kept.json()["revision"] == board.revision + 1
    taut_mm = asked(client, path, yarn=yarn.id, slack="1")["length_mm"]
    own = own_board(studio, board)
    assert own.slack is not None
    assert own.slack == Measured(round(51 * 25.4 / taut_mm, 3), 0.05)
    assert studio.library.get(board.id).notes == "of ash"
    assert asked(client, path, yarn=yarn.id)["length_mm"] == pytest.approx(51 * 25.4, rel=1e-3)
    stale = client.post(f"{path}/slack", json={"revision": board.revision, "test": test})
    assert stale.status_code == 409

    design = client.post("/api/designs", json={"garment": "plain-strip"}).json()
    before = client.get(f"/api/designs/{design['id']}").json()
    take = {"revision": before["revision"], "record": board.id}
    after = client.post(f"/api/designs/{design['id']}/take", json=take).json()
    assert f"slack = {own.slack.value:g}" in after["text"]
    # The new design's yarn has 10 wraps to the inch, as Slipway: its wrap test draws what hers did.
    assert "draw about 51 in" in after["result"]["wrap_test"]
    assert "draw about 51 in" not in before["result"]["wrap_test"]


def test_the_gap_for_a_pattern_and_its_spacers(
    client: TestClient, studio: Studio, board: Record, yarn: Record, command: Run
) -> None:
    path = f"/api/boards/{board.id}/wrap-test"
    wanted = asked(client, path, yarn=yarn.id, wanted="47 in")["wanted"]
    spacers = ("--spacers", "1/4 in, 1/8 in", "--bare-gap", "3/4 in")
    said = command("wrap-test", *BOARD, *WRAPS, "--wanted", "47 in", *spacers, "--json").data
    assert wanted["gap_mm"] == pytest.approx(said["gap_mm"])
    assert wanted["stack"]["pieces_mm"] == said["spacers_mm"]
    assert wanted["stack"]["error_mm"] == pytest.approx(said["spacers_error_mm"])
    assert wanted["stack"]["gap_mm"] == pytest.approx(19.05 + sum(said["spacers_mm"]))
    keep = {"revision": board.revision, "test": {"yarn": yarn.id, "wanted": "47 in"}}
    assert client.post(f"{path}/gap", json=keep).status_code == 200
    assert own_board(studio, board).loom.gap_mm == pytest.approx(wanted["stack"]["gap_mm"])


def test_her_own_hand_sets_the_gap(client: TestClient, board: Record, yarn: Record) -> None:
    """Measured and wanted alike: the board suits, and the gap that gives it is its own."""
    path = f"/api/boards/{board.id}/wrap-test"
    found = asked(client, path, yarn=yarn.id, measured="48 in", wanted="48 in")
    assert found["drew"]["suits"]
    assert found["drew"]["ratio"] == pytest.approx(1)
    assert found["wanted"]["gap_mm"] == pytest.approx(25.4, abs=1e-3)


def test_a_length_that_no_gap_gives_is_told_with_the_nearest(
    client: TestClient, board: Record, yarn: Record
) -> None:
    path = f"/api/boards/{board.id}/wrap-test"
    wanted = asked(client, path, yarn=yarn.id, wanted="5 in")["wanted"]
    assert wanted["gap_mm"] is None
    assert "the nearest is" in wanted["words"][-1]
    keep = {"revision": board.revision, "test": {"yarn": yarn.id, "wanted": "5 in"}}
    assert client.post(f"{path}/gap", json=keep).json()["field"] == "wanted"


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"yarn": ""}, "yarn"),
        ({"over": "60"}, "over"),  # the board has 44
        ({"slack": "7"}, "slack"),
        ({"wrap": "e-wrap"}, "wrap"),  # for one row
        ({"measured": "long"}, "measured"),
        ({"measured": "3 in"}, "measured"),  # no hand draws so little
        ({"wanted": "0 in"}, "wanted"),
        ({"yarn_diameter": "9 mm"}, "yarn"),  # does not pass between the pegs
        ({"yarn": "gone"}, "yarn"),
    ],
)
def test_a_slip_is_told_at_its_field(
    client: TestClient, board: Record, yarn: Record, values: dict[str, str], field: str
) -> None:
    path = f"/api/boards/{board.id}/wrap-test"
    answer = client.get(path, params={"yarn": yarn.id, **values})
    assert answer.status_code in (404, 422)
    assert answer.json()["field"] == field


def test_one_row_of_pegs_has_no_gap_to_set(client: TestClient, studio: Studio) -> None:
    loom = Loom(Arrangement.RING, 60, 12.7, 0, 6.35, name="cap ring")
    ring = studio.library.put(OwnBoard(loom))
    found = asked(client, f"/api/boards/{ring.id}/wrap-test", category="4", wanted="40 in")
    assert found["wrap"] == "e-wrap"
    assert found["wanted"]["gap_mm"] is None
    assert found["wanted"]["words"][-1] == "One row of pegs has no gap to set."


def test_no_spacers_are_told_of(client: TestClient, studio: Studio, yarn: Record) -> None:
    loom = Loom(Arrangement.OPPOSED, 20, 11.1125, 25.4, 4.7625)
    bare = studio.library.put(OwnBoard(loom))
    found = asked(client, f"/api/boards/{bare.id}/wrap-test", yarn=yarn.id, wanted="47 in")
    assert found["wanted"]["stack"] is None
    assert "Note with the board" in found["wanted"]["words"][-1]


# --- measuring -----------------------------------------------------------------------------------


def test_measuring_is_the_command_s(client: TestClient, board: Record, command: Run) -> None:
    found = asked(client, f"/api/boards/{board.id}/reading", **TAPE)
    said = command(
        "board", "measure", "--pegs", 44, "--over-pegs", "44=18 13/16 in", "--left-gap",
        "1 in, 1 in", "--right-gap", "1 1/32 in", "--diameters", "3/16 in, 3/16 in",
        "--resolution", "1/64 in", "--json",
    ).data  # fmt: skip
    for name, there in (("pitch", "pitch_mm"), ("gap", "gap_mm"), ("diameter", "peg_diameter_mm"),
                        ("skew", "skew_mm")):  # fmt: skip
        assert found[name] == pytest.approx(said[there]), name
    assert [f["name"] for f in found["findings"]] == [f["name"] for f in said["findings"]]
    assert found["fit"] == said["fit"]
    # By hand: 18 13/16 in over 43 spaces; the gap half-way between both ends.
    assert found["pitch"]["value"] == pytest.approx(18.8125 * 25.4 / 43)
    assert found["gap"]["value"] == pytest.approx((1 + 1.03125) / 2 * 25.4)


def test_what_was_measured_is_kept(client: TestClient, studio: Studio, board: Record) -> None:
    body = {"revision": board.revision, "reading": TAPE}
    kept = client.post(f"/api/boards/{board.id}/reading/keep", json=body)
    assert kept.status_code == 200, kept.text
    own, notes = own_board(studio, board), studio.library.get(board.id).notes
    assert own.loom.name == "boathouse board"
    assert own.loom.pegs == 44
    assert own.loom.gap_mm == pytest.approx(25.8, abs=0.01)
    assert own.spacers_mm == (6.35, 3.175)
    assert notes.startswith("of ash\nMeasured: Pitch: 7/16 in")
    assert "±" in notes


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"over_1": ""}, "over_1"),
        ({"pegs_1": "60"}, "pegs_1"),
        ({"pegs_1": "1"}, "pegs_1"),
        ({"left_gap": ""}, "left_gap"),
        ({"right_gap": ""}, "right_gap"),
        ({"left_gap": "1/16 in", "right_gap": "1/16 in"}, "left_gap"),  # narrower than a peg
        ({"diameters": "thick"}, "diameters"),
        ({"resolution": "0 in"}, "resolution"),
        ({"pegs_2": "10", "over_2": "wide"}, "over_2"),
    ],
)
def test_a_slip_of_the_tape_is_told_at_its_field(
    client: TestClient, board: Record, values: dict[str, str], field: str
) -> None:
    path = f"/api/boards/{board.id}/reading"
    assert refused(client, path, **{**TAPE, **values})["field"] == field


# --- building ------------------------------------------------------------------------------------


def plan_files(client: TestClient, board: Record, which: str, **values: str) -> Any:
    answer = client.get(f"/api/boards/{board.id}/plan/files/{which}", params=values)
    assert answer.status_code == 200, answer.text
    return answer


def test_a_plan_is_the_command_s(
    client: TestClient, board: Record, yarn: Record, command: Run, tmp_path: Any
) -> None:
    """The same files, byte for byte, and the cautions on the page."""
    wood = {"wood_thickness": "22 mm", "end_margin": "2 in", "gaps": "1 1/4 in", "yarn": yarn.id}
    view = asked(client, f"/api/boards/{board.id}/plan", **wood)
    command(
        "board", "plan", "--name", "boathouse board", *BOARD, "--peg-height", "1 in", "--spacers",
        "1/4 in, 1/8 in", "--row-offset", "3/8 in", "--wood-thickness", "22 mm", "--end-margin",
        "2 in", "--gaps", "1 1/4 in", *WRAPS, "--out", tmp_path / "out",
    )  # fmt: skip
    pack = zipfile.ZipFile(io.BytesIO(plan_files(client, board, "pack", **wood).content))
    assert set(pack.namelist()) == {path.name for path in (tmp_path / "out").iterdir()}
    for path in (tmp_path / "out").iterdir():
        assert pack.read(path.name) == path.read_bytes(), path.name
    sections = {section["key"]: section for section in view["plan"]["sections"]}
    cautions = sections["cautions"]["blocks"][0]["cautions"]
    assert {"Sawing", "Drilling", "Dust"} <= {caution["title"] for caution in cautions}
    assert all(caution["source"] for caution in cautions)
    facts = {fact["name"]: fact["words"] for block in sections["overview"]["blocks"]
             for fact in block["facts"]}  # fmt: skip
    assert facts["Pegs"] == "44 a side, 88 in all"
    assert "draws" in facts["Wrap test, taut"]
    assert list(sections) == ["overview", "cautions", "parts", "spacers", "steps", "places"]
    assert view["drills"]


def test_the_printed_template_is_at_true_scale(client: TestClient, board: Record) -> None:
    """Read back from the PDF's own drawing operators, as a steel rule would."""
    answer = plan_files(client, board, "pdf", download="false")
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"].startswith("inline")
    squares, pitches = 0, []
    for page in pypdf.PdfReader(io.BytesIO(answer.content)).pages:
        if "Drilling template, sheet" not in page.extract_text():
            continue
        drawn = list(paths(page))
        squares += sum(all(abs(side - 50) < 0.02 for side in path.size) for path in drawn)
        holes = sorted(p.centre for p in drawn if p.is_circle and abs(p.size[0] - 4.7625) < 0.02)
        pitches += [b[0] - a[0] for a, b in pairwise(holes)]
    assert squares >= 2, "every sheet carries the square of 50 mm"
    assert pitches == pytest.approx([11.1125] * len(pitches), abs=0.05)
    assert len(pitches) >= 40


def test_the_drawing_for_a_machine_is_at_true_scale(client: TestClient, board: Record) -> None:
    made = read(io.StringIO(plan_files(client, board, "dxf").content.decode()))
    assert made.units == MM
    assert not made.audit().errors
    centres = [c.dxf.center for c in made.modelspace().query('CIRCLE[layer=="HOLES"]')]
    rows = sorted({round(c.y, 4) for c in centres})
    assert len(centres) == 88
    assert rows[1] - rows[0] == pytest.approx(25.4, abs=1e-3)
    front = sorted(c.x for c in centres if round(c.y, 4) == rows[0])
    assert front[-1] - front[0] == pytest.approx(43 * 11.1125, abs=1e-6)


def test_the_template_as_a_drawing_is_at_true_scale(client: TestClient, board: Record) -> None:
    """A unit is a CSS pixel, 1/96 in (CSS Values and Units)."""
    svg = plan_files(client, board, "svg").text
    assert svg == asked(client, f"/api/boards/{board.id}/plan")["template"]
    circles = re.findall(r'<circle cx="([\d.]+)" cy="[\d.]+" r="([\d.]+)"', svg)
    holes = sorted(float(x) / 96 * 25.4 for x, r in circles
                   if float(r) * 2 / 96 * 25.4 == pytest.approx(4.7625, abs=0.01))  # fmt: skip
    assert len(holes) == 44
    assert holes[-1] - holes[0] == pytest.approx(43 * 11.1125, abs=0.02)


def test_what_cannot_be_built_comes_with_the_nearest(client: TestClient, board: Record) -> None:
    path = f"/api/boards/{board.id}/plan"
    view = asked(client, path, gap="4 mm", row_offset="3/8 in")
    assert view["plan"] is None
    assert "no wider than a peg" in view["problems"][0]["what"]
    again = asked(client, path, **{"row_offset": "3/8 in", **view["nearest"]})
    assert again["problems"] == []
    assert again["plan"] is not None
    answer = client.get(f"{path}/files/pdf", params={"gap": "4 mm"})
    assert answer.status_code == 422


def test_the_gap_from_a_wrap_test(client: TestClient, board: Record, command: Run) -> None:
    path = f"/api/boards/{board.id}/plan"
    view = asked(client, path, category="4", wanted="45 in", row_offset="3/8 in")
    facts = {fact["name"]: fact["words"] for block in view["plan"]["sections"][0]["blocks"]
             for fact in block["facts"]}  # fmt: skip
    assert "draws 45 in" in facts["Wrap test, taut"].replace("\N{NO-BREAK SPACE}", " ")
    assert refused(client, path, wanted="45 in")["field"] == "wanted", "for which yarn?"


def test_how_exactly_to_drill_is_the_command_s(
    app: FastAPI, client: TestClient, board: Record, yarn: Record, command: Run
) -> None:
    body = {"yarn": yarn.id, "part": "0.02", "sure": "0.95"}
    job = client.post(f"/api/boards/{board.id}/tolerance", json=body)
    assert job.status_code == 202, job.text
    found = ended(app, client, job)
    said = command(
        "board", "tolerance", *BOARD, *WRAPS, "--part", 0.02, "--sure", 0.95, "--json"
    ).data
    for name in ("drilling_mm", "sd_mm", "linear_sd_mm", "sampled_sd_mm", "meet_sd_mm", "gap_mm"):
        assert found[name] == pytest.approx(said[name]), name
    assert found["words"][0].startswith("Drill every hole within")
    bare = client.post(f"/api/boards/{board.id}/tolerance", json={})
    assert bare.json()["field"] == "yarn"


@pytest.mark.parametrize(
    ("values", "field"),
    [
        ({"pitch": "wide"}, "pitch"),
        ({"gap": "0 in"}, "gap"),
        ({"drill": "7 mm"}, "drill"),  # a peg would stand loose
        ({"kerf": "2 in"}, "kerf"),
        ({"pegs": "0"}, "pegs"),
        ({"peg": "twig"}, "peg"),
        ({"seat": "-1 mm"}, "seat"),
        ({"spacers": "thin"}, "spacers"),
        ({"slack": "9"}, "slack"),
    ],
)
def test_a_slip_in_the_plan_is_told_at_its_field(
    client: TestClient, board: Record, values: dict[str, str], field: str
) -> None:
    path = f"/api/boards/{board.id}/plan"
    assert refused(client, path, **values)["field"] == field


# --- what fits -----------------------------------------------------------------------------------


def test_what_fits_is_the_command_s(
    app: FastAPI, client: TestClient, board: Record, yarn: Record, command: Run
) -> None:
    job = client.post(f"/api/boards/{board.id}/fits", json={"yarn": yarn.id})
    assert job.status_code == 202, job.text
    found = ended(app, client, job)
    said = command("what-fits", *BOARD, "--category", 4, "--metres", 175, *WRAPS, "--json").data
    names = ("garment", "fits", "why", "pegs", "rows")
    assert [[f[n] for n in names] for f in found["fits"]] == [[f[n] for n in names] for f in said]
    assert [f["size"] or None for f in found["fits"]] == [f["size"] for f in said]
    assert not found["stopped"]
    assert found["summary"].startswith(f"{sum(f['fits'] is True for f in said)} of ")


def test_a_row_starts_a_design_that_comes_out_as_it_says(
    app: FastAPI, client: TestClient, studio: Studio, board: Record, yarn: Record
) -> None:
    studio.library.put(
        OwnBoard(own_board(studio, board).loom, Measured(1.1, 0.04)),
        record_id=board.id,
        expected=board.revision,
    )
    for garment in ("folded-strip-hood", "plain-strip", "gathered-hat"):
        job = client.post(f"/api/boards/{board.id}/fits",
                          json={"yarn": yarn.id, "garment": garment})  # fmt: skip
        fit = next(f for f in ended(app, client, job)["fits"] if f["fits"])
        body = {"yarn": yarn.id, "garment": garment, "size": fit["size"], "wrap": fit["wrap"]}
        made = client.post(f"/api/boards/{board.id}/start", json=body)
        assert made.status_code == 201, made.text
        view = client.get(f"/api/designs/{made.json()['id']}").json()
        assert view["result"]["proved"]
        assert 'name = "boathouse board"' in view["text"]
        assert "slack = 1.1" in view["text"]
        assert 'name = "Slipway"' in view["text"]
        (size,) = view["result"]["sizes"]
        assert size["name"] == fit["size"].partition(",")[0]
        counts = [re.findall(r"\d+", count["words"]) for count in size["counts"]]
        assert [[int(n) for n in count[:2]] for count in counts] == [
            [pegs, rows] for pegs, rows in zip(fit["pegs"], fit["rows"], strict=True)
        ]


def test_without_a_standard_size_the_usual_measures_are_there_to_be_changed(
    client: TestClient, board: Record, yarn: Record
) -> None:
    body = {"yarn": yarn.id, "garment": "cowl"}
    made = client.post(f"/api/boards/{board.id}/start", json=body)
    assert made.status_code == 201, made.text
    text = client.get(f"/api/designs/{made.json()['id']}").json()["text"]
    assert "neck = " in text


def test_trying_everything_can_be_stopped(
    app: FastAPI, client: TestClient, board: Record, yarn: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """What was tried until then is shown."""
    first = threading.Event()

    def slow(*given: Any) -> Any:
        if first.is_set():
            assert stopped.wait(60)
        first.set()
        return tried(*given)

    stopped = threading.Event()
    monkeypatch.setattr(board_fits, "tried", slow)
    answer = client.post(f"/api/boards/{board.id}/fits", json={"yarn": yarn.id})
    job = begun(app, answer)
    assert first.wait(60)
    job.stop()
    stopped.set()
    found = ended(app, client, answer)
    assert found["stopped"]
    assert len(found["fits"]) in (1, 2), "the one that was under way is finished"


@pytest.mark.parametrize(
    ("body", "field"),
    [
        ({"size": "no such"}, "size"),
        ({"wrap": "no such"}, "wrap"),
        ({"units": "ells"}, "units"),
    ],
)
def test_a_design_that_cannot_be_started(
    client: TestClient,
    studio: Studio,
    board: Record,
    yarn: Record,
    body: dict[str, str],
    field: str,
) -> None:
    whole = {"yarn": yarn.id, "garment": "headband", **body}
    answer = client.post(f"/api/boards/{board.id}/start", json=whole)
    assert (answer.status_code, answer.json()["field"]) == (422, field)
    swapped = {**whole, "yarn": board.id}
    assert client.post(f"/api/boards/{board.id}/start", json=swapped).status_code == 404


# --- pages ---------------------------------------------------------------------------------------


def test_the_record_leads_to_its_pages(client: TestClient, board: Record, yarn: Record) -> None:
    page = client.get(f"/library/board/{board.id}").text
    for key in ("wrap-test", "measure", "build", "fits"):
        address = f"/library/board/{board.id}/{key}"
        assert f'href="{address}"' in page
        shown = client.get(address)
        assert shown.status_code == 200
        assert f'href="{address}" aria-current="page"' in shown.text
        assert client.get(f"/library/board/{yarn.id}/{key}").status_code == 404
    assert "With this board" not in client.get("/library/board/new").text
