"""What is to be breathed, and who breathes: the two things every plan of air needs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace

from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player
from coach.planning.breathing.breath_settings import BreathSettings
from coach.score.phrase import NoteTime, Part, time_notes
from coach.score.tempo import TempoMap


@dataclass(frozen=True, slots=True)
class Passage:
    """A part at a tempo, with its phrases and what each note asks of the player."""

    part: Part
    """What is played, n notes."""

    bpm: float
    """Tempo, in the part's beat."""

    tempo_map: TempoMap
    """The page's speeds at that tempo."""

    times: tuple[NoteTime, ...]
    """When each note sounds, as written; length n."""

    ends: tuple[float, ...]
    """How likely a musician hears a phrase end in each gap, 0 to 1; length n - 1."""

    effort: tuple[float, ...]
    """Factor on the air of each note, for tongue and arm; length n."""

    def at(self, bpm: float) -> Passage:
        """Give the same at another tempo."""
        tempo_map = self.part.at_tempo(bpm)
        times = time_notes(self.part, tempo_map)
        return replace(self, bpm=bpm, tempo_map=tempo_map, times=times)

    def worked(self, effort: Sequence[float]) -> Passage:
        """Give the same with the effort of tongue and arm, a factor for each note."""
        return replace(self, effort=tuple(effort))

    def louder(self, steps: float) -> Passage:
        """Give the same louder (or, below 0, softer) by steps of dynamics."""
        return replace(self, part=louder(self.part, steps))


@dataclass(frozen=True, slots=True)
class Breather:
    """A player's lungs, with the numbers that say how they fill and empty."""

    player: Player
    """Whose lungs."""

    air: AirSettings
    """The air model."""

    costs: BreathSettings
    """What disturbs the music and the player."""


def set_passage(part: Part, bpm: float, ends: Sequence[float]) -> Passage:
    """Lay out what is to be breathed, with even effort.

    Parameters
    ----------
    part : Part
        What is played; a full breath is taken before its first note.
    bpm : float
        Tempo, in the part's beat.
    ends : sequence of float, length n - 1
        How likely a musician hears a phrase end in each gap, 0 to 1.
    """
    tempo_map = part.at_tempo(bpm)
    return Passage(
        part=part,
        bpm=bpm,
        tempo_map=tempo_map,
        times=time_notes(part, tempo_map),
        ends=tuple(ends),
        effort=(1.0,) * len(part.notes),
    )


Going = Callable[[], None]
"""Called before each of several plans; ends them all by an error of its own."""


def go_on() -> None:
    """Let what takes several plans go on to its end."""


def louder(part: Part, steps: float) -> Part:
    """Give the same part louder (or, below 0, softer) by steps of dynamics."""
    if not steps:
        return part
    return replace(
        part,
        notes=tuple(
            replace(
                note,
                loud_start=note.loud_start + steps,
                loud_end=note.loud_end + steps,
            )
            for note in part.notes
        ),
    )
