"""What parts two notes when the tongue stays out of it."""

from __future__ import annotations

from itertools import product

import pytest

from coach.config import read_shipped
from coach.planning.instrument.instrument import Instrument, build_instrument
from coach.planning.instrument.placement import NO_PLACE, Placement, find_place
from coach.planning.slide.slurs import CLEAN, Move, move_between
from coach.score.note import Pitch


@pytest.fixture(scope="module")
def tenor() -> Instrument:
    name = "tenor-trombone-f"
    return build_instrument(name, read_shipped(f"instruments/{name}"))


def midi(name: str) -> int:
    alter = name[1:-1].count("#") - name[1:-1].count("b")
    return Pitch(int(name[-1]), name[0], alter).midi


def at(tenor: Instrument, note: str) -> tuple[int, Placement]:
    """Read ``D4=4`` as the key and the place."""
    name, _, label = note.partition("=")
    place = find_place(tenor.choices(midi(name)), label)
    assert place is not None, note
    return midi(name), place


def move(tenor: Instrument, before: str, after: str) -> Move:
    key_before, place_before = at(tenor, before)
    key_after, place_after = at(tenor, after)
    return move_between(place_before, place_after, key_after - key_before)


# "Playing Legato on the Trombone: A Primer", trombone.org: the lip slur, the slur
# against the grain, the legato tongue with the grain, the valve slur.
@pytest.mark.parametrize(
    ("before", "after", "expected"),
    [
        ("Bb3=1", "D4=1", Move.LIP),
        ("D4=4", "F4=4", Move.LIP),  # both in fourth: common practice
        ("F4=4", "D4=4", Move.LIP),
        ("Bb3=1", "C4=3", Move.AGAINST),  # up, and the slide goes out
        ("Eb4=3", "D4=1", Move.AGAINST),  # down, and the slide comes in
        ("F3=1", "G3=4", Move.AGAINST),
        ("G3=4", "C4=3", Move.ACROSS),  # up, and the slide comes in
        ("C4=3", "Bb3=1", Move.AGAINST),
        ("D4=1", "C4=3", Move.SMEAR),
        ("Bb3=1", "A3=2", Move.SMEAR),
        ("C3=T1", "D3=4", Move.VALVE),
        ("F3=1", "C3=T1", Move.VALVE),
        ("C3=T1", "B2=T2", Move.SMEAR),
        ("B2=T2", "E3=2", Move.VALVE),
        ("D4=1", "D4=1", Move.STAY),
    ],
)
def test_slurs_are_those_of_the_primer(
    tenor: Instrument, before: str, after: str, expected: Move
) -> None:
    assert move(tenor, before, after) is expected


def test_the_same_pitch_in_another_position_is_parted_by_its_partial(
    tenor: Instrument,
) -> None:
    assert move(tenor, "F4=1", "F4=4") in (Move.AGAINST, Move.ACROSS)


def test_clean_slurs_need_no_tongue() -> None:
    assert set(CLEAN) == {Move.LIP, Move.AGAINST, Move.VALVE, Move.FREE}


def test_on_one_partial_the_slide_always_goes_with_the_pitch(
    tenor: Instrument,
) -> None:
    """Against the grain necessarily crosses a partial (the same primer): checked for
    every pair of places of every two notes a fifth apart or less."""
    for low in tenor.chart:
        for high in range(low + 1, low + 8):
            for a, b in product(tenor.choices(low), tenor.choices(high)):
                if (a.partial, a.valves) == (b.partial, b.valves):
                    assert a.cm is not None
                    assert b.cm is not None
                    assert a.cm > b.cm
                    assert move_between(a, b, high - low) is Move.SMEAR


def test_every_pair_of_places_is_one_kind_of_move(tenor: Instrument) -> None:
    """And the way back is the same kind."""
    for low in range(midi("E2"), midi("Bb4")):
        for high in range(low + 1, min(low + 13, midi("Bb4"))):
            for a, b in product(tenor.choices(low), tenor.choices(high)):
                there = move_between(a, b, high - low)
                assert move_between(b, a, low - high) is there


def test_without_places_only_a_repeated_pitch_needs_the_tongue() -> None:
    assert move_between(NO_PLACE, NO_PLACE, 2) is Move.FREE
    assert move_between(NO_PLACE, NO_PLACE, 0) is Move.STAY
