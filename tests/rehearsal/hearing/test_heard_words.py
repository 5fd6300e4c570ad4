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
from coach.rehearsal.hearing.heard_tempo import is_far_tempo
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
    findings = find_all(PLAN, replace(PLAYED, **changes), TELLING)
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
    [
        *[(46, "Bb2"), (47, "B2"), (51, "Eb3"), (58, "Bb3"), (41, "F2"), (34, "Bb1")],
        *[(49, "Db3"), (48, "C3")],
    ],
)
def test_another_pitch_is_spelled_plainly(heard: int, spelled: str) -> None:
    notes = (replace(PLAYED.notes[0], midi=heard), *PLAYED.notes[1:])
    pitch = pitch_heard(PLAN, replace(PLAYED, notes=notes), 0)
    assert str(pitch) == spelled
    assert pitch is not None
    assert pitch.midi == heard


@pytest.mark.parametrize(
    ("page", "heard", "spelled"),
    [("C#4q D4q", 55, "G3"), ("Bb2q C3q", 42, "Gb2"), ("Eb3q D3q", 52, "E3")],
)
def test_no_pitch_is_spelled_with_more_signs_than_it_needs(
    page: str, heard: int, spelled: str
) -> None:
    plan = plan_by_hand(part_of(page), [(0.9, 0.7)] * 2)
    played = heard_by_hand(plan)
    notes = (replace(played.notes[0], midi=heard), *played.notes[1:])
    assert str(pitch_heard(plan, replace(played, notes=notes), 0)) == spelled


def held_through() -> tuple[HeardNote, ...]:
    """Hold the note before the rest until the next one."""
    notes = list(PLAYED.notes)
    notes[4] = replace(notes[4], ended=Seconds(7.95))
    return tuple(notes)


@pytest.mark.parametrize(("late", "says"), [(0.15, "late"), (-0.08, "early")])
def test_a_run_that_is_late_as_a_whole_is_told_once(late: float, says: str) -> None:
    way = "behind" if late > 0 else "ahead"
    amount = f"{abs(late) * 1000:.0f} ms {way}"
    told = found(came_in=Seconds(late))
    assert told == [(f"came in {says}", "bar 1, beat 1", amount)]
    assert say_next(PLAN, replace(PLAYED, came_in=Seconds(late)), TELLING) == (
        "Breathe on the beat before the first note, and begin with the click."
    )


def test_breaths_that_were_not_taken_are_named() -> None:
    assert found(breaths=(), notes=held_through()) == [
        ("no breath after it", "bar 1, beat 3", ""),
        ("no breath after it", "bar 2, beat 2", ""),
    ]
    assert found(breaths=()) == [("no breath after it", "bar 1, beat 3", "")]
    assert say_next(PLAN, replace(PLAYED, breaths=()), TELLING) == (
        "Breathe where it is planned, first after bar 1, beat 3."
    )


def test_a_breath_that_the_air_can_do_without_is_not_asked_for() -> None:
    first, second = PLAN.breaths.breaths
    breaths = (replace(first, is_optional=True), second)
    plan = replace(PLAN, breaths=replace(PLAN.breaths, breaths=breaths))
    heard = replace(PLAYED, breaths=PLAYED.breaths[1:])
    assert find_all(plan, heard, TELLING) == ()
    assert "three in a row" in say_next(plan, heard, TELLING)


def test_a_run_that_goes_back_or_breaks_off_is_told_with_its_places() -> None:
    notes = (*PLAYED.notes[:4], *[HeardNote(note.due) for note in PLAYED.notes[4:]])
    again: dict[str, Any] = {"began_again": (1, 3), "doubts": (Doubt.BEGAN_AGAIN,)}
    over = (PassedOver(2, 2, is_repeat=False),)
    assert found(stopped=Seconds(5.0), notes=notes, passed_over=over, **again) == [
        ("began again", "bar 1, beat 2", ""),
        ("passed over", "bar 1, beat 3", "1 note"),
        ("stopped after", "bar 2, beat 1", ""),
    ]
    assert say_next(PLAN, replace(PLAYED, **again), TELLING) == (
        "Play it through without going back."
    )


def test_breaths_that_were_not_reached_are_not_asked_for() -> None:
    notes = (*PLAYED.notes[:4], *[HeardNote(note.due) for note in PLAYED.notes[4:]])
    broken = replace(PLAYED, notes=notes, breaths=PLAYED.breaths[:1])
    assert say_breaths(PLAN, broken).startswith("1 of 1 planned breath heard")
    none = replace(PLAYED, notes=(*notes[:2], *notes[4:], *notes[4:6]), breaths=())
    assert say_breaths(PLAN, none) == "none of the planned ones was reached"
    over = replace(PLAYED, passed_over=(PassedOver(5, 5, is_repeat=False),))
    assert say_breaths(PLAN, over).startswith("1 of 1 planned breath heard; 1 more")


@pytest.mark.parametrize(
    ("share", "is_other", "is_far"),
    [
        (0.97, False, False),
        (0.9, True, False),
        (1.25, True, False),
        (1.375, True, True),
    ],
)
def test_another_tempo_is_named_and_asked_for_but_only_without_a_click(
    share: float, is_other: bool, is_far: bool
) -> None:
    clicked = replace(PLAYED, own_tempo_share=share)
    assert find_all(PLAN, clicked, TELLING) == ()
    alone = replace(clicked, told_against=ToldAgainst.OWN_AVERAGE)
    goes = f"{60 * share:.0f}"
    named = [("another tempo", "bar 1, beat 1, to bar 3, beat 2", f"at {goes}, not 60")]
    assert found(own_tempo_share=share, told_against=ToldAgainst.OWN_AVERAGE) == (
        named if is_other else []
    )
    assert (f"--tempo {goes}" in say_next(PLAN, alone, TELLING)) is is_other
    assert is_far_tempo(alone, TELLING) is is_far
    assert not is_far_tempo(clicked, TELLING)


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


def test_what_a_recording_began_after_is_told_and_not_asked_for() -> None:
    over = (PassedOver(0, 2, is_repeat=False, is_recorded=False),)
    notes = (*[HeardNote(note.due) for note in PLAYED.notes[:3]], *PLAYED.notes[3:])
    heard = replace(PLAYED, passed_over=over, notes=notes)
    assert found(passed_over=over, notes=notes) == [
        ("not recorded", "bar 1, beats 1 to 3", "3 notes")
    ]
    assert say_found(heard).startswith("4 of 4 notes heard")
    assert say_next(PLAN, heard, TELLING) == (
        "Record from before the first note to after the last one."
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
