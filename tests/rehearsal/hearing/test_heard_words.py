"""What was heard, in a player's words."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from coach.rehearsal.hearing.heard import (
    Doubt,
    Evenness,
    HeardBreath,
    HeardNote,
    LateEntry,
    PassedOver,
    RanOut,
    Refusal,
    Refused,
    Stretch,
    ThinTone,
    ToldAgainst,
)
from coach.rehearsal.hearing.heard_findings import find_all, pitch_heard, say_stretch
from coach.rehearsal.hearing.heard_words import (
    DOUBTS,
    SAID_AGAINST,
    say_breaths,
    say_doubts,
    say_evenness,
    say_found,
    say_next,
    say_refused,
)
from coach.score.tempo import Seconds
from tests.hand_heard import TELLING, heard_by_hand
from tests.hand_made import part_of
from tests.hand_rehearsal import breath_by_hand, plan_by_hand

PLAN = plan_by_hand(
    part_of("Bb2q C3q D3h D3q Eb3h rq F3q G3q rh"),
    [(0.9, 0.7)] * 7,
    (
        replace(breath_by_hand(2, 3.7, 4.0, (0.4, 0.8)), is_on_rest=False),
        breath_by_hand(4, 7.0, 8.0, (0.4, 0.9)),
    ),
)
PLAYED = heard_by_hand(PLAN)


def found(**changes: Any) -> list[tuple[str, str, str]]:
    findings = find_all(PLAN, replace(PLAYED, **changes))
    return [(one.what, one.where, one.amount) for one in findings]


def test_stretches_are_named_by_bar_and_beat() -> None:
    assert say_stretch(PLAN, 3, 3) == "bar 2, beat 1"
    assert say_stretch(PLAN, 0, 2) == "bar 1, beats 1 to 3"
    assert say_stretch(PLAN, 1, 5) == "bar 1, beat 2, to bar 3, beat 1"


def test_findings_come_in_the_order_of_the_page() -> None:
    assert found(
        dragged=(Stretch(5, 6, Seconds(0.052)),),
        rushed=(Stretch(1, 2, Seconds(-0.061)),),
        late_after_breath=(LateEntry(3, Seconds(0.124)),),
        ran_out=RanOut(4, Seconds(6.0)),
        thin=(ThinTone(0, 1, 4.4),),
    ) == [
        ("tone got thin", "bar 1, beats 1 to 2", "4 dB less"),
        ("rushed", "bar 1, beats 2 to 3", "60 ms ahead, 2 notes"),
        ("late after the breath", "bar 2, beat 1", "125 ms behind"),
        ("ran out", "bar 2, beat 2", ""),
        ("dragged", "bar 3, beats 1 to 2", "50 ms behind, 2 notes"),
    ]


@pytest.mark.parametrize(
    ("heard", "spelled"),
    [(46, "Bb2"), (47, "Cb3"), (51, "Eb3"), (58, "Bb3"), (41, "F2"), (34, "Bb1")],
)
def test_another_pitch_is_spelled_from_the_one_on_the_page(
    heard: int, spelled: str
) -> None:
    notes = (replace(PLAYED.notes[0], midi=heard), *PLAYED.notes[1:])
    pitch = pitch_heard(PLAN, replace(PLAYED, notes=notes), 0)
    assert str(pitch) == spelled
    assert pitch is not None
    assert pitch.midi == heard


def test_what_is_missing_in_a_row_is_one_thing_and_a_wrong_note_is_named() -> None:
    notes = (
        *PLAYED.notes[:1],
        replace(PLAYED.notes[1], midi=None),
        *PLAYED.notes[2:6],
        replace(PLAYED.notes[6], midi=53),
    )
    assert pitch_heard(PLAN, replace(PLAYED, notes=notes), 1) is None
    assert found(missed=(1, 2, 4), wrong=(6,), notes=notes) == [
        ("missed", "bar 1, beats 2 to 3", "2 notes"),
        ("missed", "bar 2, beat 2", ""),
        ("wrong note", "bar 3, beat 2", "F3 for G3"),
    ]


def test_what_is_passed_over_is_told_and_not_asked_for() -> None:
    over = (PassedOver(0, 2, True), PassedOver(3, 3, False))
    notes = (*[HeardNote(note.due) for note in PLAYED.notes[:4]], *PLAYED.notes[4:])
    heard = replace(PLAYED, passed_over=over, notes=notes)
    assert found(passed_over=over, notes=notes) == [
        ("repeat left out", "bar 1, beats 1 to 3", "3 notes"),
        ("passed over", "bar 2, beat 1", "1 note"),
    ]
    assert say_found(heard).startswith("3 of 3 notes heard")
    assert say_next(PLAN, heard, TELLING) == (
        "Play it through with all that the page asks for, repeats too."
    )


def test_a_swing_is_told_with_its_ratio() -> None:
    heard = replace(PLAYED, swing_ratio=1.96, doubts=(Doubt.SWUNG,))
    assert say_doubts(PLAN, heard) == [
        "Pairs of notes are swung, 2.0 to 1: ahead and behind are told against that."
    ]


def test_breaths_are_counted_and_those_between_notes_measured() -> None:
    assert say_breaths(PLAN, PLAYED) == (
        "2 of 2 planned breaths heard; between notes 0.30 s each, 0.30 s planned"
    )
    more = (HeardBreath(0, Seconds(0.6), Seconds(1.0), False),)
    assert say_breaths(PLAN, replace(PLAYED, breaths=more)) == (
        "0 of 2 planned breaths heard; 1 more"
    )


@pytest.mark.parametrize(
    ("slope", "says"),
    [
        (-0.8, "0.8 dB softer each second: you spent it at the start"),
        (0.6, "0.6 dB louder each second: you held it back at first"),
        (0.4, "as loud at the end as at the start"),
    ],
)
def test_evenness_says_where_the_sound_went(slope: float, says: str) -> None:
    even = replace(PLAYED, evenness=Evenness(slope, 1.26))
    told = say_evenness(even, TELLING)
    assert told.startswith("notes within 1.3 dB of their phrase's line")
    assert told.endswith(says)
    assert say_evenness(replace(PLAYED, evenness=None), TELLING) == ""


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        (
            {"ran_out": RanOut(4, Seconds(6.0)), "missed": (5,)},
            "Rehearse bar 2 alone: fill up before it, and top off before bar 2.",
        ),
        (
            {"ran_out": RanOut(1, Seconds(1.5))},
            "Rehearse bar 1 alone: fill up before it, and top off before bar 1.",
        ),
        (
            {"missed": (1,), "wrong": (2, 6)},
            "Rehearse bar 1 slower, until every note comes.",
        ),
        (
            {"missed": (2,), "wrong": (3, 6)},
            "Rehearse bars 1 to 2 slower, until every note comes.",
        ),
        (
            {"late_after_breath": (LateEntry(3, Seconds(0.1)),)},
            "Take the breath's time from the note before it, as before bar 2.",
        ),
        (
            {
                "rushed": (Stretch(0, 1, Seconds(-0.05)),),
                "dragged": (Stretch(4, 6, Seconds(0.09)),),
            },
            "Rehearse bars 2 to 3 with the click subdivided.",
        ),
        (
            {"evenness": Evenness(-1.0, 1.0)},
            "Blow the same speed and volume from the first note to the last.",
        ),
        ({"stopped": Seconds(7.0)}, "Play it through to the last note."),
        ({}, "Play it like this again; after three in a row, a notch faster."),
        (
            {"evenness": None},
            "Play it like this again; after three in a row, a notch faster.",
        ),
    ],
)
def test_one_thing_to_do_next_the_air_first(changes: dict[str, Any], says: str) -> None:
    assert say_next(PLAN, replace(PLAYED, **changes), TELLING) == says


def test_there_are_words_for_every_refusal_doubt_and_what_is_told_against() -> None:
    assert set(DOUBTS) == set(Doubt)
    assert set(SAID_AGAINST) == set(ToldAgainst)
    for why in Refusal:
        assert all(say_refused(Refused(why)))


@pytest.mark.parametrize(
    ("share", "says"), [(1.25, "25 % faster than 60"), (0.984, "2 % slower than 60")]
)
def test_a_tempo_of_its_own_is_told_against_the_one_that_was_asked_for(
    share: float, says: str
) -> None:
    doubts = (Doubt.NOISY, Doubt.TEMPO_ITS_OWN)
    heard = replace(PLAYED, own_tempo_share=share, doubts=doubts)
    assert say_doubts(PLAN, heard) == [
        "The room is noisy: small things may be missed.",
        f"It goes at a tempo of its own: {says}.",
    ]
