"""What the player has asked for, and what lies on the stand because of it.

`Requests` never change; each wish gives new ones.  A wish that cannot be met (bars that
are not there, no plan that fits) raises, and the requests at hand stay as they are.
While a run plays, what lies on the stand stays there: wishes wait until `renewed`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime

from coach.planning.breathing.breaths import breath_to_breath
from coach.planning.edits import Edits
from coach.planning.page_words import say_segment
from coach.rehearsal.review.advice import Standing
from coach.rehearsal.stand.segment_choice import (
    Choice,
    choose_bars,
    choose_whole,
    cut_choice,
    divide_at_jumps,
    following_bars,
    following_breath,
    parts_of,
)
from coach.rehearsal.stand.stand import Stand, StandMaker
from coach.rehearsal.stand.wishes import RunWishes
from coach.score.page_facts import span_of, span_on_page
from coach.score.phrase import Part


@dataclass(frozen=True, slots=True)
class Requests:
    """The whole part, the wishes, and what is on the stand."""

    part: Part
    """The whole part."""

    maker: StandMaker
    """Plans segments and lays their tracks."""

    segment_bars: int
    """Bars of a segment when none has been chosen yet."""

    wishes: RunWishes
    """How the next run will be."""

    choice: Choice
    """Which segment is asked for."""

    edits: Edits
    """What the player insists on, counted in the whole part."""

    stand: Stand
    """What is played now, or next."""

    is_stale: bool = False
    """The stand does not yet show what was asked for."""

    spans: tuple[tuple[int, int], ...] | None = None
    """The whole part's notes divided at its breaths; None until asked for."""

    @property
    def order(self) -> tuple[object, ...]:
        """Everything that the stand depends on."""
        wishes = self.wishes
        return (
            self.choice,
            self.edits,
            wishes.bpm,
            wishes.click,
            wishes.lead_in_bars,
            wishes.overlaps,
            wishes.room_beats,
        )

    def asked(
        self,
        *,
        is_free: bool,
        wishes: RunWishes | None = None,
        choice: Choice | None = None,
        edits: Edits | None = None,
    ) -> Requests:
        """Take new wishes: onto the stand if it is free, else for the next run.

        Parameters
        ----------
        is_free : bool
            No run plays or waits for a word.
        wishes, choice, edits : optional
            What is asked for anew; the rest stays.

        Raises
        ------
        CoachError
            If they cannot be met.
        """
        new = replace(
            self,
            wishes=self.wishes if wishes is None else wishes,
            choice=self.choice if choice is None else choice,
            edits=self.edits if edits is None else edits,
        )
        if new.order != self.order:
            new = replace(new, is_stale=True)
        if (new.wishes.bpm, new.edits) != (self.wishes.bpm, self.edits):
            new = replace(new, spans=None)
        if is_free:
            return new.renewed()
        cut_choice(new.part, new.choice, new.wishes)
        return new

    def choose(self, choice: Choice, *, is_free: bool) -> Requests:
        """Ask for a segment; the wishes name its bars too."""
        first, last = self.numbers(choice)
        wishes = replace(self.wishes, from_bar=first, to_bar=last, is_open=frozenset())
        return self.asked(is_free=is_free, wishes=wishes, choice=choice)

    def renewed(self) -> Requests:
        """Put what was asked for on the stand."""
        if not self.is_stale:
            return self
        segment = cut_choice(self.part, self.choice, self.wishes)
        stand = self.maker.put_up(segment, self.wishes, self.edits, self.stand)
        return replace(self, stand=stand, is_stale=False)

    def divided(self) -> Requests:
        """Know where the breaths of the whole part divide it at this tempo."""
        if self.wishes.segment_by == "bars" or self.spans is not None:
            return self
        plan = self.maker.planner.plan(self.part, self.wishes.bpm, self.edits)
        spans = breath_to_breath(plan.breaths.breaths, len(self.part.notes))
        return replace(self, spans=divide_at_jumps(self.part, spans))

    def following(self, choice: Choice, step: int) -> Choice | None:
        """Find the segment after a choice (`step` 1) or before it (-1).

        By bars these are the parts to practise alone, where the choice is one of them
        or the whole; else as many bars as now.
        """
        if self.wishes.segment_by == "bars" or self.spans is None:
            parts = [choose_bars(self.part, *bars) for bars in self.parts()]
            if choice == choose_whole(self.part) and len(parts) > 1:
                return parts[0 if step > 0 else -1]
            if choice in parts:
                k = parts.index(choice) + step
                return parts[k] if 0 <= k < len(parts) else None
            return following_bars(self.part, choice, step, self.segment_bars)
        return following_breath(self.part, choice, step, self.spans)

    def numbers(self, choice: Choice) -> tuple[int, int]:
        """Give the numbers on the page of a choice's first and last bar."""
        return span_on_page(self.part, *choice.bars)

    def say(self, choice: Choice) -> str:
        """Name a choice by its bars, and by their order where that is another."""
        first, last = choice.bars
        return say_segment(*self.numbers(choice), self.part.bars[first : last + 1])

    def parts(self) -> list[tuple[int, int]]:
        """Give the numbers of the parts to practise alone, as they stand on the page.

        What is played a second time is no part of its own.
        """
        ends = self.maker.planner.phrase_ends(self.part)
        cut = parts_of(self.part, self.spans, ends, self.segment_bars)
        parts: list[tuple[int, int]] = []
        for first, last in (self.numbers(Choice(bars)) for bars in cut):
            known = parts[-1][1] if parts else first
            if last > known or not parts:
                parts.append((max(first, known), last))
        return parts

    def standing(self, choice: Choice, now: datetime) -> Standing:
        """Say where the rehearsal stands, for advice about a choice."""
        is_from_end = self.wishes.is_from_end
        is_whole = choice == choose_whole(self.part)
        from_bar, to_bar = self.numbers(choice)
        parts = self.parts()
        following = None
        if not is_whole:
            following = _next_part(parts, (from_bar, to_bar), is_from_end=is_from_end)
        if following is None and not is_whole and not is_from_end:
            further = self.following(choice, 1)
            following = None if further is None else self.numbers(further)
        return Standing(
            from_bar=from_bar,
            to_bar=to_bar,
            is_whole=is_whole,
            bpm=self.wishes.bpm,
            goal_bpm=self.part.tempo.bpm,
            following=following,
            bars=span_of(self.part),
            now=now,
            is_from_end=is_from_end,
            room_beats=self.stand.room_beats,
            is_open="tempo" in self.wishes.is_open,
            has_breaths=(
                choice == self.choice and bool(self.stand.plan.breaths.breaths)
            ),
            parts=tuple(parts),
        )


def _next_part(
    parts: Sequence[tuple[int, int]], bars: tuple[int, int], *, is_from_end: bool
) -> tuple[int, int] | None:
    """Give the part after some bars, or from the end these and the part before.

    None where they are no such part, or where there is nothing further to go.
    """
    if is_from_end:
        before = [first for first, _ in parts if first < bars[0]]
        is_cut = bars[0] in [first for first, _ in parts]
        return (before[-1], bars[1]) if before and is_cut else None
    further = [part for part in parts if part[0] >= bars[1]]
    return further[0] if bars in parts and further else None


def lay_requests(
    part: Part, maker: StandMaker, wishes: RunWishes, edits: Edits, segment_bars: int
) -> Requests:
    """Lay the requests for a part.

    Parameters
    ----------
    segment_bars : int
        Bars of a segment when none has been chosen yet.

    Raises
    ------
    CoachError
        If the wishes cannot be met.
    """
    choice = choose_bars(part, wishes.from_bar, wishes.to_bar)
    segment = cut_choice(part, choice, wishes)
    stand = maker.put_up(segment, wishes, edits)
    return Requests(part, maker, segment_bars, wishes, choice, edits, stand)
