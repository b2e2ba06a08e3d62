"""The reference pages of the docs site, written from the docstrings of the sources.

MkDocs calls this file as a hook while it builds: every room of the house gets a page under
``reference/``, so no page can lag behind the code.  The sources are read and not imported, and
nothing is written to the disk.  A *room* is a folder of ``src/pegwright``; the modules that lie
beside the rooms are its *ground floor*.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from mkdocs.config.defaults import MkDocsConfig
    from mkdocs.structure.files import Files

__all__ = ["Module", "modules", "on_config", "on_files", "pages"]

SOURCES = Path(__file__).resolve().parents[1] / "src" / "pegwright"

GROUND = "ground"

# Their words are their commands and screens, which have pages of their own.
LEFT_OUT = frozenset({"cli", "studio"})

ORDER = (
    *(GROUND, "loom", "yarn", "knitting", "gauge", "sizing", "garments", "planning", "safety"),
    *("pattern", "publish", "designs"),
)

_WIDE = 88
_ROLE = re.compile(r":[a-z]+:`~?(?P<target>[^`]+)`")
_FIELD = re.compile(r":(?P<kind>param|raises|returns?)(?: (?P<name>[^:]+))?:\s*(?P<words>.*)")
_CODE = re.compile(r"(``.+?``|`[^`]+`)", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Module:
    """A module: its room, its dotted name below ``pegwright``, its tree, and its public names."""

    room: str
    name: str
    tree: ast.Module
    public: tuple[str, ...]


def modules(sources: Path = SOURCES) -> tuple[Module, ...]:
    """Every module that has public names, in the order of its name."""
    found = []
    for file in sorted(sources.rglob("*.py")):
        parts = file.relative_to(sources).with_suffix("").parts
        if parts[0] in LEFT_OUT or parts[-1].startswith("__"):
            continue
        tree = ast.parse(file.read_text(encoding="utf-8"))
        room = parts[0] if len(parts) > 1 else GROUND
        if names := _public(tree):
            found.append(Module(room, ".".join(parts), tree, names))
    return tuple(found)


def pages(sources: Path = SOURCES) -> dict[str, str]:
    """Every reference page as Markdown, by its place in the docs, the list of rooms first."""
    every = modules(sources)
    places = {
        f"pegwright.{module.name}.{name}": (module.room, f"{module.name}.{name}")
        for module in every
        for name in module.public
    }
    places |= {f"pegwright.{module.name}": (module.room, module.name) for module in every}
    rooms: dict[str, list[Module]] = {}
    for module in every:
        rooms.setdefault(module.room, []).append(module)
    known = [room for room in ORDER if room in rooms]
    in_order = [*known, *sorted(set(rooms) - set(known))]
    made = {"reference/index.md": _index(in_order, sources, places)}
    for room in in_order:
        made[f"reference/{room}.md"] = _page(room, rooms[room], sources, places)
    return made


# --- what is public ------------------------------------------------------------------------------


def _public(tree: ast.Module) -> tuple[str, ...]:
    for node in tree.body:
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            return tuple(ast.literal_eval(node.value))
    return ()


def _bound(tree: ast.Module) -> Iterator[tuple[str, ast.stmt, str]]:
    """Every name that a module binds, the statement, and the text that stands below it."""
    for here, below in zip(tree.body, [*tree.body[1:], ast.Pass()], strict=True):
        if isinstance(here, ast.FunctionDef | ast.ClassDef):
            yield here.name, here, ast.get_docstring(here) or ""
        elif isinstance(here, ast.Assign | ast.AnnAssign):
            yield _name(here), here, _text(below)


def _name(node: ast.Assign | ast.AnnAssign) -> str:
    return ast.unparse(node.targets[0] if isinstance(node, ast.Assign) else node.target)


def _text(node: ast.stmt) -> str:
    if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
        return str(node.value.value)
    return ""


# --- pages ---------------------------------------------------------------------------------------


def _index(rooms: list[str], sources: Path, places: Mapping[str, tuple[str, str]]) -> str:
    lines = [
        "# Reference\n",
        "Every public name, room by room, as its docstring tells it. Lengths are in millimetres "
        "and masses in grams where nothing else is said; a bare number carries its unit in its "
        "name.\n",
    ]
    for room in rooms:
        first = _room_words(room, sources).split("\n\n")[0]
        words = " ".join(_said(first, places).split())
        lines.append(f"- [{_title(room)}]({room}.md): {words}")
    return "\n".join(lines) + "\n"


def _title(room: str) -> str:
    return "the ground floor" if room == GROUND else room


def _room_words(room: str, sources: Path) -> str:
    if room == GROUND:
        return "Lengths, masses, measurements, errors, and what leads a design through the rooms."
    init = sources / room / "__init__.py"
    return ast.get_docstring(ast.parse(init.read_text(encoding="utf-8"))) or ""


def _page(
    room: str, held: list[Module], sources: Path, places: Mapping[str, tuple[str, str]]
) -> str:
    parts = [f"# {_title(room).capitalize()}", _said(_room_words(room, sources), places)]
    for module in held:
        parts.append(f"## pegwright.{module.name} {{ #{module.name} }}")
        parts.append(_said(ast.get_docstring(module.tree) or "", places))
        bound = {name: (node, words) for name, node, words in _bound(module.tree)}
        for name in module.public:
            if name not in bound:
                continue  # handed on from another room, where it is told
            parts.append(f"### {name} {{ #{module.name}.{name} }}")
            parts += _told(*bound[name], places)
    return "\n\n".join(part for part in parts if part) + "\n"


def _told(node: ast.stmt, words: str, places: Mapping[str, tuple[str, str]]) -> Iterator[str]:
    yield f"```python\n{_signature(node)}\n```"
    yield _said(words, places)
    if isinstance(node, ast.ClassDef):
        for one in node.body:
            told = isinstance(one, ast.FunctionDef) and not one.name.startswith("_")
            if told and isinstance(one, ast.FunctionDef) and (about := ast.get_docstring(one)):
                yield f"#### {node.name}.{one.name}"
                yield f"```python\n{_signature(one)}\n```"
                yield _said(about, places)


def _signature(node: ast.stmt) -> str:
    if isinstance(node, ast.FunctionDef):
        marks = [f"@{ast.unparse(one)}\n" for one in node.decorator_list]
        return "".join(marks) + _function(node)
    if isinstance(node, ast.ClassDef):
        bases = ", ".join(ast.unparse(base) for base in node.bases)
        head = f"class {node.name}({bases}):" if bases else f"class {node.name}:"
        fields = [
            f"    {ast.unparse(one)}"
            for one in node.body
            if isinstance(one, ast.AnnAssign | ast.Assign) and not _name(one).startswith("_")
        ]
        return "\n".join([head, *(fields or ["    ..."])])
    text = ast.unparse(node)
    return text if len(text) <= 2 * _WIDE else text[: 2 * _WIDE].rsplit(" ", 1)[0] + " …"


def _function(node: ast.FunctionDef) -> str:
    ends = f" -> {ast.unparse(node.returns)}" if node.returns else ""
    whole = f"def {node.name}({ast.unparse(node.args)}){ends}"
    if len(whole) <= _WIDE:
        return whole
    # Each parameter on a line: taken apart at the commas that lie outside all brackets.
    taken, depth, start = [], 0, 0
    arguments = ast.unparse(node.args)
    for at, letter in enumerate(arguments):
        depth += (letter in "([{") - (letter in ")]}")
        if letter == "," and depth == 0:
            taken.append(arguments[start:at].strip())
            start = at + 1
    taken.append(arguments[start:].strip())
    lines = "".join(f"    {one},\n" for one in taken)
    return f"def {node.name}(\n{lines}){ends}"


# --- from docstrings to Markdown -----------------------------------------------------------------


def _said(docstring: str, places: Mapping[str, tuple[str, str]]) -> str:
    """A docstring as Markdown: references become links, fields a list, samples fenced blocks."""
    blocks = re.split(r"\n\s*\n", docstring.strip())
    return "\n\n".join(_block(block, places) for block in blocks if block.strip())


def _block(block: str, places: Mapping[str, tuple[str, str]]) -> str:
    lines = block.splitlines()
    if all(line.startswith("    ") for line in lines):
        return "```text\n" + "\n".join(line[4:] for line in lines) + "\n```"
    made: list[str] = []
    for line in lines:
        field = _FIELD.match(line)
        starts = re.match(r"(\*|\d+\.) ", line)
        if (field or starts) and made and not made[-1].startswith(("- ", "* ", "  ")):
            made.append("")
        made.append(_field(field) if field else line)
    text = "\n".join(made)
    return _linked(re.sub(r"::$", ":", text), places)


def _field(field: re.Match[str]) -> str:
    name, words = field["name"], field["words"]
    if field["kind"] == "param":
        return f"- **{name}**: {words}"
    if field["kind"] == "raises":
        return f"- *raises* `{name}` {words}"
    return f"- *gives* {words}"


def _linked(text: str, places: Mapping[str, tuple[str, str]]) -> str:
    """The text with its references as links, and nothing left that reads as a tag."""

    def link(match: re.Match[str]) -> str:
        target = match["target"]
        shown = target.rsplit(".", 1)[-1]
        if target in places:
            room, anchor = places[target]
            return f"[`{shown}`]({room}.md#{anchor})"
        return f"`{shown}`"

    parts = _CODE.split(_ROLE.sub(link, text))
    even = [part.replace("<", "&lt;").replace("[[", "&#91;[") for part in parts[::2]]
    parts[::2] = even
    return "".join(parts)


# --- MkDocs --------------------------------------------------------------------------------------


def on_config(config: MkDocsConfig) -> MkDocsConfig:
    """Add the reference pages to what is shown beside every page."""
    if config.nav is not None:
        config.nav.append({"Reference": list(pages())})
    return config


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Add the reference pages to the pages that are built."""
    from mkdocs.structure.files import File

    for place, text in pages().items():
        files.append(File.generated(config, place, content=text))
    return files
