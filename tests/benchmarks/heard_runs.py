"""What it costs that a run is heard: lateness of the click, waiting for the answer.

Run as ``python -m tests.benchmarks.heard_runs``.  Clicks go to a real JACK port, in
turn with nobody listening and with the microphone of a PulseAudio server heard and
looked at; then a line of about a minute sounds along, and the time from its last note
to the answer is measured, with the ear's computing time and memory.  ``load`` is the
machine's: a figure beside much of it says little.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import threading
from contextlib import ExitStack
from pathlib import Path

from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_pedals
from coach.edges.hearing.run_ear import RunEar
from coach.edges.hearing.take_settings import read_take_settings
from coach.edges.scores.etude_shelf import find_etude
from coach.edges.scores.score_files import read_part
from coach.edges.system_clock import SystemClock
from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.click.click_laying import lay_clicks
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import Fact, RunHeard, SoundHeard, TrackEnded
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.rehearsal.hearing.due_part import due_part
from coach.rehearsal.hearing.heard import Heard
from coach.wiring.player_planner import PlayerPlanner
from coach.wiring.rehearsal_numbers import read_rehearsal_settings
from tests.jack_stand import Gear, JackServer
from tests.pulseaudio_stand import PulseServer

MS = 1000.0
PATIENCE_S = 30.0
TICKS_A_SECOND = os.sysconf("SC_CLK_TCK")


def main() -> None:
    """Measure, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--etude", default="tide")
    parser.add_argument("--rounds", type=int, default=3)
    asked = parser.parse_args()
    with ExitStack() as stack:
        os.environ["COACH_HOME"] = stack.enter_context(tempfile.TemporaryDirectory())
        pulse = PulseServer()
        stack.callback(pulse.close)
        jack = JackServer()
        stack.callback(jack.stop)
        os.environ.update({**pulse.environment, **jack.environment})
        synth = Gear(jack, "synth")
        stack.callback(synth.close)
        plan, quiet, line = lay(asked.etude)
        late: dict[bool, list[float]] = {False: [], True: []}
        for _ in range(asked.rounds):
            for is_heard in late:
                late[is_heard] += click_lateness(plan, quiet, is_heard=is_heard)
        for is_heard, told in late.items():
            tell("heard" if is_heard else "nobody listens", told)
        answer_time(plan, line)
        print(f"load {os.getloadavg()[0]:.1f}")


def lay(etude: str) -> tuple[Plan, ClickTrack, ClickTrack]:
    """Plan an etude; give a track of clicks, and one with the line along."""
    part, planner = read_part(find_etude(etude)), PlayerPlanner()
    planner.hear_whole(part)
    plan = planner.plan(part, part.tempo.bpm, Edits())
    clicks = read_rehearsal_settings().clicks
    quiet, line = (
        lay_clicks(
            plan.part,
            plan.tempo_map,
            wishes,
            clicks,
            breaths=plan.breaths.breaths,
            ends=plan.breaths.ends,
        )
        for wishes in (ClickWishes(subdivision=4), ClickWishes(guide=True))
    )
    return plan, quiet, line


def play(link: EngineLink, track: ClickTrack) -> None:
    """Play a track to its end."""
    over = threading.Event()

    def hear(fact: Fact) -> None:
        if isinstance(fact, TrackEnded):
            over.set()

    link.listen(hear)
    link.play(track)
    assert over.wait(track.ends - track.starts + PATIENCE_S)
    link.listen_no_more(hear)


def click_lateness(plan: Plan, track: ClickTrack, *, is_heard: bool) -> list[float]:
    """Play a track to the MIDI port; give how late each message was, in seconds."""
    link = EngineLink(GearChoice("synth", "", "off", "", "", 0.0), read_pedals())
    ear = RunEar(link, read_take_settings())
    try:
        assert link.wait_until_ready(PATIENCE_S)
        if is_heard:
            heard = threading.Event()

            def hear(fact: Fact) -> None:
                if isinstance(fact, SoundHeard):
                    heard.set()

            link.listen(hear)
            ear.open()
            assert heard.wait(PATIENCE_S)
            ear.begin(1, due_part(plan), is_followed=True)
        play(link, track)
        return list(link.lateness(PATIENCE_S))
    finally:
        ear.close()
        link.close(PATIENCE_S)


def answer_time(plan: Plan, track: ClickTrack) -> None:
    """Let the line sound and be heard; tell how long the answer took."""
    link = EngineLink(GearChoice("", "", "on", "", "", 0.0), read_pedals())
    ear, clock = RunEar(link, read_take_settings()), SystemClock()
    answers: list[tuple[float, RunHeard]] = []
    answered = threading.Event()

    def hear(fact: Fact) -> None:
        if isinstance(fact, RunHeard):
            answers.append((clock.now(), fact))
            answered.set()

    link.listen(hear)
    try:
        assert link.wait_until_ready(PATIENCE_S)
        due = due_part(plan)
        ear.begin(1, due, is_followed=True)
        link.play(track)
        while (now := link.run_time()) is None or now < track.starts:
            pass
        zero = clock.now() - now
        last = max(note.end for note in due.notes)
        clock.wait_until(type(clock.now())(zero + track.ends))
        ear.hear(1, due, (), track.ends)
        assert answered.wait(PATIENCE_S)
        at, fact = answers[0]
        child = ear._child
        assert child is not None
        used_s, peak_mb = cost_of(child._process.pid)
        found = (
            sum(note.heard is not None for note in fact.said.notes)
            if isinstance(fact.said, Heard)
            else fact
        )
        lasts = track.ends - track.starts
        waits = at - zero - last, at - zero - track.ends
        print(
            f"{lasts:.0f} s heard, {found} of {len(due.notes)} notes: answer "
            f"{waits[0]:.2f} s after the last note, {waits[1]:.2f} s after the end; "
            f"computing {used_s:.2f} s ({used_s / lasts:.3f} of real time), "
            f"peak {peak_mb:.0f} MB"
        )
    finally:
        ear.close()
        link.close(PATIENCE_S)


def cost_of(process: int) -> tuple[float, float]:
    """Tell computing time in seconds and the most memory in megabytes of a process."""
    fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    used_s = (int(fields[11]) + int(fields[12])) / TICKS_A_SECOND
    status = Path(f"/proc/{process}/status").read_text().splitlines()
    peak = next(line for line in status if line.startswith("VmHWM"))
    return used_s, int(peak.split()[1]) / 1000


def tell(name: str, late: list[float]) -> None:
    """Print how late the clicks were."""
    ranked = sorted(late)
    told = [ranked[int(share * (len(ranked) - 1))] * MS for share in (0.5, 0.99, 1.0)]
    print(
        f"{name:15} {len(late)} messages late by {told[0]:.2f} ms in the middle, "
        f"{told[1]:.2f} at p99, {told[2]:.2f} at worst"
    )


if __name__ == "__main__":
    main()
