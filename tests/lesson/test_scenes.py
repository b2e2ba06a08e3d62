"""Moving pictures: the yarn's own way and order, the frames' moments, stillness where asked for."""

from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from itertools import pairwise
from math import dist

import numpy as np
import pytest

from pegwright.errors import NotPossible
from pegwright.knitting.drawn import block_lengths
from pegwright.knitting.fabric import Block
from pegwright.knitting.run import execute
from pegwright.lesson.film import codec_at_hand, gif, mp4
from pegwright.lesson.knit_over_scene import knit_over_scene
from pegwright.lesson.raster import svg_dots
from pegwright.lesson.scene import Pop, Pose, Scene, Stroke, part_of
from pegwright.lesson.scene_frames import frame_count, frames
from pegwright.lesson.scene_svg import scene_svg, still_svg
from pegwright.lesson.template import USUAL
from pegwright.lesson.wrap_scene import row_of, wrap_scene
from pegwright.loom.board import Loom
from pegwright.publish.drawing import Circle, Fill, LineKind, Rect
from tests.lesson.conftest import Proved
from tests.studio.browser import browser, needs_browser

STYLE = USUAL.colours.style()
SVG = "{http://www.w3.org/2000/svg}"

SMALL = Scene(
    key="small",
    title="A line and two dots",
    words="A line is drawn; then a dot comes, and a square takes its turn.",
    width=64.0,
    height=36.0,
    seconds=2.0,
    ground=(Rect(2, 2, 60, 32, LineKind.DIMENSION, Fill.PAPER),),
    strokes=(Stroke(((8.0, 10.0), (56.0, 10.0)), LineKind.YARN_FIRST, 0.05, 1.0),),
    pops=(Pop((Circle(12, 26, 4, None, Fill.INK),), 1.2, 1.8),),
    poses=(
        Pose((Rect(30, 20, 8, 8, None, Fill.YARN_SECOND),), 0.4),
        Pose((Rect(40, 22, 8, 8, None, Fill.INK),), 1.4),
    ),
    still_s=1.3,
)


# --- taken from the run --------------------------------------------------------------------------


def length(points: tuple[tuple[float, float], ...]) -> float:
    return sum(dist(a, b) for a, b in pairwise(points))


def test_the_row_is_one_of_the_run(any_design: Proved) -> None:
    script = any_design.size.plan.script
    row = row_of(script)
    visits = [
        visit
        for block, _ in execute(script).fabric.walk()
        if block.piece == 0
        for visit, number in zip(block.visits, block.rows, strict=True)
        if number == row.number
    ]
    assert row.visits == tuple(visits[: len(row.visits)])
    assert len({v.peg for v in row.visits}) == len(row.visits)
    assert sorted(row.knitted) == sorted(v.peg for v in row.visits)


def test_the_drawn_yarn_is_as_long_as_the_run_draws_it(headband: Proved) -> None:
    """The headband's nine pegs a side need no break, so all of the row's yarn is to be seen."""
    scene = wrap_scene(headband.one)
    row = row_of(headband.size.plan.script)
    yarn = headband.source.yarns[headband.source.use["body"]]
    loom: Loom = headband.source.loom
    scale = {round(s, 6) for s in scales(scene, headband)}
    assert len(scale) == 1
    drawn_mm = sum(length(s.points) for s in scene.strokes) / scale.pop()
    block = Block(0, 0, 0, 0, row.before, row.visits, (), (), (), (), ())
    taut_mm = float(block_lengths(loom, block, yarn.wrapped_diameter_mm).sum())
    # The run counts the arc on the last peg to the next row, and that on the peg before to this.
    arc_mm = 3.2 * (loom.peg_diameter_mm + yarn.wrapped_diameter_mm) / 2
    assert drawn_mm == pytest.approx(taut_mm, abs=arc_mm)
    assert drawn_mm > 10 * arc_mm


def scales(scene: Scene, proved: Proved) -> list[float]:
    """Units to a millimetre, from the pegs that are drawn: neighbours stand a pitch apart."""
    circles = [m for g in scene.ground for m in getattr(g, "marks", ()) if isinstance(m, Circle)]
    top = sorted(c.cx for c in circles if c.cy == circles[0].cy)
    return [(b - a) / proved.source.loom.pitch_mm for a, b in pairwise(top)]


def test_the_yarn_runs_at_one_speed(hood: Proved) -> None:
    speeds = [length(s.points) / (s.end_s - s.start_s) for s in wrap_scene(hood.one).strokes]
    assert max(speeds) == pytest.approx(min(speeds), rel=1e-6)


def test_a_number_comes_when_the_yarn_is_there(hood: Proved) -> None:
    scene = wrap_scene(hood.one)
    starts = [pop.start_s for pop in scene.pops]
    assert starts == sorted(starts)
    numbers = [int(getattr(pop.marks[0], "words", "0")) for pop in scene.pops]
    assert numbers == sorted(numbers)
    assert (numbers[0], numbers[-1]) == (1, 56)


def test_pegs_are_knitted_over_in_the_order_of_the_run(hood: Proved) -> None:
    scene = knit_over_scene(hood.one)
    assert scene is not None
    row = row_of(hood.size.plan.script)
    names = [hood.source.loom.address(p) for p in row.knitted]
    assert names[:3] == ["F1", "B2", "F3"]
    said = list(
        dict.fromkeys(
            getattr(m, "words", "")
            for pose in scene.poses
            for m in pose.marks
            if re.fullmatch(r"[FB]\d+", getattr(m, "words", ""))
        )
    )
    assert said == [name for name in names if name in said]
    assert said[:3] == names[:3]


# --- moments -------------------------------------------------------------------------------------


def test_part_of_a_line_is_measured_along_it() -> None:
    line = ((0.0, 0.0), (3.0, 0.0), (3.0, 4.0))
    assert part_of(line, 0.0) == ()
    assert part_of(line, 1.0) == line
    assert part_of(line, 5 / 7) == ((0.0, 0.0), (3.0, 0.0), (3.0, 2.0))


def test_what_is_to_be_seen_at_each_moment() -> None:
    counts = [len(SMALL.marks_at(t)) for t in (0.0, 0.2, 0.5, 1.3, 1.9)]
    # ground; + line; + first pose; + dot; the dot is gone, the second pose stands for the first
    assert counts == [1, 2, 3, 4, 3]


@pytest.mark.parametrize("scene", ["small", "wrap"])
def test_frames_are_the_scene_painted_at_their_moments(scene: str, headband: Proved) -> None:
    """The quick way of frames against painting the scene afresh."""
    shown = SMALL if scene == "small" else wrap_scene(headband.one)
    fps = 10
    for i, dots in enumerate(frames(shown, STYLE, width_px=320, fps=fps)):
        if i % (3 if scene == "small" else 29):
            continue
        plain = svg_dots(still_svg(shown, STYLE, i / fps), 320, STYLE.paper)[:180]
        far = np.abs(dots.astype(int) - plain.astype(int)).max(axis=2) > 90
        assert far.mean() < 0.006, i


def test_there_are_as_many_frames_as_seconds_ask_for() -> None:
    assert frame_count(SMALL, 20) == 40
    assert len(list(frames(SMALL, STYLE, width_px=64, fps=20))) == 40


@pytest.mark.parametrize("fps", [10, 20])
def test_a_scene_ends_on_a_whole_frame(fps: int, any_design: Proved) -> None:
    scene = wrap_scene(any_design.one)
    assert scene.seconds * fps == pytest.approx(round(scene.seconds * fps), abs=1e-6)


# --- SVG -----------------------------------------------------------------------------------------


def test_the_svg_stands_alone(hood: Proved) -> None:
    made = scene_svg(wrap_scene(hood.one), STYLE)
    root = ET.fromstring(made)
    assert not list(root.iter(f"{SVG}script"))
    text = made.decode("utf-8")
    refs = re.findall(r"""url\(["']?([^)"']+)|href=["']([^"']+)""", text)
    assert refs
    assert all((a or b).startswith(("#", "data:")) for a, b in refs), refs
    assert root.findtext(f"{SVG}title")
    assert root.findtext(f"{SVG}desc")
    assert len(made) < 200_000


def test_the_svg_is_still_where_less_motion_is_asked_for() -> None:
    made = scene_svg(SMALL, STYLE).decode("utf-8")
    assert "@media (prefers-reduced-motion:reduce){.m{animation:none!important}}" in made
    root = ET.fromstring(made)
    shown = [
        "opacity:1" in (group.get("style") or "")
        for group in root.iter(f"{SVG}g")
        if group.get("class") == "m o"
    ]
    # At 1.3 s: the dot is there, and the first pose.
    assert shown == [True, True, False]
    assert "stroke-dashoffset:0" in next(
        p.get("style") or "" for p in root.iter(f"{SVG}path") if p.get("class") == "m d"
    )


@pytest.mark.browser
@needs_browser()
def test_a_browser_moves_it_and_holds_it_still() -> None:
    made = scene_svg(SMALL, STYLE).decode("utf-8")
    with browser() as chromium:
        page = chromium.new_page(viewport={"width": 400, "height": 240})
        page.set_content(f"<body style='margin:0'>{made}</body>")
        offset = "getComputedStyle(document.querySelector('path.m')).strokeDashoffset"

        def looked_at(times: int) -> set[str]:
            seen = set()
            for _ in range(times):
                page.wait_for_timeout(150)
                seen.add(str(page.evaluate(offset)))
            return seen

        assert len(looked_at(6)) > 2
        page.emulate_media(reduced_motion="reduce")
        assert looked_at(3) == {"0px"}
        page.close()


# --- films ---------------------------------------------------------------------------------------


def decoded(data: bytes) -> tuple[list[np.ndarray], float, str, str]:
    """Frames, seconds, codec and form of dots, as PyAV reads them back."""
    import io

    import av

    with av.open(io.BytesIO(data), "r") as box:
        stream = box.streams.video[0]
        shown = list(box.decode(stream))
        assert box.duration is not None
        seconds = box.duration / 1_000_000
        form = str(stream.codec_context.pix_fmt)
        return [f.to_ndarray(format="rgb24") for f in shown], seconds, str(stream.name), form


def test_the_film_has_every_frame_and_its_exact_length() -> None:
    told: list[int] = []
    made = mp4(
        frames(SMALL, STYLE, width_px=320, fps=20),
        width=320,
        height=180,
        fps=20,
        told=told.append,
    )
    shown, seconds, _, form = decoded(made)
    assert len(shown) == 40
    assert seconds == pytest.approx(2.0, abs=1e-6)
    assert form == "yuv420p"
    assert shown[0].shape == (180, 320, 3)
    assert told == list(range(1, 41))
    assert codec_at_hand() in ("libx264", "libopenh264", "mpeg4")


def test_the_gif_has_every_frame_and_its_exact_length() -> None:
    made = gif(frames(SMALL, STYLE, width_px=320, fps=10), width=320, height=180, fps=10)
    shown, seconds, _, _ = decoded(made)
    assert made[:6] == b"GIF89a"
    assert b"NETSCAPE2.0" in made  # it goes round and round
    assert len(shown) == 20
    assert seconds == pytest.approx(2.0, abs=1e-6)


@pytest.mark.parametrize("form", ["mp4", "gif"])
def test_the_film_shows_the_scene(form: str) -> None:
    writer = mp4 if form == "mp4" else gif
    made = writer(frames(SMALL, STYLE, width_px=320, fps=10), width=320, height=180, fps=10)
    shown = decoded(made)[0]

    def is_inked(i: int, x: float, y: float) -> bool:
        return bool(shown[i][int(y * 5), int(x * 5)].max() < 150)

    assert [is_inked(i, 32, 10) for i in (0, 4, 6, 19)] == [False, False, True, True]
    assert [is_inked(i, 12, 26) for i in (11, 13, 19)] == [False, True, False]
    assert [is_inked(i, 44, 26) for i in (13, 15)] == [False, True]


def test_a_missing_library_is_told_of(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(__import__("sys").modules, "av", None)
    with pytest.raises(NotPossible) as refused:
        mp4(iter(()), width=2, height=2, fps=10)
    assert "pegwright[lesson]" in (refused.value.hint or "")
