"""How well a run is followed while it plays: breaths heard and missed, and stops.

Run it by hand: ``uv run python -m tests.benchmarks.following --seeds 320-326``.  Takes
are fed block by block, as the microphone brings them; nothing looks ahead.  Players
leave a third of the planned breaths out, take others where none is planned (catch
breaths of 0.2 s and up), cough and knock against the stand.  A false alarm is a breath
that is told and was not taken, or a breath that was taken and is told to be missed.
Seeds 1 to 99 are for tuning; figures are reported from 200 on.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import partial

import numpy as np

from coach.edges.hearing.hearing_numbers import (
    read_following_settings,
    read_hearing_settings,
)
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.following.follower import Follower
from coach.rehearsal.hearing.following.told import BreathTold, StopTold, Told
from coach.rehearsal.hearing.hear import Ear
from coach.rehearsal.hearing.take import Take
from tests.hearing_room.fonts import FONTS
from tests.hearing_room.players import TONGUE_S, Played, stop, warp
from tests.hearing_room.rooms import USUAL, World
from tests.hearing_room.studies import Study
from tests.hearing_room.takes import VOICES, Cast, Performed, cast_of, performed
from tests.hearing_room.voices import LEAD_S, RATE_HZ, TAIL_S

HEARING, SETTINGS = read_hearing_settings(), read_following_settings()
BLOCK_S = 0.05
PROMPT_S = 0.25
LEFT_OUT_SHARE = 0.33
EXTRA_BREATHS = 4
COUGHS_A_MINUTE = 4.0
MOST_DETACHED_S = 0.12
"""A long note is not cut in proportion."""

TEN_MINUTES_S = 600.0

WORLDS = {
    "usual: 20 dB, room 0.3 s, click -12 dB": USUAL,
    "40 dB": World(snr_db=40.0, click_db=None),
    "10 dB": World(snr_db=10.0),
    "room 0.8 s": World(snr_db=40.0, rt60_s=0.8, direct_db=0.0, click_db=None),
    "click 0 dB": World(snr_db=20.0, click_db=0.0),
    "beep 0 dB": World(snr_db=20.0, click_db=0.0, click_voice="beep"),
}


def breathe_otherwise(seed: int, study: Study, played: Played) -> Played:
    """Leave some planned breaths out, and take others where none is planned."""
    draw = np.random.default_rng([seed, 11])
    notes = list(played.notes)
    place = {note.note: k for k, note in enumerate(notes)}
    due = study.due.notes
    breaths = []
    for after, start, end in played.breaths:
        k = place[after]
        has_rest = due[after + 1].due > due[after].written_end + 0.01
        if has_rest or draw.random() >= LEFT_OUT_SHARE or k + 1 == len(notes):
            breaths.append((after, start, end))
            continue
        following = notes[k + 1]
        is_slurred = bool(draw.random() < 0.5) and following.midi != notes[k].midi
        notes[k + 1] = replace(following, is_slurred=is_slurred)
        until = following.on - (0.0 if is_slurred else TONGUE_S)
        notes[k] = replace(notes[k], off=until)
    planned = {breath.after_note for breath in study.due.breaths}
    near = {note + by for note in planned for by in (-1, 0, 1)}
    long = [
        k
        for k in range(4, len(notes) - 1)
        if notes[k].note not in near
        and notes[k + 1].note == notes[k].note + 1
        and notes[k + 1].on - notes[k].on >= 0.32
    ]
    draw.shuffle(long)
    for k in sorted(long[:EXTRA_BREATHS]):
        length = float(draw.uniform(0.2, 0.35))
        on, again = notes[k].on, notes[k + 1].on
        off = max(on + 0.1, again - length)
        notes[k] = replace(notes[k], off=off)
        notes[k + 1] = replace(notes[k + 1], is_slurred=False)
        breaths.append((notes[k].note, off, again))
    return replace(played, notes=tuple(notes), breaths=tuple(sorted(breaths)))


def detach(share: float, played: Played) -> Played:
    """Play every tongued note short."""
    notes = list(played.notes)
    for k in range(len(notes) - 1):
        if not notes[k + 1].is_slurred:
            length = notes[k + 1].on - notes[k].on
            gap = min((1.0 - share) * length, MOST_DETACHED_S)
            off = min(notes[k].off, notes[k + 1].on - gap)
            notes[k] = replace(notes[k], off=off)
    return replace(played, notes=tuple(notes))


def cough(take: Take, seed: int) -> Take:
    """Let somebody cough, and bump against the stand, here and there."""
    draw = np.random.default_rng([seed, 12])
    sound = take.samples.copy()
    peak = float(np.abs(sound).max())
    rate = take.rate_hz
    for _ in range(round(COUGHS_A_MINUTE * float(take.length) / 60.0)):
        length = int(rate * draw.uniform(0.05, 0.4))
        begin = int(draw.integers(0, len(sound) - length))
        noise = np.convolve(draw.normal(0.0, 1.0, length), [0.3, 0.4, 0.3], "same")
        age = np.arange(length) / rate
        noise *= np.exp(-age / draw.uniform(0.02, 0.15)) * np.clip(age / 0.005, 0, 1)
        loud = peak * 10 ** (draw.uniform(-12.0, 0.0) / 20)
        sound[begin : begin + length] += loud * noise / np.abs(noise).max()
    return replace(take, samples=np.clip(sound, -1.0, 1.0).astype(np.float32))


def to_its_end(one: Performed) -> Performed:
    """Let a take go on to the end of the page, also where the player has stopped."""
    ends = float(one.study.due.notes[-1].written_end) + LEAD_S + TAIL_S
    missing = round(ends * RATE_HZ) - len(one.dry)
    return replace(one, dry=np.pad(one.dry, (0, max(0, missing))))


@dataclass
class Sums:
    """Counts over takes."""

    taken: int = 0
    heard: int = 0
    prompt: int = 0
    extra: int = 0
    extra_heard: int = 0
    twice: int = 0
    twice_heard: int = 0
    """Breaths with another right before the note that they follow: no player
    breathes so, but the generator does now and then."""
    left_out: int = 0
    told_missed: int = 0
    falsely_taken: int = 0
    falsely_missed: int = 0
    stops: int = 0
    false_stops: int = 0
    waits: list[float] = field(default_factory=list)
    stop_waits: list[float] = field(default_factory=list)
    stop_errors: list[float] = field(default_factory=list)
    length_s: float = 0.0
    spent_s: float = 0.0

    def add(self, one: Performed, told: list[tuple[float, Told]]) -> None:
        """Count what was told of one take."""
        true = {after: (start, end) for after, start, end in one.played.breaths}
        planned = {breath.after_note for breath in one.study.due.breaths}
        self.taken += len(true)
        self.extra += len(true.keys() - planned)
        self.twice += sum(after - 1 in true for after in true)
        self.left_out += len(planned - true.keys() - set(one.played.unplayed))
        for now, said in told:
            if isinstance(said, BreathTold):
                self._add_breath(now, said, true, planned)
            elif isinstance(said, StopTold):
                self._add_stop(now, said, one.played)

    def _add_breath(
        self,
        now: float,
        said: BreathTold,
        true: dict[int, tuple[float, float]],
        planned: set[int],
    ) -> None:
        """Count one breath."""
        was_taken = said.after_note in true
        if said.is_taken and was_taken:
            wait = now - true[said.after_note][1]
            self.heard += 1
            self.prompt += wait <= PROMPT_S
            self.extra_heard += said.after_note not in planned
            self.twice_heard += said.after_note - 1 in true
            self.waits.append(wait)
        elif said.is_taken:
            self.falsely_taken += 1
        elif was_taken:
            self.falsely_missed += 1
        else:
            self.told_missed += 1

    def _add_stop(self, now: float, said: StopTold, played: Played) -> None:
        """Count one stop."""
        if not played.unplayed:
            self.false_stops += 1
            return
        self.stops += 1
        ended = played.notes[-1].off
        self.stop_waits.append(now - ended)
        self.stop_errors.append(said.at - ended)

    def row(self) -> str:
        """Say all of it."""
        wrong = self.falsely_taken + self.falsely_missed + self.false_stops
        often = wrong * TEN_MINUTES_S / max(1.0, self.length_s)
        waits = np.array(self.waits or [0.0])
        return (
            f"breaths {self.heard}/{self.taken}, within {PROMPT_S} s "
            f"{self.prompt / max(1, self.taken):.3f} (p50 {np.median(waits):.3f} s, "
            f"p95 {np.percentile(waits, 95):.3f}); of these not planned "
            f"{self.extra_heard}/{self.extra}, right after another "
            f"{self.twice_heard}/{self.twice}; left out and told "
            f"{self.told_missed}/{self.left_out}; false: {self.falsely_taken} taken, "
            f"{self.falsely_missed} missed, {self.false_stops} stops = {often:.2f}"
            f" in ten minutes ({self.length_s / 60.0:.0f} min); "
            f"of a core {self.spent_s / max(1.0, self.length_s):.4f}"
        )


def follow(due: DuePart, take: Take) -> tuple[list[tuple[float, Told]], float]:
    """Feed a take block by block; give what was told when, and the time it took."""
    began = float(take.sounding.began or 0.0)
    ear = Ear(due, take.rate_hz, HEARING)
    follower = Follower(due, ear.grid, SETTINGS)
    block = round(BLOCK_S * take.rate_hz)
    told: list[tuple[float, Told]] = []
    spent = 0.0
    for first in range(0, len(take.samples), block):
        rows = ear.push(take.samples[first : first + block])
        now = began + (first + block) / take.rate_hz
        start = time.process_time()
        told += [(now, said) for said in follower.follow(rows, began)]
        spent += time.process_time() - start
    return told, spent


def casts(seeds: range) -> Iterator[tuple[int, Cast]]:
    """Give each seed to every voice that is installed."""
    for voice in VOICES:
        if voice == "partials" or FONTS[voice].exists():
            for seed in seeds:
                yield seed, cast_of(seed, voice)


CHANGES: dict[str, Callable[[int, Study, Played], Played]] = {
    "": breathe_otherwise,
    "detached to 0.6": lambda seed, study, played: detach(
        0.6, breathe_otherwise(seed, study, played)
    ),
    "120 ms late": lambda seed, study, played: warp(
        breathe_otherwise(seed, study, played), 0.12
    ),
    "1 % slower": lambda seed, study, played: warp(
        breathe_otherwise(seed, study, played), speed=0.99
    ),
    "stopped after 5/8": lambda seed, study, played: stop(
        breathe_otherwise(seed, study, played), 0.625
    ),
}


def table(name: str, seeds: range, world: World, change: str, verbose: bool) -> None:
    """Print one row."""
    sums = Sums()
    for seed, cast in casts(seeds):
        one = performed(seed, cast, partial(CHANGES[change], seed))
        take = cough(to_its_end(one).taken(seed, world), seed)
        told, spent = follow(one.study.due, take)
        sums.add(one, told)
        sums.length_s += float(take.length)
        sums.spent_s += spent
        if verbose:
            explain(seed, cast, one, told)
    print(f"{name} {change}\n    {sums.row()}", flush=True)
    if sums.stop_waits:
        print(
            f"    stops {sums.stops}, told {np.median(sums.stop_waits):.2f} s after "
            f"the sound's end, placed {np.median(sums.stop_errors):+.2f} s, worst "
            f"{np.abs(sums.stop_errors).max():.2f}"
        )


def explain(
    seed: int, cast: Cast, one: Performed, told: list[tuple[float, Told]]
) -> None:
    """Print what was wrong."""
    true = {after: (start, end) for after, start, end in one.played.breaths}
    planned = {breath.after_note for breath in one.study.due.breaths}
    heard = set()
    for now, said in told:
        if isinstance(said, BreathTold):
            heard.add(said.after_note)
            if said.is_taken != (said.after_note in true):
                lost = {said.after_note + k for k in (-1, 0, 1, 2)}
                lost &= set(one.played.dropped)
                print(
                    "  false", seed, cast.voice, cast.style, cast.bpm, now, said, lost
                )
    for k in true.keys() - heard:
        print("  lost", seed, cast.voice, cast.bpm, k, k in planned, true[k])
    for k in planned - true.keys() - heard:
        print("  untold", seed, cast.voice, cast.bpm, k)


def main() -> None:
    """Print the tables that are asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="320-326", help="first-last")
    parser.add_argument("--verbose", action="store_true", help="name each mistake")
    parser.add_argument("--world", default="", help="first letters of a row")
    parser.add_argument("--changes", action="store_true", help="other players")
    asked = parser.parse_args()
    first, last = (int(word) for word in asked.seeds.split("-"))
    seeds = range(first, last + 1)
    for name, world in WORLDS.items():
        if name.startswith(asked.world):
            table(name, seeds, world, "", asked.verbose)
    if asked.changes:
        for change in CHANGES:
            table("usual,", seeds, USUAL, change, asked.verbose)


if __name__ == "__main__":
    main()
