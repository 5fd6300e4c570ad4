"""Say what is good about the place of a breath, in a few words of the trade."""

from __future__ import annotations

from coach.planning.breathing.breath_costs import LIKELY, SAME_PLACE
from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.ways.breath_ways import ROUNDING, Way
from coach.score.note import lengths_of
from coach.score.phrase import Part

MOST_OF_IT = 0.5
"""A rest that gives a breath this share of its time is the reason for it; our own
choice: the note before then gives the smaller part."""

LONG_QUARTERS = 2.0
"""A note of so many quarter notes is a long one, if none just before is longer; our
own choice."""

LEAP_SEMITONES = 5
"""From a fourth on two notes lie apart, and a breath between them is little heard;
common practice, no published source."""


def say_reason(places: Places, k: int, way: Way) -> str:
    """Say what is good about a place, or that nothing is.

    Parameters
    ----------
    k : int
        The note before the breath.
    way : Way
        How it is taken there; no note is left out for it.
    """
    part, gap = places.passage.part, places.gaps[k]
    if way.is_on_rest:
        return "on the rest"
    if part.notes[k].has_fermata:
        return "after the fermata"
    if gap.rest_s >= MOST_OF_IT * way.gap_s:
        return "at the rest"
    if gap.phrase_end >= LIKELY:
        return "the phrase ends"
    if gap.rest_s > ROUNDING:
        return "at the short rest"
    if part.notes[k + 1].is_slurred:
        return "inside the slur, where it disturbs least"
    return _by_length(part, k) or _by_line(part, k) or "for want of a better place"


def _by_length(part: Part, k: int) -> str:
    """Say so where a note is longer than those around, or long, and as those before."""
    lengths = lengths_of(part.notes)
    length, before = lengths[k], lengths[max(0, k - 2) : k]
    near = lengths[max(0, k - 1) : k + 3]
    is_held = bool(before) and length >= 2 * max(before)
    if is_held or max(near) == length > min(near):
        return "after the longer note"
    is_long = length >= max(LONG_QUARTERS, *before, 0.0) - SAME_PLACE
    return "after the long note" if is_long else ""


def _by_line(part: Part, k: int) -> str:
    """Say what a line of even notes does at a place; empty where it just runs on."""
    note, following = part.notes[k], part.notes[k + 1]
    step = following.sounding.midi - note.sounding.midi
    if step == 0:
        return "the same note comes again"
    if abs(step) >= LEAP_SEMITONES:
        return "before the leap"
    if following.beat == 1:
        return "at the bar line"
    if note.beat == 1:
        return "after the downbeat"
    way = note.sounding.midi - part.notes[k - 1].sounding.midi if k else 0
    return "where the line turns" if way * step < 0 else ""
