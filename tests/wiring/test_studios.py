"""The screens' room: the real one and its double in tests keep the same promises."""

from __future__ import annotations

import argparse
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from time import sleep

import pytest

from coach.config import PLAYER_VARIABLE
from coach.edges.engine.silent_player import SilentPlayer
from coach.edges.log.run_log import RunLogFile
from coach.errors import CoachError
from coach.planning.player_facts import hold_tones
from coach.rehearsal.gear.gear import ClickPlayer, Clock
from coach.wiring.open_rehearsal import open_log
from coach.wiring.studio import studio_open
from coach.wiring.studio.real_studio import RealStudio
from coach.wiring.who_plays.players import playing_as
from tests.edges.log.kept_runs import TROMBONE, run
from tests.screens.paper_studio import PaperStudio, make_part

AnyStudio = RealStudio | PaperStudio


@pytest.fixture(params=["real", "paper"])
def studio(
    request: pytest.FixtureRequest, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> Iterator[AnyStudio]:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    if request.param == "paper":
        yield PaperStudio([make_part()])
        return
    real = RealStudio(argparse.Namespace(silent=True))
    yield real
    real.close()


def test_each_instrument_is_listed_once_with_its_tone(studio: AnyStudio) -> None:
    entries = studio.list_instruments()
    names = [entry.name for entry in entries]
    assert len(set(names)) == len(names)
    tones = {entry.name: str(entry.long_tone.written) for entry in entries}
    assert tones["tenor-trombone"] == "F3"
    assert tones["trumpet"] == "G4"


def test_what_a_player_told_is_kept_with_the_tone_that_was_held(
    studio: AnyStudio,
) -> None:
    (trumpet,) = (e for e in studio.list_instruments() if e.name == "trumpet")
    told = replace(studio.read_player(), instrument="trumpet", capacity_l=4.0)
    studio.save_player(hold_tones(told, trumpet, long_s=18.0))
    kept = studio.read_player()
    assert (kept.instrument, kept.capacity_l) == ("trumpet", 4.0)
    assert (kept.long_tone_s, kept.long_tone_midi) == (18.0, 65)
    assert studio.read_memory().is_set_up


def test_a_capacity_is_said_in_litres_and_an_age_that_is_none_is_refused(
    studio: AnyStudio,
) -> None:
    told = replace(studio.read_player(), sex="female", height_cm=170.0, age=30.0)
    assert " L" in studio.capacity(told) or "litres" in studio.capacity(told)
    with pytest.raises(CoachError):
        studio.capacity(replace(told, capacity_l=0.0, age=130.0))


def test_what_could_not_be_kept_is_refused_as_soon_as_it_is_told(
    studio: AnyStudio,
) -> None:
    """Else it would stand on the screen, and the screen could not be left."""
    nobody = replace(studio.read_player(), capacity_l=0.0, height_cm=0.0)
    (trumpet,) = (e for e in studio.list_instruments() if e.name == "trumpet")
    for told in (
        hold_tones(nobody, trumpet, long_s=2.9),
        replace(hold_tones(nobody, trumpet, long_s=2.9), long_tone_wind="flute"),
        replace(nobody, height_cm=30.0),
        replace(nobody, age=130.0),
    ):
        with pytest.raises(CoachError):
            studio.capacity(told)
    assert studio.capacity(hold_tones(nobody, trumpet, long_s=3.0))


def test_who_is_named_sees_their_own_runs_and_the_laptops_owner_all(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    monkeypatch.delenv(PLAYER_VARIABLE, raising=False)
    with open_log() as log:
        log.begin(run(0, how=TROMBONE))
        log.begin(run(1, how=replace(TROMBONE, player="Ann")))

    def listed(named: str | None) -> list[str]:
        studio = RealStudio(argparse.Namespace(silent=True, player=named))
        runs, older = studio.list_runs(None, 10)
        studio.close()
        assert older == 0
        return [one.how.player for one in runs]

    assert listed(None) == ["", "Ann"]
    with playing_as("Ann", may_be_new=True):
        assert listed("Ann") == ["Ann"]


def test_what_the_screens_remember_is_kept(studio: AnyStudio) -> None:
    facts = replace(studio.read_memory(), theme="paper", has_seen_cautions=True)
    studio.save_memory(facts)
    assert studio.read_memory() == facts


def test_what_cannot_be_kept_is_remembered_for_now(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Else a disk that is full would ask the same again and again."""
    home = tmp_path / "no folder"
    home.write_text("a file")
    monkeypatch.setenv("COACH_HOME", str(home))
    studio = RealStudio(argparse.Namespace(silent=True))
    facts = replace(studio.read_memory(), has_seen_cautions=True, is_set_up=True)
    with pytest.raises(CoachError):
        studio.save_memory(facts)
    assert studio.read_memory() == facts
    home.unlink()
    studio.save_memory(facts)
    assert studio.read_memory() == facts
    studio.close()


def test_an_etude_of_the_shelf_can_be_opened_and_rehearsed(studio: AnyStudio) -> None:
    etude = next(iter(studio.list_etudes()))
    part = studio.open_part(etude.path)
    assert part.bar_count == etude.bars
    conductor = studio.rehearse(part)
    assert conductor.part is part
    assert studio.list_runs(None, 9) == ((), 0)
    note = part.notes[0]
    first, *others = studio.ways_to_play(note)
    assert not first.is_alternate
    assert all(place.is_alternate for place in others)
    assert 0.0 <= studio.usual_dial() <= 1.0


def test_a_tempo_goes_with_the_etude_that_it_was_asked_for(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Also where that one was left while it was read, and is opened again."""
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    called_with = argparse.Namespace(silent=True, etude="the first", tempo=80.0)
    studio = RealStudio(called_with)
    first, second, *_ = studio.list_etudes()
    own_bpm = studio.open_part(first.path).tempo.bpm
    other = studio.open_part(second.path)
    assert studio.rehearse(other).wishes.bpm == other.tempo.bpm != 80.0
    for bpm in (80.0, own_bpm):
        assert studio.rehearse(studio.open_part(first.path)).wishes.bpm == bpm
    studio.close()


def test_a_shelf_whose_log_cannot_be_opened_still_shows_its_etudes(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))

    def cannot_open(_tell: Callable[[str], None], *, to_play: bool) -> RunLogFile:
        assert to_play
        raise CoachError("The run log cannot be opened.", "Free some room.")

    monkeypatch.setattr(studio_open, "open_log", cannot_open)
    studio = RealStudio(argparse.Namespace(silent=True))
    etudes = iter(studio.list_etudes())
    assert next(etudes).title
    with pytest.raises(CoachError, match="cannot be opened"):
        list(etudes)
    studio.close()


def test_a_score_that_is_none_is_refused_in_words(
    studio: AnyStudio, tmp_path: Path
) -> None:
    file = tmp_path / "two.pdf"
    file.write_bytes(b"%PDF-1.7")
    with pytest.raises(CoachError) as caught:
        studio.import_file(str(file))
    assert caught.value.message
    assert caught.value.hint
    with pytest.raises(CoachError):
        studio.open_part(str(tmp_path / "gone.musicxml"))


def test_a_sound_that_cannot_be_had_is_refused_and_cautions_name_themselves(
    studio: AnyStudio,
) -> None:
    with pytest.raises(CoachError):
        studio.calibrate(lambda _done: True)
    assert studio.read_gear().click
    assert all(caution.title and caution.text for caution in studio.list_cautions())


@pytest.mark.usefixtures("home")
def test_threads_that_want_the_log_at_once_open_one(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """A log that is opened twice at its first start is brought up to date twice."""
    opened: list[RunLogFile] = []

    def open_slowly(tell: Callable[[str], None], *, to_play: bool) -> RunLogFile:
        sleep(0.05)
        opened.append(open_log(tell, to_play=to_play))
        return opened[-1]

    monkeypatch.setattr(studio_open, "open_log", open_slowly)
    studio = RealStudio(argparse.Namespace(silent=True))
    with ThreadPoolExecutor(4) as threads:
        logs = list(threads.map(lambda _: studio.log, range(4)))
    studio.close()
    assert len(opened) == 1
    assert all(log is logs[0] for log in logs)


def test_the_shelf_does_not_wait_for_the_engine(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its process starts when the first picture stands: when somebody listens."""
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    opened: list[bool] = []

    def open_player(clock: Clock, *, is_silent: bool) -> ClickPlayer:
        opened.append(is_silent)
        return SilentPlayer(clock)

    monkeypatch.setattr(studio_open, "open_player", open_player)
    studio = RealStudio(argparse.Namespace())
    assert studio.says()
    studio.close()
    assert not opened
    studio.listen(lambda _: None)
    studio.listen(lambda _: None)
    studio.close()
    assert opened == [False]


def test_a_log_that_can_only_be_read_is_shown_and_told_of_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("COACH_HOME", str(tmp_path))
    open_log().close()
    (tmp_path / "runs.sqlite3-shm").symlink_to(tmp_path / "no" / "such" / "folder")
    real = RealStudio(argparse.Namespace(silent=True))
    assert list(real.list_etudes())
    assert "cannot be written" in real.tell_files()
    assert real.tell_files() == ""
    real.close()
