"""The page at the loom as one file: for a phone that is to open it with no network at all.

Style, fonts, scripts, the document and what was counted so far stand in the file; nothing is
fetched, and its own content policy allows exactly the script and the style that it holds, by their
SHA-256 (W3C Content Security Policy 3).  The scripts are the studio's own modules, one after
another.
"""

from __future__ import annotations

import base64
import hashlib
import json
import re
from collections.abc import Mapping, Sequence
from functools import lru_cache
from importlib.resources import files

from markupsafe import Markup

from pegwright.studio.pages import templates

__all__ = ["follow_file"]

_MODULES = (
    "follow-fold",
    "follow-steps",
    "follow-store",
    "follow-sync",
    "follow-awake",
    "follow-view",
    "follow",
)
"""In the order in which they need one another; no two of them name a thing alike."""

_IMPORT = re.compile(r'^import \{[^}]*\} from "\./[a-z-]+\.js";\n', re.MULTILINE)
_EXPORT = re.compile(r"^export ", re.MULTILINE)
_FONT = re.compile(r'url\("/fonts/([A-Za-z-]+\.woff2)"\)')


def follow_file(
    view: Mapping[str, object], events: Sequence[Mapping[str, object]], *, address: str
) -> bytes:
    """The page as a self-contained HTML file in UTF-8.

    :param view: the making with its document, as the API gives it.
    :param events: what was counted so far; the file's own device counts on from there.
    :param address: where the studio was when the file was made, for taking the counts back.
    """
    look, script, style = _static("look.js"), _script(), _style()
    data = json.dumps(
        {"view": view, "events": list(events), "forecasts": [], "address": address},
        ensure_ascii=False,
    )
    for letter in "<>&":  # inside a script only these could end it or open a comment
        data = data.replace(letter, f"\\u{ord(letter):04x}")
    policy = "; ".join(
        (
            "default-src 'none'",
            f"script-src '{_hash(look)}' '{_hash(script)}'",
            f"style-src '{_hash(style)}'",
            "img-src data:",
            "font-src data:",
            "base-uri 'none'",
            "form-action 'none'",
        )
    )
    html = (
        templates()
        .get_template("follow_single.html")
        .render(
            title=str(view["name"]),
            policy=policy,
            look=Markup(look),
            style=Markup(style),
            script=Markup(script),
            data=Markup(data),
            file=True,
        )
    )
    return html.encode("utf-8")


def _static(name: str) -> str:
    return files("pegwright.studio").joinpath("static", name).read_text(encoding="utf-8")


def _hash(text: str) -> str:
    return "sha256-" + base64.b64encode(hashlib.sha256(text.encode("utf-8")).digest()).decode()


@lru_cache(maxsize=1)
def _script() -> str:
    parts = [_EXPORT.sub("", _IMPORT.sub("", _static(f"{name}.js"))) for name in _MODULES]
    return '"use strict";\n(() => {\n' + "\n".join(parts) + "})();\n"


@lru_cache(maxsize=1)
def _style() -> str:
    text = _static("studio.css") + _static("follow.css")
    fonts = files("pegwright.publish").joinpath("fonts")

    def inlined(found: re.Match[str]) -> str:
        data = base64.b64encode(fonts.joinpath(found.group(1)).read_bytes()).decode()
        return f'url("data:font/woff2;base64,{data}")'

    return _FONT.sub(inlined, text)
