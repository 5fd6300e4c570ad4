"""What a player told: tones stay with the instrument they were played on."""

from __future__ import annotations

from dataclasses import replace

from coach.config import read_settings, read_shipped
from coach.planning.instrument.instrument_entry import InstrumentEntry, build_entry
from coach.planning.player_facts import PlayerFacts, hold_tones, take_up, timed_on

NOBODY = read_settings(PlayerFacts, "player")


def entry(name: str) -> InstrumentEntry:
    return build_entry(name, read_shipped(f"instruments/{name}"), name)


def test_a_tone_is_taken_down_with_its_pitch() -> None:
    facts = hold_tones(NOBODY, entry("flute"), long_s=18.0)
    assert (facts.long_tone_s, facts.long_tone_midi) == (18.0, 69)
    assert facts.loud_tone_midi == NOBODY.loud_tone_midi
    both = hold_tones(facts, entry("trumpet"), loud_s=6.0)
    assert (both.long_tone_midi, both.loud_tone_midi) == (69, 70)


def test_each_instrument_keeps_what_was_timed_on_it() -> None:
    told = hold_tones(NOBODY, entry("tenor-trombone"), long_s=14.0, loud_s=9.0)
    told = hold_tones(told, entry("tenor-trombone"), tongued_s=12.0, in_twos_s=14.0)
    oboist = take_up(told, "oboe")
    assert (oboist.instrument, oboist.long_tone_s, oboist.loud_tone_s) == (
        *("oboe", 0.0, 0.0),
    )
    oboist = hold_tones(oboist, entry("oboe"), long_s=40.0)
    back = take_up(oboist, "tenor-trombone")
    assert replace(back, tones=told.tones) == told
    assert set(back.tones) == {"oboe"}
    again = take_up(back, "oboe")
    assert (again.long_tone_s, again.long_tone_midi) == (40.0, 67)
    assert take_up(again, "oboe") is again
    assert set(take_up(take_up(again, "flute"), "voice").tones) == {
        *("oboe", "tenor-trombone"),
    }


def test_of_a_family_the_instrument_itself_tells_first() -> None:
    told = hold_tones(NOBODY, entry("tenor-trombone"), long_s=14.0)
    told = take_up(told, "trumpet")

    def tone(facts: PlayerFacts, wind: str) -> float:
        return timed_on(facts, wind, "long_tone_s", "long_tone_wind").long_tone_s

    assert (tone(told, "brass"), tone(told, "oboe")) == (14.0, 0.0)
    own = hold_tones(told, entry("trumpet"), long_s=20.0)
    assert tone(own, "brass") == 20.0
    assert tone(take_up(own, "oboe"), "oboe") == 0.0


def test_a_pair_of_tongued_breaths_is_taken_down_with_its_wind() -> None:
    told = hold_tones(NOBODY, entry("clarinet"), tongued_s=21.0)
    both = hold_tones(told, entry("clarinet"), in_twos_s=25.0)
    assert (both.tongued_s, both.in_twos_s) == (21.0, 25.0)
    assert told.pair_wind == both.pair_wind == entry("clarinet").wind
    assert both.pair_wind != NOBODY.pair_wind


def test_the_tones_taken_for_granted_are_those_of_the_first_instrument() -> None:
    usual = entry(NOBODY.instrument)
    assert NOBODY.long_tone_midi == usual.long_tone.midi
    assert NOBODY.loud_tone_midi == usual.loud_tone.midi
