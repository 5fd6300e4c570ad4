"""Whatever is typed is read or refused with its place; nothing else happens."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.benchmarks.abc_fuzz import SIGNS, mutate, try_one, tunes
from tests.score.abc.abc_samples import HEAD

PIECES = st.lists(
    st.sampled_from(
        [*SIGNS, "C2", "|:", ":|", "[1", "(3", "{c}", "[M:3/4]", "[K:D]", "!f!", "Z2"]
    ),
    max_size=60,
)


@pytest.mark.parametrize("seed", range(30))
def test_good_tunes_with_slips_are_read_or_refused(seed: int) -> None:
    dice = random.Random(seed)
    good = tunes()
    for _ in range(10):
        assert try_one(mutate(dice.choice(good), dice)) in ("read", "refused", "empty")


@settings(deadline=None, max_examples=200)
@given(PIECES)
def test_any_signs_are_read_or_refused(pieces: list[str]) -> None:
    assert try_one(HEAD + "".join(pieces)) in ("read", "refused", "empty")


@settings(deadline=None)
@given(st.text(max_size=200))
def test_any_text_is_read_or_refused(text: str) -> None:
    assert try_one(text) in ("read", "refused", "empty")


def test_unchanged_tunes_are_read() -> None:
    assert {try_one(tune) for tune in tunes()} == {"read"}
