"""Room to breathe: rest put in at each breath, with the click going on."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.rehearsal.click.click_laying import lay_clicks
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import SoundKind
from coach.rehearsal.run.evidence import evidence_of
from coach.rehearsal.run.gauge import FELT
from coach.rehearsal.run.mark import mark_at, time_of_beat
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import A_BEAT, HALF_A_BEAT
from coach.rehearsal.stand.breath_room import hold_as_in_time, put_in_room
from coach.rehearsal.stand.stand import Stand
from coach.score.metre import Metre
from coach.score.phrase import Part, RehearsalMark, Room, place_of
from coach.score.tempo import Beats, Seconds, TempoMap, TempoMark, beats
from tests.hand_made import part_of
from tests.hand_rehearsal import LONG, HandRehearsal, long, nothing_learned

SETTINGS = read_settings(ClickSettings, "click", "track")
TWO_BARS = "Bb2q D3q F3q Bb3q A3e G3e F3q D3q Bb2q"
SEVEN = Metre(7, 8)
SIX = Metre(6, 8)


def clicked(part: Part, **wishes: object) -> list[tuple[float, int, float]]:
    """Give when each felt beat is due, and its bar and beat; no count-in."""
    chosen = ClickWishes(count_in_bars=0, **wishes)  # type: ignore[arg-type]
    track = lay_clicks(part, part.tempo_map, chosen, SETTINGS)
    return [(c.due, c.bar, c.beat) for c in track.clicks if c.kind in FELT]


def onsets(part: Part) -> list[Fraction]:
    return [note.onset for note in part.notes]


def stand_with(room_beats: float, part: Part | None = None) -> Stand:
    """Put a part on the stand with room at its breaths."""
    rehearsal = HandRehearsal(part or long(), room_beats=room_beats)
    return rehearsal.conductor._requests.stand


def test_a_beat_is_put_in_and_the_note_after_stays_on_its_click() -> None:
    part = put_in_room(part_of(TWO_BARS), [2], A_BEAT)
    assert onsets(part) == [0, 1, 2, 4, 5, Fraction(11, 2), 6, 7, 8]
    assert clicked(part)[:6] == [
        (0.0, 1, 1.0),
        (1.0, 1, 2.0),
        (2.0, 1, 3.0),
        (3.0, 1, 3.0),
        (4.0, 1, 4.0),
        (5.0, 2, 1.0),
    ]


def test_a_breath_off_the_beat_leaves_the_click_even() -> None:
    part = put_in_room(part_of(TWO_BARS), [4], A_BEAT)
    assert part.notes[5].onset == Fraction(11, 2)
    assert [due for due, *_ in clicked(part)] == [float(k) for k in range(9)]


def test_the_room_before_a_bar_line_ends_the_bar_and_is_no_accent() -> None:
    part = put_in_room(part_of(TWO_BARS), [3], A_BEAT)
    assert [bar.length for bar in part.bars] == [5, 4]
    assert part.bars[0].rooms == (Room(beats(4), beats(1)),)
    track = lay_clicks(part, part.tempo_map, ClickWishes(count_in_bars=0), SETTINGS)
    accents = [c.due for c in track.clicks if c.kind is SoundKind.ACCENT]
    assert accents == [0.0, 5.0]


def test_half_a_beat_holds_the_note_before_and_the_click_goes_on() -> None:
    part = put_in_room(part_of(TWO_BARS), [2], HALF_A_BEAT)
    assert onsets(part) == [0, 1, 2, 4, 5, Fraction(11, 2), 6, 7, 8]
    assert part.notes[2].end == Fraction(7, 2)
    assert [due for due, *_ in clicked(part)] == [float(k) for k in range(9)]


@pytest.mark.parametrize(("words", "put_in"), [("rq", 0), ("re", 1)])
def test_where_the_page_rests_as_long_nothing_is_put_in(
    words: str, put_in: int
) -> None:
    written = part_of(f"Bb2q D3q {words} F3q Bb3q")
    part = put_in_room(written, [1], A_BEAT)
    assert part.end - written.end == put_in
    assert (part is written) == (put_in == 0)
    assert part.notes[1].length == 1


def test_no_room_is_no_change() -> None:
    part = part_of(TWO_BARS)
    assert put_in_room(part, [2], 0.0) is part


@pytest.mark.parametrize(
    ("metre", "groups", "after", "beat"),
    [
        (SIX, (), 2, Fraction(3, 2)),
        (SEVEN, (), 3, 1),
        (SEVEN, (), 6, Fraction(3, 2)),
        (SEVEN, (3, 2, 2), 2, Fraction(3, 2)),
    ],
)
def test_a_felt_beat_is_put_in(
    metre: Metre, groups: tuple[int, ...], after: int, beat: Fraction
) -> None:
    eighths = " ".join(["Bb2e D3e F3e D3e Bb2e D3e F3e"] * 2)
    part = put_in_room(part_of(eighths, metre=metre), [after], A_BEAT, groups)
    bar = next(bar for bar in part.bars if bar.rooms)
    assert bar.rooms[0].length == beat
    dues = [due for due, *_ in clicked(part, groups=groups)]
    seconds_at = part.tempo_map.seconds_at
    assert seconds_at(Beats(bar.rooms[0].at + bar.onset)) in dues
    assert seconds_at(part.notes[after + 1].onset) in dues


def test_two_rooms_in_a_beat_are_two_more_clicks() -> None:
    part = put_in_room(part_of("Bb2e D3e F3q Bb3q A3q G3q"), [0, 1], A_BEAT)
    assert onsets(part)[:4] == [0, Fraction(3, 2), 3, 4]
    assert [due for due, *_ in clicked(part)][:7] == [float(k) for k in range(7)]
    assert [beat for *_, beat in clicked(part)][:5] == [1.0, 1.0, 1.0, 2.0, 3.0]


def test_subdivisions_go_on_in_the_room() -> None:
    part = put_in_room(part_of(TWO_BARS), [2], A_BEAT)
    wishes = ClickWishes(count_in_bars=0, subdivision=2)
    track = lay_clicks(part, part.tempo_map, wishes, SETTINGS)
    assert [c.due for c in track.clicks] == [k / 2 for k in range(18)]


def test_speeds_and_letters_move_with_the_notes() -> None:
    part = part_of(TWO_BARS)
    part = replace(
        part,
        tempo_map=TempoMap((TempoMark(beats(0), 60), TempoMark(beats(4), 120))),
        rehearsal_marks=(RehearsalMark(beats(4), "A"),),
    )
    wide = put_in_room(part, [3], A_BEAT)
    assert [mark.at for mark in wide.tempo_map.marks] == [0, 5]
    assert wide.rehearsal_marks[0].at == 5


def test_a_moment_in_the_room_is_named_behind_the_beat_before_it() -> None:
    part = put_in_room(part_of(TWO_BARS), [2, 3], A_BEAT)
    moments = [2.5, 3.0, 3.9, 4.0, 5.0, 5.9, 6.0, 6.5]
    named = [place_of(part, moment) for moment in moments]
    assert [(p.bar, round(p.beat, 6)) for p in named] == [
        (1, 3.5),
        (1, 3.9),
        (1, 3.9),
        (1, 4.0),
        (1, 4.9),
        (1, 4.9),
        (2, 1.0),
        (2, 1.5),
    ]


@given(
    breathed=st.sets(st.integers(0, 60), max_size=9),
    room_beats=st.sampled_from([A_BEAT, HALF_A_BEAT]),
)
def test_every_note_keeps_its_place_on_the_page_and_the_click_is_even(
    breathed: set[int], room_beats: float
) -> None:
    written = part_of(LONG)
    part = put_in_room(written, breathed, room_beats)
    for note, before in zip(part.notes, written.notes, strict=True):
        place = place_of(part, float(note.onset))
        assert (place.bar, place.beat) == pytest.approx((note.bar, float(before.beat)))
        assert (note.onset - before.onset).denominator == 1
    for note, following in pairwise(part.notes):
        assert note.end <= following.onset
    dues = [due for due, *_ in clicked(part)]
    assert dues == [float(k) for k in range(int(part.end))]
    for k in breathed:
        rest = part.notes[k + 1].onset - part.notes[k].end
        assert rest >= room_beats


def test_all_breaths_of_the_plan_have_room_and_keep_their_reasons() -> None:
    stand = stand_with(A_BEAT)
    in_time, with_room = stand.in_time.breaths.breaths, stand.plan.breaths.breaths
    assert len(in_time) > 2
    assert [b.after_note for b in in_time] == [b.after_note for b in with_room]
    assert [b.why for b in in_time] == [b.why for b in with_room]
    assert not any(b.is_locked for b in with_room)
    assert all(b.gap >= 1.0 for b in with_room)
    assert stand.room_beats == A_BEAT
    assert stand.written.part == long()


def test_with_room_the_same_breaths_are_those_of_the_slow_tempo_alone() -> None:
    stand = HandRehearsal(long(), bpm=40, room_beats=A_BEAT).conductor._requests.stand
    extra = [breath.is_extra for breath in stand.in_time.breaths.breaths]
    assert set(extra) == {True, False}
    assert [breath.is_extra for breath in stand.plan.breaths.breaths] == extra


def test_a_phrase_of_one_breath_is_played_in_time_all_the_same() -> None:
    stand = stand_with(A_BEAT, part_of(TWO_BARS))
    assert stand.room_beats == 0.0
    assert stand.plan is stand.in_time


def test_a_mark_in_the_room_stands_on_the_beat_before_it() -> None:
    stand = stand_with(A_BEAT)
    breath = next(b for b in stand.plan.breaths.breaths if b.gap == 1.0)
    note = stand.plan.part.notes[breath.after_note]
    at = Seconds(breath.next_note - 0.01)
    mark = mark_at(stand.plan, MarkKind.RAN_OUT, at)
    assert (mark.bar, mark.beat) == (note.bar, int(note.beat))


def test_a_beat_that_is_typed_is_found_behind_the_room() -> None:
    plan = stand_with(A_BEAT).plan
    for note, time in zip(plan.part.notes, plan.times, strict=True):
        if note.beat.denominator == 1:
            assert time_of_beat(plan, note.bar, int(note.beat)) == pytest.approx(
                time.start
            )
    assert time_of_beat(plan, 2, 5) is None


def test_the_gauge_counts_the_beat_before_the_room_again() -> None:
    gauge = stand_with(A_BEAT).gauge
    assert {of for _, of in gauge.felt_beats} == {4}
    again = [a for a, b in pairwise(gauge.felt_beats) if a == b]
    assert len(again) == sum(len(bar.rooms) for bar in gauge.plan.part.bars)


def test_a_missed_breath_leaves_the_room_where_it_was_clicked() -> None:
    rehearsal = HandRehearsal(long(), room_beats=A_BEAT)
    conductor = rehearsal.conductor
    conductor.start()
    rehearsal.go_to(0.0)
    first = conductor.plan.breaths.breaths[0]
    rehearsal.go_to(first.start)
    before = conductor.track.clicks
    conductor.mark(MarkKind.MISSED_BREATH)
    assert first.after_note not in {
        b.after_note for b in conductor.plan.breaths.breaths
    }
    kinds = (SoundKind.ACCENT, SoundKind.BEAT)
    assert [c for c in conductor.track.clicks if c.kind in kinds] == [
        c for c in before if c.kind in kinds
    ]
    assert conductor.plan.breaths.left_out == ()
    assert conductor._requests.stand.room_beats == A_BEAT
    assert conductor.plan_in_time.part == long()


def test_a_run_with_room_says_so_in_the_log() -> None:
    rehearsal = HandRehearsal(long(), room_beats=HALF_A_BEAT)
    rehearsal.run_clean()
    (run,) = rehearsal.log.list_runs()
    assert run.how.room_beats == HALF_A_BEAT
    told = rehearsal.conductor.review(nothing_learned())
    assert told.runs == 1
    assert told.best is None


@pytest.mark.parametrize("room_beats", [A_BEAT, HALF_A_BEAT])
def test_the_guide_is_silent_in_the_room_and_the_lungs_are_given_its_time(
    room_beats: float,
) -> None:
    rehearsal = HandRehearsal(
        long(), room_beats=room_beats, click=ClickWishes(guide=True)
    )
    conductor = rehearsal.conductor
    plan, seconds = conductor.plan, room_beats - 1e-9
    guide = [c for c in conductor.track.clicks if c.kind is SoundKind.GUIDE]
    for breath in plan.breaths.breaths:
        sounding = [
            c.due
            for c in guide
            if c.due < breath.next_note and c.due + c.length > breath.start + 1e-9
        ]
        assert sounding == []
        assert breath.gap >= seconds
    taken = evidence_of(plan, frozenset(), frozenset()).breaths
    assert all(breath.end_s - breath.start_s >= seconds for breath in taken)
    assert len(taken) == len(plan.breaths.breaths)


def test_with_room_nobody_breathes_anywhere_else() -> None:
    """A little dry, or an offered rest, is no reason for a breath without room."""
    part = part_of(LONG.replace("F3q rq", "F3e re rq"))
    rehearsal = HandRehearsal(part, room_beats=A_BEAT)
    stand = rehearsal.conductor._requests.stand
    in_time = [b.after_note for b in stand.in_time.breaths.breaths]
    assert [b.after_note for b in stand.plan.breaths.breaths] == in_time
    assert len(rehearsal.planner.plans) == 2


@pytest.mark.parametrize("room_beats", [A_BEAT, HALF_A_BEAT])
@pytest.mark.parametrize(
    ("notes", "loud"),
    [("Bb3w Bb3w ", 2.125), ("Bb3w. Bb3h ", 2.125), ("Bb3w Bb3h Bb3h ", 2.125)],
)
def test_room_never_runs_out_of_air_where_the_plan_in_time_lasts(
    notes: str, loud: float, room_beats: float
) -> None:
    """A note before a breath that is held in full takes air that is not there."""
    part = part_of(notes * 3, loud=loud)
    stand = HandRehearsal(part, room_beats=room_beats).conductor._requests.stand
    in_time, with_room = stand.in_time.breaths, stand.plan.breaths
    assert in_time.runs_out is None
    assert with_room.runs_out is None
    assert [b.after_note for b in with_room.breaths] == [
        b.after_note for b in in_time.breaths
    ]
    if stand.room_beats:
        assert all(b.gap >= room_beats for b in with_room.breaths)
    if stand.room_beats == A_BEAT:  # half a beat leaves air to hold the note longer
        written, roomy = stand.written.part, stand.segment.part
        for note, wide in zip(written.notes, roomy.notes, strict=True):
            assert wide.length <= note.length


def test_a_note_before_a_rest_needs_not_be_held_shorter() -> None:
    part = part_of("Bb3h rh Bb3w " * 3, loud=2.0)
    plan = HandRehearsal(part).conductor.plan
    on_rest = [b.after_note for b in plan.breaths.breaths if b.is_on_rest]
    assert on_rest
    held = hold_as_in_time(part, plan)
    assert [held.notes[k] for k in on_rest] == [part.notes[k] for k in on_rest]


def test_a_sixteenth_before_a_breath_is_held_in_full() -> None:
    """No note could be shorter than what would be left of it."""
    page = part_of("Bb3h F3s D3s Bb2e F3q " * 4, bpm=60)
    notes = tuple(
        replace(n, breath_mark="breath" * (k == 6)) for k, n in enumerate(page.notes)
    )
    part = replace(page, notes=notes)
    plan = HandRehearsal(part).conductor.plan
    (breath,) = (b for b in plan.breaths.breaths if b.after_note == 6)
    assert breath.taken > 0.0
    assert hold_as_in_time(part, plan).notes[6] == part.notes[6]


def test_where_the_breaths_with_room_do_not_do_others_may_be_taken() -> None:
    loud = part_of("Bb3w. Bb3q " * 3, bpm=25, loud=4.0)
    rehearsal = HandRehearsal(loud, room_beats=A_BEAT)
    stand = rehearsal.conductor._requests.stand
    assert stand.in_time.breaths.runs_out is not None
    _, (_, closed), (_, free) = rehearsal.planner.plans
    assert closed.locks.must == free.locks.must
    assert len(closed.locks.must_not) > len(free.locks.must_not) == 0
