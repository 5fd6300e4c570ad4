"""Play a click track by a clock through a port, each sound at its absolute deadline.

Nothing is decided here: the track says what sounds when.  One thread calls all
methods; `step` sends what is due and tells when it wants to be called again.
"""

from __future__ import annotations

from array import array
from bisect import bisect_left, bisect_right
from collections.abc import Callable, Iterable
from heapq import heappop, heappush
from math import inf

from coach.edges.engine.engine_settings import EngineSettings
from coach.edges.midi import midi_bytes
from coach.edges.midi.clock_to_gear import GearSync
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind
from coach.rehearsal.gear.gear import ClickPort, ClickSent, Clock, Fact, TrackEnded
from coach.score.tempo import Seconds


class Playback:
    """Plays one track at a time."""

    def __init__(
        self, clock: Clock, settings: EngineSettings, tell: Callable[[Fact], None]
    ) -> None:
        self.delay = Seconds(0.0)
        """How much earlier messages are sent, for gear that is slow to sound."""
        self.tells_clicks = True
        """False when a sound sink tells of each click itself."""
        self.lateness = array("d")
        """Lateness of everything sent since the track began, in seconds."""
        self.origin: Seconds | None = None
        """The clock's time of run time 0; None when nothing plays."""
        self.track = ClickTrack((), Seconds(0.0), Seconds(0.0))
        """The track that plays."""
        self._clock = clock
        self._settings = settings
        self._tell = tell
        self.port: ClickPort | None = None
        """Where messages go; None for a track that is only told of."""
        self._sync = GearSync(self._send, settings.start_before_clock_s)
        self._sounding: dict[tuple[int, int], float] = {}
        self._offs: list[tuple[float, tuple[int, int]]] = []
        self._to_hush: set[tuple[int, int]] = set()
        self._next = self._sent = 0
        self._worst_late = 0.0

    def play(self, track: ClickTrack, ready_in: Seconds = Seconds(0.0)) -> Seconds:
        """Start a track when gear is ready; give the clock's time of its zero."""
        self.stop()
        lead = max(self._settings.lead_s, ready_in) + self.delay
        self.track = track
        self.origin = Seconds(self._clock.now() + lead - track.starts)
        self._next = self._sent = 0
        self._worst_late = 0.0
        self.lateness = array("d")
        self._choose_programs()
        self._sync.load(track, -inf)
        return self.origin

    def change(self, track: ClickTrack) -> None:
        """Go on with another track; held notes that both have sound on."""
        if self.origin is None:
            return
        now = self._clock.now() - self.origin + self.delay
        played = self.track.clicks[: self._next]
        self.track = track
        dues = [click.due for click in track.clicks]
        after_played = bisect_right(dues, played[-1].due) if played else 0
        self._next = max(bisect_left(dues, now), after_played)
        self._choose_programs()
        self._sync.load(track, now)
        self._hold_on(track.clicks[: self._next], now)

    def stop(self) -> None:
        """End all sound at once."""
        if self.origin is not None:
            self._sync.stop()
            self.release()
            self.origin = None

    def step(self) -> Seconds | None:
        """Send all that is due; give the clock's time of what comes next."""
        while self.origin is not None:
            base = self.origin - self.delay
            due, _, turn = min(
                (self._offs[0][0] if self._offs else inf, 0, self._end_note),
                (self._sync.start_due, 1, self._sync.send_start),
                (self._sync.clock_due, 2, self._send_clock),
                (self._click_due(), 3, self._send_click),
                (self.track.ends, 4, self._end_track),
            )
            if base + due > self._clock.now():
                return Seconds(base + due)
            turn()
        return None

    def count_sent(self, fact: ClickSent) -> None:
        """Take note of a click that a sound sink tells of."""
        self._sent += fact.is_heard
        self._worst_late = max(self._worst_late, fact.sent - fact.due)

    def use_port(self, port: ClickPort | None) -> None:
        """Send to another port from now on, or to none."""
        self.release()
        self.port = port
        self.hush()
        if self.origin is not None:
            self._choose_programs()

    def hush(self, keys: Iterable[tuple[int, int]] = ()) -> None:
        """End what may sound at the port: these keys, then all of every channel.

        Without a port, the keys are kept for the next one.
        """
        self._to_hush.update(keys)
        if self.port is None:
            return
        for channel, key in sorted(self._to_hush):
            self._send(midi_bytes.note_off(channel, key))
        self._to_hush.clear()
        self._silence(midi_bytes.CHANNELS)

    def release(self) -> None:
        """End every note that sounds, and all notes of the track's channels."""
        for channel, key in sorted(self._sounding):
            self._send(midi_bytes.note_off(channel, key))
        self._sounding.clear()
        self._offs.clear()
        self._silence(sorted({click.channel for click in self.track.clicks}))

    def _silence(self, channels: Iterable[int]) -> None:
        """End all notes of some channels."""
        for channel in channels:
            for message in midi_bytes.silence(channel):
                self._send(message)

    def _send(self, message: bytes) -> None:
        """Send to the port, if there is one."""
        if self.port is not None:
            self.port.send(message)

    def _choose_programs(self) -> None:
        """Choose the sounds that the track needs."""
        for channel, program in self.track.programs:
            self._send(midi_bytes.choose_program(channel, program))

    def _late(self, due: float) -> float:
        """Tell by how much a moment has passed, in seconds."""
        return self._clock.now() - (self.origin or 0.0) + self.delay - due

    def _click_due(self) -> float:
        """When the next click is due."""
        clicks = self.track.clicks
        return clicks[self._next].due if self._next < len(clicks) else inf

    def _send_click(self) -> None:
        """Begin the next click's sound, unless it is far too late; tell of it."""
        click = self.track.clicks[self._next]
        self._next += 1
        late = self._late(click.due)
        is_sounding = (
            click.velocity > 0
            and late <= self._settings.skip_late_s
            and click.kind is not SoundKind.TAKE  # no message says what it sounds like
        )
        if is_sounding:
            self._begin_note(click)
        is_heard = is_sounding and self.port is not None
        if is_heard:
            self.lateness.append(late)
        if self.tells_clicks:
            fact = ClickSent(click.due, Seconds(click.due + late), is_heard)
            self._tell(fact)
            if is_heard:
                self.count_sent(fact)

    def _begin_note(self, click: Click) -> None:
        """Send a note on and remember when to end it."""
        place = (click.channel, click.key)
        if place in self._sounding:
            self._send(midi_bytes.note_off(*place))
        self._send(midi_bytes.note_on(*place, click.velocity))
        self._end_at(place, click.due + click.length)

    def _end_at(self, place: tuple[int, int], due: float) -> None:
        """Plan the end of a note that sounds."""
        self._sounding[place] = due
        heappush(self._offs, (due, place))

    def _end_note(self) -> None:
        """End a note, unless it was begun anew since this end was planned."""
        due, place = heappop(self._offs)
        if self._sounding.get(place) == due:
            del self._sounding[place]
            self._send(midi_bytes.note_off(*place))

    def _send_clock(self) -> None:
        late = self._late(self._sync.clock_due)
        self._sync.send_clock()
        if self.port is not None:
            self.lateness.append(late)

    def _end_track(self) -> None:
        """End all sound and tell that the track is over."""
        self.stop()
        self._tell(
            TrackEnded(self.track.ends, Seconds(self._worst_late), sent=self._sent)
        )

    def _hold_on(self, past: Iterable[Click], now: float) -> None:
        """Keep or begin what a changed track holds now; end all other notes."""
        held = {
            (click.channel, click.key): click
            for click in past
            if click.velocity > 0 and click.due + click.length > now
        }
        for place in sorted(set(self._sounding) - set(held)):
            del self._sounding[place]
            self._send(midi_bytes.note_off(*place))
        for place, click in held.items():
            if place in self._sounding:
                self._end_at(place, click.due + click.length)
            elif click.kind is SoundKind.DRONE:
                self._begin_note(click)
