"""The proof report: what was executed and what it showed, as JSON and as plain text."""

from __future__ import annotations

import json
import textwrap

from pegwright.pattern.model import Pattern
from pegwright.publish.drawing import visible
from pegwright.publish.words import SEVERITY, sizes_words, spot_words
from pegwright.tongue.said import numeral

__all__ = ["SCHEMA", "report_json", "report_text"]

SCHEMA = 1
"""Number of the report's shape; it rises when a field changes its meaning or goes."""


def report_json(pattern: Pattern) -> bytes:
    """The report as JSON in UTF-8, its fields in a fixed order.

    ``schema`` is :data:`SCHEMA`; ``findings`` have the shape of every finding of the commands.
    """
    proof = pattern.proof
    report = {
        "schema": SCHEMA,
        "key": pattern.key,
        "title": pattern.title,
        "version": proof.version,
        "digest": proof.digest,
        "sizes": list(pattern.sizes),
        "operations": proof.operations,
        "loops": proof.loops,
        "findings": [finding.as_data() for finding in proof.findings],
        "sentences": list(proof.sentences),
    }
    return (json.dumps(report, ensure_ascii=False, indent=2) + "\n").encode("utf-8")


def report_text(pattern: Pattern) -> bytes:
    """The report as plain text in UTF-8, no line wider than 80 letters."""
    proof, tongue = pattern.proof, pattern.tongue
    say = tongue.say
    lines = [say("Proof of {title}", title=pattern.title)]
    if pattern.sizes:
        lines.append(sizes_words(pattern.sizes, tongue))
    lines += ["", *proof.sentences, ""]
    lines += [
        say("Operations executed: {count}", count=numeral(f"{proof.operations:,}")),
        say("Loops made: {count}", count=numeral(f"{proof.loops:,}")),
        "",
    ]
    if not proof.findings:
        lines.append(say("Nothing was found amiss."))
    for finding in proof.findings:
        spot = spot_words(finding.spot, tongue)
        what = tongue.speak(finding.what) + (f" ({spot})" if spot else "")
        lines.append(f"{tongue.speak(SEVERITY[finding.severity])}: {what}")
        lines.append("  " + say("To mend: {mend}", mend=finding.mend))
    lines += ["", f"Pegwright {proof.version}", f"SHA-256 {proof.digest}"]
    return ("\n".join(_folded(line) for line in lines) + "\n").encode("utf-8")


def _folded(line: str) -> str:
    """The line without control characters, folded at 80 letters under its own indent."""
    indent = "  " if line.startswith("  ") else ""
    plain = " ".join(visible(line).split())
    return textwrap.fill(
        plain,
        80,
        initial_indent=indent,
        subsequent_indent=indent,
        break_on_hyphens=False,
        break_long_words=False,
    )
