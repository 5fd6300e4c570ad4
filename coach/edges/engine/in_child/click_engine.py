"""The engine process: plays click tracks on time, and owns all gear.

Its main thread only keeps deadlines; reading, writing and gear have threads of their
own and hand it jobs.  However it ends, it first ends all notes.

Long, since all that the main thread does is one class.
"""

from __future__ import annotations

import gc
import os
import signal
import threading
import traceback
from collections.abc import Callable, Mapping
from contextlib import suppress
from dataclasses import replace
from functools import partial
from queue import Empty, SimpleQueue
from typing import Any, BinaryIO

from coach.edges import engine_wire
from coach.edges.child_pipes import end_by_alarm
from coach.edges.engine import scheduling, track_wire
from coach.edges.engine.engine_settings import EngineSettings
from coach.edges.engine.in_child.engine_gear import GearKeeper
from coach.edges.engine.in_child.fact_writer import FactWriter
from coach.edges.engine.in_child.playback import Playback
from coach.edges.engine_wire import FrameKind
from coach.edges.sound.click_sinks import SoundSink, SoundSource
from coach.edges.system_clock import SystemClock
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import (
    ClickPort,
    ClickSent,
    Fact,
    GearLost,
    NoteHeard,
    PedalLearned,
    PedalPressed,
    SoundHeard,
)
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.rehearsal.gear.pedals import PedalBoard, PedalKeys
from coach.score.tempo import Seconds

MILLISECONDS = 1000
PATIENCE_S = 1.0
"""How long the last words and letting gear go may take: our own choice."""

IDLE_SLICES = 5
"""How many slices the engine sleeps at a time while nothing plays but sound is open."""


class Engine:
    """What the main thread does; all methods but `post` run there."""

    def __init__(self, settings: EngineSettings, rank: str, write: BinaryIO) -> None:
        self.clock = SystemClock()
        self.settings = settings
        self.playback = Playback(self.clock, settings, self.tell)
        self.gear = GearKeeper(self, self.clock, settings, rank)
        self.serial = 0
        self._board = PedalBoard({})
        self._jobs: SimpleQueue[Callable[[], None]] = SimpleQueue()
        self._out = FactWriter(write)
        self._sink: SoundSink | None = None
        self._joined_at = Seconds(0.0)
        self._source: SoundSource | None = None
        self._take: list[SoundHeard] = []
        self._waiting: Callable[[], None] | None = None
        self._parent = os.getppid()
        self._is_over = False

    def post(self, job: Callable[[], None]) -> None:
        """Do a job soon; from any thread."""
        self._jobs.put(job)

    def finish(self) -> None:
        """Come to an end."""
        self._is_over = True

    def run(self) -> None:
        """Keep deadlines until the end."""
        while not self._is_over and os.getppid() == self._parent:
            due = self.playback.step()
            if due is None:
                self._wait_for_job()
            else:
                slice_ends = self.clock.now() + self.settings.slice_s
                self.clock.wait_until(Seconds(min(due, slice_ends)))
                self.playback.step()
            self._do_jobs()
            self._gather()

    def close(self) -> None:
        """End all notes, say the last words, and let gear go."""
        self.playback.stop()
        self.playback.hush()
        if self._sink:
            self._sink.stop()
        self._out.end(PATIENCE_S)
        self.gear.end()
        patience_ends = self.clock.now() + PATIENCE_S
        while (
            not self.gear.has_ended(self.settings.slice_s)
            and self.clock.now() < patience_ends
        ):
            self._do_jobs()

    def _wait_for_job(self) -> None:
        """Sleep until there is a job, or for a while; longer with nothing to gather."""
        is_deaf = self._sink is None and self._source is None
        wait_s = PATIENCE_S if is_deaf else self.settings.slice_s * IDLE_SLICES
        with suppress(Empty):
            self._jobs.get(timeout=wait_s)()

    def _do_jobs(self) -> None:
        """Do all jobs that wait."""
        with suppress(Empty):
            while True:
                self._jobs.get_nowait()()

    def _gather(self) -> None:
        """Pass on what sound and microphone have to tell."""
        self._follow_sound()
        for fact in self._sink.facts() if self._sink else ():
            if isinstance(fact, GearLost):
                self.gear.lose_sound()
            elif isinstance(fact, ClickSent):
                if self.playback.tells_clicks:
                    continue
                self.playback.count_sent(fact)
            self.tell(fact)
        for fact in self._source.facts() if self._source else ():
            if isinstance(fact, GearLost):
                self.gear.lose_room()
            if isinstance(fact, SoundHeard | NoteHeard):
                self.tell(replace(fact, at=self._run_time(fact.at)))
            else:
                self.tell(fact)

    def _follow_sound(self) -> None:
        """Let run time go with the clock of the sound device."""
        if self._sink is None or self.playback.origin is None:
            return
        origin = Seconds(self._joined_at + self._sink.slip)
        if origin != self.playback.origin:
            self.playback.origin = origin
            self.answer({"origin": origin, "serial": self.serial})

    def _run_time(self, at: float) -> Seconds:
        """Turn monotonic time into run time, where a track plays."""
        return Seconds(at - (self.playback.origin or 0.0))

    # What the screens ask for.

    def play(self, serial: int, track: ClickTrack) -> None:
        """Start a track, and tell when its zero is heard."""
        self.serial = serial
        self.gear.play_take(track.is_take)
        self._waiting = None
        if track.is_take and self._sink is None:
            self._waiting = partial(self.play, serial, track)
            return
        if track.is_take and self._sink:
            self._sink.hold_take(self._take)
        self._take = []
        ready_in = self._sink.lead if self._sink else Seconds(0.0)
        origin = self.playback.play(track, ready_in)
        if self._sink:
            self._sink.play(track, origin)
            self._joined_at = origin
        self.answer({"origin": origin, "serial": serial})

    def hold_block(self, block: SoundHeard) -> None:
        """Take a block of a take that the next track plays."""
        self._take.append(block)

    def change(self, serial: int, track: ClickTrack) -> None:
        """Go on with another track, unless its run is over."""
        if serial == self.serial and self.playback.origin is not None:
            self.playback.change(track)
            if self._sink:
                self._sink.change(track)

    def obey(self, words: Mapping[str, Any]) -> None:
        """Do what a command says."""
        match words["do"]:
            case "stop":
                self.stop()
            case "choose":
                self.choose(words)
            case "learn":
                self._board.learning = words["action"]
            case "room":
                self.gear.listen_to_room(words["wanted"])
            case "report":
                self.gear.report()
            case "lateness":
                body = self.playback.lateness.tobytes()
                self._out.put(partial(engine_wire.pack, FrameKind.LATENESS, body))
            case "hush":
                self.playback.hush((channel, key) for channel, key in words["keys"])
            case _:
                self.finish()

    def stop(self) -> None:
        """End all sound at once."""
        self.gear.play_take(False)
        self._waiting, self._take = None, []
        self.playback.stop()
        if self._sink:
            self._sink.stop()
        gc.collect()

    def choose(self, words: Mapping[str, Any]) -> None:
        """Use this gear and these pedals from now on."""
        choice = GearChoice(**words["gear"])
        self.playback.delay = Seconds(choice.midi_delay_ms / MILLISECONDS)
        self._board = PedalBoard(PedalKeys(**words["pedals"]).messages())
        self.gear.choose(choice)

    # What the gear thread hands over.

    def use_port(self, port: ClickPort | None) -> None:
        """Send to this port from now on."""
        self.playback.use_port(port)
        self._share_telling(port)

    def use_sound(self, sink: SoundSink | None) -> None:
        """Sound through this device, joining a track that plays."""
        if self._sink:
            self._sink.stop()
        self._sink = sink
        self._share_telling(self.playback.port)
        if sink and self.playback.origin is not None:
            sink.play(self.playback.track, self.playback.origin)
            self._joined_at = self.playback.origin
        if sink and self._waiting:
            self._waiting()

    def _share_telling(self, port: ClickPort | None) -> None:
        """Let the port tell of clicks, or else the sound device, or else the clock."""
        self.playback.tells_clicks = port is not None or self._sink is None

    def use_room(self, source: SoundSource | None) -> None:
        """Listen to this microphone from now on."""
        self._source = source

    def hear(self, message: bytes, at: float) -> None:
        """Tell what a pedal, key or wind controller means by a message."""
        press = self._board.press(message)
        if press is None:
            return
        learned = self._board.learn(press)
        if learned is not None:
            self.tell(PedalLearned(learned, str(press)))
            return
        action = self._board.action(press)
        if action is not None:
            self.tell(PedalPressed(self._run_time(at), action))
        elif press.kind == "key":
            self.tell(NoteHeard(self._run_time(at), press.number))

    def take_time(self, *, is_opening: bool) -> None:
        """Ask for patience while gear is opened."""
        self.answer({"opening": is_opening})

    def say(self, words: str) -> None:
        """Tell how the click sounds now; the first time says that we are ready."""
        self.answer({"says": words})

    def show_life(self) -> None:
        """Tell the screens that we do our work."""
        self._out.put(lambda: engine_wire.ALIVE)

    def tell(self, fact: Fact) -> None:
        """Tell the screens a fact."""
        self._out.put(partial(engine_wire.pack_fact, fact, self.serial))

    def answer(self, words: Mapping[str, Any]) -> None:
        """Tell the screens something that is no fact."""
        self._out.put(partial(engine_wire.pack_words, words))


def _read_all(stream: BinaryIO, engine: Engine) -> None:
    """Hand commands to the engine until the screens are gone."""
    scheduling.stand_back()
    try:
        while (read := engine_wire.read_frame(stream)) is not None:
            kind, body = read
            if kind is FrameKind.ALIVE:
                engine.post(engine.show_life)
            elif kind is FrameKind.WORDS:
                engine.post(partial(engine.obey, engine_wire.unpack_words(body)))
            elif kind is FrameKind.BLOCK:
                engine.post(partial(engine.hold_block, engine_wire.read_block(body)))
            else:
                serial, track = track_wire.read_track(body)
                start = engine.play if kind is FrameKind.PLAY else engine.change
                engine.post(partial(start, serial, track))
    finally:
        engine.post(engine.finish)


def run(read: BinaryIO, write: BinaryIO, settings: EngineSettings) -> int:
    """Be the engine until told to end, or until the screens are gone; give a code."""
    engine = Engine(settings, scheduling.hurry(settings), write)
    for number in (signal.SIGTERM, signal.SIGINT):
        signal.signal(number, lambda *_: engine.post(engine.finish))
    threading.Thread(
        target=_read_all, args=(read, engine), name="words", daemon=True
    ).start()
    code = 0
    try:
        engine.run()
    except Exception:  # noqa: BLE001  # the last line of defence: record, end all notes
        traceback.print_exc()
        code = 1
    finally:
        end_by_alarm()
        engine.close()
    return code
