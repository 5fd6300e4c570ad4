"""What the screen for typing an etude needs from outside."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Protocol

if TYPE_CHECKING:
    from coach.score.abc.typed_tune import TypedTune


@dataclass(frozen=True, slots=True)
class OwnText:
    """An own etude as it lies in its file."""

    path: str
    """Its file."""

    text: str
    """What stands in it."""

    place: tuple[int, int]
    """Line and column, from 0, where it was left."""


class WriteNeeds(Protocol):
    """Own etudes in ABC."""

    def open_own(self, name: str) -> OwnText:
        """Open an own etude by its name; a new one begins with a head to go on from."""
        ...

    def save_own(self, own: OwnText) -> None:
        """Write an own etude whole, and where the cursor is."""
        ...

    def read_typed(self, path: str, text: str) -> TypedTune:
        """Read what was typed (slow)."""
        ...

    def end_typing(self) -> None:
        """Be done with reading what is typed (slow)."""
        ...
