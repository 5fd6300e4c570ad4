"""What the player has chosen of all gear, and what there is to choose from.

Conventions
-----------
Ports and devices are remembered by name.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Literal

from coach.errors import ConfigError, GearError
from coach.rehearsal.gear.gear import GearReport
from coach.rehearsal.gear.pedals import PedalKeys
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.following.told import StartBy

ANY = "any"
"""All ports, for input."""

SOUND_WAYS = ("auto", "on", "off")
"""Built-in sound: when no MIDI port is open, always, never."""

ON, OFF = "on", "off"
"""Whether runs are heard from the start."""

KEEP_EACH, KEEP_NONE = "kept, each one", "none kept unless you say so"
"""What becomes of recordings of runs."""

THROW_AWAY = "throw away"
"""How the answer begins that throws kept recordings away; what there is follows."""

START_WAYS: dict[str, StartBy] = {
    OFF: "",
    "a held note": "note",
    "two knocks": "knock",
}
"""What sound begins a run, in words."""

FOLLOW_SAYS = {
    "follows": "breaths are followed",
    "stops": "it stops with you",
    "drives_gauge": "loudness moves gauge",
}
"""What the microphone may do while a run plays, by the names of `FollowWishes`."""

GearKind = Literal[
    "click",
    "sound",
    "microphone",
    "pedal",
    "hearing",
    "takes",
    "follows",
    "stops",
    "drives_gauge",
    "start_by",
]


@dataclass(frozen=True, slots=True)
class GearChoice:
    """Which gear to use, as ``[click.gear]`` of the player's file has it."""

    midi_out: str
    """Name of the port for the click; empty for none."""

    midi_in: str
    """Name of the port that is listened to; ``any`` for all, empty for none."""

    sound: str
    """Built-in sound: ``auto`` when no MIDI port is open, ``on``, or ``off``."""

    sound_out: str
    """Name of the sound device; empty for the system's own choice."""

    microphone: str
    """Name of the microphone; empty for the system's own choice."""

    midi_delay_ms: float
    """How long the synth takes to sound; its clicks are sent that much earlier."""

    def __post_init__(self) -> None:
        """Refuse a way of sounding that there is not."""
        if self.sound not in SOUND_WAYS:
            raise ConfigError(
                f"[click.gear]: sound is “{self.sound}”.", "Write auto, on or off."
            )


@dataclass(frozen=True, slots=True)
class GearOptions:
    """One thing to plug in: what there is of it, and what is used."""

    kind: GearKind
    """What for."""

    says: str
    """The same in words."""

    options: tuple[str, ...]
    """What is there; may be empty."""

    chosen: str
    """What is used; empty for none."""

    may_be_none: bool = True
    """There may be none of it."""


@dataclass(frozen=True, slots=True)
class TakeChoice:
    """Whether runs are heard, and what becomes of their recordings."""

    listens: bool
    """The microphone hears runs from the start."""

    keeps: bool
    """Each recording is kept as a file."""

    kept: str
    """How many are kept, how large and where; empty for none."""

    def options(self) -> tuple[GearOptions, ...]:
        """Lay out what can be chosen, and what is."""
        heard = ON if self.listens else OFF
        thrown = (f"{THROW_AWAY} {self.kept}",) if self.kept else ()
        ways = (KEEP_NONE, KEEP_EACH, *thrown)
        way = KEEP_EACH if self.keeps else KEEP_NONE
        return (
            GearOptions("hearing", "runs are heard", (OFF, ON), heard, False),
            GearOptions("takes", "recordings", ways, way, False),
        )


def follow_options(wishes: FollowWishes) -> tuple[GearOptions, ...]:
    """Lay out what the microphone may do while a run plays, and before it."""
    is_on = (wishes.follows, wishes.stops, wishes.drives_gauge)
    kinds: tuple[GearKind, ...] = ("follows", "stops", "drives_gauge")
    begins = next(way for way, by in START_WAYS.items() if by == wishes.start_by)
    return (
        *(
            GearOptions(kind, FOLLOW_SAYS[kind], (OFF, ON), ON if on else OFF, False)
            for kind, on in zip(kinds, is_on, strict=True)
        ),
        GearOptions("start_by", "a sound begins a run", (*START_WAYS,), begins, False),
    )


@dataclass(frozen=True, slots=True)
class GearNow:
    """All gear as it is now, for a player to change."""

    click: str
    """How the click sounds, in one line."""

    choice: GearChoice
    """What is chosen."""

    pedals: PedalKeys
    """What each pedal means."""

    found: GearReport | None = None
    """What there is; None where nothing looks for gear."""

    notices: tuple[str, ...] = ()
    """What is wrong and what to do."""

    takes: TakeChoice | None = None
    """Whether runs are heard; None where nothing could."""

    following: FollowWishes | None = None
    """What the microphone may do while a run plays; None where nothing could."""

    def options(self) -> tuple[GearOptions, ...]:
        """Lay out what can be chosen, and what is; nothing where nothing is known."""
        found, choice = self.found, self.choice
        if found is None:
            return ()
        sound = choice.sound_out if choice.sound == "on" else ""
        return (
            GearOptions("click", "MIDI port", found.midi_outs, choice.midi_out),
            GearOptions(
                "sound",
                "built-in sound",
                (*SOUND_WAYS, *found.sound_outs),
                sound or choice.sound,
                may_be_none=False,  # that is "off"
            ),
            GearOptions(
                "microphone", "microphone", found.microphones, choice.microphone
            ),
            GearOptions("pedal", "pedal from", (ANY, *found.midi_ins), choice.midi_in),
            *(self.takes.options() if self.takes else ()),
            *(follow_options(self.following) if self.following else ()),
        )


def choose(choice: GearChoice, kind: str, option: str) -> GearChoice:
    """Give a choice of gear with one thing chosen anew; an empty option for none.

    Raises
    ------
    GearError
        If there is no gear of that kind.
    """
    match kind:
        case "click":
            return replace(choice, midi_out=option)
        case "pedal":
            return replace(choice, midi_in=option)
        case "microphone":
            return replace(choice, microphone=option)
        case "sound" if option in ("", *SOUND_WAYS):
            return replace(choice, sound=option or "off", sound_out="")
        case "sound":
            return replace(choice, sound="on", sound_out=option)
    raise GearError(f"There is no gear of the kind “{kind}”.")
