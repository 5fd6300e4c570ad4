"""What the page and the run need from outside: parts, plans, a conductor."""

from __future__ import annotations

from contextlib import contextmanager, suppress
from pathlib import Path
from typing import TYPE_CHECKING

from coach.errors import ScoreError
from coach.wiring.open_rehearsal import (
    open_conductor,
    open_ear,
    wall_time,
    wishes_of,
)
from coach.wiring.studio.studio_open import StudioOpen

if TYPE_CHECKING:
    import argparse
    from collections.abc import Iterator, Sequence

    from coach.conductor import Conductor
    from coach.edges.scores.score_process import ScoreChild
    from coach.planning.edits import Edits
    from coach.planning.plan import Plan
    from coach.planning.reach import Reach
    from coach.planning.slide.slide import Placement
    from coach.rehearsal.learning.level_band import LevelBand
    from coach.rehearsal.review.review import Review
    from coach.rehearsal.stand.wishes import RunWishes
    from coach.score.note import Note
    from coach.score.phrase import Part
    from coach.screens.phrase.phrase_needs import PhraseNeeds
    from coach.screens.phrase.reach_screen import ReachNeeds
    from coach.screens.run.run_needs import RunNeeds

REACH_NOTCHES = 12
"""Tempi of the reach curve, over the segment that a player would try."""

REACH_SLOWEST_SHARE = 0.5
REACH_FASTEST_SHARE = 1.25


if TYPE_CHECKING:

    class PagesFloor(
        StudioOpen,
        PhraseNeeds,
        ReachNeeds,
        RunNeeds,
    ):
        """What the screens are promised; loaded by the type checker alone."""

else:
    PagesFloor = StudioOpen


class StudioPages(PagesFloor):
    """Parts as they are opened, planned and rehearsed."""

    def __init__(self, arguments: argparse.Namespace) -> None:
        super().__init__(arguments)
        self._asked = getattr(arguments, "etude", None)
        self._first_path = self._open_path = ""
        self._moved: dict[str, int] = {}
        self._readers: list[ScoreChild] = []

    def list_parts(self, path: str) -> Sequence[str]:
        """Name the parts of a score that may be meant."""
        from coach.edges.scores.given_words import given_part
        from coach.edges.scores.part_list import choose_part
        from coach.edges.scores.score_files import list_parts

        with self._reading() as child:
            entries = list_parts(Path(path), child=child)
        given = given_part(Path(path))
        with suppress(ScoreError):
            if given:
                return [choose_part(entries, given, path)[0].name]
        return [entry.name for entry in entries]

    def own_line(self, names: Sequence[str]) -> int:
        """Tell which of several parts is likely the player's own."""
        from coach.wiring.instrument_files import find_own_line

        return find_own_line(names, self._instrument) or 0

    def open_part(self, path: str, part: str | None = None) -> Part:
        """Read a part."""
        from coach.wiring.moved_etudes import open_moved

        self._open_path = path
        self._first_path = self._first_path or path
        asked = self._moved.pop(path, None)
        with self._reading() as child:
            return open_moved(
                Path(path), part, asked, instrument=self._instrument, child=child
            )

    @contextmanager
    def _reading(self) -> Iterator[ScoreChild]:
        """Give a child that reads, and can be stopped while it does."""
        from coach.edges.scores.score_process import ScoreChild

        with ScoreChild() as child:
            self._readers.append(child)
            try:
                yield child
            finally:
                self._readers.remove(child)

    def stop_opening(self) -> None:
        """End what is being read at once."""
        for child in list(self._readers):
            child.stop()

    def move_first(self, path: str, semitones: int) -> None:
        """Move an etude when it is opened."""
        self._moved[path] = semitones

    def move_further(self, path: str, part: str | None, semitones: int) -> Part:
        """Move a part by so much more, and keep it so."""
        from coach.wiring.moved_etudes import move_further

        return move_further(Path(path), part, semitones)

    def rehearse(self, part: Part, wishes: RunWishes | None = None) -> Conductor:
        """Make the conductor of a rehearsal, for the air as it is known by now."""
        from coach.rehearsal.outside import Outside

        self.learn_air()
        if wishes is None:
            # What the coach was called with goes with the etude it was called for,
            # which is opened first; it may have been left before it was read.
            is_asked = bool(self._asked) and self._open_path == self._first_path
            if is_asked:
                self._asked = None
            wishes = wishes_of(part, self._arguments if is_asked else None)
        if self._ear is None:
            self._ear = open_ear(self._player)
        outside = Outside(self._player, self.log, self._clock, wall_time, self._ear)
        return open_conductor(part, self.planner, outside, wishes)

    def learn_air(self) -> None:
        """Make plans from now on for what the runs have taught of the player's air."""
        self.planner.learn_from(self.log)

    def review(self, part: Part) -> Review:
        """Sum up the runs of a part."""
        return self.rehearse(part).review(self.planner.air.estimate)

    def level_band(self, plan: Plan) -> LevelBand | None:
        """Lay out a plan's air for either end of what runs tell of the player."""
        return self.planner.air.band_of(plan)

    def usual_dial(self) -> float:
        """Tell where the dial of alternates stands unless it is moved."""
        return self.planner.settings.slide.dial_share

    def ways_to_play(self, note: Note) -> Sequence[Placement]:
        """List the positions or fingerings of a note, the usual one first."""
        return self.planner.instrument.choices(note.sounding.midi)

    def tongued(self, plan: Plan) -> Plan:
        """Plan the same tongued throughout in usual positions."""
        return self.planner.plan_tongued(plan)

    def mark_part(self, plan: Plan, path: str) -> str:
        """Write the part with its marks for the stand, and tell where it lies."""
        from coach.wiring.plans.marked_part import keep_marked_part

        return str(keep_marked_part(plan, Path(path)))

    def reach(self, part: Part, edits: Edits) -> Reach:
        """Plan at many tempi."""
        slowest = part.tempo.bpm * REACH_SLOWEST_SHARE
        fastest = part.tempo.bpm * REACH_FASTEST_SHARE
        step = (fastest - slowest) / (REACH_NOTCHES - 1)
        bpms = {slowest + k * step for k in range(REACH_NOTCHES)}
        return self.planner.reach(part, sorted({*bpms, part.tempo.bpm}), edits)

    def check_page(self, path: str) -> Sequence[tuple[str, str]]:
        """Sum up what was read of a page."""
        from coach.planning.page_words import page_words

        return page_words(self.open_part(path), self.planner.instrument)
