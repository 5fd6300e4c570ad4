"""Say in a player's words where the arm comes late, and what would do."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from math import ceil, sqrt
from typing import Protocol

from coach.planning.instrument.instrument import Instrument
from coach.planning.instrument.placement import Placement
from coach.planning.naming import say_place
from coach.planning.slide.arm import move_cm, swing_mps2
from coach.planning.slide.moment import Moment
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.slurs import Move, move_between
from coach.score.bar_numbers import name_bars
from coach.score.phrase import Part

MS_IN_S = 1000
PERCENT = 100


class PlacedNotes(Protocol):
    """What the words need of a plan."""

    @property
    def placements(self) -> tuple[Placement, ...]:
        """One for each note."""
        ...

    @property
    def moves_cm(self) -> tuple[float, ...]:
        """How the arm goes to reach each note: out is positive, in negative."""
        ...


def say_hurried(
    part: Part,
    instrument: Instrument,
    settings: SlideSettings,
    moments: Sequence[Moment],
    plan: PlacedNotes,
) -> list[str]:
    """Name the moves that are too quick for any arm, the worst of them, and what helps.

    To and from grace notes apart from the others: what is smeared, begun sooner or left
    out there is no reason to take all of it slower.

    Returns
    -------
    list of str
        A sentence for each kind; empty where an arm that swings is always in time.
    """
    arm = _Arm(settings, moments, plan.moves_cm)
    over = [arm.times_over(k) for k in range(len(moments))]
    notes = part.notes
    quick = [k for k, by in enumerate(over) if by > 1.0]
    graced = [k for k in quick if notes[k].is_grace or notes[k - 1].is_grace]
    sentences = []
    for found, has in (
        ([k for k in quick if k not in graced], "even a quick arm comes late"),
        (graced, "the slide is too slow for grace notes"),
    ):
        if not found:
            continue
        k = max(found, key=over.__getitem__)
        if found is graced:
            ways = f"{_grace_ways(moments, plan, graced)}, or leave them out"
        else:
            elsewhere = _elsewhere(part, instrument, arm, plan, k)
            slower = f"take it {slower_percent(over[k])} % slower"
            ways = ", ".join([*elsewhere, "glide through", f"or {slower}"])
        travel, has_s = abs(plan.moves_cm[k]), moments[k].ioi_s
        where = name_bars(notes[j].bar for j in found)
        sentences.append(
            f"{where[0].upper()}{where[1:]}: {has}, most of all for "
            f"{say_place(notes[k].bar, float(notes[k].beat))} ({travel:.0f} cm in "
            f"{MS_IN_S * has_s:.0f} ms): {ways}."
        )
    return sentences


@dataclass(frozen=True, slots=True)
class _Arm:
    """The arm on its way through the notes."""

    settings: SlideSettings
    moments: Sequence[Moment]
    moves_cm: Sequence[float]

    def times_over(self, k: int) -> float:
        """Tell how many times too quick the move to a note is; up to 1 is in time."""
        if self.moves_cm[k] == 0.0:
            return 0.0
        around = self._free(k - 1), self.moves_cm[k], self._free(k + 1)
        needs = swing_mps2(around, self.moments[k].ioi_s, self.settings)
        return sqrt(needs / self.settings.swing_limit_mps2)

    def _free(self, k: int) -> float:
        """Give the move to a note, or 0 where the arm rests before it."""
        is_there = 0 < k < len(self.moves_cm)
        return self.moves_cm[k] if is_there and not self.moments[k].is_break else 0.0


def _elsewhere(
    part: Part, instrument: Instrument, arm: _Arm, plan: PlacedNotes, k: int
) -> Iterator[str]:
    """Say which other place brings the arm there in time, and on from there."""
    for j in (k - 1, k):
        midi = part.notes[j].sounding.midi
        for place in instrument.choices(midi):
            places = [*plan.placements]
            places[j] = place
            moves = [*arm.moves_cm]
            for at in range(max(1, j), min(j + 2, len(moves))):
                moves[at] = move_cm(places[at - 1], places[at])
            tried = _Arm(arm.settings, arm.moments, moves)
            beside = range(max(0, j - 1), min(j + 3, len(moves)))
            if all(tried.times_over(at) <= 1.0 for at in beside):
                yield f"take {part.notes[j].sounding} in {place.label}"
                return


def _grace_ways(
    moments: Sequence[Moment], plan: PlacedNotes, notes: Sequence[int]
) -> str:
    """Say what may be done with grace notes that come too quickly for the arm.

    Common practice, no published source: what lies on one partial can be smeared; to
    cross one, the tongue has to part the notes, and the arm has to have been there.
    """
    moves = {
        move_between(
            plan.placements[k - 1],
            plan.placements[k],
            moments[k].midi - moments[k - 1].midi,
        )
        for k in notes
    }
    ways = ["smear them"] * (Move.SMEAR in moves)
    return ", ".join([*ways, *["begin them sooner"] * bool(moves - {Move.SMEAR})])


def slower_percent(times: float) -> int:
    """Tell how much slower to play what is so many times too quick, rounded up.

    Examples
    --------
    >>> slower_percent(1.25), slower_percent(1.001)
    (20, 1)
    """
    return ceil(PERCENT * (1.0 - 1.0 / times))
