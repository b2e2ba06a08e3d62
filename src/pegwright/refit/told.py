"""A refit told: in sentences, as an answer that can be sent to a reader, and as plain data."""

from __future__ import annotations

from pegwright.refit.differences import Difference
from pegwright.refit.offers import Offer
from pegwright.refit.reader import YOUR_SIZE
from pegwright.refit.refit import Refit

__all__ = ["UNCHANGED", "answer", "changed", "headline", "of_size", "refit_data"]

UNCHANGED = "Nothing changes: the pattern holds as it is printed."


def headline(result: Refit) -> str:
    """Whether it can be made as it was asked for, in a sentence."""
    state = "can be made as asked" if result.as_asked else "cannot be made as asked"
    return f"{result.before.design.title} {state}."


def changed(result: Refit) -> tuple[Difference, ...]:
    """The figures that are no longer as they were."""
    return tuple(each for each in result.differences if not each.same)


def of_size(size: str) -> str:
    """What the figures of a size stand under; "" for what all sizes share."""
    if size == YOUR_SIZE:
        return YOUR_SIZE.capitalize()
    return f"Size {size}" if size else "Board and gauge"


def answer(result: Refit) -> str:
    """What to tell a reader, as plain text: the advice, then what changes, size by size."""
    blocks = [headline(result), *result.advice]
    rows = changed(result)
    if not rows and result.made is not None:
        blocks.append(UNCHANGED)
    for size in dict.fromkeys(row.size for row in rows):
        head = f"{of_size(size)}, before → now:"
        lines = [f"- {row.name}: {row.words}" for row in rows if row.size == size]
        blocks.append("\n".join([head, *lines]))
    return "\n\n".join(blocks) + "\n"


def refit_data(result: Refit) -> dict[str, object]:
    """The result but for what was made, as plain data: lengths in mm, yarn in m and g."""
    return {
        "as_asked": result.as_asked,
        "way": None if result.way is None else str(result.way),
        "advice": list(result.advice),
        "refused": [{"size": each.name, **each.error.as_data()} for each in result.refused],
        "offers": [_offer_data(offer) for offer in result.offers],
        "differences": [_difference_data(each) for each in result.differences],
    }


def _offer_data(offer: Offer) -> dict[str, object]:
    return {"way": str(offer.way), "possible": offer.possible, "words": offer.words}


def _difference_data(each: Difference) -> dict[str, object]:
    return {
        "size": each.size or None,
        "name": each.name,
        "unit": each.unit,
        "before": each.before,
        "after": each.after,
        "words": each.words,
    }
