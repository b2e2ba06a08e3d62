"""Names of colours as they stand on ball bands, for makers who have no code at hand.

The values are Pegwright's own, chosen to look like what is sold under the name; a code beside the
name goes before them, and the web's own names (CSS Color 4) are known besides.
"""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

__all__ = ["YARN_COLOURS"]

YARN_COLOURS: Mapping[str, str] = MappingProxyType(
    {
        "aubergine": "#4b2a45",
        "berry": "#8a2b4f",
        "brick": "#9c4a36",
        "charcoal": "#3d4147",
        "cream": "#f2ead8",
        "denim": "#4f6d8f",
        "heather": "#9c86a6",
        "hemp": "#b8a27c",
        "lilac": "#b9a3cf",
        "moss": "#6b7a3a",
        "mustard": "#c9992e",
        "natural": "#e9dfc9",
        "oatmeal": "#d8c8a8",
        "petrol": "#1f5563",
        "rose": "#c9788a",
        "rust": "#a4482c",
        "sage": "#9bab8c",
        "sand": "#d3bd94",
        "sea green": "#3f7a6e",
        "slate": "#4a5a6a",
        "stone": "#a8a297",
    }
)
"""Colour by name in lower case, as ``#rrggbb``."""
