"""Which etude it is: two of one title are told apart, one that moves stays itself."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

import pytest

from coach.score.etude_key import EtudeKey, key_of
from coach.score.metre import Metre
from coach.score.note import Pitch
from coach.score.phrase import Part
from coach.score.tempo import Tempo, beats
from tests.hand_made import part_of

LINE = "Bb2q C3q D3q Eb3q F3w G3h F3h Bb2w "
FIVE = part_of(LINE * 4, title="Etude 5")


def with_fifths(part: Part, fifths: int) -> Part:
    return replace(part, bars=tuple(replace(bar, fifths=fifths) for bar in part.bars))


def with_free_metre(part: Part) -> Part:
    bars = (replace(b, metre=replace(b.metre, is_free=True)) for b in part.bars)
    return replace(part, bars=tuple(bars))


@pytest.mark.parametrize(
    "other",
    [
        part_of(LINE * 3, title="Etude 5"),
        part_of(LINE * 4, title="Etude 6"),
        part_of(LINE * 4, title="Etude 5", metre=Metre(2, 2)),
        replace(FIVE, name="Second Trombone"),
        with_fifths(FIVE, -3),
    ],
    ids=["longer", "title", "metre", "part", "key"],
)
def test_two_etudes_are_told_apart(other: Part) -> None:
    assert key_of(other).fingerprint != key_of(FIVE).fingerprint


@pytest.mark.parametrize(
    "same",
    [
        replace(FIVE, source="/another/folder/five.musicxml"),
        replace(FIVE, title="ETUDE  5 "),
        with_free_metre(FIVE),
        replace(FIVE, title="Etude\u00a05"),
        replace(FIVE, tempo=Tempo(132, beats(1)), key_name="", remarks=("told",)),
        replace(
            FIVE,
            notes=(
                replace(FIVE.notes[0], sounding=Pitch(3, "F"), written=Pitch(3, "F")),
                *FIVE.notes[2:],
            ),
        ),
        # The repeat of its last bars was forgotten.
        replace(FIVE, bars=(*FIVE.bars, *FIVE.bars[-4:])),
    ],
    ids=[
        "moved",
        "spelled",
        "free metre",
        "no-break space",
        "tempo",
        "a note",
        "repeat",
    ],
)
def test_an_etude_that_is_moved_or_mended_stays_the_same(same: Part) -> None:
    assert key_of(same).fingerprint == key_of(FIVE).fingerprint


def test_a_change_of_metre_or_key_tells_etudes_apart() -> None:
    first, second, *rest = FIVE.bars
    changed = replace(FIVE, bars=(first, replace(second, fifths=2), *rest))
    later = replace(FIVE, bars=(replace(first, fifths=2), second, *rest))
    keys = {key_of(part).fingerprint for part in (FIVE, changed, later)}
    assert len(keys) == 3


def test_a_pickup_tells_etudes_apart() -> None:
    first, *rest = FIVE.bars
    pickup = replace(first, number=0, length=beats(1), first_beat=Fraction(4))
    assert key_of(replace(FIVE, bars=(pickup, *rest))) != key_of(FIVE)


def test_without_a_title_the_opening_tells_etudes_apart_and_the_file_does_not() -> None:
    untitled = replace(FIVE, title="scan 12", is_titled=False)
    renamed = replace(untitled, title="etude five")
    other = part_of("C3q D3q Eb3q F3q " * 4 + LINE * 3, title="scan 12")
    other = replace(other, bars=FIVE.bars, is_titled=False)
    assert key_of(renamed).fingerprint == key_of(untitled).fingerprint
    assert key_of(other).fingerprint != key_of(untitled).fingerprint
    assert key_of(untitled).fingerprint != key_of(FIVE).fingerprint


def test_a_key_is_short_and_the_same_tomorrow() -> None:
    """Logs are kept for years: a changed fingerprint would lose them."""
    assert key_of(FIVE) == EtudeKey("Etude 5", "aaf73bee8ebf")
