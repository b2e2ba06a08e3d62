"""The written steps: each kind of step's words, with the numbers and pegs of the script itself.

A phrase is chosen by the step's ``key``.  Peg names are read from the operations that were
executed, so the words cannot name another peg than the run used.
"""

from __future__ import annotations

from pegwright.errors import BadInput
from pegwright.pattern import (
    phrases_blanket,
    phrases_channel,
    phrases_knit,
    phrases_make_up,
    phrases_pairs,
    phrases_pouch,
    phrases_rings,
    phrases_shaping,
    stripes,
)
from pegwright.pattern.phrase import Context, Phrase

__all__ = ["Context", "Phrase", "phrase"]

_PHRASES = {
    **phrases_knit.PHRASES,
    **phrases_make_up.PHRASES,
    **phrases_rings.PHRASES,
    **phrases_channel.PHRASES,
    **phrases_pouch.PHRASES,
    **phrases_pairs.PHRASES,
    **phrases_shaping.PHRASES,
    **phrases_blanket.PHRASES,
    **stripes.PHRASES,
}


def phrase(context: Context) -> Phrase:
    """The words of a step.

    :raises BadInput: for a step of unknown kind.
    """
    key = context.steps[0].key
    if key not in _PHRASES:
        raise BadInput(
            "a step has no words", given=key, hint=f"known kinds: {', '.join(sorted(_PHRASES))}"
        )
    return _PHRASES[key](context)
