"""How detached a player plays: the gaps that lie between notes with no breath there."""

from __future__ import annotations

from collections import deque
from dataclasses import dataclass

from coach.rehearsal.hearing.following.following_settings import LiveBreathSettings
from coach.rehearsal.hearing.following.joints import A_HAIR_S, Joint

NONE = -1
"""No note."""


@dataclass(frozen=True, slots=True)
class _Gap:
    """What lay between two notes."""

    after: int
    """Index of the second."""

    note_s: float
    """From the beginning of the first to that of the second, as due."""

    lasts_s: float
    """How long the gap was."""


class UsualGaps:
    """Remembers the last gaps, and tells which gap would be one more of them.

    Nobody can know yet whether a gap was a breath: all count, and a few do not move
    what most of them say.  Slurs say nothing of tongued notes, nor these of them.  But
    nobody breathes before a note and after it: a gap right before it counts by itself.
    """

    def __init__(self, settings: LiveBreathSettings) -> None:
        self._settings = settings
        known = settings.known_joints
        self._tongued: deque[_Gap] = deque(maxlen=known)
        self._slurred: deque[_Gap] = deque(maxlen=known)
        self._joined: deque[bool] = deque(maxlen=settings.usual_joints)
        self._before = _Gap(NONE, 0.0, 0.0)

    def add(self, joint: Joint, gap_s: float) -> None:
        """Add the gap between two notes between which nothing is planned or written."""
        settings, length_s = self._settings, joint.length
        most_s = max(settings.joined_s, settings.joined_share * length_s)
        self._joined.append(gap_s <= most_s)
        self._before = _Gap(joint.after, length_s, gap_s)
        if length_s >= settings.usual_note_s:
            self._of(joint).append(self._before)

    @property
    def are_joined(self) -> bool:
        """The player is known to join tongued notes."""
        last = list(self._tongued)[-self._settings.usual_joints :]
        gaps_s = [gap.lasts_s for gap in last]
        return (
            len(gaps_s) >= self._settings.least_joints
            and self._most(gaps_s) <= self._settings.joined_s
        )

    def usual_at(self, joint: Joint) -> float:
        """Tell how long a gap may be between two notes with no breath there.

        Longer notes are cut by more than shorter ones, but not what the tongue takes.
        Where too few are known and notes of any length are not joined, nobody can say:
        it may be endless.
        """
        settings, last = self._settings, self._of(joint)
        if len(last) < settings.least_joints and not self._are_all_joined:
            return float("inf")
        alike = [gap for gap in last if self._are_alike(gap.note_s, joint.length)]
        if len(alike) < settings.least_joints:
            alike = list(last)
        gaps_s = [self._scaled(gap, joint) for gap in alike[-settings.usual_joints :]]
        usual_s = self._most(gaps_s) if gaps_s else 0.0
        is_next = self._before.after == joint.before
        return max(usual_s, self._scaled(self._before, joint) if is_next else 0.0)

    def _scaled(self, gap: _Gap, joint: Joint) -> float:
        """Tell how long a gap is that is to a longer note as another was to its own."""
        longer = max(0.0, joint.length - gap.note_s) / max(A_HAIR_S, gap.note_s)
        return gap.lasts_s + longer * max(0.0, gap.lasts_s - self._settings.joined_s)

    @property
    def _are_all_joined(self) -> bool:
        """Most notes of any length and kind were joined."""
        settings, count = self._settings, len(self._joined)
        is_known = count >= settings.least_joints
        return is_known and sum(self._joined) >= settings.usual_share * count

    def _are_alike(self, one_s: float, other_s: float) -> bool:
        """Tell whether two notes are about as long as each other."""
        return max(one_s, other_s) <= self._settings.alike_factor * min(one_s, other_s)

    def _of(self, joint: Joint) -> deque[_Gap]:
        """Give what is remembered of notes that are begun alike."""
        return self._slurred if joint.is_slurred else self._tongued

    def _most(self, gaps_s: list[float]) -> float:
        """Tell what most gaps are no longer than."""
        return sorted(gaps_s)[round(self._settings.usual_share * (len(gaps_s) - 1))]
