"""Shots: every loop of the run lies in one of them, and rows and loops are those of the loom."""

from __future__ import annotations

import csv
import io
import json
from dataclasses import replace

import pytest

from pegwright.knitting.operations import CutYarn
from pegwright.knitting.run import execute
from pegwright.knitting.script import Script, flatten
from pegwright.lesson.cue_page import cue_page
from pegwright.lesson.cue_sheet import cue_sheet, sheet_csv, sheet_json
from pegwright.lesson.shots import shots_of
from pegwright.lesson.template import Speed, Template, Words
from tests.lesson.conftest import Proved


def until(script: Script, step: int, operations: int) -> Script:
    """The script up to so many operations of a step, written out: run afresh as an oracle."""
    steps = [s for s in script.steps if s.number < step]
    here = next(s for s in script.steps if s.number == step)
    return replace(script, steps=(*steps, replace(here, work=flatten(here.work)[:operations])))


def first_index(script: Script, step: int) -> int:
    return sum(len(flatten(s.work)) for s in script.steps if s.number < step)


def test_every_loop_is_filmed_or_made_off_camera(any_design: Proved) -> None:
    shots = shots_of(any_design.size.plan.script, 25.0)
    last = sum(shot.loops + shot.loops_before for shot in shots)
    assert last == any_design.size.run.fabric.loops


def test_every_step_belongs_to_a_shot(any_design: Proved) -> None:
    script = any_design.size.plan.script
    numbers = [n for shot in shots_of(script, 25.0) for n in shot.steps]
    assert sorted(set(numbers)) == [step.number for step in script.steps]


def test_rows_before_filming_are_those_of_a_run_that_stops_there(any_design: Proved) -> None:
    script = any_design.size.plan.script
    for shot in shots_of(script, 25.0):
        step = shot.work.step.number
        begun = shot.work.first - first_index(script, step)
        for operations, rows in ((begun, shot.rows_before), (None, None)):
            if operations is None:
                ended = shot.work.last - first_index(script, step)
                operations, rows = ended, shot.rows_after
            assert execute(until(script, step, operations)).piece(shot.piece).rows == rows


def test_loops_on_the_board_are_those_of_a_run_that_stops_there(hood: Proved) -> None:
    """The run says at its end how many loops are left on the loom, piece by piece."""
    script = hood.size.plan.script
    for shot in shots_of(script, 25.0):
        step = shot.work.step.number
        stopped = execute(until(script, step, shot.work.first - first_index(script, step)))
        told = [f.what for f in stopped.findings if f.name == "left-on-loom"]
        left = sum([int(what.partition(" ")[0]) for what in told])
        assert left == shot.board_loops, shot


def test_what_is_on_the_board_is_said_peg_by_peg(hood: Proved) -> None:
    by_key = {(s.work.step.key, s.work.part): s for s in shots_of(hood.size.plan.script, 25.0)}
    assert by_key["cast-on", "whole"].board == "Nothing is on the board."
    rows = by_key["rows", "last row"]
    assert rows.board.startswith("Pegs F1 to F28 and B1 to B28 hold one loop each.")
    assert "anchor cord" in rows.board
    cord = by_key["cord", "whole"].board
    assert "F4 to F28 and B4 to B28 hold one loop" in cord
    assert "F3 and B3 hold three loops" in cord
    assert by_key["fold", "whole"].board == "Nothing is on the board."


def test_a_long_run_of_rows_is_shown_at_its_start_and_its_end(hood: Proved) -> None:
    shots = [s for s in shots_of(hood.size.plan.script, 25.0) if s.work.step.key == "rows"]
    assert [(s.rows_before, s.rows_after) for s in shots] == [(1, 3), (99, 100)]
    assert shots[1].loops_before == 96 * 56  # rows 4 to 99 on 28 pegs a side


def test_of_many_stripes_three_are_shown(blanket: Proved) -> None:
    shots = [s for s in shots_of(blanket.size.plan.script, 25.0) if s.work.step.key == "stripe"]
    assert [s.work.step.number for s in shots] == [3, 3, 4, 4, 33]
    assert shots[-1].steps == tuple(range(5, 34))


def test_minutes_follow_the_pace(hood: Proved) -> None:
    slow, fast = (shots_of(hood.size.plan.script, pace) for pace in (20.0, 40.0))
    for a, b in zip(slow, fast, strict=True):
        assert a.before_minutes == pytest.approx(2 * b.before_minutes)
    assert slow[3].before_minutes == pytest.approx(96 * 56 / 20)
    making_up = sum(s.minutes for s in slow if not s.loops)
    assert making_up == pytest.approx(45.0)  # planning.pace.MAKING_UP, an assumption, no source


def test_the_minutes_are_those_of_the_pattern(any_design: Proved) -> None:
    shots = shots_of(any_design.size.plan.script, 25.0)
    whole = sum(s.minutes + s.before_minutes for s in shots)
    assert whole == pytest.approx(any_design.size.minutes, abs=2.5)  # there to the next five


def test_cutting_takes_less_than_sewing(hood: Proved) -> None:
    by_key = {s.work.step.key: s for s in shots_of(hood.size.plan.script, 25.0)}
    assert any(isinstance(o, CutYarn) for o in flatten(by_key["cut"].work.step.work))
    assert by_key["cut"].minutes < by_key["seam"].minutes


# --- the cue sheet -------------------------------------------------------------------------------


def test_cues_follow_one_another_without_a_gap(any_design: Proved) -> None:
    at = 0
    for number, cue in enumerate(any_design.sheet.cues, start=1):
        assert (cue.number, cue.start_s) == (number, at)
        assert cue.seconds >= 10
        at += cue.seconds
    assert any_design.sheet.seconds == at


def test_there_is_time_for_what_is_said(any_design: Proved) -> None:
    for cue in any_design.sheet.cues:
        words = sum(len(sentence.split()) for sentence in cue.narration)
        assert words / cue.seconds * 60 <= 130.0, cue.title


def test_a_slower_voice_makes_a_longer_lesson(hood: Proved) -> None:
    slow = Template(speed=Speed(words_per_minute=90.0))
    assert cue_sheet(hood.one, hood.single, slow).seconds > hood.sheet.seconds


def test_words_of_the_template_are_said(hood: Proved) -> None:
    words = Words(
        channel="The boathouse bench", opening="{channel} shows {title}.", materials="Kit"
    )
    sheet = cue_sheet(hood.one, hood.single, Template(words))
    assert sheet.cues[0].narration[0] == "The boathouse bench shows Tern Point hood."
    assert "Kit" in {title for _, title in sheet.chapters()}


def test_the_narration_says_the_steps_of_the_pattern(hood: Proved) -> None:
    said = " ".join(sentence for cue in hood.sheet.cues for sentence in cue.narration)
    for step in hood.single.steps():
        assert step.text[0] in said, step.number


def test_json_and_csv_hold_the_same_cues(any_design: Proved) -> None:
    data = json.loads(sheet_json(any_design.sheet))
    rows = list(csv.DictReader(io.StringIO(sheet_csv(any_design.sheet).decode("utf-8"))))
    assert len(data["cues"]) == len(rows) == len(any_design.sheet.cues)
    for cue, row in zip(data["cues"], rows, strict=True):
        assert row["number"] == str(cue["number"])
        assert row["start_s"] == str(cue["start_s"])
        assert row["narration"] == " ".join(cue["narration"])
        assert row["rows_before"] == ("" if cue["rows_before"] is None else str(cue["rows_before"]))
        assert cue["camera"] in ("from above", "close")


def test_a_cell_is_never_reckoned_by_a_spreadsheet(hood: Proved) -> None:
    cue = replace(hood.sheet.cues[0], narration=("=1+1",))
    made = sheet_csv(replace(hood.sheet, cues=(cue,))).decode("utf-8")
    row = next(csv.DictReader(io.StringIO(made)))
    assert row["narration"].startswith("'=")


def test_the_printed_sheet_says_every_shot(hood: Proved) -> None:
    page = cue_page(hood.sheet).decode("utf-8")
    assert page.count('scope="row"') == len(hood.sheet.cues)
    for cue in hood.sheet.cues:
        assert f">{cue.title}</span>" in page
    assert "<script" not in page
    assert "http" not in page
