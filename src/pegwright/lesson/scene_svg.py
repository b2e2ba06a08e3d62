"""A scene as one SVG file that moves by itself: its style is inside, there is no script.

Where the reader asks for less motion (``prefers-reduced-motion``), and where styles are not
understood, it stands still at the scene's still; under the pointer or the keyboard's focus it
pauses.
"""

from __future__ import annotations

import base64
from collections.abc import Iterable
from functools import lru_cache
from html import escape
from importlib.resources import files

from pegwright.lesson.scene import Pop, Scene, Stroke
from pegwright.publish.drawing import Drawing, Mark, SvgStyle, number, svg, visible

__all__ = ["markup", "scene_svg", "still_svg"]

_SHOWN = 1280  # dots across where nothing says otherwise


def still_svg(scene: Scene, style: SvgStyle, at_s: float | None = None) -> bytes:
    """The scene at one moment, its still where none is named."""
    at_s = scene.still_s if at_s is None else at_s
    drawing = Drawing(scene.width, scene.height, scene.marks_at(at_s))
    return svg(drawing, key=scene.key, title=scene.title, desc=scene.words, style=style)


def markup(marks: Iterable[Mark], style: SvgStyle) -> str:
    """Marks as SVG elements, without the document round them."""
    whole = svg(Drawing(1, 1, tuple(marks)), key="x", title="", desc="", style=style)
    return whole.decode("utf-8").split("</desc>\n", 1)[1].rsplit("</svg>", 1)[0]


def scene_svg(scene: Scene, style: SvgStyle) -> bytes:
    """The moving picture as an SVG document."""
    key = escape(visible(scene.key))
    rules: list[str] = []
    parts = [_ground(scene, style), markup(scene.ground, style)]
    for i, stroke in enumerate(sorted(scene.strokes, key=lambda s: s.over)):
        parts.append(_stroke(scene, stroke, f"{key}-r{i}", style, rules))
    for i, pop in enumerate((*scene.pops, *_poses(scene))):
        parts.append(_pop(scene, pop, f"{key}-p{i}", style, rules))
    width, height = number(scene.width), number(scene.height)
    head = (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" '
        f'width="{_SHOWN}" height="{number(_SHOWN * scene.height / scene.width)}" '
        'style="max-width:100%;height:auto" role="img" tabindex="0" '
        f'aria-labelledby="{key}-title {key}-desc" '
        f'font-family="{escape(style.font, quote=False)}" fill="none" '
        'stroke-linecap="round" stroke-linejoin="round">'
    )
    title = f'<title id="{key}-title">{escape(visible(scene.title))}</title>'
    words = f'<desc id="{key}-desc">{escape(visible(scene.words))}</desc>'
    lines = [head, title, words, _style(scene, rules), *parts, "</svg>\n"]
    return "\n".join(lines).encode("utf-8")


def _ground(scene: Scene, style: SvgStyle) -> str:
    size = f'width="{number(scene.width)}" height="{number(scene.height)}"'
    return f'<rect {size} fill="{style.paper}"/>'


def _poses(scene: Scene) -> Iterable[Pop]:
    """Each pose as something that is there until the next one is."""
    ends: list[float | None] = [pose.start_s for pose in scene.poses[1:]]
    for pose, end in zip(scene.poses, (*ends, None), strict=False):
        yield Pop(pose.marks, pose.start_s, end)


def _style(scene: Scene, rules: list[str]) -> str:
    seconds = number(scene.seconds)
    moving = [
        f".m{{animation-duration:{seconds}s;animation-iteration-count:infinite}}",
        ".d{animation-timing-function:linear}",
        ".o{animation-timing-function:step-end}",
        "svg:hover .m,svg:focus .m{animation-play-state:paused}",
        "@media (prefers-reduced-motion:reduce){.m{animation:none!important}}",
    ]
    return f"<style>{_fonts()}{''.join((*rules, *moving))}</style>"


@lru_cache(maxsize=1)
def _fonts() -> str:
    """The letters themselves, so that the picture looks the same wherever it is shown."""
    folder = files("pegwright.publish").joinpath("fonts")
    rules = ""
    for weight, name in ((400, "Regular"), (700, "Bold")):
        font = folder.joinpath(f"AtkinsonHyperlegible-{name}.woff2").read_bytes()
        data = base64.b64encode(font).decode()
        rules += (
            f'@font-face{{font-family:"Atkinson Hyperlegible";font-weight:{weight};'
            f'src:url("data:font/woff2;base64,{data}") format("woff2")}}'
        )
    return rules


def _at(scene: Scene, at_s: float) -> str:
    return f"{number(min(max(at_s / scene.seconds, 0.0), 1.0) * 100)}%"


def _stroke(scene: Scene, stroke: Stroke, name: str, style: SvgStyle, rules: list[str]) -> str:
    a, b = _at(scene, stroke.start_s), _at(scene, stroke.end_s)
    rules.append(
        f"@keyframes {name}{{0%,{a}{{stroke-dashoffset:1}}{b},100%{{stroke-dashoffset:0}}}}"
    )
    way = " ".join(
        ("M" if i == 0 else "L") + f"{number(x)} {number(y)}"
        for i, (x, y) in enumerate(stroke.points)
    )
    shown = 0 if scene.still_s >= stroke.end_s else 1
    width = number(stroke.width + 2 * stroke.halo + 2)
    return (
        f'<mask id="{name}" maskUnits="userSpaceOnUse" x="0" y="0" '
        f'width="{number(scene.width)}" height="{number(scene.height)}">'
        f'<path d="{way}" pathLength="1" class="m d" style="animation-name:{name};'
        f'stroke-dashoffset:{shown}" stroke="#fff" stroke-width="{width}" '
        'stroke-linecap="butt" stroke-dasharray="1 2"/></mask>\n'
        f'<g mask="url(#{name})">\n{markup((stroke.path(),), style)}</g>'
    )


def _pop(scene: Scene, pop: Pop, name: str, style: SvgStyle, rules: list[str]) -> str:
    end = scene.seconds if pop.end_s is None else pop.end_s
    a, b = _at(scene, pop.start_s), _at(scene, end)
    before = "" if a == "0%" else "0%{opacity:0}"
    after = "" if b == "100%" else f"{b}{{opacity:0}}"
    rules.append(f"@keyframes {name}{{{before}{a}{{opacity:1}}{after}100%{{opacity:0}}}}")
    shown = 1 if pop.start_s <= scene.still_s and (pop.end_s is None or scene.still_s < end) else 0
    inner = markup(pop.marks, style)
    return f'<g class="m o" style="animation-name:{name};opacity:{shown}">\n{inner}</g>'
