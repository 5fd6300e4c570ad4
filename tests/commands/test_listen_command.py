"""``coach listen``, as a player types it; what the ear says is given by hand."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
import soundfile

from coach.cli import main
from coach.commands import listen_command
from coach.edges.hearing.recording_ear import HeardRecording
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import (
    Doubt,
    Heard,
    HeardNote,
    RanOut,
    Refusal,
    Refused,
    Stretch,
    ToldAgainst,
)
from coach.rehearsal.hearing.take import Sounding
from coach.score.tempo import Seconds
from tests.hand_heard import heard_of
from tests.played_etude import played_etude

Ear = Callable[[DuePart], Heard | Refused]


def said(capsys: pytest.CaptureFixture[str], *words: str, code: int = 0) -> str:
    assert main(words) == code
    told = capsys.readouterr()
    return told.err if code else told.out


@pytest.fixture
def lend_ear(monkeypatch: pytest.MonkeyPatch) -> Callable[[Ear], list[Sounding]]:
    """Let an ear of the test's own say what is heard."""
    heard_with: list[Sounding] = []

    def lend(ear: Ear) -> list[Sounding]:
        def hear(
            _path: Path, due: DuePart, sounding: Sounding, tell: Callable[[float], None]
        ) -> HeardRecording:
            heard_with.append(sounding)
            tell(0.5)
            return HeardRecording(ear(due), Seconds(75.0))

        monkeypatch.setattr(listen_command, "hear_recording", hear)
        return heard_with

    return lend


def faulty(due: DuePart) -> Heard:
    """Rush three notes, miss one, run out."""
    heard = heard_of(due)
    notes = list(heard.notes)
    notes[8] = HeardNote(notes[8].due)
    return heard_of(
        due,
        notes=tuple(notes),
        rushed=(Stretch(2, 4, Seconds(-0.06)),),
        missed=(8,),
        ran_out=RanOut(20, due.notes[20].due),
        told_against=ToldAgainst.COUNT_IN,
        doubts=(Doubt.NOISY,),
        tuning_cents=-12.4,
    )


def test_what_is_heard_is_a_line_for_each_stretch(
    capsys: pytest.CaptureFixture[str], lend_ear: Callable[[Ear], list[Sounding]]
) -> None:
    heard_with = lend_ear(faulty)
    told = said(capsys, "listen", "take.wav", "tide", "--count-in", "2")
    lines = told.splitlines()
    assert lines[0] == "Tide, bars 1 to 24 at 58, from take.wav (1:15)"
    assert lines[1].endswith(
        "heard, 95 % sure; ahead and behind are told against the count-in."
    )
    assert lines[2].startswith("! The room is noisy")
    assert [line.split("  ")[0] for line in lines[4:7]] == [
        "rushed",
        "missed",
        "ran out",
    ]
    assert "60 ms ahead, 3 notes" in lines[4]
    assert "Tuning: 12 cents flat of A 440." in lines
    assert lines[-1].startswith("Next: Rehearse ")
    counted = [click for click in heard_with[0].clicks if click.at < 0]
    assert len(counted) == 6  # two bars of three
    assert heard_with[0].began is None


def test_a_script_gets_what_the_contract_names(
    capsys: pytest.CaptureFixture[str], lend_ear: Callable[[Ear], list[Sounding]]
) -> None:
    lend_ear(faulty)
    told = json.loads(said(capsys, "listen", "take.wav", "tide", "--json"))
    assert set(told) >= {
        *("schema", "etude", "tempo", "notes", "breaths", "rushed", "dragged"),
        *("late_after_breath", "missed", "ran_out", "evenness", "offset_s"),
        "confidence",
    }
    assert told["rushed"] == [
        {"from_note": 2, "to_note": 4, "bars": "1", "ahead_s": 0.06}
    ]
    assert told["missed"] == [8]
    assert told["notes"][8]["heard_s"] is None
    assert told["notes"][8]["heard_pitch"] is None
    assert told["notes"][0].keys() >= {
        *("i", "due_s", "heard_s", "behind_s", "level_db", "cents", "heard_pitch"),
    }
    assert set(told["evenness"]) == {"slope_db_per_s", "spread_db"}
    assert told["ran_out"]["note"] == 20


def test_a_run_goes_into_the_log_once_with_the_microphone_s_marks(
    capsys: pytest.CaptureFixture[str], lend_ear: Callable[[Ear], list[Sounding]]
) -> None:
    lend_ear(faulty)
    words = ("listen", "take.wav", "tide", "--bars", "1-8", "--log")
    assert "Kept in the log as run 1: not clean." in said(capsys, *words)
    assert "in the log already, as run 1" in said(capsys, *words)
    assert main([*words, "--json"]) == 0
    told = capsys.readouterr()
    assert "in the log already, as run 1" in told.err
    assert json.loads(told.out)
    (run,) = json.loads(said(capsys, "log", "--json"))
    assert [(mark["kind"], mark["by"]) for mark in run["marks"]] == [
        ("rushed", "microphone"),
        ("missed", "microphone"),
        ("ran-out", "microphone"),
    ]
    assert run["marks"][0]["amount_s"] == -0.06
    assert run["note"] == "heard in take.wav"
    assert run["click"]["kind"] == "on"


def test_a_run_without_a_count_in_is_logged_as_one_without_a_click(
    capsys: pytest.CaptureFixture[str], lend_ear: Callable[[Ear], list[Sounding]]
) -> None:
    lend_ear(
        lambda due: heard_of(due, told_against=ToldAgainst.OWN_AVERAGE, evenness=None)
    )
    told = said(capsys, "listen", "take.flac", "tide", "--log")
    assert "Nothing went wrong that could be heard." in told
    assert "Evenness" not in told
    (run,) = json.loads(said(capsys, "log", "--json"))
    assert (run["click"]["kind"], run["said"], run["completed"]) == (
        "silent",
        False,
        True,
    )


@pytest.mark.parametrize(
    ("share", "says"), [(0.9, "is not kept in the log"), (1.4, "cannot be judged")]
)
def test_a_run_at_another_tempo_is_not_logged_at_the_one_that_was_asked_for(
    capsys: pytest.CaptureFixture[str],
    lend_ear: Callable[[Ear], list[Sounding]],
    share: float,
    says: str,
) -> None:
    alone = ToldAgainst.OWN_AVERAGE
    lend_ear(lambda due: heard_of(due, told_against=alone, own_tempo_share=share))
    asked = ("listen", "take.flac", "tide", "--tempo", "80", "--log")
    assert main(asked) == 1
    out, error = capsys.readouterr()
    goes = f"{80 * share:.0f}"
    assert error == (
        f"coach: “take.flac” {says}: it goes at {goes}, not at 80. "
        f"Listen to it with --tempo {goes}.\n"
    )
    assert ("Nothing went wrong" in out, bool(out)) == (False, share == 0.9)
    assert json.loads(said(capsys, "log", "--json")) == []


@pytest.mark.parametrize("why", Refusal)
def test_what_cannot_be_judged_is_refused_with_the_reason(
    capsys: pytest.CaptureFixture[str],
    lend_ear: Callable[[Ear], list[Sounding]],
    why: Refusal,
) -> None:
    lend_ear(lambda _: Refused(why))
    told = said(capsys, "listen", "take.wav", "tide", "--log", code=1)
    assert told.startswith("coach: “take.wav” cannot be judged: ")
    assert told.count("\n") == 1
    assert json.loads(said(capsys, "log", "--json")) == []


@pytest.mark.parametrize(
    ("make", "says"),
    [
        (lambda _: None, "There is no recording"),
        (lambda path: path.mkdir(), "is a folder. Name the recording itself."),
        (os.mkfifo, "is no file"),
        (lambda path: path.write_bytes(b""), "is empty"),
        (lambda path: path.write_text("not a sound"), "is no sound file"),
    ],
    ids=["missing", "folder", "pipe", "empty", "text"],
)
def test_what_is_no_recording_is_refused_by_the_real_child(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    make: Callable[[Path], None],
    says: str,
) -> None:
    path = tmp_path / "take.wav"
    make(path)
    assert says in said(capsys, "listen", str(path), "tide", code=1)


TUNE = """X:1
T:Four Bars
M:4/4
L:1/8
Q:1/4=112
K:Bb clef=bass
B,,CDE F2D2 | E,G,B,E D2B,,2 | !breath! FEDC B,,2D2 | C2 z2 F4 |]
"""


@pytest.mark.parametrize(("ending", "channels"), [("wav", 1), ("flac", 2)])
def test_a_recording_is_heard_by_the_real_ear(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, ending: str, channels: int
) -> None:
    """A performance whose faults are known, with room, noise and click."""
    etude, take = tmp_path / "four.abc", tmp_path / f"take.{ending}"
    etude.write_text(TUNE)
    truth = played_etude(etude, seed=4)
    loud = truth.taken.samples
    sound = np.column_stack([loud, loud / 3])[:, :channels]
    soundfile.write(take, sound, round(truth.taken.rate_hz))
    told = json.loads(said(capsys, "listen", str(take), str(etude), "--json"))
    assert told["told_against"] == "count-in"
    assert told["missed"] == list(truth.played.dropped)
    for note in truth.played.notes:
        heard = told["notes"][note.note]["heard_s"]
        assert heard == pytest.approx(note.on, abs=0.05), note


def test_another_piece_is_refused_by_the_real_ear(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    etude, take = tmp_path / "four.abc", tmp_path / "take.wav"
    etude.write_text(TUNE)
    taken = played_etude(etude, seed=4).taken
    soundfile.write(take, taken.samples, round(taken.rate_hz))
    told = said(capsys, "listen", str(take), "tide", "--bars", "9-16", code=1)
    assert "“take.wav” cannot be judged: " in told
    assert "is on Tide, bars 9 to 16 at 58. Name the etude, bars, part" in told


def test_a_name_that_no_system_takes_is_refused(
    capsys: pytest.CaptureFixture[str],
) -> None:
    assert "There is no recording" in said(capsys, "listen", "a\0b", "tide", code=1)
