"""How well the microphone and the click agree, after one calibration.

Run as ``python -m tests.benchmarks.round_trip``; see ``--help``.  Engines are started
one after another on a PulseAudio null sink whose monitor is the microphone.  The first
is calibrated; printed is how far from their due time the clicks are then heard in each
of the others, and how far they would be by the drivers' stamps alone.
"""

from __future__ import annotations

import argparse
import os
import statistics
import subprocess
import sys
import tempfile
from contextlib import ExitStack

from coach.config import read_player_file, write_player_file
from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_pedals
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.wiring.gear_check import calibrate
from tests.pulseaudio_stand import PulseServer

MS = 1000.0
PATIENCE_S = 15.0


def main() -> None:
    """Calibrate, start again and again, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--restarts", type=int, default=10)
    parser.add_argument("--burners", type=int, default=0, help="busy loops beside it")
    asked = parser.parse_args()
    with ExitStack() as stack:
        folder = stack.enter_context(tempfile.TemporaryDirectory())
        os.environ["COACH_HOME"] = folder
        server = PulseServer()
        stack.callback(server.close)
        os.environ.update(server.environment)
        for _ in range(asked.burners):
            burner = subprocess.Popen([sys.executable, "-c", "while True: pass"])
            stack.callback(burner.kill)
        first, _ = measure()
        print(f"calibrated: {first * MS:+.2f} ms by the drivers' stamps")
        pairs = [measure() for _ in range(asked.restarts)]
    tell("after calibration", [off for off, _ in pairs])
    tell("by stamps alone", [off + known for off, known in pairs])
    print(f"load {os.getloadavg()[0]:.1f}")


def measure() -> tuple[float, float]:
    """Start an engine; give how late clicks are heard, and what was allowed for.

    What the first engine kept is put back after each other one.
    """
    kept = read_player_file()
    link = EngineLink(GearChoice("", "", "on", "", "", 0.0), read_pedals())
    try:
        assert link.wait_until_ready(PATIENCE_S)
        link.listen_to_room(True)
        report = link.ask(PATIENCE_S)
        while report is None or not report.microphone:
            report = link.ask(PATIENCE_S)
        made = calibrate(link)
    finally:
        link.close()
    if kept:
        write_player_file(kept)
    assert made is not None
    return made.trip.delay, report.round_trip or 0.0


def tell(what: str, errors_s: list[float]) -> None:
    """Print errors in milliseconds."""
    errors = sorted(abs(error) * MS for error in errors_s)
    every = " ".join(f"{error * MS:+.2f}" for error in errors_s)
    middle = statistics.median(errors)
    print(f"{what}: middle {middle:.2f}, worst {errors[-1]:.2f} ms: {every}")


if __name__ == "__main__":
    main()
