"""What the player is told of arm and positions."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.slide.words.hurry_words import slower_percent
from tests.hand_made import part_of
from tests.planning.slide.slide_shelf import gliding, graced, planned


def test_a_plan_that_can_be_played_says_nothing() -> None:
    assert planned(part_of("Bb3q C4q D4q F4q")).notices == ()


def test_notes_below_the_trigger_are_named_once_with_their_bars() -> None:
    plan = planned(part_of("Bb2h D2h C2h D2h D2h Bb2h"))
    assert plan.notices == (
        "D2 and C2 in bars 1 to 3 cannot be played on the tenor trombone.",
        "It fits an octave higher: --transpose 12. "
        "For another instrument: --instrument NAME.",
    )


def test_all_that_cannot_be_played_is_named_in_one_sentence() -> None:
    notice, _ = planned(part_of("D2h C2h Bb2w C#2w")).notices
    assert notice.startswith("D2, C2 and C#2 in bars 1, 3 cannot be played")


def test_many_bars_are_not_all_named() -> None:
    notice, _ = planned(part_of("D2w " * 9)).notices
    assert "bars 1 to 9 cannot be played" in notice


def test_a_position_that_the_pitch_has_not_is_named_with_those_it_has() -> None:
    plan = planned(part_of("Bb3q F4q"), locked={1: "3"})
    assert plan.notices == (
        "F4 in bar 1, beat 2 has no position 3: choose from 1, #4, 6.",
    )


def test_a_lock_on_a_note_without_any_position_is_named() -> None:
    notices = planned(part_of("Bb3q D2q"), locked={1: "4"}).notices
    assert "D2 in bar 1, beat 2 has no position 4." in notices


def test_a_lock_on_a_note_that_is_not_there_is_named() -> None:
    plan = planned(part_of("Bb3q F4q"), locked={7: "3"})
    assert plan.notices == ("There is no note 8 for position 3.",)


def test_a_move_too_quick_for_any_arm_is_named() -> None:
    """50 cm in 94 ms: at 70 metres a second squared to and fro takes 187 ms."""
    plan = planned(part_of("Bb2s C3s Bb2q", bpm=160))
    (notice,) = plan.notices
    assert notice == (
        "Bar 1: even a quick arm comes late, most of all for bar 1, beat 1.25 "
        "(50 cm in 94 ms): glide through, or take it 50 % slower."
    )


def test_the_arm_goes_past_notes_that_are_left_out() -> None:
    """From Bb2 in first to C3 in sixth and back: who leaves out C3 stays in first."""
    part = part_of("Bb2s C3s Bb2q", bpm=160)
    away = frozenset({1})
    plan = planned(part, breaths_after=frozenset({0, 1}), left_out=away)
    assert (plan.notices, plan.travel_cm) == ((), 0.0)
    far = planned(
        part_of("Bb2s D3s C3q", bpm=170),
        breaths_after=frozenset({0, 1}),
        left_out=away,
    )
    (notice,) = far.notices
    assert "bar 1, beat 1.5 (50 cm in 176 ms)" in notice


def test_moves_too_quick_are_named_by_their_bars() -> None:
    (notice,) = planned(part_of("Bb2s C3h. Bb3e. " * 3, bpm=160)).notices
    assert notice.startswith("Bars 1 to 3: even a quick arm comes late")


@pytest.mark.parametrize("words", ["Bb3s C4s ", "C4s D4s ", "Bb3s Ab3s "])
def test_what_strong_players_do_all_day_is_no_warning(words: str) -> None:
    """To and fro between first and third in sixteenths at 132; from memory."""
    part = part_of(words * 8 + "Bb3q", bpm=132)
    assert planned(part, dial=0.0).notices == ()


def test_on_through_a_note_the_arm_need_not_stop() -> None:
    """First, third and on to fifth; then first, third and back."""
    on, turning = (
        planned(part_of(words, bpm=168), dial=0.0).notices
        for words in ("Bb3s Ab3s F#3q", "Bb3s Ab3s Bb3q")
    )
    assert on == ()
    assert turning[0].startswith("Bar 1: even a quick arm comes late")


def test_another_place_is_named_where_it_brings_the_arm_there_in_time() -> None:
    """Between two F sharps in fifth F is at hand in sixth."""
    part = part_of("F#3s F3s F#3s F3s F#3q", bpm=120)
    (notice,) = planned(part, dial=0.0).notices
    assert notice == (
        "Bar 1: even a quick arm comes late, most of all for bar 1, beat 1.25 "
        "(38 cm in 125 ms): take F3 in 6, glide through, or take it 24 % slower."
    )


def test_how_much_slower_is_rounded_up() -> None:
    assert [slower_percent(times) for times in (1.001, 1.25, 2.0)] == [1, 20, 50]


def test_a_glissando_that_no_slide_makes_is_named() -> None:
    """F3 to C4 are seven semitones, G3 to C4 five across two partials; both ends of a
    glissando lie on one partial, and a slide has six semitones (common practice, no
    published source)."""
    (notice,) = planned(gliding("F3q C4q", 0)).notices
    assert notice == (
        "The slide makes no glissando from F3 to C4 (bar 1, beat 2): no partial that "
        "can be taken there has both; glide as far as Bb3, then play C4."
    )
    assert "from G3 to C4" in planned(gliding("G3q C4q", 0)).notices[0]
    assert planned(gliding("F3q C4q", 0), on="euphonium").notices == ()


def test_a_glissando_goes_as_far_as_one_partial_out_of_a_note_or_into_one() -> None:
    """B flat 2 lies in first alone, where the slide only goes down; F3 is reached from
    B2 in seventh, and left for it; common practice, no published source."""
    up, down, none = (
        planned(gliding(words, 0)).notices[-1]
        for words in ("Bb2q F3q", "F3q Bb2q", "Bb2q B2q")
    )
    assert up.endswith("; play Bb2, then glide into F3 from B2.")
    assert down.endswith("; glide as far as B2, then play Bb2.")
    assert none.endswith("; play two notes.")


def test_what_is_too_quick_for_grace_notes_alone_asks_for_no_slower_tempo() -> None:
    part = part_of("Bb3q C4s Bb2q. Bb2s C3s Bb2q", bpm=160)
    notes = list(part.notes)
    notes[1] = replace(notes[1], is_grace=True)
    plain, small = planned(replace(part, notes=tuple(notes))).notices
    assert plain.startswith("Bar 1: even a quick arm comes late")
    assert small.startswith("Bar 1: the slide is too slow for grace notes, most of all")
    assert small.endswith(" ms): begin them sooner, or leave them out.")


@pytest.mark.parametrize(
    ("words", "small", "ways"),
    [
        ("F3q B2s A2q", [1], "begin them sooner"),
        ("F3q C3s E3q", [1], "smear them"),
        ("F3q C3s E3h B2s A2q", [1, 3], "smear them, begin them sooner"),
    ],
)
def test_a_grace_note_on_another_partial_cannot_be_smeared(
    words: str, small: list[int], ways: str
) -> None:
    """Common practice, no published source."""
    (notice,) = planned(graced(part_of(words, bpm=100), *small)).notices
    assert notice.startswith("Bar 1: the slide is too slow for grace notes")
    assert notice.endswith(f"): {ways}, or leave them out.")
