"""Gathers every message of the sources, brings the catalogues up to date, and compiles them.

    python tools/tongues.py           write pegwright.pot, every .po and every .mo anew
    python tools/tongues.py --check   write nothing; say what is out of date, and end with 1

A message is the English sentence itself, marked by ``say``, ``say_count`` or ``word``; a comment
that begins with NOTE: goes to the translators.  Nothing here carries a date, so that the same
sources give the same bytes.
"""

from __future__ import annotations

import sys
from datetime import UTC, datetime
from gettext import GNUTranslations
from io import BytesIO
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.extract import extract_from_dir
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po, write_po

ROOT = Path(__file__).resolve().parent.parent
SOURCE = ROOT / "src" / "pegwright"
LOCALE = SOURCE / "tongue" / "locale"
ROOMS = (
    "garments/",
    "gauge/",
    "knitting/",
    "pattern/",
    "planning/",
    "publish/",
    "safety/",
    "yarn/",
)
"""Rooms whose words come into a pattern; the commands and the studio are English."""

KEYWORDS = {"say": None, "say_count": (1, 2), "word": ((1, "c"), 2)}
_LONG_AGO = datetime(2000, 1, 1, tzinfo=UTC)
_NOT_KEPT = (b'"Report-Msgid-Bugs-To', b'"Generated-By', b'"Project-Id-Version')
_HEAD = "# Messages of Pegwright. The English sentence is the message's name; keep every {field}."


def template() -> Catalog:
    """Every message of the sources with the files that say it and the notes to translators."""
    catalog = Catalog(
        project="Pegwright", charset="utf-8", header_comment=_HEAD, creation_date=_LONG_AGO
    )
    found = extract_from_dir(
        str(SOURCE),
        method_map=[("units.py", "python"), *((f"{room}**.py", "python") for room in ROOMS)],
        keywords=KEYWORDS,
        comment_tags=("NOTE:",),
        strip_comment_tags=True,
    )
    for file, _, message, comments, context in sorted(found, key=lambda one: (one[0], one[1])):
        if message and message != ("", ""):
            catalog.add(message, locations=[(file, None)], auto_comments=comments, context=context)
    return catalog


def updated(lang: str, messages: Catalog) -> Catalog:
    """The catalogue of a language with the messages of today; what is gone is dropped."""
    with (LOCALE / lang / "LC_MESSAGES" / "pegwright.po").open("rb") as file:
        catalog = read_po(file, locale=lang)
    catalog.update(messages, no_fuzzy_matching=True, update_header_comment=False)
    catalog.creation_date = _LONG_AGO
    catalog.obsolete.clear()
    return catalog


def written(catalog: Catalog) -> bytes:
    """A catalogue as a .po file."""
    into = BytesIO()
    write_po(into, catalog, width=100, include_lineno=False, ignore_obsolete=True)
    lines = into.getvalue().splitlines(keepends=True)
    return b"".join(line for line in lines if not line.startswith(_NOT_KEPT))


def compiled(catalog: Catalog) -> bytes:
    """A catalogue as a .mo file."""
    into = BytesIO()
    write_mo(into, catalog)
    return into.getvalue()


def files() -> dict[Path, bytes]:
    """Every file as it should be."""
    messages = template()
    made = {LOCALE / "pegwright.pot": written(messages)}
    for folder in sorted(LOCALE.glob("*/LC_MESSAGES")):
        catalog = updated(folder.parent.name, messages)
        made[folder / "pegwright.po"] = written(catalog)
        made[folder / "pegwright.mo"] = compiled(catalog)
    return made


def stale() -> list[Path]:
    """Files that do not hold what they should; of a .mo only its messages count."""
    return [path for path, data in files().items() if not _same(path, data)]


def _same(path: Path, data: bytes) -> bool:
    if not path.exists():
        return False
    if path.suffix != ".mo":
        return path.read_bytes() == data
    return _messages(path.read_bytes()) == _messages(data)


def _messages(data: bytes) -> dict[object, object]:
    messages = dict(vars(GNUTranslations(BytesIO(data)))["_catalog"])
    messages.pop("")
    return messages


def main(arguments: list[str]) -> int:
    """Write or check."""
    old = stale()
    made = files()
    for path in old:
        name = path.relative_to(ROOT)
        if "--check" in arguments:
            sys.stdout.write(f"out of date: {name} (run: make tongues)\n")
        else:
            path.write_bytes(made[path])
            sys.stdout.write(f"written: {name}\n")
    return 1 if old and "--check" in arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
