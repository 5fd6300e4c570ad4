"""How well the ear hears generated takes: the tables behind its figures.

Run it by hand: ``uv run python -m tests.benchmarks.hearing --seeds 200-206``.  Seeds 1
to 99 are for tuning; figures are reported from 200 on, which no tuning has looked at.
Sound fonts are Debian's (`tests/hearing_room/fonts.py`); a voice whose font is not
installed is left out, and said so.
"""

from __future__ import annotations

import argparse
import random
import resource
import time
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from coach.edges.hearing.hearing_numbers import read_hearing_settings
from coach.rehearsal.hearing.hear import Ear
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.take import Sounding, Take
from tests.hearing_room.fonts import FONTS
from tests.hearing_room.players import Played, lose_beat, restart, stop, warp
from tests.hearing_room.rooms import CLEAN, USUAL, World
from tests.hearing_room.scores import Score
from tests.hearing_room.studies import Range, Study
from tests.hearing_room.takes import (
    USUAL_HABITS,
    VOICES,
    Cast,
    Change,
    Performed,
    cast_of,
    performed,
)
from tests.hearing_room.voices import LEAD_S
from tests.hearing_room.whole_takes import hear

SETTINGS = read_hearing_settings()

WORLDS = {
    "usual: 20 dB, room 0.3 s, click -12 dB": USUAL,
    "clean": CLEAN,
    "40 dB": World(snr_db=40.0, click_db=None),
    "10 dB": World(snr_db=10.0),
    "room 0.8 s": World(snr_db=40.0, rt60_s=0.8, direct_db=0.0, click_db=None),
    "click 0 dB": World(snr_db=30.0, click_db=0.0),
    "click +6 dB": World(snr_db=30.0, click_db=6.0),
    "beep 0 dB": World(snr_db=30.0, click_db=0.0, click_voice="beep"),
}

REACHES = {
    "trumpet": Range(55, 82, 10),
    "horn": Range(41, 74, 5),
    "tuba": Range(29, 58, 10),
    "bassoon": Range(34, 67, 10),
    "clarinet": Range(50, 86, 10),
    "flute": Range(60, 93, 5),
    "oboe": Range(58, 86, 5),
    "alto-saxophone": Range(49, 80, 3),
    "baritone-saxophone": Range(36, 68, 3),
    "trombone": Range(36, 72, 10),
}
"""Sounding ranges, a fifth inside those in ``config/instruments`` or so."""


def _middle(played: Played) -> float:
    """Give the moment of the note in the middle."""
    return played.notes[len(played.notes) // 2].on


def _go_back(study: Study, played: Played) -> Played:
    """Stop after five eighths, and begin again two bars before."""
    at = played.notes[len(played.notes) * 5 // 8].note
    bar = max(
        k for k, t in enumerate(study.due.bar_starts) if t <= study.due.notes[at].due
    )
    again = study.due.bar_starts[max(0, bar - 2)]
    first = next(k for k, n in enumerate(study.due.notes) if n.due >= again - 1e-6)
    return restart(played, at, first, 1.5)


CHANGES: dict[str, Change] = {
    "250 ms late": lambda _, played: warp(played, 0.25),
    "150 ms early": lambda _, played: warp(played, -0.15),
    "a beat lost": lambda study, played: lose_beat(
        played, _middle(played), float(study.due.beat)
    ),
    "2 % slower": lambda _, played: warp(played, speed=0.98),
    "3 % slower": lambda _, played: warp(played, speed=0.97),
    "3 % faster": lambda _, played: warp(played, speed=1.03),
    "stopped after 5/8": lambda _, played: stop(played, 0.625),
    "began again two bars back": _go_back,
}


def casts(seeds: range) -> Iterator[tuple[int, Cast]]:
    """Give each seed to every voice that is installed."""
    for voice in VOICES:
        if voice == "partials" or FONTS[voice].exists():
            for seed in seeds:
                yield seed, cast_of(seed, voice)
        else:
            print(f"left out, not installed: {voice}")


def score_takes(
    takes: Iterator[tuple[Performed, Take]], score: Score
) -> tuple[float, float]:
    """Hear takes; give the processor time that it took, and how long they were."""
    spent = length = 0.0
    for one, take in takes:
        began = time.process_time()
        heard = hear(take, one.study.due, SETTINGS)
        spent += time.process_time() - began
        length += float(take.length)
        if isinstance(heard, Heard):
            due = one.study.due
            score.add(heard, one.played, due, one.levels_db, SETTINGS.evenness)
        else:
            score.refused.append(heard.why.value)
    return spent, length


def table(name: str, takes: Iterator[tuple[Performed, Take]]) -> None:
    """Print one row."""
    score = Score()
    spent, length = score_takes(takes, score)
    row = score.row().replace(" | ", "\n    ")
    print(
        f"{name}\n    {row}\n    of real time {spent / max(1.0, length):.4f}",
        flush=True,
    )


def worlds(seeds: range, names: list[str]) -> None:
    """Every room, all voices."""
    dry = {pair: performed(*pair) for pair in casts(seeds)}
    for name, world in WORLDS.items():
        if not names or any(name.startswith(word) for word in names):
            table(name, ((one, one.taken(s, world)) for (s, _), one in dry.items()))


def off_the_grid(seeds: range) -> None:
    """Players who are not on the click, and one who is off pitch."""
    for name, change in CHANGES.items():
        takes = (
            (one, one.taken(seed))
            for seed, cast in casts(seeds)
            for one in [performed(seed, cast, change)]
        )
        table(name, takes)
    flat = (
        (one, one.taken(seed))
        for seed, cast in casts(seeds)
        for one in [performed(seed, _out_of_tune(cast, seed))]
    )
    table("40 cents off", flat)


def _out_of_tune(cast: Cast, seed: int) -> Cast:
    """Let a player be 40 cents sharp or flat."""
    cents = 40.0 if seed % 2 else -40.0
    return replace(cast, habits=replace(USUAL_HABITS, off_pitch_cents=cents))


def instruments(seeds: range) -> None:
    """Other instruments, on the largest font and the voice of partials."""
    for name, reach in REACHES.items():
        for voice in ("partials", "fluid"):
            takes = (
                (one, one.taken(seed))
                for seed in seeds
                for one in [
                    performed(
                        seed, replace(cast_of(seed, voice), reach=reach, program=name)
                    )
                ]
            )
            table(f"{name}, {voice}", takes)


def phones(seeds: range) -> None:
    """Recordings that begin anywhere; the count-in is loud, soft or not there."""
    for click_db in (-12.0, -20.0, -30.0, None):
        found, by_count_in, errors = 0, 0, []
        every = list(casts(seeds))
        for seed, cast in every:
            one = performed(seed, cast)
            take = one.taken(seed, replace(USUAL, click_db=click_db))
            cut = random.Random(seed).uniform(0.0, 2.0 if click_db else 4.4)
            rest = take.samples[round(cut * take.rate_hz) :]
            phone = Take(rest, take.rate_hz, Sounding(None, take.sounding.clicks))
            heard = hear(phone, one.study.due, SETTINGS)
            if isinstance(heard, Heard):
                error = float(heard.offset) - (cut - LEAD_S)
                found += abs(error) < 0.1
                is_exact = heard.told_against.value == "count-in"
                by_count_in += is_exact
                errors += [abs(error) * 1000] if is_exact else []
        worst = f"{max(errors):.1f}" if errors else "-"
        print(
            f"phone, click {click_db} dB: start within 100 ms {found}/{len(every)};"
            f" by the count-in {by_count_in}, worst {worst} ms",
            flush=True,
        )


def strangers(seeds: range) -> None:
    """Recordings of another piece: all must be refused."""
    every = [performed(seed, cast) for seed, cast in casts(seeds)]
    said = []
    for k, one in enumerate(every):
        other = every[(k + 1) % len(every)]
        heard = hear(one.taken(k), other.study.due, SETTINGS)
        said.append("HEARD" if isinstance(heard, Heard) else heard.why.value)
    print("another piece:", {word: said.count(word) for word in sorted(set(said))})


def speed() -> None:
    """Processor time of a minute's take, streamed, and the wait after its end."""
    one = performed(204, replace(cast_of(204, "partials"), bpm=64.0))
    take = one.taken(204)
    began = time.process_time()
    ear = Ear(one.study.due, take.rate_hz, SETTINGS)
    for first in range(0, len(take.samples), 2400):
        ear.push(take.samples[first : first + 2400])
    pushed, wall = time.process_time(), time.perf_counter()
    ear.finish(take.sounding)
    ended = time.process_time()
    megabytes = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{take.length:.0f} s: while recording {pushed - began:.2f} s of a core, "
        f"after the end {ended - pushed:.2f} s ({time.perf_counter() - wall:.2f} s "
        f"waited), share {(ended - began) / take.length:.4f}; most memory of this "
        f"process, the synthesis included, {megabytes:.0f} MB"
    )


def main() -> None:
    """Print the tables that are asked for."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", default="200-206", help="first-last")
    parser.add_argument("--world", nargs="*", default=[], help="first words of a row")
    parser.add_argument(
        "parts",
        nargs="*",
        default=["worlds"],
        help="worlds grid instruments phones strangers speed",
    )
    asked = parser.parse_args()
    first, last = (int(word) for word in asked.seeds.split("-"))
    seeds = range(first, last + 1)
    parts: dict[str, Callable[[], None]] = {
        "worlds": lambda: worlds(seeds, asked.world),
        "grid": lambda: off_the_grid(seeds),
        "instruments": lambda: instruments(seeds),
        "phones": lambda: phones(seeds),
        "strangers": lambda: strangers(seeds),
        "speed": speed,
    }
    np.seterr(all="raise", under="ignore")
    for part in asked.parts:
        parts[part]()


if __name__ == "__main__":
    main()
