"""Which part of a score is meant."""

from __future__ import annotations

import pytest

from coach.edges.scores.part_list import choose_part, entry
from coach.errors import ScoreError


def test_drums_are_not_told_that_they_have_no_notes() -> None:
    with pytest.raises(ScoreError, match="no notes with a pitch"):
        choose_part([entry(1, "Drumset", 0)], None, "drums.musicxml")
