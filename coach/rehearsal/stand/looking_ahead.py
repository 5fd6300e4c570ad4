"""Looks ahead for advice: plans bars that are not on the stand, and remembers them."""

from __future__ import annotations

from coach.errors import CoachError
from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.rehearsal.ahead.outlook import (
    Ahead,
    Bars,
    Elsewhere,
    Outlook,
    look_at,
    sum_up_elsewhere,
)
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.run.playing import Like
from coach.rehearsal.run.run import RunLog
from coach.rehearsal.stand.segment_choice import choose_bars
from coach.rehearsal.stand.stand import Planner
from coach.score.etude_key import EtudeKey
from coach.score.page_facts import span_of
from coach.score.phrase import Part
from coach.score.segment import cut_bars


class LookingAhead:
    """Plans bars of a part at tempos that advice asks about.

    Parameters
    ----------
    acceleration_mps2 : float
        What a trained arm gives the slide.
    """

    def __init__(
        self,
        part: Part,
        planner: Planner,
        log: RunLog,
        ladder: LadderSettings,
        acceleration_mps2: float,
    ) -> None:
        self._part = part
        self._planner = planner
        self._log = log
        self._ladder = ladder
        self._acceleration_mps2 = acceleration_mps2
        self._known: dict[tuple[Bars, float, Edits], Ahead | None] = {}
        self._elsewhere: dict[Like, Elsewhere | None] = {}
        self._anew: dict[tuple[Bars, float, Edits], Ahead | None] = {}
        self._newest: int | None = None
        self._has_learned = self._is_told = False

    def outlook(
        self,
        etude: EtudeKey,
        like: Like,
        edits: Edits,
        at_hand: Plan,
        newest: int | None = None,
    ) -> Outlook:
        """Give what advice asks; the plan at hand is not made again.

        Parameters
        ----------
        newest : int, optional
            Number of the newest run: of each the planner learns no more than once.
        """
        if newest != self._newest:
            self._newest, self._anew = newest, {}
            if self._has_learned:
                self._known, self._has_learned = {}, False
        self._remember(at_hand, edits)
        return Outlook(
            ask=lambda bars, bpm: self._ask(bars, bpm, edits),
            ask_anew=lambda bars, bpm: self._ask_anew(bars, bpm, edits),
            elsewhere=lambda: self._look_elsewhere(etude, like),
        )

    def has_just_learned(self) -> bool:
        """Tell whether the planner knows more of the air since this was asked last."""
        has_learned, self._is_told = self._has_learned and not self._is_told, True
        return has_learned

    def _ask_anew(self, bars: Bars, bpm: float, edits: Edits) -> Ahead | None:
        """Plan bars for the air that the runs have taught by now.

        What was known of them stays known until another run, so that what is new can
        be told as often as it is asked for.
        """
        key = (bars, bpm, edits)
        if key not in self._anew:
            if not self._has_learned:
                self._planner.learn()
                self._has_learned, self._is_told = True, False
            self._anew[key] = self._plan(bars, bpm, edits)
        return self._anew[key]

    def _remember(self, plan: Plan, edits: Edits) -> None:
        """Keep what is known of the whole part."""
        if plan.part is self._part:
            key = (span_of(plan.part), plan.bpm, edits)
            if key not in self._known:
                self._known[key] = self._look(plan)

    def _ask(self, bars: Bars, bpm: float, edits: Edits) -> Ahead | None:
        """Plan bars at a tempo, unless that was done."""
        key = (bars, bpm, edits)
        if key not in self._known:
            self._known[key] = self._plan(bars, bpm, edits)
        return self._known[key]

    def _plan(self, bars: Bars, bpm: float, edits: Edits) -> Ahead | None:
        """Plan bars at a tempo; too many notes would keep the player waiting."""
        try:
            segment = cut_bars(self._part, *choose_bars(self._part, *bars).bars)
            count = len(segment.part.notes)
            if count > self._ladder.most_notes_ahead_count:
                return None
            inside = edits.within(segment.first_note, count)
            return self._look(self._planner.plan(segment.part, bpm, inside))
        except CoachError:
            return None

    def _look(self, plan: Plan) -> Ahead:
        """Tell what a plan asks."""
        return look_at(plan, self._ladder.pace_window_s, self._acceleration_mps2)

    def _look_elsewhere(self, etude: EtudeKey, like: Like) -> Elsewhere | None:
        """Tell what other etudes tell; while this one is rehearsed they stay."""
        if like not in self._elsewhere:
            played = self._log.list_played(self._ladder.elsewhere_runs, like)
            self._elsewhere[like] = sum_up_elsewhere(
                [one for one in played if one.run.etude_key != etude.fingerprint],
                self._ladder,
            )
        return self._elsewhere[like]
