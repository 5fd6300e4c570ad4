"""What the child says of a take, as words on a pipe."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from coach.edges.hearing.frozen_words import from_words, to_words
from coach.rehearsal.hearing.heard import Heard, Refused


def lay_said(said: Heard | Refused) -> dict[str, Any]:
    """Lay out what was heard, or why nothing can be said."""
    return {"heard" if isinstance(said, Heard) else "refused": to_words(said)}


def read_said(answer: Mapping[str, Any]) -> Heard | Refused:
    """Read what `lay_said` laid out."""
    if "heard" in answer:
        return from_words(Heard, answer["heard"])
    return from_words(Refused, answer["refused"])
