"""Pieces of the alignment, by values written by hand."""

from __future__ import annotations

from dataclasses import fields, replace

import numpy as np
import pytest

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.alignment.count_in import find_count_in
from coach.rehearsal.hearing.alignment.fine_onsets import FineWalk, FoundNote
from coach.rehearsal.hearing.alignment.key_fits import raise_keys, tune
from coach.rehearsal.hearing.alignment.legs import Leg, cut_legs, widen
from coach.rehearsal.hearing.alignment.look_evidence import weigh
from coach.rehearsal.hearing.alignment.note_facts import (
    Claim,
    give_back,
    is_there,
    key_of,
    ring_off_db_per_s,
)
from coach.rehearsal.hearing.alignment.refined_onsets import (
    MomentSigns,
    Onset,
    dry_envelope,
    refine_onsets,
)
from coach.rehearsal.hearing.alignment.rough_path import PAUSE, RoughPath, Ways
from coach.rehearsal.hearing.alignment.turned_sound import TurnedSound
from coach.rehearsal.hearing.due_part import DueNote, DuePart
from coach.rehearsal.hearing.features.features import Features, FeatureTaker
from coach.rehearsal.hearing.take import TakenClick
from coach.score.note import hertz_of
from coach.score.tempo import Seconds
from tests.hearing_room.looks import evidence_of

SETTINGS = read_hearing_settings()
RATE_HZ = 11_025.0


def looks_of(sound: np.ndarray) -> Features:
    """Look at a sound of the low rate."""
    taker = FeatureTaker(RATE_HZ, 50, 60, SETTINGS.features)
    taker.push(sound.astype(np.float32))
    return taker.finish()


def noise(seconds: float) -> np.ndarray:
    """Give the noise of a room."""
    draw = np.random.default_rng(1)
    return np.asarray(0.001 * draw.normal(0.0, 1.0, round(seconds * RATE_HZ)))


def due_note(due: float, midi: int = 55) -> DueNote:
    """Give a note of half a second."""
    end = Seconds(due + 0.5)
    return DueNote(Seconds(due), end, end, midi, loud=0.0)


def with_clicks(*places: float) -> np.ndarray:
    """Sound clicks in a quiet room of three seconds."""
    sound = noise(3.0)
    for place in places:
        sound[round(place * RATE_HZ)] += 0.5
    return sound


def count_in(*at: float) -> list[TakenClick]:
    """Give clicks due before the run."""
    return [TakenClick(Seconds(one), 0) for one in at]


def test_a_count_in_is_found_near_where_the_notes_put_it() -> None:
    looks = looks_of(with_clicks(0.53, 1.03, 1.53, 2.03))
    clicks = count_in(-2.0, -1.5, -1.0, -0.5, 0.0)
    found = find_count_in(looks, clicks, -2.45, SETTINGS.count_in)
    assert found == pytest.approx(-2.53, abs=0.003)


def test_a_count_in_is_found_where_the_entry_was_late_by_nearly_half_a_beat() -> None:
    looks = looks_of(with_clicks(0.53, 1.03, 1.53, 2.03))
    clicks = count_in(-2.0, -1.5, -1.0, -0.5, 0.0)
    found = find_count_in(looks, clicks, -2.32, SETTINGS.count_in)
    assert found == pytest.approx(-2.53, abs=0.003)


def test_no_count_in_is_found_in_silence_or_where_two_would_do() -> None:
    clicks = count_in(-2.0, -1.5, -1.0, -0.5)
    quiet, settings = looks_of(noise(3.0)), SETTINGS.count_in
    assert find_count_in(quiet, clicks, -2.45, settings) is None
    assert find_count_in(quiet, count_in(-9.0, 0.5), -2.45, settings) is None
    both = [place + late for place in (0.5, 1.0, 1.5, 2.0) for late in (0.0, 0.1)]
    assert find_count_in(looks_of(with_clicks(*both)), clicks, -2.45, settings) is None


def test_a_way_that_reaches_no_note_is_no_leg() -> None:
    due = DuePart((due_note(0.0), due_note(4.0)))
    places = np.array([PAUSE, 5, 6, 7, PAUSE])
    assert cut_legs(RoughPath(0.04, places, 0.0), due, SETTINGS.fine) == ()
    nothing = np.full(5, PAUSE)
    assert cut_legs(RoughPath(0.04, nothing, 0.0), due, SETTINGS.fine) == ()


def test_soft_notes_about_a_leg_are_given_to_it() -> None:
    due = DuePart(tuple(due_note(k / 2) for k in range(6)))
    places = np.concatenate([[PAUSE] * 50, np.arange(25, 50), [PAUSE] * 50])
    (core,) = cut_legs(RoughPath(0.04, places, 0.0), due, SETTINGS.fine)
    leg = widen(core, due, SETTINGS.fine.around_notes)
    assert (core.first, core.last, leg.first, leg.last) == (2, 3, 0, 5)
    assert leg.begins[0] == pytest.approx(1.0, abs=0.05)


def test_a_sound_with_no_pitch_has_no_tuning() -> None:
    looks = looks_of(np.zeros(12_000))
    assert tune(looks) == 0.0


@pytest.mark.parametrize("cents", [0.0, 12.0])
@pytest.mark.parametrize("wide", [20.0, 45.0])
def test_a_wide_vibrato_is_as_sharp_as_its_middle(wide: float, cents: float) -> None:
    """At its edges, where it stays longest, it is nearer to the quarter tone."""
    age = np.arange(round(2.0 * RATE_HZ)) / RATE_HZ
    pitch = cents + wide * np.sin(2.0 * np.pi * 5.5 * age)
    turn = 2.0 * np.pi * np.cumsum(hertz_of(55) * 2.0 ** (pitch / 1200.0)) / RATE_HZ
    sound = sum(0.1 * np.sin(n * turn) / n for n in range(1, 9))
    looks = looks_of(np.asarray(sound) + noise(2.0) / 30.0)
    assert tune(looks, {53, 55, 57}) == pytest.approx(cents, abs=12.0)
    assert tune(looks, {53, 54, 55, 56, 57}) == tune(looks)


def test_a_sound_that_only_glides_has_some_tuning() -> None:
    age = np.arange(round(1.0 * RATE_HZ)) / RATE_HZ
    turn = 2.0 * np.pi * np.cumsum(hertz_of(48) * 2.0**age) / RATE_HZ
    sound = sum(0.1 * np.sin(n * turn) / n for n in range(1, 9))
    assert -50.0 <= tune(looks_of(np.asarray(sound))) <= 50.0


@pytest.mark.parametrize(("best", "beside"), [(0, 1), (-1, -2)])
def test_the_lowest_and_highest_pitch_looked_for_tell_no_tuning(
    best: int, beside: int
) -> None:
    looks = looks_of(np.zeros(12_000))
    salience = np.zeros_like(looks.salience)
    salience[:, best], salience[:, beside] = 1.0, 0.5
    assert tune(replace(looks, salience=salience)) == 0.0


def claim(note: int, at: float, end: int) -> Claim:
    """Claim a note of key 55."""
    begin = round(at / 0.005)
    return Claim(FoundNote(note, begin, end), Onset(at, 0.0), 55, frozenset())


def test_a_note_in_which_nothing_sounds_is_not_there() -> None:
    evidence = weigh(looks_of(noise(1.0)), 0.0, SETTINGS.evidence)
    assert not is_there(evidence, claim(0, 0.2, 120), due_note(0.0), SETTINGS.notes)


def test_a_remainder_and_a_neighbour_held_on_are_no_notes() -> None:
    evidence = weigh(looks_of(noise(1.0)), 0.0, SETTINGS.evidence)
    sounding = replace(evidence, voiced=np.zeros_like(evidence.voiced))
    due, settings = due_note(0.0), SETTINGS.notes
    whole = claim(0, 0.2, 120)
    assert is_there(sounding, whole, due, settings)
    assert not is_there(sounding, claim(0, 0.2, 44), due, settings)
    held = replace(whole, key=57, neighbours=frozenset({57}))
    assert not is_there(sounding, held, due, settings)
    tongued = replace(held, onset=Onset(0.2, 6.0))
    assert is_there(sounding, tongued, due, settings)


@pytest.mark.parametrize(("sounds_at", "kept"), [(0.02, 0), (0.48, 1)])
def test_the_sound_of_two_like_notes_goes_to_the_nearer(
    sounds_at: float, kept: int
) -> None:
    claims = [claim(0, 0.0, 4), claim(1, sounds_at, 80)]
    due = [due_note(0.0), due_note(0.5)]
    begins = {0: 0.0, 1: 0.5}
    notes = give_back(claims, [False, True], due, begins)
    assert [note.note for note in notes] == [kept]
    assert notes[0].end == 80


def test_a_take_without_gaps_tells_nothing_of_the_room() -> None:
    evidence = weigh(looks_of(noise(1.0)), 0.0, SETTINGS.evidence)
    assert ring_off_db_per_s(evidence, [], SETTINGS.notes) is None
    assert ring_off_db_per_s(evidence, [(40, 60)], SETTINGS.notes) is None


def test_a_hole_in_the_ring_is_not_how_fast_a_room_rings_off() -> None:
    """Partials that ring against each other leave holes: the line of a fall tells."""
    evidence = weigh(looks_of(noise(1.6)), 0.0, SETTINGS.evidence)
    gap, begins = 60, (40, 140, 240)
    level = np.full(len(evidence.level_db), -20.0, dtype=np.float32)
    for begin in begins:
        level[begin : begin + gap] -= 75.0 * evidence.hop_s * np.arange(gap)
        level[begin + 48 : begin + 50] -= 9.0
    evidence = replace(evidence, level_db=level, floor_db=-80.0)
    gaps = [(begin, begin + gap) for begin in begins]
    ring = ring_off_db_per_s(evidence, gaps, SETTINGS.notes)
    assert ring == pytest.approx(75.0, abs=15.0), "to the hole it falls twice as fast"
    assert ring_off_db_per_s(evidence, gaps[:2], SETTINGS.notes) is None, "too few"


def test_pitches_that_never_cross_leave_the_rise_to_tell() -> None:
    looks = looks_of(noise(1.0))
    evidence = weigh(looks, 0.0, SETTINGS.evidence)
    flat = replace(evidence, fits=np.zeros_like(evidence.fits))
    found = [FoundNote(0, 20, 60), FoundNote(1, 60, 100)]
    envelope = dry_envelope(looks, 200.0, SETTINGS.refine)
    turned = TurnedSound(looks, SETTINGS.turn)
    sound = MomentSigns(envelope, flat, looks.flux.astype(float), turned)
    onsets = refine_onsets(sound, found, [55, 57], 0.0, SETTINGS.refine)
    assert onsets[1].at == pytest.approx(60 * looks.hop_s, abs=0.1)
    assert onsets[1].at > onsets[0].at


def test_nothing_turns_in_digital_silence() -> None:
    looks = looks_of(np.zeros(round(RATE_HZ)))
    turned = TurnedSound(looks, SETTINGS.turn)
    found = [FoundNote(0, 40, 69), FoundNote(1, 69, 150)]
    assert turned.at(found, [55, 57], 1) == pytest.approx(69 * looks.hop_s)


def test_a_turn_of_the_sound_counts_where_it_agrees_with_the_rise() -> None:
    settings = SETTINGS.refine
    sound, rise = np.zeros(round(RATE_HZ)), round(0.35 * RATE_HZ)
    place = np.arange(len(sound)) / RATE_HZ
    sound[rise:] = 0.3 * np.sin(2 * np.pi * hertz_of(57) * place[rise:])
    looks = looks_of(sound + noise(1.0))
    evidence = weigh(looks, 0.0, SETTINGS.evidence)
    taken = MomentSigns(
        dry_envelope(looks, 200.0, settings),
        replace(evidence, fits=np.zeros_like(evidence.fits)),
        looks.flux.astype(float),
        TurnedSound(looks, SETTINGS.turn),
    )
    found = [FoundNote(0, 40, 69), FoundNote(1, 69, 150)]
    alone, both = (
        refine_onsets(
            taken, found, [55, 57], 0.0, replace(settings, turn_agree_s=agree_s)
        )[1].at
        for agree_s in (0.0, 0.05)
    )
    turn = taken.turned.at(found, [55, 57], 1)
    share = settings.turn_share
    assert turn != pytest.approx(alone, abs=1e-4)
    assert both == pytest.approx((1.0 - share) * alone + share * turn)


def test_the_ring_of_a_room_is_taken_off_and_a_steady_sound_is_left() -> None:
    rate, ring = 11_025.0, 200.0
    age = np.arange(round(0.5 * rate)) / rate
    after = 10 ** (-ring * (age - 0.25) / 20)
    sound = np.where(age < 0.25, 1.0, np.where(age < 0.26, 0.0, 0.5 * after))
    quick = np.sign(np.sin(2 * np.pi * 2_000.0 * age))
    looks = replace(
        looks_of(noise(0.5)), sound=(sound * quick).astype(np.float32), rate_hz=rate
    )
    envelope = dry_envelope(looks, ring, SETTINGS.refine)
    steady, rung = (round(t / envelope.step_s) for t in (0.2, 0.3))
    assert envelope.whole[rung] > 0.01 * envelope.whole[steady]
    assert envelope.dry[rung] < 0.01 * envelope.dry[steady]
    assert envelope.dry[steady] > 0.5 * envelope.whole[steady]


def test_where_ring_turns_fresh_a_note_begins() -> None:
    looks = looks_of(noise(1.0))
    still = replace(
        looks,
        flux=np.zeros_like(looks.flux),
        fresh_db=np.full_like(looks.fresh_db, -9.0),
    )
    fresh = still.fresh_db.copy()
    fresh[100:] = -1.0
    begins = weigh(replace(still, fresh_db=fresh), 0.0, SETTINGS.evidence).begins
    assert abs(int(begins.argmax()) - 100) <= 2
    assert begins[:90].max() == begins[110:].max() == 0.0


def test_what_looks_say_takes_little_beside_the_looks() -> None:
    looks = looks_of(noise(5.0))
    evidence = weigh(looks, 0.0, SETTINGS.evidence)
    seen, said = (
        sum(part.nbytes for part in parts if isinstance(part, np.ndarray))
        for parts in (
            (looks.salience, looks.magnitudes),
            (getattr(evidence, field.name) for field in fields(evidence)),
        )
    )
    assert said < seen / 6


def test_looks_speak_for_a_key_as_far_as_it_fits_better_than_all() -> None:
    settings = SETTINGS.evidence
    evidence = weigh(looks_of(noise(1.0)), 0.0, settings)
    looks, first = slice(50, 60), evidence.first_midi
    weighed = settings.pitch_weight * evidence.fits[looks].astype(float)
    chances = np.exp(weighed) / np.exp(weighed).sum(axis=1, keepdims=True)
    for key in (0, 5):
        told = np.maximum(np.log(chances[:, key]), settings.least_log)
        assert evidence.for_key(first + key, looks) == pytest.approx(told, abs=1e-4)
    assert (chances.argmax(axis=1) == evidence.clearest[looks]).all()


@pytest.mark.parametrize("width", [4, 7, 401])
def test_ways_are_kept_four_in_a_byte(width: int) -> None:
    draw = np.random.default_rng(width)
    drawn = draw.integers(0, 4, (5, width)).astype(np.uint8)
    ways = Ways(len(drawn), width)
    for t, row in enumerate(drawn):
        ways.keep(t, row)
    assert ways.bytes_count <= len(drawn) * (width // 4 + 1)
    kept = [[ways.at(t, place) for place in range(width)] for t in range(len(drawn))]
    assert np.array_equal(kept, drawn)


@pytest.mark.parametrize(("is_sound", "begins"), [(False, 100), (True, 85)])
def test_a_late_note_does_not_begin_in_what_is_no_sound_of_a_note(
    is_sound: bool, begins: int
) -> None:
    """A breath that is heard fits some key a little, and might be a wrong note."""
    first, other, second = 2, 6, 4
    fits = np.zeros((200, 8))
    fits[:60, first], fits[85:100, other], fits[100:, second] = 0.6, 0.12, 0.6
    breathes = (np.arange(200) >= 60) & (np.arange(200) < 100)
    weighed = SETTINGS.evidence.pitch_weight * fits
    evidence = replace(
        evidence_of(48, fits),
        any_key=np.log(np.exp(weighed).sum(axis=1)).astype(np.float32),
        is_sound=~breathes | is_sound,
        voiced=np.where(breathes, -0.3, 0.0).astype(np.float32),
        silent=np.where(breathes, -1.5, -5.0).astype(np.float32),
    )
    due = DuePart((due_note(0.0, 48 + first), due_note(0.425, 48 + second)))
    leg = Leg(0, (0.0, 0.425), 1.0)
    found = FineWalk(evidence, due, leg, SETTINGS.fine).find()
    assert [note.note for note in found] == [0, 1]
    assert found[1].begin == pytest.approx(begins, abs=2)


@pytest.mark.parametrize(("loud", "is_told"), [(0.1, False), (0.002, True)])
def test_what_is_unclear_right_before_a_far_louder_sound_is_none_of_a_note(
    loud: float, is_told: bool
) -> None:
    """Before one that is soft itself nobody can tell."""
    sound, comes = noise(1.0), round(0.5 * RATE_HZ)
    age = np.arange(len(sound) - comes) / RATE_HZ
    sound[comes:] += loud * np.sin(2.0 * np.pi * hertz_of(55) * age)
    is_sound = weigh(looks_of(sound), 0.0, SETTINGS.evidence).is_sound
    before = is_sound[round(0.35 / 0.005) : round(0.45 / 0.005)]
    assert before.all() if is_told else before.mean() < 0.3
    assert is_sound[: round(0.2 / 0.005)].all(), "it may be anything"
    assert is_sound[round(0.55 / 0.005) :].all()


def test_a_clear_pitch_may_be_of_a_note_however_loud_the_next_one_is() -> None:
    age = np.arange(round(1.0 * RATE_HZ)) / RATE_HZ
    wave = sum(np.sin(2.0 * np.pi * n * hertz_of(55) * age) / n for n in range(1, 9))
    sound = np.where(age < 0.5, 0.004, 0.1) * wave + noise(1.0)
    is_sound = weigh(looks_of(sound), 0.0, SETTINGS.evidence).is_sound
    assert is_sound[round(0.35 / 0.005) : round(0.45 / 0.005)].all()


def test_keys_that_fit_badly_wherever_they_sound_are_raised() -> None:
    settings = SETTINGS.evidence
    fits = np.full((400, 24), 0.05, dtype=np.float16)
    fits[100:200, 4], fits[200:300, 20] = 0.6, 0.25
    level = np.where(np.arange(400) < 100, -60.0, -20.0).astype(np.float32)
    level[300:] = -60.0
    raised = raise_keys(fits, level, settings)
    assert raised[4] == 1.0, "what fits well is left alone"
    assert raised[20] * 0.25 == pytest.approx(settings.usual_fit, rel=1e-3)
    fits[200:300, 20] = 0.16
    most = raise_keys(fits, level, settings)[20]
    assert most == pytest.approx(settings.most_raised_factor)
    silent = np.full(400, -60.0, np.float32)
    assert (raise_keys(fits, silent, settings) == 1.0).all()


def test_a_key_that_was_raised_does_not_win_over_the_page_by_that() -> None:
    looks = looks_of(noise(1.0))
    evidence = weigh(looks, 0.0, SETTINGS.evidence)
    as_heard = np.full_like(evidence.fits, 0.05)
    as_heard[:, 10], as_heard[:, 11] = 0.30, 0.25
    raised = np.ones(as_heard.shape[1], dtype=np.float32)
    raised[11] = 1.8
    lifted = replace(evidence, fits=as_heard * raised, raised=raised)
    note = FoundNote(0, 20, 90)
    due = evidence.first_midi + 10
    assert key_of(lifted, note, due, SETTINGS.notes) == due
    assert key_of(lifted, note, due + 5, SETTINGS.notes) == due


def test_what_lies_below_the_page_is_not_raised() -> None:
    """A sound of one partial fits an octave lower too, but for what is not there."""
    sound = noise(2.0)
    sound[4000:] += 0.05 * np.sin(np.arange(len(sound) - 4000) * 2.0 * np.pi / 50.0)
    looks = looks_of(sound)
    anywhere = weigh(looks, 0.0, SETTINGS.evidence).raised
    evidence = weigh(looks, 0.0, SETTINGS.evidence, page={52})
    below = 52 - evidence.first_midi
    assert (anywhere > 1.0).all()
    assert (evidence.raised[:below] == 1.0).all()
    assert (evidence.raised[below:] == anywhere[below:]).all()


def test_what_lies_between_far_notes_of_the_page_is_not_raised() -> None:
    """The octave under a high note is none that sounds softly."""
    sound = noise(2.0)
    sound[4000:] += 0.05 * np.sin(np.arange(len(sound) - 4000) * 2.0 * np.pi / 50.0)
    looks = looks_of(sound)
    anywhere = weigh(looks, 0.0, SETTINGS.evidence).raised
    evidence = weigh(looks, 0.0, SETTINGS.evidence, page={48, 58})
    slips = slice(51 - evidence.first_midi, 56 - evidence.first_midi)
    assert (anywhere > 1.0).all()
    assert (evidence.raised[: 48 - evidence.first_midi] == 1.0).all()
    assert list(np.flatnonzero(evidence.raised == 1.0) + evidence.first_midi)[-3:] == [
        52,
        53,
        54,
    ]
    assert (evidence.raised[slips] > 1.0).tolist() == [True, False, False, False, True]


def test_what_is_held_is_no_ring_however_loud_it_was_before() -> None:
    """A note of the same pitch goes on 12 dB softer, or rings off in a room."""
    age = np.arange(round(1.0 * RATE_HZ)) / RATE_HZ
    wave = sum(np.sin(2.0 * np.pi * n * hertz_of(55) * age) / n for n in range(1, 9))
    held = np.where(age < 0.5, 0.1, 0.025)
    ring = 0.1 * 10.0 ** (-np.maximum(0.0, age - 0.5) * 200.0 / 20.0)
    at = slice(round(0.6 / 0.005), round(0.7 / 0.005))
    quiet = noise(1.0) / 30.0
    for level, is_note in ((held, True), (ring, False)):
        evidence = weigh(
            looks_of(np.where(age < 0.1, 0.0, level) * wave + quiet),
            0.0,
            SETTINGS.evidence,
        )
        sounds = np.exp(evidence.voiced[at]) > 0.5
        assert sounds.all() if is_note else not sounds.any()


def test_a_trill_is_the_note_of_the_page_though_the_other_is_heard_longer() -> None:
    evidence = weigh(looks_of(noise(1.0)), 0.0, SETTINGS.evidence)
    own, other = 10, 12
    fits = np.full_like(evidence.fits, 0.05)
    is_own = np.arange(len(fits)) % 20 < 7
    fits[is_own, own], fits[~is_own, other] = 0.5, 0.5
    trill = replace(evidence, fits=fits, raised=np.ones_like(evidence.raised))
    note, due = FoundNote(0, 20, 180), evidence.first_midi + own
    assert key_of(trill, note, due, SETTINGS.notes) == due
    fits[:, own], fits[:, other] = 0.05, 0.5
    assert key_of(trill, note, due, SETTINGS.notes) == evidence.first_midi + other
