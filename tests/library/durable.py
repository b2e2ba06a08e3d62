"""The child of the durability test: writes until it is killed, saying what it has written.

Run with a folder.  For each line on standard input, ``FILE SEED``, it forks one writer that opens
the library in that file and works on it.  Every writer first says ``pid N``, then one line for each
change, after the call has returned: ``put ID REVISION``, ``row MAKING DEVICE COUNTER``,
``photo RECORD SHA256`` or ``weigh YARN ID``.  ``end`` says that the writer is gone.

Forking keeps two hundred starts cheap; the parent kills the writer with SIGKILL.
"""

from __future__ import annotations

import os
import random
import sys
from pathlib import Path

from pegwright.library.making import Event, EventKind
from pegwright.library.records import Body, Making, stamp, utc_now
from pegwright.library.store import Library
from tests.library.shelf import BOARD, YARN, hood, png

PEOPLE = 3


def say(words: str) -> None:
    os.write(1, f"{words}\n".encode())  # one write, so a line is whole or not there


def contents(record_id: str, revision: int) -> str:
    """What the notes of a record say at a revision, so that a reader can tell."""
    return f"{record_id} at {revision} " * 40


def write(path: Path, seed: int) -> None:
    """Change things for ever."""
    chance = random.Random(seed)
    with Library.open(path) as library:
        known = {record.id: record for record in library.list(deleted=None)}
        device = f"device-{seed}"
        counter = 0
        while True:
            what = chance.choice(["new", "change", "change", "row", "row", "photo", "weigh"])
            if what == "new" or "design" not in known:
                record_id = "design" if "design" not in known else f"board-{seed}-{len(known)}"
                body: Body = hood("1 in") if record_id == "design" else BOARD
                notes = contents(record_id, 1)
                known[record_id] = library.put(body, record_id=record_id, notes=notes)
                say(f"put {record_id} 1")
            elif what == "change":
                old = known[chance.choice(sorted(known))]
                body = hood(f"{old.revision} mm") if old.id == "design" else old.body
                new = old.revision + 1
                known[old.id] = library.put(
                    body, record_id=old.id, expected=old.revision, notes=contents(old.id, new)
                )
                say(f"put {old.id} {new}")
            elif what == "row":
                if "making" not in known:
                    making = Making("design", 1, "cox")
                    known["making"] = library.put(
                        making, record_id="making", notes=contents("making", 1)
                    )
                    say("put making 1")
                counter += 1
                event_id = f"{device}-{counter}"
                now = stamp(utc_now())
                event = Event(event_id, device, counter, now, EventKind.ROW, rows=1)
                library.merge("making", [event])
                say(f"row making {device} {counter}")
            elif what == "photo":
                photo = library.attach("design", png(8, chance.randrange(256)), "a shade")
                say(f"photo design {photo.sha256}")
            else:
                if "yarn" not in known:
                    known["yarn"] = library.put(YARN, record_id="yarn", notes=contents("yarn", 1))
                    say("put yarn 1")
                say(f"weigh yarn {library.weigh('yarn', [chance.randint(1, 100)]).id}")


def main() -> None:
    folder = Path(sys.argv[1])
    for line in sys.stdin:
        name, seed = line.split()
        pid = os.fork()
        if pid == 0:
            sys.stdin.close()
            say(f"pid {os.getpid()}")
            write(folder / name, int(seed))
        _, status = os.waitpid(pid, 0)
        say(f"end {os.waitstatus_to_exitcode(status)}")


if __name__ == "__main__":
    main()
