"""Name what stands on the page and is left out, as a player reads it.

Notes are left out for a breath, and breaths of the page for want of time.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence

from coach.planning.breath_place import place_after
from coach.planning.breathing.ways.breath_ways import Way
from coach.score.bar_numbers import name_bars
from coach.score.phrase import Part

MOST_NAMED = 3
"""More notes than the plan leaves out by itself are only counted."""


def say_left_out(part: Part, left_out: Sequence[int]) -> str:
    """Name notes that are left out: ``leaving out [C4 D4] in bar 3``."""
    bar = part.notes[left_out[0]].bar
    return f"leaving out {name_left_out(part, left_out)} in bar {bar}"


def name_left_out(part: Part, left_out: Sequence[int]) -> str:
    """Name notes that are left out, in brackets: ``[C4 D4]``; count more than three."""
    if len(left_out) > MOST_NAMED:
        return f"[{len(left_out)} notes]"
    return f"[{' '.join(str(part.notes[k].written) for k in left_out)}]"


def say_without_time(
    part: Part, marks: Sequence[int], breaths: Mapping[int, Way]
) -> Iterator[str]:
    """Say which breaths of the page find no time, and what is done instead.

    Parameters
    ----------
    marks : sequence of int
        The notes that they stand after.
    breaths : mapping of int to Way
        What is breathed, by the note before.
    """
    alike: dict[str, list[int]] = defaultdict(list)
    for mark in marks:
        alike[_instead(mark, breaths)].append(mark)
    for instead, (first, *others) in alike.items():
        if not others:
            place = place_after(part, first)
            yield f"The page's breath {place} finds no time at this tempo{instead}."
            continue
        bars = name_bars(part.notes[mark].bar for mark in (first, *others))
        yield (
            f"{len(others) + 1} breaths of the page, in {bars}, find no time at this "
            f"tempo{instead}."
        )


def _instead(mark: int, breaths: Mapping[int, Way]) -> str:
    """Say what is done instead of a breath that finds no time."""
    if any(k + way.left_out == mark for k, way in breaths.items()):
        return ": what comes just before is left out"
    return ": a note earlier one breathes" if mark - 1 in breaths else ""
