"""What parts two notes in the last looks: a silence, or a sinking.

Where a room rings long, no silence is between two notes: what sounded before sinks, and
rises again with the note that begins.

Conventions
-----------
Times are run time in seconds; levels are decibels of full scale.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from coach.rehearsal.hearing.following.following_settings import LiveBreathSettings
from coach.rehearsal.hearing.following.joints import Joint
from coach.rehearsal.hearing.following.recent_looks import RecentLooks, Silence


@dataclass(frozen=True, slots=True)
class GapPlace:
    """Where the gap between two notes is looked for."""

    begin: float
    """From here on."""

    due: float
    """When the second note is due, as far behind as the player is."""

    early: float
    """The gap ends at most so much before that ..."""

    late: float
    """... and at most so much after it."""


class JointGaps:
    """Finds what parts notes, and tells whether it may be a breath."""

    def __init__(self, looks: RecentLooks, settings: LiveBreathSettings) -> None:
        self._looks, self._settings = looks, settings

    def gaps(self, place: GapPlace, *, is_planned: bool) -> Iterator[Silence]:
        """Give what may part two notes: a silence, and where one is planned a sinking.

        Elsewhere a softer note may sink as far.
        """
        found = [self.silence(place)]
        if is_planned:
            found.append(_longest(self._sinkings(place.begin, place.due), place))
        return (gap for gap in found if gap is not None)

    def silence(self, place: GapPlace) -> Silence | None:
        """Find the longest silence that may lie between two notes."""
        silences = self._looks.silences(place.begin, self._settings.blip_s)
        return _longest(silences, place)

    def _sinkings(self, begin: float, end: float) -> Iterable[Silence]:
        """List sinkings from a moment on, below what sounds until another one."""
        settings, looks = self._settings, self._looks
        under_db = looks.loud_db(begin, end) - settings.sunk_db
        return looks.sinkings(begin, under_db, settings.blip_s, settings.rise_db)

    def parts(self, joint: Joint, gap: Silence) -> bool:
        """Tell whether a gap is deep enough, with the two notes on its sides."""
        settings, looks = self._settings, self._looks
        before = (gap.begin - settings.sure_s, gap.begin)
        after = (gap.end, gap.end + settings.sure_s)
        sides = min(looks.level_db(*before), looks.level_db(*after))
        lowest = looks.lowest_db(gap.begin, gap.end)
        is_bare = lowest <= looks.floor_db + settings.bare_db
        is_shallow = joint.is_planned or is_bare
        least_db = settings.shallow_db if is_shallow else settings.depth_db
        return (
            sides - lowest >= least_db
            and self._is_note(joint.keys[0], (joint.earlier, joint.keys[1]), *before)
            and self._is_note(joint.keys[1], (joint.keys[0], joint.later), *after)
        )

    def _is_note(
        self, key: int, beside: tuple[int | None, int | None], begin: float, end: float
    ) -> bool:
        """Tell whether a note sounds, as on the page or wrong.

        A clear pitch that is of neither note beside it is a wrong one.  What is of one
        of them may be held or ring on, or come too early, and itself be left out.
        """
        looks, settings = self._looks, self._settings
        if looks.is_key(key, begin, end, settings.fit_slack):
            return True
        return looks.clearest(begin, end, settings.wrong_fit) not in (None, *beside)

    def is_joined(self, middle: float, at: float, after: float) -> bool:
        """Tell whether nothing parts two notes for sure.

        A sinking counts up to the second note: what is softer from then on is that.

        Parameters
        ----------
        middle, at, after : float
            A moment in the first note, the beginning of the second, and one in that.
        """
        settings = self._settings
        gaps = [
            (silence.begin, silence.length, settings.whole_s)
            for silence in self._looks.silences(middle, 0.0)
        ]
        gaps += [
            (sinking.begin, min(sinking.end, at) - sinking.begin, settings.taken_s)
            for sinking in self._sinkings(middle, at)
        ]
        return all(length < least or begin > after for begin, length, least in gaps)


def _longest(gaps: Iterable[Silence], place: GapPlace) -> Silence | None:
    """Give the longest gap that may be the one, of those that end where it may."""
    first, last = place.due - place.early, place.due + place.late
    found = [
        gap
        for gap in gaps
        if gap.begin <= last and (not gap.is_over or first <= gap.end <= last)
    ]
    return max(found, key=lambda gap: gap.length, default=None)
