"""``pegwright library``: the maker's own library, from the command line."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from pegwright.cli import screen

if TYPE_CHECKING:
    from pegwright.library.backups import Backup
    from pegwright.library.records import Kind, Record
    from pegwright.library.store import Library

__all__ = ["ACTIONS", "KINDS", "NAME", "WORDS", "add_arguments", "run"]

NAME = "library"
WORDS = "look into your own library; save it, back it up, bring it back, check it"

ACTIONS = ("list", "search", "export", "restore", "backup", "check")
KINDS = ("board", "yarn", "swatch", "person", "design", "making")

_TAKES = {"search": "words to look for", "export": "a file to write", "restore": "a file to read"}
_ZIP = b"PK"


def add_arguments(parser: argparse.ArgumentParser) -> None:
    """Declare what the command takes."""
    parser.add_argument("action", choices=ACTIONS, help="what to do")
    parser.add_argument(
        "words",
        metavar="WORDS|FILE",
        nargs="*",
        help="for search the words, for export and restore the file",
    )
    parser.add_argument(
        "--library",
        metavar="FILE",
        help="the library's file, instead of PEGWRIGHT_LIBRARY or your own data folder's",
    )
    parser.add_argument("--kind", choices=KINDS, help="list or search only these")
    parser.add_argument("--deleted", action="store_true", help="list what was deleted")
    screen.add_json(parser)


def run(options: argparse.Namespace) -> int:
    """Do it."""
    from pegwright.library.places import default_path

    _check_words(options)
    path = Path(options.library) if options.library else default_path()
    match options.action:
        case "list" | "search":
            return _show(options, path)
        case "export":
            return _export(options, path)
        case "restore":
            return _restore(options, path)
        case "backup":
            return _backup(options, path)
        case _:
            return _check(options, path)


def _check_words(options: argparse.Namespace) -> None:
    from pegwright.errors import BadUse

    action, words = options.action, options.words
    wanted = _TAKES.get(action)
    if wanted is not None and not words:
        raise BadUse(f"{action} needs {wanted}", hint=f"pegwright library {action} --help")
    if words and (wanted is None or (action != "search" and len(words) > 1)):
        raise BadUse("one word too many", given=words[-1], hint="pegwright library --help")


def _opened(path: Path, *, create: bool = False) -> Library:
    from pegwright.library.store import Library

    return Library.open(path, create=create)


# --- list and search -----------------------------------------------------------------------------


def _show(options: argparse.Namespace, path: Path) -> int:
    from pegwright.library.records import Kind

    kind: Kind | None = Kind(options.kind) if options.kind else None
    with _opened(path) as library:
        if options.action == "search":
            records = library.search(" ".join(options.words), kind)
        else:
            records = library.list(kind, deleted=options.deleted)
    if options.json:
        screen.say_json([_data(record) for record in records])
    elif records:
        rows = [[r.kind, r.name, r.changed[:10], r.id] for r in records]
        screen.say(screen.table(["kind", "name", "changed", "id"], rows))
    else:
        screen.say("Nothing found.")
    return 0


def _data(record: Record) -> dict[str, object]:
    return {
        "id": record.id,
        "kind": str(record.kind),
        "name": record.name,
        "notes": record.notes,
        "created": record.created,
        "changed": record.changed,
        "revision": record.revision,
        "deleted": record.deleted,
    }


# --- saving and bringing back --------------------------------------------------------------------


def _export(options: argparse.Namespace, path: Path) -> int:
    from pegwright.library.archive import export_file

    file = Path(options.words[0])
    with _opened(path) as library:
        export_file(library, file)
        records = len(library.list(deleted=None, limit=-1))
    if options.json:
        screen.say_json({"file": str(file), "records": records, "bytes": file.stat().st_size})
    else:
        screen.say(f"Written: {file}, with {_counted(records, 'record')}.")
    return 0


def _restore(options: argparse.Namespace, path: Path) -> int:
    file = Path(options.words[0])
    return _merge(options, path, file) if _is_zip(file) else _bring_back(options, path, file)


def _is_zip(file: Path) -> bool:
    from pegwright.errors import BadInput, Place

    try:
        with file.open("rb") as stream:
            return stream.read(2) == _ZIP
    except OSError as wrong:
        raise BadInput(
            "the file cannot be opened",
            given=wrong.strerror or str(wrong),
            hint="name an archive or a backup: pegwright library backup shows them",
            place=Place(str(file)),
        ) from None


def _merge(options: argparse.Namespace, path: Path, file: Path) -> int:
    from pegwright.library.restoring import restore_file

    with _opened(path, create=True) as library:
        done = restore_file(library, file)
        beside = [library.get(new).name for _, new in done.beside]
    if options.json:
        counts = {"weighings": done.weighings, "events": done.events, "photos": done.photos}
        screen.say_json(
            {
                "added": list(done.added),
                "same": list(done.same),
                "beside": [{"yours": here, "archived": new} for here, new in done.beside],
                **counts,
            }
        )
        return 0
    screen.say(f"{_counted(len(done.added), 'record')} added, {len(done.same)} there already.")
    for name in beside:
        screen.say(f"Differs from yours, and both are kept: {name}")
    return 0


def _bring_back(options: argparse.Namespace, path: Path, file: Path) -> int:
    from pegwright.library.backups import bring_back
    from pegwright.library.places import backup_folder

    before = bring_back(file, path, backup_folder(path))
    if options.json:
        screen.say_json({"library": str(path), "before": None if before is None else str(before)})
        return 0
    screen.say(f"The library is now as in {file}.")
    if before is not None:
        screen.say(f"What was in it before is kept in {before}.")
    return 0


def _backup(options: argparse.Namespace, path: Path) -> int:
    from pegwright.library.backups import back_up, list_backups
    from pegwright.library.places import backup_folder

    folder = backup_folder(path)
    with _opened(path) as library:
        made = back_up(library, folder)
    known = list_backups(folder)
    if options.json:
        screen.say_json({"made": str(made.path), "backups": [_backup_data(b) for b in known]})
        return 0
    screen.say(f"Written: {made.path}")
    rows = [[b.at.isoformat(" ", "seconds"), f"{b.size / 1e6:.1f} MB", str(b.path)] for b in known]
    screen.say(f"\n{screen.table(['made', 'size', 'file'], rows)}")
    return 0


def _backup_data(backup: Backup) -> dict[str, object]:
    return {"file": str(backup.path), "made": backup.at.isoformat(), "bytes": backup.size}


# --- check ---------------------------------------------------------------------------------------


def _check(options: argparse.Namespace, path: Path) -> int:
    from pegwright.errors import ExitCode

    with _opened(path) as library:
        found = library.check()
        counts = {str(kind): number for kind, number in library.counts().items()}
    if options.json:
        screen.say_json({"library": str(path), "sound": not found, "found": list(found), **counts})
    elif found:
        screen.say("\n".join(found))
    else:
        told = ", ".join(_counted(number, kind) for kind, number in counts.items() if number)
        screen.say(f"{path} is sound: {told or 'nothing in it yet'}.")
    return ExitCode.BAD_INPUT if found else ExitCode.OK


def _counted(number: int, thing: str) -> str:
    if number == 1:
        return f"1 {thing}"
    plural = {"person": "people", "swatch": "swatches"}.get(thing, f"{thing}s")
    return f"{number} {plural}"
