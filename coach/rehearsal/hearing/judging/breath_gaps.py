"""Find the gaps between notes that were breaths, and not how the player plays.

Conventions
-----------
Times are run time in seconds, notes are counted from 0 as on the page.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import HeardBreath, HeardNote
from coach.rehearsal.hearing.judging.judging_settings import GapSettings
from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class _Joint:
    """Two notes that were heard one after the other."""

    before: int
    """Index of the first."""

    ended: Seconds
    """When that stopped."""

    turned: Seconds
    """When the second began."""

    lasts_s: float
    """How long it was from the first to the second."""

    waited_s: float
    """How much of the gap the player, ahead before it, only waited for the beat."""

    sank_db: float
    """How far the sound sank in it."""

    is_planned: bool
    """The plan has a breath here."""

    has_rest: bool
    """The page has a rest here that is long enough for one."""

    @property
    def gap_s(self) -> float:
        """How long nothing sounded."""
        return self.turned - self.ended


def find_breaths(
    notes: Sequence[HeardNote],
    sank_db: Mapping[int, float],
    due: DuePart,
    settings: GapSettings,
) -> tuple[HeardBreath, ...]:
    """Find the breaths that were taken.

    Where none is planned a gap is one only if it is longer than most after notes about
    as long: a detached player leaves gaps everywhere.  Where too few tell, it is one
    only among notes that are joined.

    Parameters
    ----------
    notes : sequence of HeardNote
        All notes of the page, in order.
    sank_db : mapping
        How far the sound sank before each that was heard, by its index.
    """
    joints = list(_joints(notes, sank_db, due, settings))
    return tuple(
        HeardBreath(joint.before, joint.ended, joint.turned, joint.is_planned)
        for k, joint in enumerate(joints)
        if joint.sank_db >= settings.valley_db and _is_long(k, joints, settings)
    )


def _joints(
    notes: Sequence[HeardNote],
    sank_db: Mapping[int, float],
    due: DuePart,
    settings: GapSettings,
) -> Iterator[_Joint]:
    """Give the pairs of notes that follow each other and were both heard."""
    planned = {breath.after_note for breath in due.breaths}
    before: int | None = None
    for k, note in enumerate(notes):
        if note.heard is None or note.ended is None:
            if not due.notes[k].is_left_out:
                before = None
            continue
        if before is not None:
            last = notes[before]
            ended, began = last.ended or last.due, last.heard or last.due
            ahead = -float(last.behind or 0.0)
            fell_back = float(note.behind or 0.0) + ahead
            written = float(due.notes[k].due - due.notes[before].written_end)
            yield _Joint(
                before=before,
                ended=ended,
                turned=note.heard,
                lasts_s=float(note.heard - began),
                waited_s=max(0.0, min(ahead, fell_back)),
                sank_db=sank_db[k],
                is_planned=before in planned,
                has_rest=written >= settings.least_s,
            )
        before = k


def _is_long(at: int, joints: Sequence[_Joint], settings: GapSettings) -> bool:
    """Tell whether a gap is long enough for a breath."""
    joint = joints[at]
    if joint.is_planned:
        return joint.gap_s >= settings.least_s
    taken_s = joint.gap_s - joint.waited_s
    if joint.has_rest or taken_s < settings.unplanned_s:
        return False
    first = max(0, at - settings.near_notes)
    near = [
        other
        for other in joints[first : at + settings.near_notes + 1]
        if other is not joint and not other.is_planned and not other.has_rest
    ]
    alike_s = sorted(
        other.gap_s
        for other in near
        if max(other.lasts_s, joint.lasts_s)
        <= settings.alike_factor * min(other.lasts_s, joint.lasts_s)
    )
    if len(alike_s) < settings.least_notes:
        return _are_joined(near, settings)
    usual_s = alike_s[int(settings.usual_share * len(alike_s))]
    return taken_s >= settings.usual_factor * usual_s


def _are_joined(joints: Sequence[_Joint], settings: GapSettings) -> bool:
    """Tell whether the player joins notes, of whatever length they are."""
    joined = [
        joint.gap_s <= max(settings.joined_s, settings.joined_share * joint.lasts_s)
        for joint in joints
    ]
    return len(joined) >= settings.least_notes and sum(
        joined
    ) >= settings.usual_share * len(joined)
