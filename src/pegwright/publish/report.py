"""The proof report: what was executed and what it showed, as JSON and as plain text."""

from __future__ import annotations

import json
import textwrap

from pegwright.pattern.model import Pattern
from pegwright.publish.drawing import visible
from pegwright.publish.words import SEVERITY, sizes_words

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
    proof = pattern.proof
    lines = [f"Proof of {pattern.title}"]
    if pattern.sizes:
        lines.append(sizes_words(pattern.sizes))
    lines += ["", *proof.sentences, ""]
    lines += [f"Operations executed: {proof.operations:,}", f"Loops made: {proof.loops:,}", ""]
    if not proof.findings:
        lines.append("Nothing was found amiss.")
    for finding in proof.findings:
        where = f" ({finding.spot})" if str(finding.spot) else ""
        lines.append(f"{SEVERITY[finding.severity]}: {finding.what}{where}")
        lines.append(f"  To mend: {finding.mend}")
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
