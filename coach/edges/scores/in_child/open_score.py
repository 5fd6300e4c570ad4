"""A score whose parts are known and can be read one at a time."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Protocol

from coach.edges.scores.part_list import PartEntry
from coach.score.page import Page


class OpenScore(Protocol):
    """A score of any format."""

    @property
    def entries(self) -> Sequence[PartEntry]:
        """Give its parts."""

    def read(self, number: int) -> Page:
        """Read one part as it is printed."""
