"""The conductor of this room: a proved pattern and a template in, every file of the pack out.

Everything is made in memory; whoever writes the files writes each of them whole.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace

from pegwright.designs.problems import check_size
from pegwright.errors import Finding
from pegwright.lesson import captions, cue_sheet, describe
from pegwright.lesson.card import cards_of
from pegwright.lesson.card_layout import Page, Shape, pages
from pegwright.lesson.cue_page import cue_page
from pegwright.lesson.film import gif, mp4
from pegwright.lesson.hand_out import hand_out_pdf
from pegwright.lesson.knit_over_scene import knit_over_scene
from pegwright.lesson.raster import svg_png
from pegwright.lesson.scene import Scene
from pegwright.lesson.scene_frames import frame_count, frames
from pegwright.lesson.scene_svg import scene_svg, still_svg
from pegwright.lesson.template import USUAL, Template
from pegwright.lesson.template_file import template_text
from pegwright.lesson.wrap_scene import wrap_scene
from pegwright.pattern.build import build
from pegwright.pattern.model import Pattern
from pegwright.pattern.source import ProvedSize, Source
from pegwright.publish.drawing import SvgStyle
from pegwright.publish.pdf import Paper

__all__ = [
    "FILM",
    "GIF",
    "FilmSize",
    "LessonPack",
    "lesson_pack",
    "lesson_sheet",
    "numbered_cards",
    "scenes_of",
]

Progress = Callable[[str, int, int], None]
"""Told what is being done, how many parts are done, and how many there are."""


@dataclass(frozen=True, slots=True)
class FilmSize:
    """Width and height in dots, and frames a second."""

    width: int
    height: int
    fps: int


FILM = FilmSize(1280, 720, 20)
"""The MP4."""

GIF = FilmSize(640, 360, 10)
"""The GIF, smaller and slower, so that a page loads quickly."""


@dataclass(frozen=True, slots=True)
class LessonPack:
    """A lesson pack: its files by name, the cue sheet as data, and what was noticed."""

    files: Mapping[str, bytes]
    sheet: cue_sheet.CueSheet
    findings: tuple[Finding, ...] = ()


def lesson_pack(
    source: Source,
    pattern: Pattern,
    template: Template = USUAL,
    *,
    size: str | None = None,
    paper: Paper = Paper.A4,
    films: bool = True,
    progress: Progress | None = None,
) -> LessonPack:
    """Every file of a lesson.

    :param source: what the pattern was built from, every size proved.
    :param size: the size that is knitted in the lesson; the first where none is named.
    :param films: make the MP4 and the GIF of each moving picture too.
    :raises BadInput: where there is no such size.
    :raises NotPossible: where a library for pictures or films is not installed.
    """
    tell = progress or _quietly
    one, sheet = lesson_sheet(source, template, size)
    key = pattern.key
    made: dict[str, bytes] = {
        f"{key}-cue-sheet.json": cue_sheet.sheet_json(sheet),
        f"{key}-cue-sheet.csv": cue_sheet.sheet_csv(sheet),
        f"{key}-cue-sheet.html": cue_page(sheet),
        f"{key}-captions.vtt": captions.captions_vtt(sheet),
        f"{key}-chapters.vtt": captions.chapters_vtt(sheet),
        f"{key}-description.txt": describe.description(pattern, sheet, template),
        f"{key}-how-to.json": describe.lesson_how_to_json(pattern, sheet, template),
        f"{key}-hand-out.pdf": hand_out_pdf(source, pattern, template, paper),
        f"{key}-lesson-template.toml": template_text(template).encode("utf-8"),
    }
    style = template.colours.style()
    made.update(_cards(source, pattern, template, tell))
    for scene in scenes_of(one):
        made.update(_scene(f"{key}-{scene.key}", scene, style, films, tell))
    return LessonPack(made, sheet, template.findings)


def lesson_sheet(
    source: Source, template: Template = USUAL, size: str | None = None
) -> tuple[Source, cue_sheet.CueSheet]:
    """The one size that the lesson is on, and its cue sheet.

    :raises BadInput: where there is no such size.
    """
    one = replace(source, sizes=(_size(source, size),))
    return one, cue_sheet.cue_sheet(one, build(one), template)


def _quietly(what: str, done: int, of: int) -> None:
    """Tell nobody."""


def _size(source: Source, name: str | None) -> ProvedSize:
    """The size of that name."""
    names = [size.name for size in source.sizes]
    if name is None:
        return source.sizes[0]
    check_size(name, names)
    return source.sizes[names.index(name)]


def scenes_of(source: Source) -> tuple[Scene, ...]:
    """The moving pictures of a lesson on the first size of the source."""
    knitting = knit_over_scene(source)
    wrapping = wrap_scene(source)
    return (wrapping,) if knitting is None else (wrapping, knitting)


def numbered_cards(
    source: Source, pattern: Pattern, template: Template, shape: Shape
) -> Iterator[tuple[str, Page]]:
    """Every card in one shape, in order, each with the stem of its files' names."""
    style = template.colours.style()
    cards = cards_of(source, pattern, template)
    sheets = (page for card in cards for page in pages(card, shape, style))
    for number, page in enumerate(sheets, start=1):
        yield f"{pattern.key}-card-{shape.label}-{number:02d}-{page.key}", page


def _cards(
    source: Source, pattern: Pattern, template: Template, tell: Progress
) -> Iterator[tuple[str, bytes]]:
    """Every card in every shape, as SVG and PNG, numbered in order."""
    whole = [
        (shape.width, name, page)
        for shape in Shape
        for name, page in numbered_cards(source, pattern, template, shape)
    ]
    for done, (width, name, page) in enumerate(whole):
        tell("cards", done, len(whole))
        yield f"{name}.svg", page.svg
        yield f"{name}.png", svg_png(page.svg, width)
    tell("cards", len(whole), len(whole))


def _scene(
    name: str, scene: Scene, style: SvgStyle, films: bool, tell: Progress
) -> Iterator[tuple[str, bytes]]:
    """A moving picture as SVG, its still as PNG, and its films."""
    yield f"{name}-moving.svg", scene_svg(scene, style)
    yield f"{name}-still.png", svg_png(still_svg(scene, style), FILM.width, style.paper)
    if not films:
        return
    for form, size, writer in (("mp4", FILM, mp4), ("gif", GIF, gif)):
        of = frame_count(scene, size.fps)
        what = f"frames of {scene.key}.{form}"

        def told(done: int, what: str = what, of: int = of) -> None:
            tell(what, done, of)

        dots = frames(scene, style, width_px=size.width, fps=size.fps)
        yield (
            f"{name}-moving.{form}",
            writer(dots, width=size.width, height=size.height, fps=size.fps, told=told),
        )
