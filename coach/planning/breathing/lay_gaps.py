"""What lies between the notes: how long it lasts, and what it costs to pass by.

Conventions
-----------
Gaps are named by the index of the note before.  Times are in seconds of run time.
"""

from __future__ import annotations

from collections.abc import Sequence

from coach.last_answers import remembered
from coach.planning.air.air import blow_notes
from coach.planning.air.air_settings import AirSettings
from coach.planning.breathing.breath_costs import LIKELY, place_costs
from coach.planning.breathing.breath_settings import BreathSettings
from coach.planning.breathing.passage import Breather, Passage
from coach.planning.breathing.ways.breath_draws import Timing
from coach.planning.breathing.ways.breath_ways import Gap
from coach.planning.phrasing.strain_ends import find_strain_ends
from coach.score.note import glides
from coach.score.phrase import NoteTime, Part

NOTES_OF_PACE = 16
"""So many notes up to a place tell how fast the line goes: about two of verse, so that
one that is ornate is slow still; chosen on unseen chorales (train_phrasing.py)."""


def lay_gaps(passage: Passage, breather: Breather) -> tuple[Gap, ...]:
    """Tell of each gap what all ways to breathe there have in common."""
    part, times, ends = passage.part, passage.times, passage.ends
    return _lay(part, times, ends, breather.air, breather.costs)


@remembered
def _lay(
    part: Part,
    times: tuple[NoteTime, ...],
    ends: tuple[float, ...],
    air: AirSettings,
    costs: BreathSettings,
) -> tuple[Gap, ...]:
    """Tell the same of a part as it is timed: no edit changes that, and no lungs."""
    strains = find_strain_ends(part)
    timings: dict[tuple[float, ...], Timing] = {}
    gaps = []
    blown = blow_notes(part.notes, air)
    for k, place_cost in enumerate(place_costs(part, ends, times, costs)):
        note, phrase_end = part.notes[k], ends[k]
        length_s = times[k].end - times[k].start
        rest_s = times[k + 1].start - times[k].end
        line_end = _end_of_line(times, k, phrase_end, costs)
        is_end = line_end >= LIKELY
        worth_share = costs.worth_at_end_share if is_end else costs.worth_share
        is_longer = note.length > part.notes[k + 1].length
        heard_s = costs.least_heard_longer_s if is_longer else costs.least_heard_s
        exact = length_s, length_s * blown[k].share, rest_s, heard_s, worth_share
        if exact not in timings:
            timings[exact] = Timing(*exact).rounded()
        going_on = costs.unused_hold_weight if note.has_fermata else 0.0
        if rest_s >= costs.rest_from_s:
            going_on += costs.unused_rest_weight * phrase_end
        gaps.append(
            Gap(
                timing=timings[exact],
                length_s=length_s,
                rest_s=rest_s,
                place_cost=place_cost,
                phrase_end=phrase_end,
                going_on_cost=going_on
                + costs.unused_end_weight * line_end
                + (costs.unused_strain_weight if k in strains else 0.0),
                ends_line=is_end,
                is_glissando=glides(note, part.notes[k + 1]),
            )
        )
    return tuple(gaps)


def _end_of_line(
    times: Sequence[NoteTime], k: int, phrase_end: float, costs: BreathSettings
) -> float:
    """Tell how surely a line ends after a note that goes slowly, 0 to 1.

    In slow lines every phrase is breathed; in fast ones only where the air asks for it.
    """
    from_share = costs.unused_from_share
    surely = (phrase_end - from_share) / (1.0 - from_share)
    if surely <= 0.0:
        return 0.0
    first = max(0, k + 1 - NOTES_OF_PACE)
    pace_s = (times[k].end - times[first].start) / (k + 1 - first)
    slow = (pace_s - costs.fast_pace_s) / (costs.slow_pace_s - costs.fast_pace_s)
    return surely * min(1.0, max(0.0, slow))
