"""Measurements of the lesson pack: the demo's, films and all, in this process."""

from __future__ import annotations

from bench.core import DEMO_DESIGN
from bench.harness import Row, median_seconds

__all__ = ["rows"]


def rows() -> list[Row]:
    """The area's rows."""
    from pegwright.designs.files import read_any
    from pegwright.lesson.pack import FILM, lesson_pack
    from pegwright.lesson.scene_frames import frame_count
    from pegwright.lesson.wrap_scene import wrap_scene
    from pegwright.making import make, source_of

    made, pattern = make(read_any(DEMO_DESIGN))
    assert pattern is not None
    source = source_of(made)
    whole = median_seconds(lambda: lesson_pack(source, pattern), repeats=1, warm_ups=0)
    pack = lesson_pack(source, pattern, films=False)
    still = median_seconds(lambda: lesson_pack(source, pattern, films=False), repeats=1, warm_ups=0)
    frames = frame_count(wrap_scene(source), FILM.fps)
    return [
        Row("lesson.pack_s", whole, "s", 30),
        Row("lesson.pack_without_films_s", still, "s"),
        Row("lesson.pack_files", len(pack.files), "files"),
        Row("lesson.wrap_frames", frames, "frames"),
    ]
