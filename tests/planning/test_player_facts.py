"""What a player told: tones stay with the instrument they were played on."""

from __future__ import annotations

from coach.config import read_settings, read_shipped
from coach.planning.instrument.instrument_entry import InstrumentEntry, build_entry
from coach.planning.player_facts import PlayerFacts, hold_tones

NOBODY = read_settings(PlayerFacts, "player")


def entry(name: str) -> InstrumentEntry:
    return build_entry(name, read_shipped(f"instruments/{name}"), name)


def test_a_tone_is_taken_down_with_its_pitch() -> None:
    facts = hold_tones(NOBODY, entry("flute"), long_s=18.0)
    assert (facts.long_tone_s, facts.long_tone_midi) == (18.0, 69)
    assert facts.loud_tone_midi == NOBODY.loud_tone_midi
    both = hold_tones(facts, entry("trumpet"), loud_s=6.0)
    assert (both.long_tone_midi, both.loud_tone_midi) == (69, 70)


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
