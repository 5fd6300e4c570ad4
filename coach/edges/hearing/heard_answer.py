"""What the child says of a take, and of a run that plays, as words on a pipe."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, cast

from coach.edges.hearing.frozen_words import from_words, to_words
from coach.rehearsal.hearing.following.told import (
    BreathTold,
    LoudnessTold,
    StopTold,
    Told,
)
from coach.rehearsal.hearing.heard import Heard, Refused

TOLD = {"breath": BreathTold, "stop": StopTold, "loudness": LoudnessTold}
"""What may be told of a run while it plays, by the word on the pipe."""


def lay_said(said: Heard | Refused) -> dict[str, Any]:
    """Lay out what was heard, or why nothing can be said."""
    return {"heard" if isinstance(said, Heard) else "refused": to_words(said)}


def read_said(answer: Mapping[str, Any]) -> Heard | Refused:
    """Read what `lay_said` laid out."""
    if "heard" in answer:
        return from_words(Heard, answer["heard"])
    return from_words(Refused, answer["refused"])


def lay_told(told: Told) -> dict[str, Any]:
    """Lay out what is told of a run while it plays."""
    (name,) = (name for name, kind in TOLD.items() if isinstance(told, kind))
    return {"told": name, "words": to_words(told)}


def read_told(answer: Mapping[str, Any]) -> Told:
    """Read what `lay_told` laid out."""
    return cast(Told, from_words(TOLD[answer["told"]], answer["words"]))
