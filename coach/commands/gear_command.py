"""``coach gear``: ports, sound and microphones: chosen, found and missing."""

from __future__ import annotations

import argparse
import sys
from dataclasses import asdict, replace
from typing import Any

from coach.edges.engine.engine_link import EngineLink
from coach.edges.gear_file import read_choice, read_pedals, write_choice
from coach.edges.hearing.follow_choice import (
    STARTS,
    read_follow_wishes,
    say_following,
    write_follow_choice,
)
from coach.edges.hearing.take_settings import (
    read_take_settings,
    say_takes,
    takes_folder,
    throw_takes_away,
    write_take_settings,
)
from coach.errors import GearError
from coach.plain.safe_json import write_json
from coach.rehearsal.gear.gear import GearReport
from coach.rehearsal.gear.gear_choice import ANY, GearChoice
from coach.rehearsal.hearing.calibration import RoundTrip
from coach.wiring.gear_check import Lateness, calibrate, time_clicks

MS = 1000.0
PATIENCE_S = 10.0
"""How long all drivers together may take to answer."""

NONE = "none"
CHOICES = ("midi_out", "midi_in", "sound", "sound_out", "microphone")


def run(arguments: argparse.Namespace) -> int:
    """Choose what is asked for, look, measure if asked to, and tell."""
    before = read_choice()
    wanted = {"listens": arguments.listen, "keeps": arguments.keep_takes}
    changes = {name: way == "on" for name, way in wanted.items() if way}
    if changes:
        write_take_settings(**changes)
    if arguments.throw_takes_away:
        sys.stderr.write(f"{throw_takes_away()}\n")
    _let(arguments)
    asked = {name: getattr(arguments, name) for name in CHOICES}
    link = EngineLink(before, read_pedals())
    try:
        found = _look(link)
        choice = _choose(before, asked, found)
        if choice != before:
            write_choice(choice)
            link.choose(choice, read_pedals())
            found = _look(link)
        late = time_clicks(link) if arguments.test else None
        made = calibrate(link) if arguments.calibrate else None
        trip = made.trip if made else None
        if late or trip:
            found = _look(link)
        says = link.says
    finally:
        link.close()
    if arguments.json:
        words = _as_dict(found, choice, says, late, trip)
        print(write_json(words))
    else:
        _tell(found, choice, says)
        _tell_measured(late, trip)
    return 0


def _let(arguments: argparse.Namespace) -> None:
    """Remember what the microphone may do while a run plays, and before it."""
    ways = {
        "follows": arguments.follow,
        "stops": arguments.stop_with_me,
        "drives_gauge": arguments.loudness,
    }
    changes: dict[str, bool | str] = {
        name: way == "on" for name, way in ways.items() if way
    }
    if arguments.start_by:
        changes["start_by"] = STARTS[arguments.start_by]
    if changes:
        write_follow_choice(**changes)


def _look(link: EngineLink) -> GearReport:
    """Have the engine look at its gear."""
    is_ready = link.wait_until_ready(PATIENCE_S)
    found = link.ask(PATIENCE_S) if is_ready else None
    if found is None:
        raise GearError("The click engine does not answer.", "Try again.")
    return found


def _choose(
    choice: GearChoice, asked: dict[str, str | None], found: GearReport
) -> GearChoice:
    """Choose by name what is there; a part of the name is enough."""
    there = {
        "midi_out": found.midi_outs,
        "midi_in": (ANY, *found.midi_ins),
        "sound": ("auto", "on", "off"),
        "sound_out": found.sound_outs,
        "microphone": found.microphones,
    }
    for name, wanted in asked.items():
        if wanted is not None:
            full = "" if wanted == NONE else _find(name, wanted, there[name])
            choice = replace(choice, **{name: full})  # type: ignore[arg-type]  # all words
    return choice


def _find(name: str, wanted: str, there: tuple[str, ...]) -> str:
    """Find a name among those that there are."""
    inside = [other for other in there if wanted.lower() in other.lower()]
    if wanted in there or inside:
        return wanted if wanted in there else inside[0]
    what = name.replace("_", "-")
    raise GearError(
        f"--{what}: “{wanted}” is not there.", f"There are: {', '.join(there) or NONE}."
    )


def _tell(found: GearReport, choice: GearChoice, says: str) -> None:
    """Tell in lines what there is, what is chosen and what is missing."""
    sound = choice.sound + (f" ({choice.sound_out})" if choice.sound_out else "")
    print(f"Click: {says}")
    print(f"MIDI out: {_list(found.midi_outs)}; chosen: {choice.midi_out or NONE}")
    print(f"MIDI in: {_list(found.midi_ins)}; chosen: {choice.midi_in or NONE}")
    print(f"Sound: {_list(found.sound_outs)}; chosen: {sound}")
    if found.sound:
        print(f"  heard {found.latency * MS:.0f} ms after it is made (allowed for)")
    microphone = choice.microphone or "the system's own"
    print(f"Microphones: {_list(found.microphones)}; chosen: {microphone}")
    print(say_takes())
    print(say_following())
    if found.round_trip is not None:
        print(f"  clicks are heard {found.round_trip * MS:+.2f} ms late (allowed for)")
    for action, message in read_pedals().messages().items():
        print(f"Pedal, {action}: {message}")
    print(f"Engine: {found.scheduling}")
    for remark in found.remarks:
        print(f"Missing: {remark}")


def _tell_measured(late: Lateness | None, trip: RoundTrip | None) -> None:
    """Tell what was measured."""
    if late is not None:
        print(
            f"Test: {late.count} clicks, {late.heard} heard; late by "
            f"{late.median * MS:.2f} ms in the middle, {late.p99 * MS:.2f} ms at p99, "
            f"{late.worst * MS:.2f} ms at worst"
        )
    if trip is not None:
        print(
            f"Round trip: {trip.heard} clicks heard {trip.delay * MS:+.2f} ms from "
            f"where they were due, within {trip.spread * MS:.2f} ms; kept"
        )


def _list(names: tuple[str, ...]) -> str:
    """Write names in a row."""
    return ", ".join(names) or "none found"


def _as_dict(
    found: GearReport,
    choice: GearChoice,
    says: str,
    late: Lateness | None,
    trip: RoundTrip | None,
) -> dict[str, Any]:
    """Lay out all of it for scripts."""
    return {
        "schema": 1,
        "click": says,
        "midi_outs": found.midi_outs,
        "midi_ins": found.midi_ins,
        "sound_outs": found.sound_outs,
        "microphones": found.microphones,
        "chosen": asdict(choice),
        "open": {
            "midi_out": found.midi_out,
            "midi_ins": found.listened,
            "sound": found.sound,
        },
        "pedals": {
            action: str(message) for action, message in read_pedals().messages().items()
        },
        "latency_s": found.latency if found.sound else None,
        "round_trip_s": found.round_trip,
        "dropped": found.dropped,
        "scheduling": found.scheduling,
        "missing": found.remarks,
        "test": asdict(late) if late else None,
        "calibration": asdict(trip) if trip else None,
        "listens": read_take_settings().listens,
        "while_playing": asdict(read_follow_wishes()),
        "keeps_takes": read_take_settings().keeps,
        "takes_folder": str(takes_folder()),
    }
