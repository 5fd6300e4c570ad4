"""The top of an instrument's file: its kind, its clefs and the tones to time."""

from __future__ import annotations

from typing import Any

import pytest

from coach.config import read_shipped, shipped
from coach.errors import ConfigError
from coach.planning.instrument.instrument import build_instrument
from coach.planning.instrument.instrument_entry import InstrumentEntry, build_entry

NAMES = sorted(path.stem for path in (shipped("config") / "instruments").glob("*"))

KAZOO: dict[str, Any] = {
    "title": "kazoo",
    "kind": "breath-only",
    "lowest_midi": 48,
    "highest_midi": 72,
    "long_tone": "G4",
    "loud_tone": "A4",
    "readings": [{"clef": "treble", "transposition_semitones": -2}],
}


def entry(name: str) -> InstrumentEntry:
    return build_entry(name, read_shipped(f"instruments/{name}"), name)


@pytest.mark.parametrize("name", NAMES)
def test_both_tones_lie_in_the_middle_of_the_range_and_can_be_played(name: str) -> None:
    """Where a long tone costs no effort but air: common practice, no source."""
    it = entry(name)
    instrument = build_instrument(name, read_shipped(f"instruments/{name}"))
    third = (it.highest - it.lowest) / 3
    for tone in (it.long_tone, it.loud_tone):
        assert instrument.choices(tone.midi), f"{tone.written} has no place"
        low, high = it.lowest + third / 2, it.highest - third
        assert low <= tone.midi <= high, f"{tone.written} is too near the range's end"
    assert it.long_tone.midi < it.loud_tone.midi


@pytest.mark.parametrize(
    ("name", "written", "sounding"),
    [
        ("tenor-trombone", "F3", 53),
        ("trumpet", "G4", 65),
        ("horn-f", "C4", 53),
        ("flute", "A4", 69),
        ("tuba-bb", "F2", 41),
    ],
)
def test_a_tone_is_named_as_the_player_reads_it(
    name: str, written: str, sounding: int
) -> None:
    tone = entry(name).long_tone
    assert (str(tone.written), tone.midi) == (written, sounding)


@pytest.mark.parametrize(
    ("changes", "said"),
    [
        ({"long_tone": "H4"}, "long_tone is “H4”, which is no note"),
        ({"long_tone": "C9"}, "long_tone is “C9”, which is no note"),
        ({"loud_tone": "C3"}, "loud_tone is “C3”, which is no note"),
        ({"long_tone": 65}, "long_tone is 65, and must be a word"),
        ({"kind": "strings"}, "kind is 'strings'"),
        ({"kind": 3}, "kind is 3"),
        ({"readings": []}, "needs a reading"),
        ({"readings": "treble"}, "readings is no list"),
        ({"readings": ["treble"]}, "treble"),
        ({"lowest_midi": 90}, "lowest note that is not above"),
        ({"lowest_midi": 1.5}, "lowest_midi is 1.5, and must be a whole number"),
        ({"also_called": "tin can"}, "also_called is .tin can., and must be a list"),
        ({"lowest_mid": 3}, "does not know “lowest_mid”. Did you mean “lowest_midi”"),
    ],
)
def test_what_is_wrong_is_named_with_its_file(
    changes: dict[str, Any], said: str
) -> None:
    with pytest.raises(ConfigError, match=said) as caught:
        build_instrument("kazoo", {**KAZOO, **changes}, "here/kazoo.toml")
    assert "here/kazoo.toml" in caught.value.message


@pytest.mark.parametrize("key", [key for key in KAZOO if key != "title"])
def test_what_is_missing_is_named(key: str) -> None:
    with pytest.raises(ConfigError, match=r"lacks|needs") as caught:
        build_entry("kazoo", {k: v for k, v in KAZOO.items() if k != key}, "kazoo")
    assert "kazoo" in caught.value.message
