"""Which segment the player has chosen, and the one before and after it.

Conventions
-----------
Bars are counted in playing order from 0, notes from 0 in the whole part.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from coach.rehearsal.stand.wishes import RunWishes
from coach.score.page_facts import span_on_page, way_of
from coach.score.phrase import Part
from coach.score.segment import Segment, cut_bars, cut_notes, find_bars
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class Choice:
    """A segment that is asked for."""

    bars: tuple[int, int]
    """First and last bar."""

    notes: tuple[int, int] | None = None
    """First and last note, where it goes from breath to breath."""


def choose_bars(part: Part, from_bar: int, to_bar: int) -> Choice:
    """Choose bars by their numbers on the page.

    Parameters
    ----------
    from_bar, to_bar : int
        Numbers on the page.

    Raises
    ------
    ScoreError
        If one of them is not there.
    """
    return Choice(find_bars(part, from_bar, to_bar))


def choose_whole(part: Part) -> Choice:
    """Choose all of a part."""
    return Choice((0, len(part.bars) - 1))


def time_of_bars(part: Part, bars: tuple[int, int], bpm: float) -> Seconds:
    """Tell how long bars of the page last at a tempo, their repeats with them."""
    first, last = find_bars(part, *bars)
    tempo_map = part.at_tempo(bpm)
    begins = tempo_map.seconds_at(part.bars[first].onset)
    return Seconds(tempo_map.seconds_at(part.bars[last].end) - begins)


def cut_choice(part: Part, choice: Choice, wishes: RunWishes) -> Segment:
    """Cut what is chosen, with the lead-in and the overlap that are wished for.

    Raises
    ------
    ScoreError
        If no note starts in it.
    """
    lead_in, overlaps = wishes.lead_in_bars, wishes.overlaps
    if choice.notes is None:
        return cut_bars(part, *choice.bars, lead_in=lead_in, overlaps=overlaps)
    return cut_notes(part, *choice.notes, lead_in=lead_in, overlaps=overlaps)


def following_bars(part: Part, choice: Choice, step: int, size: int) -> Choice | None:
    """Choose as many bars as now, after the choice or before it.

    Bars are chosen that the page's own numbers lead to, so that a run of them has one
    name wherever it is told of: it ends where a jump leads out of them, and what was
    played before is passed over.

    Parameters
    ----------
    choice : Choice
        Where to go from; from the whole part one goes to its first or last bars.
    step : int
        1 for after, -1 for before.
    size : int
        How many bars when the choice is the whole part, or ends at a jump.

    Returns
    -------
    Choice or None
        The next bars in which a note starts; None where there are none.
    """
    count = len(part.bars)
    first, last = choice.bars
    if (first, last) == (0, count - 1):
        first, last = count, -1
    elif _is_jump(part, last):
        size = max(size, last - first + 1)
    else:
        size = last - first + 1
    near = _past((first, last), step)
    while 0 <= near < count:
        found = _longest(part, near, step, size)
        if found is not None and _has_notes(part, *found):
            return Choice(found)
        near = _past(found or (near, near), step)
    return None


def _past(bars: tuple[int, int], step: int) -> int:
    """Give the bar after some bars, or the one before them."""
    return bars[1] + 1 if step > 0 else bars[0] - 1


def _longest(part: Part, near: int, step: int, size: int) -> tuple[int, int] | None:
    """Give the most bars from one on, or up to it, that their numbers lead to."""
    for more in reversed(range(size)):
        first, last = sorted((near, near + step * more))
        if first >= 0 and last < len(part.bars):
            numbers = span_on_page(part, first, last)
            if find_bars(part, *numbers) == (first, last):
                return first, last
    return None


def _is_jump(part: Part, k: int) -> bool:
    """Tell whether what is played after a bar does not follow on the page."""
    return len(way_of(part.bars[k : k + 2])) > 1


def divide_at_jumps(
    part: Part, spans: Sequence[tuple[int, int]]
) -> tuple[tuple[int, int], ...]:
    """Divide what is played on one breath where a repeat or a jump leads elsewhere.

    Parameters
    ----------
    spans : sequence of (int, int)
        First and last note of each breath's notes.
    """
    onsets = [bar.onset for bar in part.bars]
    bars = [bisect_right(onsets, note.onset) - 1 for note in part.notes]
    divided: list[tuple[int, int]] = []
    for first, last in spans:
        jumps = [
            note
            for note in range(first + 1, last + 1)
            if any(_is_jump(part, k) for k in range(bars[note - 1], bars[note]))
        ]
        lasts = [note - 1 for note in jumps]
        divided += zip([first, *jumps], [*lasts, last], strict=True)
    return tuple(divided)


def following_breath(
    part: Part, choice: Choice, step: int, spans: Sequence[tuple[int, int]]
) -> Choice | None:
    """Choose the notes played on one breath, after the choice or before it.

    Parameters
    ----------
    step : int
        1 for after, -1 for before.
    spans : sequence of (int, int)
        First and last note of each breath's notes, from `breath_to_breath`.

    Returns
    -------
    Choice or None
        Those notes, and the bars they lie in; None where there are none.
    """
    here = choice.notes[0] if choice.notes else _first_note(part, choice)
    if step < 0:
        found = next((span for span in reversed(spans) if span[0] < here), None)
    elif choice.notes:
        found = next((span for span in spans if span[0] > here), None)
    else:
        found = next((span for span in spans if span[0] >= here), None)
    if found is None:
        return None
    segment = cut_notes(part, *found)
    return Choice((segment.first, segment.last), found)


def parts_of(
    part: Part,
    spans: Sequence[tuple[int, int]] | None,
    ends: Sequence[float],
    size: int,
) -> list[tuple[int, int]]:
    """Cut a part into parts to practise alone, each with the downbeat of the next.

    Parameters
    ----------
    spans : sequence of (int, int), optional
        First and last note of each breath's notes, at which to cut; without them, at
        the ends of phrases.
    ends : sequence of float
        How likely a phrase ends in each gap between notes, 0 to 1.
    size : int
        Bars of a part where nothing asks for more or less; from half as many to
        twice as many otherwise.

    Returns
    -------
    list of (int, int)
        First and last bar of each; one that holds all where there is nothing to cut.
    """
    last = len(part.bars) - 1
    starts = [0]
    if spans is None:
        likely = _phrase_starts(part, ends)
        while last - starts[-1] > size + size // 2:
            near = starts[-1] + size
            choices = range(near - size // 2, min(near + size, last) + 1)
            best = max(choices, key=lambda bar: (likely[bar], -abs(bar - near)))
            starts.append(best)
    else:
        for cut in (cut_notes(part, *span).first for span in spans):
            if cut - starts[-1] >= size:
                starts.append(cut)
    return list(zip(starts, [*starts[1:], last], strict=True))


def _phrase_starts(part: Part, ends: Sequence[float]) -> list[float]:
    """Tell of each bar how likely a phrase begins with it, or on the beat before.

    Of a bar inside which one begins a little less: parts that share it have both
    phrases whole, with a few notes of the other.
    """
    likely = [0.0] * len(part.bars)
    onsets = [bar.onset for bar in part.bars]
    for note, end in zip(part.notes[1:], ends, strict=True):
        bar = bisect_right(onsets, note.onset + part.tempo.beat) - 1
        is_inside = note.onset >= onsets[bar] + part.tempo.beat
        worth = end * INSIDE_SHARE if is_inside else end
        likely[bar] = max(likely[bar], round(worth, LIKELY_DIGITS))
    return likely


INSIDE_SHARE = 0.8
"""A phrase that begins inside a bar is as good a cut as one this likely that begins
with it: our own choice."""


LIKELY_DIGITS = 1
"""Phrase ends that are so nearly as likely are taken as one; the length decides."""


def _has_notes(part: Part, first: int, last: int) -> bool:
    """Tell whether a note starts in some bars."""
    start, end = part.bars[first].onset, part.bars[last].end
    return any(start <= note.onset < end for note in part.notes)


def _first_note(part: Part, choice: Choice) -> int:
    """Index of the first note at the choice's first bar or after it."""
    start = part.bars[choice.bars[0]].onset
    return sum(1 for note in part.notes if note.onset < start)
