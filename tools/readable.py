"""A hook of MkDocs: what the theme leaves out for those who work by keyboard or by ear.

The bar at the top becomes a landmark with a name, a first link leads past it to the text, and what
scrolls to the side can be reached with the keyboard.
"""

from __future__ import annotations

import re
from typing import Any

__all__ = ["on_post_page"]

_BAR = '<div class="navbar fixed-top'
_MAIN = '<div class="col-md-9" role="main">'


def on_post_page(output: str, **_: Any) -> str:
    """The page, made readable for all."""
    page = output.replace(_BAR, _BAR.replace("<div", '<div role="navigation" aria-label="Site"'))
    page = page.replace(_MAIN, _MAIN.replace("<div", '<div id="text" tabindex="-1"'))
    page = page.replace("<pre>", '<pre tabindex="0">')
    page = page.replace("<table", '<table tabindex="0"')
    skip = '<div role="region" aria-label="Skip"><a class="skip" href="#text">To the text</a></div>'
    return re.sub(r"(<body[^>]*>)", rf"\1{skip}", page, count=1)
