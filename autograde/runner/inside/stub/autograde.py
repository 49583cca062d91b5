"""What a notebook gets under the name `autograde` while it is marked: nothing to check with.

`numbers` gives this learner's card, which came with the job; all else does nothing.
The answer key is not in this process, nor anywhere it can reach.
"""

from __future__ import annotations

from typing import Any

__all__ = ["check", "fresh", "numbers", "outdoors", "predict", "progress"]
CARDS: dict[str, Any] = {}  # lesson -> card as plain data, put in before the first cell


def numbers(slug: str) -> Any:
    """Return this learner's card of numbers for a lesson."""
    from autograde.numbers import Numbers  # type: ignore[import-not-found,unused-ignore]

    if slug not in CARDS:
        raise ValueError(f"No card of numbers came with this work for the lesson “{slug}”.")
    return Numbers(CARDS[slug])


def _nothing(*args: Any, **options: Any) -> None:
    return None


check = predict = progress = fresh = outdoors = _nothing
