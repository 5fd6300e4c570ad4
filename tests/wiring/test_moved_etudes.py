"""An etude stays in the octave that its player has chosen."""

from __future__ import annotations

from pathlib import Path

import pytest

from coach.config import home, shipped
from coach.edges.scores.transposition_file import keep_transposition, read_transposition
from coach.errors import CoachError
from coach.score.etude_key import EtudeKey, key_of
from coach.wiring.moved_etudes import move_further, open_moved
from tests.edges.scores.score_samples import keys, measures, midi_file, score, xml_note

TIDE = shipped("etudes") / "tide.musicxml"
ETUDE = EtudeKey("Tide", "0123456789ab")


def test_what_is_asked_is_kept_and_zero_takes_it_back() -> None:
    written = open_moved(TIDE)
    assert open_moved(TIDE, None, -12).moved_semitones == -12
    assert open_moved(TIDE).moved_semitones == -12
    assert move_further(TIDE, None, 1).moved_semitones == -11
    assert open_moved(TIDE, None, 0) == written
    assert open_moved(TIDE) == written


def test_nothing_moves_further_than_three_octaves() -> None:
    open_moved(TIDE, None, 30)
    assert move_further(TIDE, None, 12).moved_semitones == 36


@pytest.mark.parametrize(
    "damage",
    ["", "[]", "{", '{"0123456789ab": "x"}', '{"0123456789ab": 9999}', "\udcff"],
)
def test_a_damaged_file_is_as_good_as_none(damage: str) -> None:
    home().mkdir(parents=True, exist_ok=True)
    path = home() / "transposed.json"
    path.write_text(damage, encoding="utf-8", errors="surrogateescape")
    assert read_transposition(ETUDE) == 0
    keep_transposition(ETUDE, 2)
    assert read_transposition(ETUDE) == 2


def test_a_folder_that_cannot_be_written_is_told(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("in the way")
    monkeypatch.setenv("COACH_HOME", str(blocked))
    with pytest.raises(CoachError, match="cannot be kept"):
        keep_transposition(ETUDE, 2)


def test_of_several_parts_the_players_own_is_read_and_it_is_said(
    tmp_path: Path,
) -> None:
    band = tmp_path / "band.musicxml"
    lines = [measures(xml_note(pitch, 96)) for pitch in ("G4", "C3", "F3")]
    names = ("Flute", "Tuba", "Trombone 1")
    band.write_text(score(*lines, names=names))
    own = open_moved(band)
    assert own.name == "Trombone 1"
    told = "The score has 3 parts; this is Trombone 1. Choose with --part: 1 Flute, "
    assert own.remarks[0].startswith(told)
    assert open_moved(band, instrument="tuba").name == "Tuba"
    for first in (open_moved(band, instrument="oboe"), open_moved(band, "flute")):
        assert first.name == "Flute"
    for_nobody = open_moved(band, instrument="oboe").remarks[0]
    assert "3 parts, none of them for the oboe; this is Flute." in for_nobody
    alone = open_moved(band, "Trombone 1")
    assert key_of(alone) == key_of(own)
    assert move_further(band, None, 2).name == "Trombone 1"


def test_a_page_without_a_clef_is_read_in_the_players_own(tmp_path: Path) -> None:
    high = tmp_path / "high.mid"
    high.write_bytes(midi_file(keys(*[(key, 480) for key in (58, 60, 62, 63, 65)])))
    clefs = [
        open_moved(high, instrument=asked).bars[0].clef
        for asked in (None, "trumpet", "alto-trombone")
    ]
    assert clefs == ["bass", "treble", "alto"]
