"""The screens' side of the engine: a `ClickPlayer` that keeps an engine alive.

Nothing here touches a MIDI or sound library, and nothing but `wait_until_ready`,
`ask` and `lateness` waits for the engine.

Long, since what the screens ask and what the engine tells meet under one lock.
"""

from __future__ import annotations

import threading
from collections.abc import Callable
from dataclasses import asdict
from typing import TYPE_CHECKING

from coach.config import read_settings
from coach.edges import engine_wire
from coach.edges.engine.engine_answers import EngineAnswers
from coach.edges.engine.engine_life import EngineLife, log_path
from coach.edges.engine.engine_restarts import ShortLives
from coach.edges.engine.engine_track import (
    AWAITED,
    AWAITED_NO_MORE,
    EngineTrack,
    StartSettings,
)
from coach.edges.engine.engine_watchdog import WatchdogSettings
from coach.edges.engine_wire import FrameKind
from coach.edges.system_clock import SystemClock
from coach.errors import GearError
from coach.rehearsal.gear.gear import (
    ClickAwaited,
    ClickSent,
    Fact,
    GearLost,
    GearReport,
    PedalAction,
    SoundFound,
    SoundHeard,
    TrackEnded,
)
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.rehearsal.gear.pedals import PedalKeys
from coach.score.tempo import Seconds

if TYPE_CHECKING:
    from coach.rehearsal.click.clicks import ClickTrack


LEAVES_WITHIN_S = 0.1
"""How long a player who quits waits for the engine: our own choice."""


class EngineLink:
    """Plays through an engine process, and starts another when it dies."""

    def __init__(self, choice: GearChoice, pedals: PedalKeys) -> None:
        """Start the engine; it gets ready while the caller goes on."""
        self._clock = SystemClock()
        self._choice, self._pedals = choice, pedals
        self._start_settings = read_settings(StartSettings, "click", "start")
        self._watchdog = read_settings(WatchdogSettings, "click", "watchdog")
        self._tellers: list[Callable[[Fact], None]] = []
        self._lock = threading.RLock()
        self._says = ""
        self._plays = EngineTrack()
        self._is_awaited = False
        self._answers = EngineAnswers()
        self._lives = ShortLives()
        self._is_closing = self._is_given_up = False
        self._was_lost = self._wants_room = False
        with self._lock:  # an engine that dies at once finds its place taken
            self._life = self._start()

    @property
    def says(self) -> str:
        """How the click sounds, in one line."""
        return self._says or "the click engine is starting"

    def listen(self, tell: Callable[[Fact], None]) -> None:
        """Hand every fact to `tell` from now on, from a thread of ours."""
        self._tellers.append(tell)

    def listen_no_more(self, tell: Callable[[Fact], None]) -> None:
        """Hand no more facts to `tell`."""
        self._tellers.remove(tell)

    def play(self, track: ClickTrack) -> None:
        """Start a track as soon as it can sound without haste; ends any other."""
        with self._lock:
            if self._is_given_up:
                self._life = self._start()
                self._is_given_up = False
                self._lives.forget()
            self._lives.use()
            self._plays.take(track)
            self._play_what_waits()

    def hold_take(self, block: SoundHeard) -> None:
        """Send a block of a take that the next track plays."""
        self._life.send(engine_wire.pack_fact(block, 0))

    def change(self, track: ClickTrack) -> None:
        """Go on with another track from here."""
        with self._lock:
            if self._plays.track is not None:
                self._plays.change(track)
                if self._plays.is_sent:
                    self._send_track(FrameKind.CHANGE, track)

    def stop(self) -> None:
        """End all sound at once."""
        with self._lock:
            self._plays.serial += 1
            self._forget_track()
            self._command(do="stop")

    def run_time(self) -> Seconds | None:
        """Tell the run time that is heard now; None when nothing plays."""
        with self._lock:
            return self._plays.run_time(self._clock.now())

    def close(self, patience_s: float = LEAVES_WITHIN_S) -> None:
        """End all sound, and the engine with it: after a while it leaves by itself."""
        with self._lock:
            if self._is_closing:
                return
            self._is_closing = True
            self._forget_track()
        self._life.leave(patience_s)

    def choose(self, choice: GearChoice, pedals: PedalKeys) -> None:
        """Use other gear from now on."""
        self._choice, self._pedals = choice, pedals
        self._command(do="choose", gear=asdict(choice), pedals=asdict(pedals))

    def learn(self, action: PedalAction | None) -> None:
        """Let the next pedal or key stand for an action; None gives up waiting."""
        self._command(do="learn", action=action)

    def listen_to_room(self, wanted: bool) -> None:
        """Open the microphone, or let it go."""
        self._wants_room = wanted
        self._command(do="room", wanted=wanted)

    def wait_until_ready(self, timeout_s: float) -> bool:
        """Wait until the engine has looked at its gear; tell whether it has."""
        return self._answers.is_ready.wait(timeout_s)

    def ask(self, timeout_s: float) -> GearReport | None:
        """Ask what gear there is; None when the engine does not answer."""
        is_told = self._ask("report", self._answers.is_reported, timeout_s)
        return self._answers.report if is_told else None

    def lateness(self, timeout_s: float) -> tuple[Seconds, ...]:
        """Ask how late each message of the latest track was; empty for no answer."""
        is_told = self._ask("lateness", self._answers.is_timed, timeout_s)
        return tuple(map(Seconds, self._answers.lateness)) if is_told else ()

    def _ask(self, what: str, answer: threading.Event, timeout_s: float) -> bool:
        """Ask and wait for an answer; an engine that hangs meanwhile is noticed."""
        answer.clear()
        self._command(do=what)
        with self._lock:
            self._life.watch(True)
        is_told = answer.wait(timeout_s)
        with self._lock:
            self._life.watch(self._plays.track is not None)
        return is_told

    def _start(self, *, is_in_haste: bool = False) -> EngineLife:
        """Start an engine with the chosen gear."""
        self._lives.begin(self._clock.now())
        life = EngineLife(
            self._watchdog, self._hear, self._be_gone, is_in_haste=is_in_haste
        )
        words = {
            "do": "choose",
            "gear": asdict(self._choice),
            "pedals": asdict(self._pedals),
        }
        life.send(engine_wire.pack_words(words))
        return life

    def _command(self, **words: object) -> None:
        """Send a command to the engine."""
        self._life.send(engine_wire.pack_words(words))

    def tell(self, fact: Fact) -> None:
        """Hand a fact to all who listen."""
        for tell in tuple(self._tellers):
            tell(fact)

    def _hear(self, kind: FrameKind, body: bytes) -> None:
        """Take what the engine tells."""
        if kind is FrameKind.BLOCK:
            self.tell(engine_wire.read_block(body))
        elif kind is FrameKind.LATENESS:
            self._answers.take_lateness(body)
        elif kind is FrameKind.WORDS:
            self._hear_words(engine_wire.unpack_words(body))

    def _hear_words(self, words: dict[str, object]) -> None:
        """Take a fact or an answer; leave out what belongs to an older run."""
        if "says" in words:
            self._be_ready(str(words["says"]))
        elif "opening" in words:
            self._life.be_patient(bool(words["opening"]))
        elif "origin" in words:
            with self._lock:
                if words["serial"] == self._plays.serial:
                    self._plays.origin = float(str(words["origin"]))
        else:
            self._hear_fact(engine_wire.read_fact(words), words["serial"])

    def _hear_fact(self, fact: Fact, serial: object) -> None:
        if isinstance(fact, GearReport):
            self._answers.take_report(fact)
        if isinstance(fact, ClickSent | TrackEnded):
            with self._lock:
                if serial != self._plays.serial:
                    return
                if isinstance(fact, TrackEnded):
                    self._forget_track()
        self.tell(fact)

    def _be_ready(self, says: str) -> None:
        """Take note how the click sounds; an engine that says so is at work."""
        is_news, self._says = says != self._says, says
        with self._lock:
            self._answers.is_ready.set()
            if self._plays.waits:
                self._send_what_waits("")
        if is_news:
            self.tell(SoundFound(says))
        if self._was_lost:
            self._was_lost = False
            self.tell(GearLost("The click engine is back.", is_back=True))

    def _be_gone(self, life: EngineLife) -> None:
        """Start another engine when one is gone, and end the notes it left."""
        with self._lock:
            if self._is_closing:
                return
            self._answers.is_ready.clear()
            what = "does not answer" if life.hangs else "has stopped"
            self._says = f"the click engine {what}"
            now = self._clock.now()
            self._plays.lose_engine(now)
            self._lives.end(now, never_began=self._plays.never_began)
            self._was_lost = True
        if self._lives.are_enough:
            life.end()
            how = "does not answer" if life.hangs else "does not start"
            self._give_up(
                f"The click engine {how}, so there is no sound; "
                f"what it says is in {log_path()}."
            )
            return
        self.tell(GearLost(f"The click engine {what}; it is started anew."))
        life.end()
        with self._lock:
            if not self._is_closing:
                self._start_anew()

    def _start_anew(self) -> None:
        """Let another engine do what the last one left."""
        try:
            self._life = self._start(is_in_haste=True)
        except GearError as error:
            self._give_up(str(error))
            return
        self._command(do="hush", keys=sorted(self._plays.used))
        self._command(do="room", wanted=self._wants_room)
        self._play_what_waits()

    def _give_up(self, words: str) -> None:
        """Do without an engine until the next track is asked for."""
        self._is_given_up = True
        self._plays.forget()
        self.tell(GearLost(words))

    def _forget_track(self) -> None:
        """Take note that nothing plays."""
        self._plays.forget()
        self._life.watch(False)

    def _play_what_waits(self) -> None:
        """Play a track that was asked for and that no engine has begun, when it can."""
        if self._plays.track is None:
            return
        self._life.watch(True)
        if self._answers.is_ready.is_set():
            self._send_what_waits("")
            return
        self._is_awaited = True
        self.tell(ClickAwaited(AWAITED))
        within_s = self._start_settings.click_within_s
        timer = threading.Timer(within_s, self._wait_no_more, (self._plays.serial,))
        timer.daemon = True
        timer.start()

    def _wait_no_more(self, serial: int) -> None:
        """Begin a track that has waited for long enough by the beat on screen."""
        with self._lock:
            if serial == self._plays.serial and self._plays.waits:
                self._send_what_waits(AWAITED_NO_MORE)

    def _send_what_waits(self, words: str) -> None:
        """Let the engine begin the track that waits, and say so where it had to."""
        if self._plays.track is not None:
            self._plays.is_sent = True
            self._send_track(FrameKind.PLAY, self._plays.track)
            if words or self._is_awaited:
                self.tell(ClickAwaited(words))
            self._is_awaited = False

    def _send_track(self, kind: FrameKind, track: ClickTrack) -> None:
        # Here, so that the engine starts before all that makes tracks is loaded.
        from coach.edges.engine.track_wire import pack_track

        self._life.send(pack_track(kind, track, self._plays.serial))
