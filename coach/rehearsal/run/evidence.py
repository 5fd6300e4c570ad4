"""What a run asked of the lungs: its notes, and the breaths that were really taken.

Kept with every run that gets a word, as the page and the clock had it and not as any
model of air sees it: no litres, no flows.  So whatever is understood better later on
can learn from runs that were played long before.
"""

from __future__ import annotations

from dataclasses import dataclass
from operator import attrgetter

from coach.planning.plan import Plan
from coach.score.phrase import NoteTime


@dataclass(frozen=True, slots=True)
class AskedNote:
    """One note, as it was asked for."""

    start_s: float
    """Run time at which it is written to start, in seconds."""

    written_s: float
    """Its written length, in seconds; greater than 0."""

    midi: int
    """Key number of its sounding pitch."""

    loud_start: float
    """Loudness at its start, in steps from mezzo-forte."""

    loud_end: float
    """Loudness at its end, in steps from mezzo-forte."""

    stroke: str
    """How it is begun, by the name of its articulation in the plan."""

    moved_cm: float
    """How far the slide goes to reach it, in centimetres."""

    signs: frozenset[str] = frozenset()
    """Written signs by their MusicXML names, as on the page."""


@dataclass(frozen=True, slots=True)
class TakenBreath:
    """One breath that was taken."""

    after_note: int
    """Index of the note before it."""

    start_s: float
    """Run time at which the note before it stops, in seconds."""

    end_s: float
    """Run time at which the note after it starts, in seconds."""

    is_gasp: bool = False
    """It was asked for as a gasp, drawn as fast as the player can."""

    left_out: int = 0
    """So many notes after `after_note` were left out to make room for it."""


@dataclass(frozen=True, slots=True)
class SoundedNote:
    """How a note sounded, as far as the microphone heard it surely enough."""

    bar: int
    """Bar on the page."""

    behind_s: float | None
    """How late it began, in seconds, negative for early; None where it is not known
    against the click."""

    level_db: float | None
    """How loud it was, in decibels, against the other notes of its run alone."""


@dataclass(frozen=True, slots=True)
class Evidence:
    """What a run asked of the lungs, from a full breath before its first note."""

    notes: tuple[AskedNote, ...]
    """All notes of the segment, in order; those after the end of a run that was cut
    off were not played."""

    breaths: tuple[TakenBreath, ...]
    """Breaths taken, planned or not, in order; planned ones that were missed are
    left out."""

    sounded: tuple[SoundedNote, ...] = ()
    """How its notes sounded, one for each; empty where nobody listened."""


def evidence_of(
    plan: Plan, breathed: frozenset[int], missed: frozenset[int]
) -> Evidence:
    """Tell what a run asked of the lungs.

    Parameters
    ----------
    plan : Plan
        What was played; planned anew after each breath more or less, as far as that
        could be done.
    breathed : frozenset of int
        Gaps at which the player has said to have breathed.
    missed : frozenset of int
        Gaps of planned breaths that the player has said to have missed.

    Returns
    -------
    Evidence
        A breath that was not planned takes what time the page leaves between its
        notes.
    """
    moved = plan.slide.travel_by_note_cm or (0.0,) * len(plan.part.notes)
    return Evidence(
        notes=tuple(
            AskedNote(
                start_s=time.start,
                written_s=time.end - time.start,
                midi=note.sounding.midi,
                loud_start=note.loud_start,
                loud_end=note.loud_end,
                stroke=str(stroke),
                moved_cm=cm,
                signs=note.articulations,
            )
            for note, time, stroke, cm in zip(
                plan.part.notes,
                plan.times,
                plan.slide.articulations,
                moved,
                strict=True,
            )
        ),
        breaths=_taken(plan, breathed, missed),
    )


def _taken(
    plan: Plan, breathed: frozenset[int], missed: frozenset[int]
) -> tuple[TakenBreath, ...]:
    """List the breaths that were really taken."""
    planned = {breath.after_note: breath for breath in plan.breaths.breaths}
    taken = [
        TakenBreath(
            gap, breath.start, breath.next_note, breath.is_gasp, len(breath.left_out)
        )
        for gap, breath in planned.items()
        if gap not in missed
    ]
    taken += [
        _unplanned(gap, plan.times)
        for gap in breathed
        if gap not in (*planned, *missed)
    ]
    return tuple(sorted(taken, key=attrgetter("after_note")))


def _unplanned(gap: int, times: tuple[NoteTime, ...]) -> TakenBreath:
    """Give a breath the time that is written between two notes."""
    return TakenBreath(gap, times[gap].end, times[gap + 1].start)
