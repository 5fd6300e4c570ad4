"""The plans of the etudes are what was read aloud and found good."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.golden.plans import etudes, golden, plan_text


@pytest.mark.parametrize("path", etudes(), ids=lambda path: path.stem)
def test_the_plan_is_the_one_that_was_read(path: Path) -> None:
    """A change that is meant: ``uv run python -m tests.golden.plans``, then read."""
    assert plan_text(path) == golden(path).read_text(encoding="utf-8")
