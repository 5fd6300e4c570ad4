"""The engine's place among other programs: what was given is what is said."""

from __future__ import annotations

import subprocess
import sys

import pytest

from tests.jack_stand import may_hurry

ASK = """
import gc, os, sys, threading
from dataclasses import replace
from coach.config import read_settings
from coach.edges.engine import scheduling
from coach.edges.engine.engine_settings import EngineSettings
settings = read_settings(EngineSettings, "click", "engine")
settings = replace(
    settings,
    realtime_priority_steps=int(sys.argv[1]),
    raised_priority_steps=int(sys.argv[2]),
)
usual = os.nice(0)
said = scheduling.hurry(settings)
place = os.sched_getparam(0).sched_priority
def stand_back():
    scheduling.stand_back()
    print(said, place, usual - os.nice(0), gc.isenabled(),
          os.sched_getparam(0).sched_priority, sep=",")
other = threading.Thread(target=stand_back)
other.start()
other.join()
scheduling.be_ordinary()
print(os.sched_getscheduler(0) == os.SCHED_OTHER)
"""

pytestmark = pytest.mark.skipif(
    sys.platform != "linux", reason="other systems have no such places"
)


def asked(real_time: int, raised: int) -> list[str]:
    """Ask a fresh process for a place; give what it says, line by line."""
    result = subprocess.run(
        [sys.executable, "-c", ASK, str(real_time), str(raised)],
        capture_output=True,
        text=True,
        check=True,
    )
    return result.stdout.split()


def test_an_engine_that_asks_for_nothing_is_as_other_programs() -> None:
    assert " ".join(asked(0, 0)) == "ordinary priority,0,0,False,0 True"


def test_a_click_comes_before_the_engines_other_threads() -> None:
    said = " ".join(asked(10, 11))
    if may_hurry():
        assert said == "real-time priority,10,0,False,1 True"
    else:
        assert said.split(",")[0] in ("raised priority", "ordinary priority")


def test_without_real_time_the_engine_is_raised_where_it_may_be() -> None:
    said = " ".join(asked(0, 3))
    assert said in (
        "raised priority,0,3,False,0 True",
        "ordinary priority,0,0,False,0 True",
    )


LOAD = """
import os
from coach.config import read_settings
from coach.edges.engine import scheduling
from coach.edges.engine.engine_settings import EngineSettings
scheduling.hurry(read_settings(EngineSettings, "click", "engine"))
def place():
    return os.sched_getscheduler(0), os.sched_getparam(0).sched_priority
before = place()
with scheduling.giving_way():
    print(place() == (os.SCHED_OTHER, 0))
print(place() == before, before[1])
"""


def test_a_thread_that_loads_gives_way_and_takes_its_place_again() -> None:
    result = subprocess.run(
        [sys.executable, "-c", LOAD], capture_output=True, text=True, check=True
    )
    gave_way, is_back, place = result.stdout.split()
    assert (gave_way, is_back) == ("True", "True")
    assert int(place) > 0 or not may_hurry()
