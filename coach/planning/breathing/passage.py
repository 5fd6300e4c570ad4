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

    strokes_s: tuple[float, ...] = ()
    """How many seconds' air of its note each stroke of the tongue takes, 0 for none;
    it lies in the effort.  Length n, or empty where that is not told apart."""

    goal_breaths: frozenset[int] | None = None
    """Gaps breathed at the page's tempo, for a run that is slower: those are to become
    habit.  None where it is not, or where nobody asked."""

    def at(self, bpm: float) -> Passage:
        """Give the same at another tempo; a stroke takes less of a longer note."""
        tempo_map = self.part.at_tempo(bpm)
        times = time_notes(self.part, tempo_map)
        effort = self.effort
        if self.strokes_s:
            effort = tuple(
                factor
                + stroke_share(stroke_s, new.end - new.start)
                - stroke_share(stroke_s, old.end - old.start)
                for factor, stroke_s, old, new in zip(
                    effort, self.strokes_s, self.times, times, strict=True
                )
            )
        goal_breaths = self.goal_breaths if bpm < self.part.tempo.bpm else None
        return replace(
            self,
            bpm=bpm,
            tempo_map=tempo_map,
            times=times,
            effort=effort,
            goal_breaths=goal_breaths,
        )

    def worked(
        self, effort: Sequence[float], strokes_s: Sequence[float] = ()
    ) -> Passage:
        """Give the same with the effort of tongue and arm, a factor for each note.

        Parameters
        ----------
        strokes_s : sequence of float
            How many seconds' air each stroke in it takes; empty where that is not
            told apart.
        """
        return replace(self, effort=tuple(effort), strokes_s=tuple(strokes_s))

    def louder(self, steps: float) -> Passage:
        """Give the same louder (or, below 0, softer) by steps of dynamics."""
        return replace(self, part=louder(self.part, steps))


def stroke_share(stroke_s: float, lasts_s: float) -> float:
    """Tell what share of a note's air a stroke takes besides: at most all of it.

    Parameters
    ----------
    stroke_s, lasts_s : float
        How many seconds' air the stroke takes, 0 for none, and how long the note lasts.
    """
    return stroke_s / max(stroke_s, lasts_s) if stroke_s else 0.0


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
