"""Dynamics and hairpins: how loud each place of a page is."""

from __future__ import annotations

from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.score.loudness import (
    Dynamic,
    Hairpin,
    Loudness,
    LoudnessSettings,
    Return,
    growth_in,
    level_of,
    shape_loudness,
)
from coach.score.tempo import Beats, beats

SETTINGS = LoudnessSettings(
    hairpin_steps=1.0, sforzato_steps=1.0, open_words_quarters=8.0
)
ONSETS = [beats(k) for k in range(32)]


def at(place: int | str, name: str) -> Dynamic:
    return Dynamic(beats(place), name)


def pin(start: int, end: int | None, direction: int = 1) -> Hairpin:
    return Hairpin(beats(start), None if end is None else beats(end), direction)


def shape(
    *signs: Dynamic | Hairpin, returns: tuple[Return, ...] = (), step: int = 1
) -> Loudness:
    return shape_loudness(
        [sign for sign in signs if isinstance(sign, Dynamic)],
        [sign for sign in signs if isinstance(sign, Hairpin)],
        returns,
        ONSETS[::step],
        SETTINGS,
    )


def levels(loudness: Loudness, *places: int) -> list[float]:
    return [round(loudness.at(beats(place)), 3) for place in places]


def test_a_page_without_dynamics_is_mezzo_forte() -> None:
    assert levels(shape(), 0, 9) == [0, 0]
    assert shape().before(beats(4)) == 0


def test_a_dynamic_holds_until_the_next() -> None:
    loudness = shape(at(1, "p"), at(4, "ff"))
    assert levels(loudness, 0, 1, 3, 4, 9) == [0, -2, -2, 2, 2]
    assert loudness.before(beats(4)) == -2


def test_a_hairpin_grows_evenly_to_the_dynamic_at_its_end() -> None:
    loudness = shape(at(0, "p"), pin(0, 4), at(4, "f"))
    assert levels(loudness, 0, 1, 2, 3, 4, 9) == [-2, -1.25, -0.5, 0.25, 1, 1]
    assert loudness.before(beats(4)) == 1


def test_a_hairpin_leads_to_the_dynamic_under_the_next_note() -> None:
    """The hairpin ends at 3, the next note comes at 4 and carries the forte."""
    loudness = shape(at(0, "p"), pin(0, 3), at(4, "f"), step=4)
    assert levels(loudness, 3, 4) == [1, 1]


def test_a_hairpin_reaches_a_dynamic_inside_it() -> None:
    loudness = shape(at(0, "p"), pin(0, 4), at(2, "f"))
    assert levels(loudness, 1, 2, 4) == [-0.5, 1, 1]


def test_a_hairpin_that_leads_nowhere_goes_one_step() -> None:
    assert levels(shape(at(0, "mf"), pin(0, 4, -1)), 0, 2, 4, 9) == [0, -0.5, -1, -1]


def test_a_sudden_piano_after_a_crescendo_comes_at_once() -> None:
    loudness = shape(at(0, "mf"), pin(0, 4), at(4, "p"))
    assert loudness.before(beats(4)) == 1
    assert levels(loudness, 4) == [-2]


def test_a_swell_ends_where_it_began() -> None:
    assert levels(shape(at(0, "p"), pin(0, 4), pin(4, 8, -1)), 0, 4, 8) == [-2, -1, -2]


def test_loudness_stays_between_the_softest_and_the_loudest() -> None:
    loud = shape(at(0, "ff"), pin(0, 4), pin(4, 8), pin(8, 12))
    assert levels(loud, 12) == [3]
    soft = shape(at(0, "pp"), pin(0, 4, -1), pin(4, 8, -1))
    assert levels(soft, 12) == [-4]


def test_crescendo_in_words_lasts_to_the_next_dynamic() -> None:
    loudness = shape(at(0, "p"), pin(4, None), at(12, "f"))
    assert levels(loudness, 4, 8, 12) == [-2, -0.5, 1]


def test_crescendo_in_words_that_leads_nowhere_lasts_as_long_as_is_set() -> None:
    assert levels(shape(at(0, "p"), pin(4, None)), 4, 8, 12, 20) == [-2, -1.5, -1, -1]


def test_crescendo_in_words_is_ended_by_a_hairpin() -> None:
    loudness = shape(at(0, "mf"), pin(0, None), pin(4, 8, -1), at(9, "sfz"))
    assert levels(loudness, 4, 8) == [1, 0]


def test_a_hairpin_without_length_changes_nothing() -> None:
    assert levels(shape(at(0, "p"), pin(2, 2)), 2, 3) == [-2, -2]


@pytest.mark.parametrize("name", ["sf", "sfz", "fz", "rfz", "sffz"])
def test_a_sforzato_stands_out_for_one_note(name: str) -> None:
    loudness = shape(at(0, "p"), at(4, name))
    assert levels(loudness, 3, 4, 5) == [-2, 1, -2]
    assert loudness.before(beats(5)) == -2


def test_a_sforzato_is_louder_than_what_is_around_it() -> None:
    assert levels(shape(at(0, "f"), at(4, "sf")), 4, 5) == [2, 1]
    assert levels(shape(at(0, "fff"), at(4, "sf")), 4, 5) == [3, 3]


@pytest.mark.parametrize(("name", "after"), [("fp", -2), ("sfp", -2), ("sfpp", -3)])
def test_fortepiano_starts_loud_and_stays_soft(name: str, after: float) -> None:
    assert levels(shape(at(0, "mf"), at(4, name)), 4, 5, 9) == [1, after, after]


def test_the_last_sforzato_of_a_page_falls_off_at_once() -> None:
    assert levels(shape(at(31, "sf")), 31) == [0]


def test_letters_that_are_no_dynamic_change_nothing() -> None:
    assert levels(shape(at(0, "p"), at(2, "x"), at(3, "")), 2, 3) == [-2, -2]


def test_a_second_ending_is_as_loud_as_the_first_at_its_start() -> None:
    back = Return(beats(8), beats(4))
    loudness = shape(at(0, "p"), at(4, "ff"), returns=(back,))
    assert levels(loudness, 4, 7, 8) == [2, 2, -2]


@pytest.mark.parametrize(
    ("name", "level"),
    [("pppp", -4), ("n", -4), ("mp", -1), ("ffff", 3), ("sfz", None), ("", None)],
)
def test_a_dynamic_has_its_steps(name: str, level: float | None) -> None:
    assert level_of(name) == level


SIGNS = st.lists(
    st.one_of(
        st.builds(
            at, st.integers(0, 31), st.sampled_from(["p", "mf", "ff", "sf", "fp"])
        ),
        st.builds(
            lambda start, length, way: pin(start, start + length, way),
            st.integers(0, 28),
            st.integers(1, 6),
            st.sampled_from([-1, 1]),
        ),
    ),
    max_size=8,
)


@settings(deadline=None)
@given(SIGNS, st.fractions(0, 40, max_denominator=8))
def test_any_signs_give_a_loudness_within_bounds(
    signs: list[Dynamic | Hairpin], place: Fraction
) -> None:
    ordered = sorted(
        signs, key=lambda sign: sign.at if isinstance(sign, Dynamic) else sign.start
    )
    loudness = shape(*ordered)
    assert -4 <= loudness.at(Beats(place)) <= 3
    assert -4 <= loudness.before(Beats(place)) <= 3


@pytest.mark.parametrize(
    ("text", "growth"),
    [("cresc.", 1), ("poco dim.", -1), ("decresc.", -1), ("dolce", 0)],
)
def test_words_let_the_music_grow_and_fall(text: str, growth: int) -> None:
    assert growth_in(text) == growth
