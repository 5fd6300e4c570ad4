"""The run screen with the engine beside it, as ``click_lateness`` measures it.

Run by that benchmark on a terminal; writes what it measured into a JSON file.
"""

from __future__ import annotations

import argparse
import json
import shutil
import sys
import threading
import time
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import Any

import mido
import rtmidi

from coach.config import read_settings, shipped
from coach.edges.engine.engine_link import EngineLink
from coach.edges.scores.score_files import read_part
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.gear.gear import Fact
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.run.run_screen import RunScreen
from coach.wiring.screens_file import read_screen_facts, write_screen_facts
from coach.wiring.studio.real_studio import RealStudio

SIXTEENTH_S = 0.125
CLOCKS_PER_SIXTEENTH = 6
TICKS = 480
ETUDE = "long-river"
LEAD_S = 4.0


def dense_track(starts: float, seconds: float) -> ClickTrack:
    """Lay sixteenths at 120 with a MIDI timing clock."""
    settings = read_settings(ClickSettings, "click", "track")
    count = int(seconds / SIXTEENTH_S)
    clicks = tuple(
        Click(
            due=Seconds(starts + k * SIXTEENTH_S),
            length=Seconds(settings.click_length_s),
            kind=SoundKind.BEAT,
            channel=settings.click_channel,
            key=settings.accent_key if k % 4 == 0 else settings.beat_key,
            velocity=settings.beat_velocity,
        )
        for k in range(count)
    )
    step = SIXTEENTH_S / CLOCKS_PER_SIXTEENTH
    clocks = tuple(
        Seconds(starts + k * step) for k in range(count * CLOCKS_PER_SIXTEENTH)
    )
    return ClickTrack(
        clicks, Seconds(starts), Seconds(starts + seconds), clocks, 0, Seconds(starts)
    )


class DensePlayer:
    """Plays the dense track in place of the one that the screen laid."""

    def __init__(self, link: EngineLink, seconds: float) -> None:
        self.link = link
        self.seconds = seconds
        self.track = dense_track(0.0, seconds)
        self.origin = 0.0

    @property
    def says(self) -> str:
        """How the click sounds."""
        return self.link.says

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact on."""
        self.link.listen(tell)

    def play(self, track: ClickTrack) -> None:
        """Play the dense track from the same start."""
        self.track = dense_track(track.starts, self.seconds)
        self.link.play(self.track)

    def change(self, track: ClickTrack) -> None:
        """Leave the dense track alone."""

    def stop(self) -> None:
        """Stop."""
        self.link.stop()

    def run_time(self) -> Seconds | None:
        """Tell the run time."""
        run_time = self.link.run_time()
        if run_time is not None and run_time > 0.0:
            self.origin = time.monotonic() - run_time
        return run_time

    def close(self) -> None:
        """Let the engine go."""
        self.link.close()


class Beside(CoachApp):
    """The app that opens the run screen, starts, and leaves after the measure."""

    def __init__(self, room: RealStudio, part: Part, seconds: float) -> None:
        super().__init__(room)
        self.room = room
        self.part = part
        self.seconds = seconds
        self.pictures: list[float] = []

    def on_mount(self) -> None:
        """Open the run screen."""
        self.conductor = self.room.rehearse(self.part)
        screen = CountedRunScreen(self.conductor, self)
        self.push_screen(screen)
        self.set_timer(1.0, screen.action_start_stop)
        self.set_timer(1.0 + LEAD_S + self.seconds, self.exit)


class CountedRunScreen(RunScreen):
    """The run screen, its pictures counted."""

    def __init__(self, conductor: Any, beside: Beside) -> None:
        super().__init__(conductor)
        self._beside = beside

    def frame(self) -> None:
        """Draw and count."""
        super().frame()
        self._beside.pictures.append(time.monotonic())


def import_scores(folder: Path, until: threading.Event, imported: list[str]) -> None:
    """Read scores one after another, each new to the cache."""
    etudes = sorted(shipped("etudes").glob("*.musicxml"))
    while not until.is_set():
        source = etudes[len(imported) % len(etudes)]
        copy = folder / f"{len(imported)}.musicxml"
        shutil.copy(source, copy)
        with copy.open("a", encoding="utf-8") as file:
            file.write(f"<!-- {len(imported)} -->")
        read_part(copy)
        imported.append(copy.name)


def play_file(path: Path, until: threading.Event, late: list[float]) -> None:
    """Play a file with another library, as its own playback does it."""
    port: Any = rtmidi.MidiOut(rtmidi.API_UNIX_JACK, name="thread")
    port.open_port(port.get_ports().index("other:in"))
    began = time.monotonic()
    due = 0.0
    for message in mido.MidiFile(path).play():
        due += message.time
        late.append(time.monotonic() - began - due)
        port.send_message(message.bytes())
        if until.is_set():
            break
    port.close_port()


def write_file(path: Path, seconds: float) -> None:
    """Write the same music as a standard file: a message where a clock is due."""
    line = mido.MidiTrack([mido.MetaMessage("set_tempo", tempo=500_000)])
    step = TICKS * 4 // (16 * CLOCKS_PER_SIXTEENTH)
    for k in range(int(seconds / SIXTEENTH_S) * CLOCKS_PER_SIXTEENTH):
        key = 76 if k % CLOCKS_PER_SIXTEENTH == 0 else 37
        line.append(mido.Message("note_on", channel=9, note=key, time=step if k else 0))
    mido.MidiFile(ticks_per_beat=TICKS, tracks=[line]).save(path)


def main() -> None:
    """Play, draw, import, and write down what was late."""
    path, seconds, has_screen = (
        Path(sys.argv[1]),
        float(sys.argv[2]),
        sys.argv[3] == "1",
    )
    began = time.monotonic()
    arguments = argparse.Namespace(silent=False, instrument="tenor-trombone")
    room = RealStudio(arguments)
    link = room._player
    assert isinstance(link, EngineLink)
    assert link.wait_until_ready(20.0)
    player = DensePlayer(link, seconds)
    room._opened = player
    late: list[float] = []
    imported: list[str] = []
    fps = 0.0
    if has_screen:
        fps = beside_screen(room, path.parent, seconds, late, imported)
    else:
        player.play(dense_track(0.0, seconds))
        while player.run_time() is not None:
            time.sleep(0.1)
    report = link.ask(20.0)
    ours = [float(value) for value in link.lateness(20.0)]
    due = sorted(
        [(float(due), 0, "f8") for due in player.track.clocks]
        + [
            (float(c.due), 1, bytes((0x90 | c.channel, c.key, c.velocity)).hex())
            for c in player.track.clicks
        ]
    )
    room.close()
    told = {
        "took_s": time.monotonic() - began,
        "scheduling": report.scheduling if report else "",
        "fps": round(fps, 1),
        "imported": len(imported),
        "ours": ours,
        "theirs": late,
        "expected": [message for _, _, message in due],
        "sent": [
            player.origin + time_due + lateness
            for (time_due, _, _), lateness in zip(due, ours, strict=False)
        ],
    }
    path.write_text(json.dumps(told), encoding="utf-8")


def beside_screen(
    room: RealStudio,
    folder: Path,
    seconds: float,
    late: list[float],
    imported: list[str],
) -> float:
    """Draw while scores are imported and a file is played; give pictures a second."""
    part = read_part(shipped("etudes") / f"{ETUDE}.musicxml")
    file = folder / "same.mid"
    write_file(file, seconds)
    length_s = part.tempo_map.seconds_at(part.end)
    slower = min(1.0, length_s / (seconds + 2 * LEAD_S))
    bpm = part.tempo.bpm * slower
    part = replace(
        part, tempo=replace(part.tempo, bpm=bpm), tempo_map=part.at_tempo(bpm)
    )
    over = threading.Event()
    beside = [
        threading.Thread(target=import_scores, args=(folder, over, imported)),
        threading.Thread(target=play_file, args=(file, over, late)),
    ]
    # Else the first start's screens would stand before the one that is measured.
    seen = replace(read_screen_facts(), is_set_up=True, has_seen_cautions=True)
    write_screen_facts(seen)
    screens = Beside(room, part, seconds)
    for thread in beside:
        thread.start()
    screens.run()
    over.set()
    for thread in beside:
        thread.join(30.0)
    pictures = screens.pictures
    return len(pictures) / (pictures[-1] - pictures[0])


if __name__ == "__main__":
    main()
