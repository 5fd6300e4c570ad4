"""Where music21 takes more than in proportion to a score's length, and what stands in.

Importing this file changes music21 for the whole process, which reads one score.
"""

from __future__ import annotations

from typing import Any

from music21 import note, spanner, stream
from music21.common.numberTools import opFrac


def _without_beams(score: stream.Stream[Any], **_options: bool) -> stream.Stream[Any]:
    """Stand in for music21's beams, which nobody here will see."""
    return score


def _open_spanners(
    bundle: Any, kind: str, number: Any, is_complete: bool
) -> spanner.SpannerBundle:
    """Find a spanner by its number among those that are still open.

    music21 looks through all spanners of a score at both ends of each.
    """
    if is_complete:
        every: spanner.SpannerBundle = _all_spanners(bundle, kind, number, is_complete)
        return every
    stored = bundle._storage  # noqa: SLF001 - music21 has no other way in
    known, waiting = bundle.__dict__.get("coach_open", (0, []))
    if known > len(stored):
        known, waiting = 0, []
    waiting = [*waiting, *stored[known:]]
    waiting = [found for found in waiting if not found.completeStatus]
    bundle.__dict__["coach_open"] = (len(stored), waiting)
    return spanner.SpannerBundle(
        [s for s in waiting if s.idLocal == number and kind in s.classSet]
    )


def _insert(
    place: Any,
    offset: Any,
    element: Any,
    *,
    ignoreSort: bool = False,  # noqa: N803 - music21's name
    setActiveSite: bool = True,  # noqa: N803
) -> bool:
    """Put something into a stream, and tell whether the stream is still in order.

    It is where the new element comes behind the last one; music21 looks for the end
    of all of them.
    """
    elements = place._elements  # noqa: SLF001 - the same
    is_sorted = not ignoreSort and place.isSorted is True
    if is_sorted and elements:
        last = elements[-1].sortTuple(place)
        is_sorted = last < element.sortTuple().modify(offset=opFrac(offset))
    place.coreSetElementOffset(
        element, offset, addElement=True, setActiveSite=setActiveSite
    )
    element.sites.add(place)
    elements.append(element)
    return is_sorted


def _append(place: Any, element: Any, *, setActiveSite: bool = True) -> None:  # noqa: N803
    """Put something behind all that is in a stream, and remember where that ends.

    music21 forgets its end with each bar, and looks for it among all elements.
    """
    elements = place._elements  # noqa: SLF001 - the same
    known, end = place.__dict__.get("coach_end", (0, 0.0))
    if known != len(elements):
        end = place.highestTime
    place.coreSetElementOffset(element, end, addElement=True)
    element.sites.add(place)
    if setActiveSite:
        place.coreSelfActiveSite(element)
    elements.append(element)
    end = opFrac(end + element.duration.quarterLength)
    place.__dict__["coach_end"] = (len(elements), end)


def _complete_last_bar(
    part: stream.Part,
    *,
    inPlace: bool = False,  # noqa: N803 - music21's name
    **options: Any,
) -> stream.Stream[Any] | None:
    """Give the last bar of a MIDI track a rest to its end: the only one that counts.

    music21 fills each bar with rests, and looks for its metre through all before it.
    A copy with rests, as its writers ask for, is left to it.
    """
    if not inPlace:
        copied: stream.Stream[Any] = _make_rests(part, inPlace=False, **options)
        return copied
    last = part.getElementsByClass(stream.Measure).last()
    if last is not None:
        missing = last.barDuration.quarterLength - last.highestTime
        if missing > 0:
            last.append(note.Rest(quarterLength=missing))  # type: ignore[no-untyped-call]
    return None


_make_rests: Any = stream.Stream.makeRests
_all_spanners: Any = spanner.SpannerBundle.getByClassIdLocalComplete
stream.Stream.makeBeams = _without_beams  # type: ignore[assignment, method-assign]
spanner.SpannerBundle.getByClassIdLocalComplete = _open_spanners  # type: ignore[method-assign]
stream.Stream.coreInsert = _insert  # type: ignore[assignment, method-assign]
stream.Stream.coreAppend = _append  # type: ignore[assignment, method-assign]
stream.Stream.makeRests = _complete_last_bar  # type: ignore[assignment, method-assign]
