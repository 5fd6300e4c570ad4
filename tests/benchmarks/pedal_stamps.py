"""How far the stamp of a pedal press lies from the press.

Run as ``python -m tests.benchmarks.pedal_stamps``; see ``--help``.  A pedal in another
process is pressed at uneven times; the engine's stamp is compared with the time just
before the press was sent.  A JACK server hands messages over once a period.
"""

from __future__ import annotations

import argparse
import os
import random
import tempfile
import time

from coach.edges.engine.engine_link import EngineLink
from coach.rehearsal.gear.gear import PedalPressed
from coach.rehearsal.gear.gear_choice import GearChoice
from coach.rehearsal.gear.pedals import PedalKeys
from tests.benchmarks.click_lateness import row
from tests.jack_stand import Gear, JackServer, wait_until


def main() -> None:
    """Press as often as asked for, and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--presses", type=int, default=500)
    parser.add_argument("--period", type=int, default=128, help="of the JACK server")
    given = parser.parse_args()
    server = JackServer(given.period)
    os.environ.update(server.environment)
    gear = Gear(server, "synth")
    with tempfile.TemporaryDirectory() as folder:
        os.environ["COACH_HOME"] = folder
        link = EngineLink(
            GearChoice("", gear.pedal, "off", "", "", 0.0),
            PedalKeys("", "", "control 64", ""),
        )
        stamps: list[float] = []
        link.listen(
            lambda fact: (
                stamps.append(fact.at) if isinstance(fact, PedalPressed) else None
            )
        )
        assert link.wait_until_ready(30.0)
        pressed = []
        uneven = random.Random(1)
        for k in range(given.presses):
            pressed.append(gear.send(0xB0, 64, 127))
            wait_until(lambda: len(stamps) > k)  # noqa: B023 - called at once
            time.sleep(uneven.uniform(0.01, 0.025))
        link.close()
    gear.close()
    server.stop()
    late = [stamp - press for stamp, press in zip(stamps, pressed, strict=True)]
    print(f"period {server.period_s * 1000:.2f} ms")
    print(row("stamp after press", late))


if __name__ == "__main__":
    main()
