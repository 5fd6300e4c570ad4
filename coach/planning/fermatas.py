"""A fermata is held: the time stands still for a while, also for the click.

Conventions
-----------
How long is a share of the written length; by how much more is a convention of ours
(common practice, no published source: about half as long again in a moving piece).
"""

from __future__ import annotations

from dataclasses import replace

from coach.score.phrase import Part
from coach.score.tempo import TempoMap, TempoMark


def hold_fermatas(part: Part, share: float) -> Part:
    """Give the same part at speeds that hold its fermatas.

    Parameters
    ----------
    share : float
        How long a held note lasts, as a share of its written length; at least 1.
    """
    held = [(note.onset, note.end) for note in part.notes if note.has_fermata]
    if not held or share == 1.0:
        return part
    plain = part.tempo_map
    places = {mark.at for mark in plain.marks}
    places.update(place for stretch in held for place in stretch)
    marks = []
    for place in sorted(places):
        slower = share if any(a <= place < b for a, b in held) else 1.0
        marks.append(TempoMark(place, plain.quarters_per_minute_at(place) / slower))
    return replace(part, tempo_map=TempoMap(tuple(marks)))
