"""Words on a run that say that playing harms are answered before anything else."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.rehearsal.ahead.body_words import find_harm
from coach.rehearsal.review.advice import Advice
from coach.rehearsal.review.ladder import advise
from coach.rehearsal.run.run import Run
from coach.wiring.rehearsal_numbers import read_body_words
from tests.rehearsal.review.test_ladder import HERE, LADDER, SCALE, run

BODY = read_body_words()


def ask(*runs: Run, day: tuple[Run, ...] = ()) -> Advice:
    return advise(runs, replace(HERE, body=BODY, day=day), LADDER, SCALE)


@pytest.mark.parametrize(
    ("note", "caution"),
    [
        ("dizzy", "Dizzy"),
        ("I felt faint!", "Dizzy"),
        ("light-headed at the end", "Dizzy"),
        ("lips hurt", "lips"),
        ("tired, my lips are SORE", "lips"),
        ("sore lips", "lips"),
        ("ears ring", "ears"),
        ("ringing in my left ear", "ears"),
        ("my arm hurts", "Arm"),
        ("shoulder aches", "Arm"),
        ("fingers numb", "Arm"),
        ("chest pain", "doctor first"),
        ("it hurts", "Your teacher"),
        ("numb", "Your teacher"),
        ("did not breathe and dizzy", "Dizzy"),
    ],
)
def test_a_word_of_harm_finds_the_caution_that_answers_it(
    note: str, caution: str
) -> None:
    found = find_harm(note, BODY)
    assert found is not None
    assert caution in found[1].caution


@pytest.mark.parametrize(
    "note",
    [
        "lips tired",
        "no pain",
        "not dizzy",
        "lips don't hurt",
        "went numbly through bar 3",
        "came back in late",
        "the room rings",
        "",
    ],
)
def test_other_words_find_none(note: str) -> None:
    assert find_harm(note, BODY) is None


def test_harm_is_answered_by_stop_and_a_doctor_instead_of_once_more() -> None:
    advice = ask(run(3), run(2, is_clean=False, note="lips tired, dizzy"))
    assert advice.kind == "rest"
    assert advice.why == (
        "You said “dizzy”: stop for now, and rest. Dizzy, tingling or seeing spots? "
        "Stop, sit, breathe normally. What stays or comes back is for a doctor or your "
        "teacher."
    )


@pytest.mark.parametrize(
    ("note", "said"),
    [
        ("lips tired", "lips tired"),
        ("clean but my chops are gone!", "my chops are gone"),
    ],
)
def test_who_is_tired_rests_and_then_goes_on(note: str, said: str) -> None:
    """As long as was played: common practice, no published source."""
    advice = ask(run(3), run(1, note=note))
    assert (advice.kind, advice.is_for_harm) == ("rest", False)
    assert advice.why == (
        f"You said “{said}”: rest the lips as long as you have played, for "
        "5 minutes at least, then go on."
    )


def test_being_tired_is_over_with_a_rest_or_with_a_run_that_says_nothing_of_it() -> (
    None
):
    assert ask(run(30, note="lips tired"), run(1)).kind != "rest"
    assert ask(run(9, note="lips tired")).kind != "rest"
    assert ask(run(2, note="lips not tired")).kind != "rest"
    assert ask(run(2, note="arm tired")).kind != "rest"


def test_bars_and_tempo_stay_what_they_would_be_for_whoever_plays_on() -> None:
    harmed = ask(run(3), run(2), run(1, note="arm hurts"))
    assert (harmed.clean, harmed.needed) == (0, 0)
    without = ask(run(3), run(2), run(1))
    assert (harmed.bpm, harmed.from_bar) == (without.bpm, without.from_bar)


def test_it_is_said_until_a_pause_that_ends_the_rehearsal() -> None:
    """Of one who plays on at once; half an hour ends a rehearsal."""
    advice = ask(run(9, note="dizzy"), run(2), run(1))
    assert (advice.kind, advice.is_for_harm) == ("rest", True)
    assert ask(run(40, note="dizzy")).kind != "rest"
    assert ask(run(60, note="dizzy"), run(2)).kind != "rest"


def test_harm_in_another_etude_counts_and_a_run_that_lies_ahead_does_not() -> None:
    assert ask(run(1), day=(run(4, etude="Other", note="ears ring"),)).kind == "rest"
    assert ask(run(1), run(-5, note="ears ring")).kind != "rest"


def test_the_newest_word_is_answered() -> None:
    assert "lips hurt" in ask(run(5, note="dizzy"), run(2, note="lips hurt")).why
