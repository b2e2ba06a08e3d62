"""What testers' answers come to, as the page lays it out: in the command's words, and as data."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any, Literal

from pydantic import BaseModel

from pegwright.designs.model import Design
from pegwright.studio.designs.view import FindingView, finding_views
from pegwright.testknit.compare import StepTroubles, TesterResult
from pegwright.testknit.trial import (
    Trial,
    held_words,
    learned_words,
    together_words,
    trouble_heading,
)
from pegwright.units import UnitSystem

__all__ = ["Group", "TrialView", "trial_view"]

Group = Literal["swatches", "loom", "cost"]
"""The groups of a design that can learn from testers."""


class HeldView(BaseModel):
    """A figure of a tester beside what was expected, in words."""

    name: str
    got: str
    expected: str
    low: str
    high: str
    z: str
    inside: bool


class TesterView(BaseModel):
    """One tester.  ``on_board`` where her figures tell of the design's own board and yarn."""

    tester: str
    size: str
    on_board: bool
    figures: list[HeldView]
    remarks: str


class Said(BaseModel):
    """What a tester said of a step."""

    tester: str
    words: str


class TroubleView(BaseModel):
    """A step that gave trouble."""

    heading: str
    told: list[Said]


class LearnedView(BaseModel):
    """What was learned of one thing; ``key`` is the group of the design that it belongs to."""

    key: Group
    title: str
    words: str
    taught: bool


class TrialView(BaseModel):
    """Answers held against the design.

    :param revision: the design's, that they were held against.
    :param agreement: how many figures lie where nine testers in ten do, and which do not.
    :param toml: lines for the design file; ``taught_before`` names swatches that it has already.
    :param data: the same as ``pegwright test-knit compare --json`` gives.
    """

    revision: int
    heading: str
    agreement: str
    agrees: bool
    testers: list[TesterView]
    together: list[str]
    troubles: list[TroubleView]
    learned: list[LearnedView]
    toml: str
    taught_before: list[str]
    findings: list[FindingView]
    data: dict[str, Any]


def trial_view(trial: Trial, design: Design, revision: int) -> TrialView:
    """Answers held against a design.

    :param revision: the design's, that they were held against.
    """
    learned = [LearnedView(**asdict(one)) for one in learned_words(trial, design.units)]
    return TrialView(
        revision=revision,
        heading=trial.heading,
        agreement=_agreement(trial),
        agrees=all(held.inside for result in trial.results for held in result.held),
        testers=[_tester(result, design.units) for result in trial.results],
        together=list(together_words(trial)),
        troubles=[_trouble(one) for one in trial.troubles],
        learned=learned,
        toml=trial.learned.toml(),
        taught_before=list(trial.learned.taught_before(design)),
        findings=list(finding_views(trial.findings)),
        data=trial.as_data(),
    )


def _agreement(trial: Trial) -> str:
    """What agrees and what does not, in a sentence; "" where nothing was measured."""
    told = [(held, result) for result in trial.results for held in result.held]
    outside = [f"{h.name} ({r.answers.tester})" for h, r in told if not h.inside]
    if not told:
        return ""
    if not outside:
        every = "The one figure lies" if len(told) == 1 else f"All {len(told)} figures lie"
        return f"{every} where nine testers in ten do."
    lie = "lies" if len(outside) == 1 else "lie"
    return f"{len(outside)} of {len(told)} figures {lie} outside: {', '.join(outside)}."


def _tester(result: TesterResult, units: UnitSystem) -> TesterView:
    figures = [
        HeldView(**asdict(held_words(held, units)), inside=held.inside) for held in result.held
    ]
    answers = result.answers
    return TesterView(
        tester=answers.tester,
        size=answers.size,
        on_board=result.on_board,
        figures=figures,
        remarks=answers.remarks,
    )


def _trouble(troubles: StepTroubles) -> TroubleView:
    told = [Said(tester=tester, words=words) for tester, words in troubles.told]
    return TroubleView(heading=trouble_heading(troubles), told=told)
