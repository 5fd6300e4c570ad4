"""Takes by seed: a study, who played it, on which voice, in which room."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from coach.rehearsal.hearing.take import Take
from tests.hearing_room.fonts import play_font
from tests.hearing_room.players import Habits, Played, perform
from tests.hearing_room.rooms import USUAL, World, record
from tests.hearing_room.studies import TROMBONE, Range, Study, Style, compose_study
from tests.hearing_room.voices import Sound, note_levels_db, sing

STYLES: tuple[Style, ...] = ("tongued", "mixed", "slurred")
TEMPOS = (60.0, 76.0, 92.0, 104.0, 116.0, 132.0, 132.0)
VOICES = ("partials", "fluid", "tim", "opl")

USUAL_HABITS = Habits()

Change = Callable[[Study, Played], Played]


@dataclass(frozen=True, slots=True)
class Performed:
    """A dry performance and all that is true of it."""

    study: Study
    """What was due."""

    played: Played
    """What was played."""

    dry: Sound
    """How it sounds with no room."""

    levels_db: dict[int, float]
    """How loud each note's middle is in it."""

    def taken(self, seed: int, world: World = USUAL) -> Take:
        """Record it."""
        return record(self.dry, self.study, self.played, world, seed)


@dataclass(frozen=True, slots=True)
class Cast:
    """Who plays what, on which voice."""

    voice: str = "partials"
    style: Style = "mixed"
    bpm: float = 92.0
    reach: Range = TROMBONE
    program: str = "trombone"
    habits: Habits = USUAL_HABITS
    phrase_count: int = 8


def cast_of(seed: int, voice: str) -> Cast:
    """Give each seed its style and tempo."""
    return Cast(voice, STYLES[seed % 3], TEMPOS[seed % 7])


def performed(seed: int, cast: Cast, change: Change | None = None) -> Performed:
    """Let a study be played; `change` plays it otherwise."""
    study = compose_study(seed, cast.style, cast.bpm, cast.reach, cast.phrase_count)
    played = perform(study, seed, cast.habits)
    if change is not None:
        played = change(study, played)
    dry = (
        sing(played, seed)
        if cast.voice == "partials"
        else play_font(played, seed, cast.voice, cast.program)
    )
    return Performed(study, played, dry, note_levels_db(dry, played))
