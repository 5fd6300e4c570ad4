"""The track of a run: every sound and when it is due."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace
from io import BytesIO
from itertools import pairwise

import mido
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.config import read_settings
from coach.errors import PlanError
from coach.planning.breathing.breaths import Breath
from coach.rehearsal.click.click_laying import lay_clicks
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.score.metre import Metre
from coach.score.phrase import Part
from coach.score.tempo import Beats, Seconds, Tempo, TempoMap, TempoMark, beats
from tests.hand_made import part_of

SETTINGS = read_settings(ClickSettings, "click", "track")
TWO_BARS = "Bb2q D3q F3q Bb3q A3q G3q F3q D3q"
PERCUSSION_CHANNEL = 9
"""General MIDI System Level 1: channel 10, counted from 1."""


def lay(part: Part, **wishes: object) -> ClickTrack:
    """Lay the track of a part at its own tempo."""
    chosen = ClickWishes(**wishes)  # type: ignore[arg-type]
    return lay_clicks(part, part.tempo_map, chosen, SETTINGS)


def dues(track: ClickTrack, *kinds: SoundKind) -> list[float]:
    """Give the due times of some kinds."""
    return at([click for click in track.clicks if click.kind in kinds])


def at(clicks: Iterable[Click]) -> list[float]:
    """Give the due times of clicks."""
    return [float(click.due) for click in clicks]


def span(track: ClickTrack) -> tuple[float, float]:
    """Give start and end of a track."""
    return float(track.starts), float(track.ends)


def beaten(track: ClickTrack) -> list[Click]:
    """Give the beats that are played, count-in left out."""
    kinds = (SoundKind.ACCENT, SoundKind.BEAT)
    return [click for click in track.clicks if click.kind in kinds]


def with_pickup(part: Part, length: int) -> Part:
    """Put a bar 0 of so many quarters before a part."""
    first = part.bars[0]
    pickup = replace(first, number=0, onset=beats(-length), length=beats(length))
    return replace(part, bars=(pickup, *part.bars))


def breath(after_note: int, start: float, next_note: float) -> Breath:
    """Make a breath after a note."""
    return Breath(
        after_note,
        Seconds(start),
        Seconds(next_note),
        Seconds(0.0),
        is_on_rest=True,
        kind="full",
        air_before=0.4,
        air_after=1.0,
        is_marked=False,
        is_locked=False,
        say_why=lambda: "by hand",
    )


def test_the_first_beat_of_each_bar_is_accented() -> None:
    track = lay(part_of(TWO_BARS))
    assert dues(track, SoundKind.ACCENT) == [0, 4]
    assert dues(track, SoundKind.BEAT) == [1, 2, 3, 5, 6, 7]
    keys = {click.kind: click.key for click in beaten(track)}
    assert keys[SoundKind.ACCENT] != keys[SoundKind.BEAT]
    assert {click.channel for click in track.clicks} == {PERCUSSION_CHANNEL}


def test_one_bar_is_counted_in_before_the_start() -> None:
    track = lay(part_of(TWO_BARS))
    assert dues(track, SoundKind.COUNT_IN) == [-4, -3, -2, -1]
    assert span(track) == (-4, 8)
    first = track.clicks[0]
    assert (first.key, first.velocity) == (
        SETTINGS.accent_key,
        SETTINGS.accent_velocity,
    )
    assert (first.bar, first.beat) == (0, 1.0)


def test_a_count_in_has_as_many_beats_as_its_bars() -> None:
    waltz = part_of("Bb2h.", metre=Metre(3, 4))
    assert len(dues(lay(waltz, count_in_bars=2), SoundKind.COUNT_IN)) == 6
    assert dues(lay(waltz, count_in_bars=0), SoundKind.COUNT_IN) == []
    assert span(lay(waltz, count_in_bars=0)) == (0, 3)


def test_a_compound_count_in_counts_dotted_beats() -> None:
    jig = part_of("Bb2q. D3q.", metre=Metre(6, 8))
    track = lay(jig)
    assert dues(track, SoundKind.COUNT_IN) == pytest.approx([-2, -1])
    assert [click.beat for click in beaten(track)] == [1.0, 4.0]


def test_a_pickup_comes_in_time_after_a_whole_bar_and_what_leads_to_it() -> None:
    """One bar of four, then 1 2 3 and the pickup on 4."""
    track = lay(with_pickup(part_of(TWO_BARS), 1))
    assert dues(track, SoundKind.COUNT_IN) == [-8, -7, -6, -5, -4, -3, -2]
    assert at(beaten(track))[:2] == [-1, 0]
    assert [(c.bar, c.beat) for c in beaten(track)][:2] == [(0, 4.0), (1, 1.0)]
    accents = [c for c in track.clicks if c.key == SETTINGS.accent_key]
    assert at(accents) == [-8, -4, 0, 4]


def test_a_pickup_without_count_in_starts_at_once() -> None:
    track = lay(with_pickup(part_of(TWO_BARS), 1), count_in_bars=0)
    assert span(track) == (-1, 8)
    assert track.clicks[0].kind is SoundKind.BEAT


def test_the_part_of_a_beat_before_a_pickup_belongs_to_the_count_in() -> None:
    """A pickup of an eighth, in sixteenths: what divides its beat starts with it."""
    part = part_of(TWO_BARS)
    pickup = replace(part.bars[0], number=0, onset=beats("-1/2"), length=beats("1/2"))
    part = replace(part, bars=(pickup, *part.bars))
    track = lay(part, subdivision=4, count_in_bars=0)
    assert dues(track, SoundKind.SUBDIVISION)[:2] == [-0.5, -0.25]
    assert dues(track, SoundKind.ACCENT)[0] == 0


def test_the_count_in_of_a_segment_takes_its_first_tempo() -> None:
    part = part_of(TWO_BARS, bpm=120)
    assert dues(lay(part), SoundKind.COUNT_IN) == [-2, -1.5, -1, -0.5]


def test_a_lead_in_sounds_as_ordinary_bars() -> None:
    track = lay(part_of(TWO_BARS), lead_in_bars=1)
    assert dues(track, SoundKind.COUNT_IN) == [-8, -7, -6, -5]
    assert at(beaten(track))[:5] == [-4, -3, -2, -1, 0]


def test_subdivisions_come_between_beats_and_are_softer() -> None:
    track = lay(part_of(TWO_BARS), subdivision=2)
    assert dues(track, SoundKind.SUBDIVISION)[:5] == [-3.5, -2.5, -1.5, -0.5, 0.5]
    parts = [c for c in track.clicks if c.kind is SoundKind.SUBDIVISION]
    assert all(c.velocity < SETTINGS.beat_velocity and c.beat == 0 for c in parts)


def test_an_irregular_bar_is_clicked_in_the_players_groups() -> None:
    part = part_of("Bb2q D3q F3q.", metre=Metre(7, 8), bpm=120)
    assert at(beaten(lay(part))) == [0, 1, 2]
    grouped = lay(part, groups=(3, 2, 2))
    assert at(beaten(grouped)) == [0, 1.5, 2.5]
    assert [c.beat for c in beaten(grouped)] == [1.0, 4.0, 6.0]


def test_a_group_inside_a_long_bar_is_leaned_on() -> None:
    part = part_of("Bb2h. D3h", metre=Metre(5, 4))
    velocities = [c.velocity for c in beaten(lay(part, groups=(3, 2)))]
    assert velocities == [
        SETTINGS.accent_velocity,
        SETTINGS.beat_velocity,
        SETTINGS.beat_velocity,
        SETTINGS.group_velocity,
        SETTINGS.beat_velocity,
    ]


def test_a_bar_longer_than_its_metre_is_clicked_on_with_one_accent() -> None:
    part = part_of("Bb2w")
    long = replace(part, bars=(replace(part.bars[0], length=beats(6)),))
    track = lay(long, subdivision=2)
    assert dues(track, SoundKind.ACCENT) == [0]
    assert dues(track, SoundKind.BEAT) == [1, 2, 3, 4, 5]
    assert dues(track, SoundKind.SUBDIVISION)[-6:] == [0.5, 1.5, 2.5, 3.5, 4.5, 5.5]


def test_every_nth_bar_is_shown_and_not_heard() -> None:
    track = lay(part_of("Bb2w " * 5), play_bars=2, silent_bars=1)
    silent = {click.bar for click in beaten(track) if click.velocity == 0}
    assert silent == {3}
    assert at(beaten(track)) == list(range(20))


def test_silent_bars_need_bars_that_are_heard() -> None:
    track = lay(part_of("Bb2w " * 3), silent_bars=1)
    assert all(click.velocity > 0 for click in track.clicks)


def test_a_fading_click_dies_away_and_is_back_for_the_last_bar() -> None:
    track = lay(part_of("Bb2w " * 12), fading=True)
    accents = [c.velocity for c in beaten(track) if c.kind is SoundKind.ACCENT]
    assert accents[0] == accents[-1] == SETTINGS.accent_velocity
    assert all(a > b for a, b in pairwise(accents[: SETTINGS.fade_bars]))
    assert accents[SETTINGS.fade_bars : -1] == [0, 0, 0]


def test_a_short_segment_fades_to_silence_too() -> None:
    track = lay(part_of("Bb2w " * 3), fading=True)
    accents = [c.velocity for c in beaten(track) if c.kind is SoundKind.ACCENT]
    assert accents == [SETTINGS.accent_velocity, 0, SETTINGS.accent_velocity]
    assert lay(part_of("Bb2w"), fading=True).clicks[-1].velocity > 0


def test_a_click_that_is_off_is_shown_all_the_same() -> None:
    track = lay(part_of(TWO_BARS), is_sounding=False)
    assert {click.velocity for click in track.clicks} == {0}
    assert len(track.clicks) == 12


def test_a_cue_sounds_just_before_each_breath_and_differs_from_the_click() -> None:
    part = part_of(TWO_BARS)
    track = lay_clicks(
        part,
        part.tempo_map,
        ClickWishes(cues=True),
        SETTINGS,
        breaths=[breath(3, 3.5, 4.0)],
    )
    cues = [click for click in track.clicks if click.kind is SoundKind.CUE]
    assert at(cues) == [3.5 - SETTINGS.cue_before_s]
    assert cues[0].key not in (SETTINGS.accent_key, SETTINGS.beat_key)
    assert cues[0].velocity < SETTINGS.beat_velocity


def test_other_breaths_leave_a_track_on_which_they_are_not_heard() -> None:
    """An edit moves breaths, and the click need not be laid anew for it."""
    part, ends = part_of(TWO_BARS), [Seconds(1.0)] * 8
    for wishes, is_left in ((ClickWishes(), True), (ClickWishes(cues=True), False)):
        one, other = (
            lay_clicks(
                part,
                part.tempo_map,
                wishes,
                SETTINGS,
                breaths=[breath(k, k + 0.5, k + 1.0)],
                ends=ends[k:],
            )
            for k in (2, 3)
        )
        assert (one is other) is is_left


def test_no_cue_comes_before_the_track() -> None:
    part = part_of(TWO_BARS)
    wishes = ClickWishes(cues=True, count_in_bars=0)
    breaths = [breath(0, 0.1, 1.0)]
    track = lay_clicks(part, part.tempo_map, wishes, SETTINGS, breaths=breaths)
    assert dues(track, SoundKind.CUE) == [0]


def test_guide_notes_have_their_own_channel_and_are_silent_in_breaths() -> None:
    part = part_of("Bb2h D3h")
    wishes = ClickWishes(guide=True)
    ends = [Seconds(1.5), Seconds(4.0)]
    track = lay_clicks(part, part.tempo_map, wishes, SETTINGS, ends=ends)
    guide = [click for click in track.clicks if click.kind is SoundKind.GUIDE]
    assert at(guide) == [0, 2]
    assert [float(click.length) for click in guide] == [1.5, 2]
    assert [click.key for click in guide] == [46, 50]
    assert {c.channel for c in guide} == {SETTINGS.guide_channel}
    assert SETTINGS.guide_channel != PERCUSSION_CHANNEL
    assert track.programs == ((SETTINGS.guide_channel, 57),)


def test_a_guide_of_another_instrument_has_its_own_program() -> None:
    """General MIDI System Level 1: program 57, counted from 1, is a trumpet."""
    track = lay(part_of("Bb3q"), guide=True, guide_program=56)
    assert track.programs == ((SETTINGS.guide_channel, 56),)


def test_louder_notes_of_the_page_sound_louder() -> None:
    loud = lay(part_of("Bb2w", loud=2.0), guide=True).clicks
    soft = lay(part_of("Bb2w", loud=-4.0), guide=True).clicks
    hard = lay(part_of("Bb2w", loud=50.0), guide=True).clicks

    def velocity(clicks: tuple[Click, ...]) -> int:
        return next(c.velocity for c in clicks if c.kind is SoundKind.GUIDE)

    assert 1 <= velocity(soft) < SETTINGS.guide_velocity < velocity(loud)
    assert velocity(hard) == 127


def test_the_drone_is_held_from_the_count_in_to_the_end() -> None:
    track = lay(part_of(TWO_BARS), drone=True)
    drone = [click for click in track.clicks if click.kind is SoundKind.DRONE]
    assert at(drone) == [-4]
    assert (float(drone[0].length), drone[0].key % 12) == (12, 10)
    assert drone[0].channel not in (PERCUSSION_CHANNEL, SETTINGS.guide_channel)
    assert track.programs == ((SETTINGS.drone_channel, SETTINGS.drone_program_midi),)


def test_a_click_after_a_tempo_change_is_due_on_the_new_beat() -> None:
    part = part_of(TWO_BARS)
    faster = TempoMap((TempoMark(beats(0), 60.0), TempoMark(beats(4), 120.0)))
    track = lay_clicks(part, faster, ClickWishes(count_in_bars=0), SETTINGS)
    assert at(track.clicks) == [0, 1, 2, 3, 4, 4.5, 5, 5.5]
    assert span(track) == (0, 6)


def test_clocks_go_out_when_they_are_asked_for() -> None:
    part = part_of(TWO_BARS)
    assert lay(part).clocks == ()
    track = lay(part, clocks=True, from_top=beats(2))
    assert len(track.clocks) == 12 * 24
    assert (track.song_position, float(track.clock_starts)) == (8, 0)


def test_sounds_that_are_due_together_come_click_first() -> None:
    track = lay(part_of(TWO_BARS), guide=True, drone=True)
    first = [click.kind for click in track.clicks if not click.due]
    assert first == [SoundKind.ACCENT, SoundKind.GUIDE]


def test_a_grouping_that_fits_no_bar_is_refused() -> None:
    with pytest.raises(PlanError, match=r"2\+2\+3"):
        lay(part_of(TWO_BARS), groups=(2, 2, 3))


metres = st.sampled_from(
    [(4, 4), (3, 4), (6, 8), (7, 8), (5, 4), (12, 8), (2, 2), (3, 8)]
)
TICKS = 480


@settings(max_examples=40, deadline=None)
@given(
    metre=metres,
    speeds=st.lists(st.integers(30, 240), min_size=1, max_size=5),
    subdivision=st.sampled_from([1, 2, 3, 4]),
)
def test_the_schedule_is_that_of_a_standard_midi_file(
    metre: tuple[int, int], speeds: list[int], subdivision: int
) -> None:
    """Each click against mido's own arithmetic on a file with the same tempi.

    Source: mido 1.3 (O. M. Bjørndalen), playback times of `MidiFile`, from ticks and
    set-tempo events of the Standard MIDI File format.
    """
    part = part_of("Bb2w " * 8, metre=Metre(*metre))
    marks = [
        TempoMark(Beats(part.bars[k].onset), speed)
        for k, speed in enumerate(speeds[: len(part.bars)])
    ]
    tempo_map = TempoMap(tuple(marks))
    part = replace(part, tempo_map=tempo_map, tempo=Tempo(60, part.bars[0].metre.beat))
    wishes = ClickWishes(count_in_bars=0, subdivision=subdivision)
    track = lay_clicks(part, tempo_map, wishes, SETTINGS)
    places = [round(tempo_map.beats_at(c.due) * TICKS, 6) for c in track.clicks]
    assert all(place == int(place) for place in places)
    heard = times_in_file(marks, [int(place) for place in places])
    assert [c.due for c in track.clicks] == pytest.approx(heard, abs=2e-4)


def times_in_file(marks: list[TempoMark], places: list[int]) -> list[float]:
    """Write notes at ticks into a file, read it back, and give when each sounds."""
    events = [
        (int(mark.at * TICKS), 0, mido.bpm2tempo(mark.quarters_per_minute))
        for mark in marks
    ]
    events += [(place, 1, 0) for place in places]
    line, now = mido.MidiTrack(), 0
    for tick, kind, tempo in sorted(events):
        if kind == 0:
            line.append(mido.MetaMessage("set_tempo", tempo=tempo, time=tick - now))
        else:
            line.append(mido.Message("note_on", channel=9, note=76, time=tick - now))
        now = tick
    file = mido.MidiFile(ticks_per_beat=TICKS, tracks=[line])
    stored = BytesIO()
    file.save(file=stored)
    stored.seek(0)
    time, heard = 0.0, []
    for message in mido.MidiFile(file=stored):
        time += message.time
        if message.type == "note_on":
            heard.append(time)
    return heard
