"""What is asked of the process that reads scores."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Request:
    """What is asked of the process."""

    name: str
    """The file's name, for messages."""

    part: str | None = None
    """Name or number of the part; None for the first one with notes."""

    is_list: bool = False
    """Only list the parts."""

    is_typed: bool = False
    """A tune in ABC as it is being typed: all that is wrong is told with its place."""
