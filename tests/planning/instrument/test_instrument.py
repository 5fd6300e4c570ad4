"""Every instrument of the shelf: what it plays, in tune, and how it is read."""

from __future__ import annotations

from functools import cache
from math import log2
from pathlib import Path
from typing import Any

import pytest

from coach.config import read_shipped, shipped
from coach.errors import ConfigError
from coach.planning.instrument.instrument import (
    Instrument,
    build_instrument,
    is_called,
)
from coach.score.note import Pitch

NAMES = sorted(path.stem for path in Path(shipped("config"), "instruments").glob("*"))
IN_TUNE_CENTS = 5.0


@cache
def read(name: str) -> Instrument:
    return build_instrument(name, read_shipped(f"instruments/{name}"))


def key(name: str) -> int:
    alter = name[1:-1].count("#") - name[1:-1].count("b")
    return Pitch(int(name[-1]), name[0], alter).midi


def test_every_instrument_of_the_contract_is_there() -> None:
    assert set(NAMES) >= {
        *("tenor-trombone", "tenor-trombone-f", "bass-trombone"),
        *("bass-trombone-dependent", "alto-trombone", "trumpet", "flugelhorn"),
        *("cornet", "horn-f", "euphonium", "euphonium-3", "tenor-horn"),
        *("tuba-bb", "tuba-c", "tuba-f", "tuba-eb"),
        *("flute", "oboe", "clarinet", "bassoon", "voice"),
        *("alto-saxophone", "tenor-saxophone"),
    }


GAPS = {
    "tenor-trombone": {"B1", "C2", "C#2", "D2", "Eb2"},
    "tenor-trombone-f": {"B1"},
}
"""Notes inside a range that have no place: common practice, no published source."""


@pytest.mark.parametrize("name", NAMES)
def test_every_note_of_the_range_can_be_played(name: str) -> None:
    instrument = read(name)
    keys = range(instrument.lowest, instrument.highest + 1)
    missing = {midi for midi in keys if not instrument.choices(midi)}
    expected = {key(note) for note in GAPS.get(name, ())}
    assert missing == expected, f"sounding keys {sorted(missing)} have no place"


@pytest.mark.parametrize("name", NAMES)
def test_nothing_beyond_the_range_can_be_played(name: str) -> None:
    instrument = read(name)
    assert instrument.choices(instrument.lowest - 1) == ()
    assert instrument.choices(instrument.highest + 1) == ()


def out_of_tune(instrument: Instrument) -> dict[int, float]:
    """Give the cents that the best place of a key leaves, where it is not in tune."""
    best = {
        midi: min((place.cents for place in places), key=abs)
        for midi, places in instrument.chart.items()
    }
    return {midi: cents for midi, cents in best.items() if abs(cents) > IN_TUNE_CENTS}


@pytest.mark.parametrize("name", [name for name in NAMES if read(name).kind == "slide"])
def test_a_slide_puts_every_note_in_tune(name: str) -> None:
    assert out_of_tune(read(name)) == {}


# What the lip has to mend, worked out by hand from tube lengths: 1-2 is 10.6 cents
# sharp, 1-3 15.6 and 1-2-3 39.4 where no slide is pulled, 2-3-4 eight flat; partials
# that are multiples of three add 2 cents.
OUT_OF_TUNE = {
    "trumpet": "",
    "cornet": "",
    "flugelhorn": "G3 11, D4 13, G4 11, D5 13, G5 11",
    "horn-f": "B1 19, D2 11, D3 11, D4 13, D5 13",
    "euphonium": "B1 39, C2 16, D2 11, G2 11, D3 11, G3 11, D4 11, D5 13",
    "tuba-bb": "D1 -8, B1 7",
}


def by_note(words: str) -> dict[str, str]:
    """Read pairs such as ``E3 123, F3 13``."""
    return dict(pair.split() for pair in words.split(", ") if pair)


@pytest.mark.parametrize("name", OUT_OF_TUNE)
def test_valves_name_what_they_leave_out_of_tune(name: str) -> None:
    found = out_of_tune(read(name))
    wanted = {key(note): int(c) for note, c in by_note(OUT_OF_TUNE[name]).items()}
    assert {midi: round(cents) for midi, cents in found.items()} == wanted


# Usual fingerings from memory, as on any chart of the instrument; sounding pitches.
TRUMPET = (
    "E3 123, F3 13, F#3 23, G3 12, Ab3 1, A3 2, Bb3 0, B3 123, C4 13, C#4 23, D4 12, "
    "Eb4 1, E4 2, F4 0, F#4 23, G4 12, Ab4 1, A4 2, Bb4 0, B4 12, C5 1, C#5 2, D5 0, "
    "Eb5 1, E5 2, F5 0, F#5 23, G5 12, Ab5 1, A5 2, Bb5 0"
)
EUPHONIUM = (
    "Bb1 0, B1 1234, C2 134, C#2 234, D2 124, Eb2 14, E2 24, F2 4, F#2 23, G2 12, "
    "Ab2 1, A2 2, Bb2 0, B2 24, C3 4, C#3 23, D3 12, Eb3 1, E3 2, F3 0, F#3 23, G3 12, "
    "Ab3 1, A3 2, Bb3 0, B3 12, C4 1, C#4 2, D4 0, Eb4 1, E4 2, F4 0, F#4 23, G4 12, "
    "Ab4 1, A4 2, Bb4 0"
)
TUBA_BB = (
    "E1 24, F1 4, F#1 23, G1 12, Ab1 1, A1 2, Bb1 0, B1 24, C2 4, C#2 23, D2 12, "
    "Eb2 1, E2 2, F2 0, F#2 23, G2 12, Ab2 1, A2 2, Bb2 0, B2 12, C3 1, C#3 2, D3 0, "
    "Eb3 1, E3 2, F3 0"
)
TUBA_C = "F#1 24, G1 4, Ab1 23, A1 12, Bb1 1, B1 2, C2 0, D2 4, G2 0, C3 0, E3 0, G3 0"
TUBA_EB = "Bb1 4, B1 23, C2 12, C#2 1, D2 2, Eb2 0, E2 24, F2 4, Bb2 0, Eb3 0, G3 0"
HORN = (
    "C3 0, C#3 23, D3 12, Eb3 1, E3 2, F3 0, F#3 12, G3 1, Ab3 2, A3 0, Bb3 1, B3 2, "
    "C4 0, C#4 T23, D4 T12, Eb4 T1, E4 T2, F4 T0, F#4 T23, G4 T12, Ab4 T1, A4 T2, "
    "Bb4 T0, B4 T2, C5 T0, C#5 T23, D5 T12, Eb5 T1, E5 T2, F5 T0"
)


@pytest.mark.parametrize(
    ("name", "chart"),
    [
        ("trumpet", TRUMPET),
        ("cornet", TRUMPET),
        ("flugelhorn", TRUMPET),
        ("euphonium", EUPHONIUM),
        ("tuba-bb", TUBA_BB),
        ("tuba-c", TUBA_C),
        ("tuba-eb", TUBA_EB),
        ("horn-f", HORN),
    ],
)
def test_usual_fingerings_are_those_of_the_charts(name: str, chart: str) -> None:
    instrument = read(name)
    wanted = by_note(chart)
    found = {note: instrument.choices(key(note))[0].label for note in wanted}
    assert found == wanted


@pytest.mark.parametrize(
    ("name", "lower", "lowest"), [("tenor-horn", 7, "A2"), ("euphonium-3", 12, "Ab2")]
)
def test_three_valves_are_fingered_alike_on_every_horn(
    name: str, lower: int, lowest: str
) -> None:
    """From memory: G is 1-2 on all, 3 its alternate."""
    horn, flugelhorn = read(name), read("flugelhorn")
    keys = range(key(lowest), flugelhorn.highest - lower + 1)
    found = {k: horn.choices(k)[0].label for k in keys if horn.choices(k)}
    assert found == {
        k: flugelhorn.choices(k + lower)[0].label for k in keys if k in found
    }
    assert len(found) > 24


def test_three_compensating_valves_play_the_low_notes_with_three() -> None:
    labels = [read("euphonium-3").choices(key(note))[0].label for note in ("E2", "F2")]
    assert labels == ["123", "13"]


# Bass trombone: successive semitones from the open valve note, and where they lie on
# the open horn, counted in positions: equal-tempered geometry, computed by hand.
BASS_VALVES = {
    "V": (1.00, 2.25, 3.48, 4.70, 5.90),
    "TV": (1.00, 2.56, 4.08, 5.55, 6.98),
}


@pytest.mark.parametrize(("prefix", "top"), [("V", "Gb1"), ("TV", "D1")])
def test_bass_valves_stretch_the_slide(prefix: str, top: str) -> None:
    bass = read("bass-trombone")
    for step, position in enumerate(BASS_VALVES[prefix]):
        places = {place.label: place for place in bass.choices(key(top) - step)}
        cm = places[f"{prefix}{step + 1}"].cm
        assert cm is not None
        assert bass.length_cm is not None
        on_open = 1 + 12 * log2(1 + 2 * cm / bass.length_cm)
        assert on_open == pytest.approx(position, abs=0.006)


def test_bass_trombone_fills_the_gap_below_e() -> None:
    """Both valves for low B and C; common practice, no published source."""
    for name in ("bass-trombone", "bass-trombone-dependent"):
        usual = {n: read(name).choices(key(n))[0].valves for n in ("B1", "C2", "Eb2")}
        assert usual["B1"] not in ("", "T")
        assert usual["C2"] not in ("", "T")
        assert usual["Eb2"]


def test_alto_lies_a_fourth_above_the_tenor() -> None:
    alto, tenor = read("alto-trombone"), read("tenor-trombone")
    for midi in range(key("A2"), key("F5") + 1):
        above = [place.label for place in alto.choices(midi)]
        below = [place.label for place in tenor.choices(midi - 5)]
        assert above == below


def test_players_read_as_they_are_used_to() -> None:
    """Common practice, no published source."""
    readings = {
        name: [(r.clef, r.transposition_semitones) for r in read(name).readings]
        for name in NAMES
    }
    assert readings["tenor-trombone"][:2] == [("bass", 0), ("tenor", 0)]
    assert ("treble", -14) in readings["tenor-trombone"]
    assert readings["alto-trombone"][0] == ("alto", 0)
    assert readings["trumpet"] == [("treble", -2)]
    assert readings["horn-f"][0] == ("treble", -7)
    assert ("treble", -14) in readings["euphonium"]
    assert ("treble", -26) in readings["tuba-bb"]
    assert ("treble", -21) in readings["tuba-eb"]
    assert readings["alto-saxophone"] == [("treble", -9)]


def test_the_first_reading_is_the_usual_one() -> None:
    horn = read("horn-f")
    assert (horn.clef, horn.transposition) == ("treble", -7)


def test_an_instrument_that_only_breathes_has_one_empty_place() -> None:
    flute = read("flute")
    assert flute.kind == "breath-only"
    assert flute.length_cm is None
    (place,) = flute.choices(key("A4"))
    assert (place.label, place.cm, place.partial) == ("", None, None)


def table(**changes: Any) -> dict[str, Any]:
    good = {
        "title": "post horn",
        "kind": "breath-only",
        "lowest_midi": 50,
        "highest_midi": 60,
        "long_tone": "E3",
        "loud_tone": "G3",
        "readings": [{"clef": "treble", "transposition_semitones": 0}],
    }
    return {k: v for k, v in (good | changes).items() if v is not None}


def test_a_file_of_one_s_own_makes_an_instrument() -> None:
    assert build_instrument("post-horn", table()).title == "post horn"


@pytest.mark.parametrize(
    ("changes", "says"),
    [
        ({"kind": "strings"}, "kind is 'strings'"),
        ({"readings": []}, "needs a reading"),
        ({"lowest_midi": 61}, "needs a reading and a lowest note"),
        ({"lowest_midi": "low"}, 'lowest_midi is "low"'),
        ({"title": None}, "lacks title"),
        ({"kind": "valves"}, "no .*sides"),
        ({"kind": "slide"}, "lacks"),
        ({"readings": [{"clef": "bass"}]}, "lacks transposition_semitones"),
    ],
)
def test_a_file_that_cannot_be_used_is_named(
    changes: dict[str, Any], says: str
) -> None:
    with pytest.raises(ConfigError, match=says) as caught:
        build_instrument("post-horn", table(**changes))
    assert "post-horn.toml" in str(caught.value)


# Names.


@pytest.mark.parametrize(
    ("asked", "name"),
    [
        ("trombone", "tenor-trombone"),
        ("Tenor Trombone", "tenor-trombone"),
        ("tenor_trombone", "tenor-trombone"),
        ("horn", "horn-f"),
        ("french-horn", "horn-f"),
        ("horn in F", "horn-f"),
        ("tuba", "tuba-bb"),
        ("e flat tuba", "tuba-eb"),
        ("sax", "alto-saxophone"),
        (" flute ", "flute"),
        ("clarinet in b flat", "clarinet"),
        ("Posaune", "tenor-trombone"),
        ("trombon", "tenor-trombone"),
        ("Bass-Posaune", "bass-trombone"),
        ("flûte", "flute"),
    ],
)
def test_an_instrument_answers_to_the_names_players_use(asked: str, name: str) -> None:
    called = [n for n in NAMES if is_called(asked, n, read_shipped(f"instruments/{n}"))]
    assert called == [name]


def test_no_two_instruments_share_a_name() -> None:
    for name in NAMES:
        table = read_shipped(f"instruments/{name}")
        for own in (name, table["title"], *table.get("also_called", ())):
            others = [
                n for n in NAMES if is_called(own, n, read_shipped(f"instruments/{n}"))
            ]
            assert others == [name], f"“{own}” is the name of {others}: choose another"


def test_no_name_is_no_instrument() -> None:
    assert not is_called("", "horn-f", read_shipped("instruments/horn-f"))
    assert not is_called("kazoo", "horn-f", read_shipped("instruments/horn-f"))


def test_places_are_named_as_players_name_them() -> None:
    assert read("tenor-trombone").say_place("b4") == "position b4"
    assert read("horn-f").say_place("T12") == "valves T12"
    assert read("trumpet").say_place("0") == "open"


@pytest.mark.parametrize("name", NAMES)
def test_high_notes_begin_in_the_upper_half_of_the_range(name: str) -> None:
    instrument = read(name)
    assert instrument.high_from is not None
    middle = (instrument.lowest + instrument.highest) / 2
    assert middle < instrument.high_from <= instrument.highest
