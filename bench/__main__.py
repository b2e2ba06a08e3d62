"""Run the measurements: ``python -m bench [AREA …]``.

Prints a table and writes ``out/bench.json``.  The exit code is 0 even where a limit is missed; it
is 1 where something could not be measured at all.
"""

from __future__ import annotations

import argparse
import importlib
import pkgutil
import sys
import traceback
from pathlib import Path

import bench
from bench.harness import REPO, Row, as_json, as_table


def measured_modules() -> list[str]:
    """Names of the modules that hold measurements, in alphabetical order."""
    return sorted(
        found.name
        for found in pkgutil.iter_modules(bench.__path__)
        if found.name not in ("__main__", "harness")
    )


def main(arguments: list[str] | None = None) -> int:
    """Measure, print, write; gives the exit code."""
    parser = argparse.ArgumentParser(prog="python -m bench", description="Measure Pegwright.")
    parser.add_argument("area", nargs="*", help="only these (all where none is named)")
    parser.add_argument("--out", type=Path, default=REPO / "out" / "bench.json")
    options = parser.parse_args(arguments)
    known = measured_modules()
    unknown = sorted(set(options.area) - set(known))
    if unknown:
        parser.error(f"no such measurements: {', '.join(unknown)} (there are: {', '.join(known)})")

    rows: list[Row] = []
    broken: list[str] = []
    for name in options.area or known:
        try:
            rows.extend(importlib.import_module(f"bench.{name}").rows())
        except Exception:  # noqa: BLE001 - one broken module must not cost the others' rows
            traceback.print_exc()
            broken.append(name)

    print(as_table(rows))
    missed = sum(not row.holds for row in rows)
    print(f"\n{len(rows)} rows, {missed} with a limit missed")
    options.out.parent.mkdir(parents=True, exist_ok=True)
    options.out.write_text(as_json(rows), encoding="utf-8")
    for name in broken:
        print(f"bench.{name} could not be measured; see above", file=sys.stderr)
    return 1 if broken else 0


if __name__ == "__main__":
    sys.exit(main())
