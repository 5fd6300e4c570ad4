"""Follows a run on the click's time: breaths, stops and loudness as they are heard.

The page and the track are known, so nothing is searched for: what sounds is held
against the notes that are due about now.  A player who cannot be followed, or a sound
that may be anything, gets no word.

Conventions
-----------
Times are run time in seconds.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from itertools import pairwise
from statistics import median
from typing import Literal

from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.features.features import LookGrid, Row
from coach.rehearsal.hearing.following.following_settings import FollowingSettings
from coach.rehearsal.hearing.following.joint_gaps import GapPlace, JointGaps
from coach.rehearsal.hearing.following.joints import Joint, lay_joints
from coach.rehearsal.hearing.following.own_loudness import OwnLoudness
from coach.rehearsal.hearing.following.recent_looks import RecentLooks, Silence
from coach.rehearsal.hearing.following.told import (
    BreathTold,
    LoudnessTold,
    StopTold,
    Told,
)
from coach.rehearsal.hearing.following.usual_gaps import UsualGaps
from coach.score.tempo import Seconds

NEAR_S = 0.15
SHARE_OF_NOTE = 0.45
"""How far around its time a note is looked for: it, or this share of a short one."""

FROM_SHARE, TO_SHARE = 0.2, 0.8
"""What lies between these shares of a note is its middle."""

HALF = 0.5

BAR_BEATS = 4.0
"""A run of a single bar is as long as this."""


class Follower:
    """Follows one run.

    `follow` each lot of looks as it comes; `change` what is due when breaths move.
    """

    def __init__(
        self, due: DuePart, grid: LookGrid, settings: FollowingSettings
    ) -> None:
        self._settings = settings
        self._looks = RecentLooks(
            grid, [note.midi for note in due.notes], settings.sounding
        )
        self._between = JointGaps(self._looks, settings.breaths)
        self._behind: deque[float] = deque(maxlen=settings.breaths.behind_notes)
        self._gaps = UsualGaps(settings.breaths)
        self._held: deque[bool] = deque(maxlen=settings.breaths.trusted_notes)
        self._done = -1
        self._used = -float("inf")
        self._has_stopped = self._was_trusted = False
        self._loudness = OwnLoudness(settings.levels)
        self.change(due)

    def change(self, due: DuePart) -> None:
        """Follow what is due now: breaths have moved."""
        self._due = due
        self._joints = lay_joints(due)

    @property
    def behind(self) -> float:
        """How far the player is behind the click, as far as is known."""
        return median(self._behind) if self._behind else 0.0

    def follow(self, rows: Sequence[Row], began: float) -> list[Told]:
        """Take looks; `began` is the run time of the very first of all."""
        self._looks.add(rows, began)
        self._find_player()
        return [*self._breaths(), *self._stop()]

    def _find_player(self) -> None:
        """Look where the player is, after notes that were not where they were due."""
        settings, looks = self._settings.breaths, self._looks
        if self.is_trusted or len(self._held) < settings.trusted_notes:
            return
        most, step = settings.most_behind_s, settings.step_s
        last = looks.now - most - settings.sure_s
        notes = [
            note
            for note in self._due.notes
            if not note.is_left_out and last - settings.searched_s <= note.due <= last
        ]
        if len(notes) < settings.trusted_notes:
            return
        keys = [note.midi for note in notes]
        middles = [float(note.due + note.end) / 2 for note in notes]

        def share(behind: float) -> float:
            times = [middle + behind for middle in middles]
            return looks.match_share(keys, times, settings.fit_slack)

        tried = [k * step for k in range(-round(most / step), round(most / step) + 1)]
        best = max(tried, key=lambda behind: (share(behind), -abs(behind)))
        if share(best) >= settings.found_share:
            alike = [behind for behind in tried if share(behind) >= share(best)]
            self._behind = deque([median(alike)], maxlen=settings.behind_notes)
            self._held.extend([True] * settings.trusted_notes)

    @property
    def is_trusted(self) -> bool:
        """The player is where the click is, and plays what is on the page."""
        settings = self._settings.breaths
        held, all_of_it = sum(self._held), self._held.maxlen or 0
        return (
            held >= settings.least_held_share * all_of_it
            and abs(self.behind) <= settings.most_behind_s
        )

    def _breaths(self) -> Iterator[Told]:
        """Judge what lies between notes that have just been due."""
        settings = self._settings.breaths
        for joint in self._joints:
            if joint.before <= self._done:
                continue
            if joint.due + self.behind + settings.sure_s > self._looks.now + NEAR_S:
                return
            place = self._place(joint)
            verdict = self._judge(joint, place)
            if verdict == "wait":
                return
            self._done = joint.before
            self._learn_gap(joint, place)
            loudness = self._learn(joint)
            if verdict is not None:
                yield verdict
            if loudness is not None:
                yield LoudnessTold(Seconds(joint.due), loudness)

    def _judge(
        self, joint: Joint, place: GapPlace
    ) -> BreathTold | Literal["wait"] | None:
        """Tell of a breath between two notes; wait while it cannot be known yet."""
        settings, looks = self._settings.breaths, self._looks
        due, late = place.due, place.late
        for gap in self._between.gaps(place, is_planned=joint.is_planned):
            if not gap.is_over:
                if looks.now < due + settings.late_s + NEAR_S:
                    return "wait"
            elif looks.now < gap.end + settings.sure_s:
                return "wait"
            elif self._is_breath(joint, gap):
                self._used = gap.end
                return BreathTold(joint.before, Seconds(gap.end), is_taken=True)
        shown = float(self._due.notes[joint.turn].due) - joint.due
        if joint.is_planned and shown <= settings.shown_s:
            late += shown
        if looks.now < due + late + settings.sure_s:
            return "wait"
        if joint.is_planned and not joint.has_rest and self._is_whole(joint):
            return BreathTold(joint.before, Seconds(due), is_taken=False)
        return None

    def _place(self, joint: Joint) -> GapPlace:
        """Tell where the gap between two notes is looked for."""
        settings, near = self._settings.breaths, self._near(joint)
        early, late = settings.early_s, settings.late_s
        return GapPlace(
            begin=max(self._used, joint.began + self.behind),
            due=joint.due + self.behind,
            early=early if joint.is_planned else near,
            late=late if joint.is_planned else near,
        )

    def _near(self, joint: Joint) -> float:
        """Tell how far from its time the second note of two is looked for."""
        return min(NEAR_S, SHARE_OF_NOTE * min(joint.due - joint.began, joint.lasts))

    def _is_breath(self, joint: Joint, gap: Silence) -> bool:
        """Tell whether a silence is a breath, between the notes that are due."""
        settings = self._settings.breaths
        if joint.has_rest:
            return joint.is_planned and gap.length >= settings.taken_s
        if gap.length < self._least_gap(joint):
            return False
        length = joint.due - joint.began
        least = min(settings.repeated_share * length, settings.repeated_s)
        if not joint.repeats:
            least = settings.sounded_share * length
        if gap.begin - joint.began - self.behind < least:
            return False
        if not joint.is_planned and not self.is_trusted:
            return False
        return self._between.parts(joint, gap)

    def _least_gap(self, joint: Joint) -> float:
        """Tell from which length on a gap is no mere end of a detached note."""
        settings, gaps = self._settings.breaths, self._gaps
        cut = 0.0 if gaps.are_joined else settings.cut_s
        if joint.is_planned:
            return settings.taken_s + cut
        usual = gaps.usual_at(joint)
        return max(settings.unplanned_s + cut, settings.usual_factor * usual)

    def _is_whole(self, joint: Joint) -> bool:
        """Tell whether the sound goes on from one note to the next for sure.

        Notes of one pitch tell only once another has followed them in its time.
        """
        settings, looks = self._settings.breaths, self._looks
        turn = self._due.notes[joint.turn]
        due, turn_due = joint.due + self.behind, float(turn.due) + self.behind
        middle = (joint.began + self.behind + due) / 2
        keys = joint.keys[0], turn.midi
        at = looks.turn(
            *keys, max(middle, turn_due - settings.early_s), turn_due + settings.late_s
        )
        if at is None or not self.is_trusted:
            return False
        after = at + min(float(turn.end - turn.due), settings.sure_s)
        return (
            self._between.is_joined(middle, at, after)
            and looks.is_key(keys[0], middle, at, settings.fit_slack)
            and looks.is_key(keys[1], at, after, settings.fit_slack)
        )

    def _learn_gap(self, joint: Joint, place: GapPlace) -> None:
        """Learn how detached the player plays, where nothing else parts two notes."""
        if not (joint.is_planned or joint.has_rest):
            gap = self._between.silence(place)
            self._gaps.add(joint, gap.length if gap and gap.is_over else 0.0)

    def _learn(self, joint: Joint) -> float | None:
        """Learn how far behind and how loud a note was that was due.

        Returns
        -------
        float or None
            How loud the player plays now, in steps, where that has changed.
        """
        settings, looks = self._settings.breaths, self._looks
        due, near = joint.due + self.behind, self._near(joint)
        at = looks.turn(*joint.keys, due - near, due + near)
        on = due if at is None else at
        middle = on + joint.lasts * FROM_SHARE, on + joint.lasts * TO_SHARE
        is_held = (
            looks.is_key(joint.keys[1], *middle, settings.fit_slack)
            and looks.sounding_share(*middle) > HALF
        )
        self._held.append(is_held)
        if not is_held:
            return None
        self._was_trusted = self.is_trusted
        if at is not None:
            self._behind.append(at - joint.due)
        page = self._due.notes[joint.after].loud
        return self._loudness.hear(looks.level_db(*middle), page)

    def _stop(self) -> Iterator[Told]:
        """Notice that nothing sounds any more where notes are due."""
        settings, looks = self._settings.stops, self._looks
        ended = looks.last_sound
        if self._has_stopped or ended is None or looks.now - ended < settings.silent_s:
            return
        silent = self._due_within(ended - self.behind, looks.now - self.behind)
        if silent >= settings.silent_bars * self._bar and self._was_trusted:
            self._has_stopped = True
            yield StopTold(Seconds(ended))

    @property
    def _bar(self) -> float:
        """Tell how long a bar is here."""
        starts = self._due.bar_starts
        lengths = [float(b - a) for a, b in pairwise(starts)]
        return median(lengths) if lengths else BAR_BEATS * float(self._due.beat)

    def _due_within(self, begin: float, end: float) -> float:
        """Tell for how long notes are due in a stretch."""
        return sum(
            max(0.0, min(end, note.end) - max(begin, note.due))
            for note in self._due.notes
            if not note.is_left_out
        )
