"""What was heard of a run, by hand: played as planned but for what a test says."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from coach.planning.plan import Plan
from coach.rehearsal.gear.gear import RunHeard
from coach.rehearsal.hearing.due_part import DuePart, due_part
from coach.rehearsal.hearing.following.told import StartWish
from coach.rehearsal.hearing.heard import (
    Evenness,
    Heard,
    HeardBreath,
    HeardNote,
    ToldAgainst,
)
from coach.rehearsal.hearing.take import TakenClick
from coach.rehearsal.hearing.telling_settings import TellingSettings
from coach.score.tempo import Seconds

TELLING = TellingSettings(
    sure_share=0.8,
    clean_share=0.9,
    spent_db_per_s=0.5,
    other_tempo_share=0.04,
    far_tempo_share=0.3,
)


def heard_by_hand(plan: Plan, **changes: Any) -> Heard:
    """Let a plan be heard as it is planned, with some things changed."""
    return heard_of(due_part(plan), **changes)


def heard_of(due: DuePart, **changes: Any) -> Heard:
    """Let all that is due be heard when it is due, with some things changed."""
    heard = Heard(
        notes=tuple(
            HeardNote(
                due=note.due,
                heard=note.due,
                ended=note.end,
                behind=Seconds(0.0),
                level_db=-20.0,
                cents=0.0,
                midi=note.midi,
                confidence=0.95,
            )
            for note in due.notes
        ),
        breaths=tuple(
            HeardBreath(breath.after_note, breath.start, breath.end, True)
            for breath in due.breaths
        ),
        rushed=(),
        dragged=(),
        late_after_breath=(),
        missed=(),
        wrong=(),
        ran_out=None,
        evenness=Evenness(slope_db_per_s=0.0, spread_db=1.0),
        thin=(),
        offset=Seconds(-4.0),
        tuning_cents=0.0,
        own_tempo_share=1.0,
        stopped=None,
        began_again=(),
        told_against=ToldAgainst.CLICK,
        confidence=0.95,
    )
    return replace(heard, **changes)


class HandEar:
    """An `Listener` that hears what a test says, when the test says so."""

    def __init__(self) -> None:
        self.is_open = False
        self.run_id: int | None = None
        self.asked: list[tuple[int, DuePart, tuple[TakenClick, ...]]] = []
        self.kept: list[int] = []
        self.thrown_away: list[int] = []
        self.played: list[tuple[int, Seconds]] = []
        self.times_hushed = 0
        self.changed: list[DuePart] = []
        self.wish: StartWish | None = None
        self.passed_over = 0
        self.is_followed = False

    def open(self) -> None:
        self.is_open = True

    def close(self) -> None:
        self.is_open, self.run_id = False, None

    def begin(self, run_id: int, due: DuePart, *, is_followed: bool) -> None:
        self.is_open, self.run_id, self.begun = True, run_id, due
        self.is_followed = is_followed

    def change(self, due: DuePart) -> None:
        self.changed.append(due)

    def await_start(self, wish: StartWish) -> None:
        self.wish = wish

    def pass_over(self) -> None:
        self.passed_over += 1

    def drop(self) -> None:
        self.run_id = None

    def hear(
        self,
        run_id: int,
        due: DuePart,
        clicks: tuple[TakenClick, ...],
        until: Seconds,
    ) -> None:
        assert run_id == self.run_id
        self.until = until
        self.asked.append((run_id, due, clicks))

    def keep(self, run_id: int) -> None:
        self.kept.append(run_id)

    def throw_away(self, run_id: int) -> None:
        self.thrown_away.append(run_id)

    def play(self, run_id: int, since: Seconds) -> None:
        self.played.append((run_id, since))

    def hush(self) -> None:
        self.times_hushed += 1

    def answer(self, **changes: Any) -> RunHeard:
        """Say of the newest run that it was as planned but for this."""
        run_id, due, _ = self.asked[-1]
        return RunHeard(run_id, heard_of(due, **changes))
