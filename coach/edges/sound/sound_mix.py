"""Play a click track by sample number: what sounds when, mixed into blocks.

Nothing here knows of a device: `fill` makes the samples from one number on.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from coach.edges.sound.taken_sound import TakeToPlay
from coach.edges.sound.voices import HeldSound, Samples, Sound, Voices
from coach.rehearsal.click.clicks import Click, ClickTrack, SoundKind

LONG = (SoundKind.GUIDE, SoundKind.DRONE, SoundKind.TAKE)
"""What may begin a little off without anybody's minding."""


@dataclass(frozen=True, slots=True)
class MixSettings:
    """How sounds are put together; part of ``[output]`` in ``config/sound.toml``."""

    volume_share: float
    """How loud the loudest stroke is, of full scale."""

    knee_share: float
    """What is louder than this is held down."""

    ceiling_share: float
    """Nothing is louder than this."""

    fade: int
    """In how many samples all sound ends at a stop."""

    skip_late: int
    """A sound that is later by more samples than this is left out: worse than none."""


@dataclass(frozen=True, slots=True)
class PlacedTrack:
    """A track with its due times as samples from run time 0."""

    track: ClickTrack
    """What sounds."""

    places: tuple[int, ...]
    """Sample of each click."""


def place_track(track: ClickTrack, rate_hz: float) -> PlacedTrack:
    """Turn due times into samples: each rounded by itself, so none adds up."""
    return PlacedTrack(
        track, tuple(round(click.due * rate_hz) for click in track.clicks)
    )


class SoundMix:
    """All that sounds; every call comes from one thread."""

    def __init__(
        self,
        voices: Voices,
        settings: MixSettings,
        rate_hz: float,
        tell: Callable[[Click, int, bool], None],
    ) -> None:
        """Hand each click to `tell` with its sample and whether it is heard."""
        self._voices = voices
        self._settings = settings
        self._rate_hz = rate_hz
        self._tell = tell
        self._placed: PlacedTrack | None = None
        self._next = 0
        self._ending: list[Sound] = []
        self._held: dict[tuple[int, int], HeldSound] = {}
        self._leaving: list[Sound] = []
        self.zero = 0
        """The sample of run time 0; it may be moved while a track plays."""
        self.leaves_out_strokes = False
        """Where a stroke would fall is not known: better none than a wrong one."""

    @property
    def is_playing(self) -> bool:
        """A track plays."""
        return self._placed is not None

    def hold_take(self, take: TakeToPlay) -> None:
        """Have a take ready for the track that plays it."""
        self._voices.take = take

    def play(self, placed: PlacedTrack, zero: int, first: int) -> None:
        """Play a track whose run time 0 is a sample, from sample `first` on."""
        self.stop()
        self._placed, self.zero = placed, zero
        skip = self._settings.skip_late
        self._next = bisect_left(placed.places, first - zero - skip)
        if placed.track.is_take and self._next:  # it is joined in the middle
            self._add(placed.track.clicks[0], placed.places[0] + zero)
        self._hold(first)

    def change(self, placed: PlacedTrack, first: int) -> None:
        """Go on with another track; held notes that both have sound on."""
        if self._placed is None:
            return
        begun = self._placed.places[self._next - 1] + 1 if self._next else None
        self._placed = placed
        self._next = bisect_left(placed.places, first - self.zero)
        if begun is not None:
            self._next = max(self._next, bisect_left(placed.places, begun))
        self._hold(first)

    def stop(self) -> None:
        """Fall silent with the next block."""
        self._placed = None
        self._leaving += [*self._ending, *self._held.values()]
        self._ending, self._held = [], {}

    def fill(self, first: int, count: int) -> Samples:
        """Make the samples from `first` on."""
        block = np.zeros(count, dtype=np.float32)
        if self._leaving:
            self._fade_out(block, first)
        self._begin(first, count)
        self._ending = [sound for sound in self._ending if sound.add_to(block, first)]
        for place, sound in list(self._held.items()):
            if not sound.add_to(block, first):
                del self._held[place]
        block *= np.float32(self._settings.volume_share)
        return hold_down(block, self._settings.knee_share, self._settings.ceiling_share)

    def _fade_out(self, block: Samples, first: int) -> None:
        """End within a few samples what sounded before a stop."""
        for sound in self._leaving:
            sound.add_to(block, first)
        left = 1.0 - np.arange(1, len(block) + 1) / self._settings.fade
        block *= np.clip(left, 0.0, 1.0).astype(np.float32)
        self._leaving = []

    def _begin(self, first: int, count: int) -> None:
        """Begin what starts before the end of a block."""
        if self._placed is None:
            return
        clicks, places = self._placed.track.clicks, self._placed.places
        while self._next < len(places) and places[self._next] + self.zero < (
            first + count
        ):
            click, starts = clicks[self._next], places[self._next] + self.zero
            self._next += 1
            is_left_out = self._is_left_out(click, starts - first)
            is_heard = click.velocity > 0 and not is_left_out
            starts = max(starts, first)
            if is_heard:
                self._add(click, starts)
            self._tell(click, starts, is_heard)

    def _is_left_out(self, click: Click, ahead: int) -> bool:
        """Tell whether a click is better not heard, so many samples ahead."""
        is_stroke = click.kind not in LONG
        return ahead < -self._settings.skip_late or (
            is_stroke and self.leaves_out_strokes
        )

    def _add(self, click: Click, starts: int) -> None:
        """Add a sound; a held note ends the one before on its key."""
        sound = self._voices.sound(click, starts)
        if not isinstance(sound, HeldSound):
            self._ending.append(sound)
            return
        note = (click.channel, click.key)
        if note in self._held:
            self._let_die(note, starts)
        self._held[note] = sound

    def _let_die(self, note: tuple[int, int], sample: int) -> None:
        """End a held note."""
        sound = self._held.pop(note)
        sound.end_at(min(sound.ends, sample))
        self._ending.append(sound)

    def _hold(self, first: int) -> None:
        """Keep or begin what the track holds at a sample; end other held notes."""
        if self._placed is None:
            return
        held: dict[tuple[int, int], tuple[Click, int]] = {}
        for k in range(self._next):
            click = self._placed.track.clicks[k]
            length = round(click.length * self._rate_hz)
            ends = self._placed.places[k] + self.zero + length
            if click.velocity > 0 and ends > first:
                held[click.channel, click.key] = (click, ends)
        for note in set(self._held) - set(held):
            self._let_die(note, first)
        for note, (click, ends) in held.items():
            if note not in self._held and click.kind is SoundKind.DRONE:
                self._add(click, first)
            if note in self._held:
                self._held[note].end_at(ends)


def hold_down(block: Samples, knee: float, ceiling: float) -> Samples:
    """Keep a block below a ceiling; what is below the knee stays as it is."""
    if np.abs(block).max(initial=0.0) <= knee:
        return block
    room = ceiling - knee
    over = np.maximum(np.abs(block) - knee, 0.0)
    held = np.minimum(np.abs(block), knee) + room * np.tanh(over / room)
    return (np.sign(block) * held).astype(np.float32)
