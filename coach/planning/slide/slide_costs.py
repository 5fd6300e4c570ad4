"""What it costs to go from one note to the next, for every way to play both.

Costs are measured against one quick stroke of the tongue, which is about 1.  What
departs from the page and from habit (alternates, slurs that nobody wrote) is weighed by
where the dial stands, so that with the dial up, departures never become fewer.  What
an alternate must buy grows with the quickness of the notes as strokes and moves do, so
that the dial lets the same ones at every tempo of sixteenths.

A slur that nobody wrote is given only where the arm gets there within the note before,
at no more than a set speed and acceleration.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from math import inf

from coach.planning.instrument.placement import Placement
from coach.planning.slide.arm import is_in_reach, move_time_s, travel_cm
from coach.planning.slide.manners import Manner
from coach.planning.slide.moment import SOFT_BEGINS, Moment, NoteWay, find_returns
from coach.planning.slide.page_articulation import Begin
from coach.planning.slide.slide_settings import SlideSettings
from coach.planning.slide.slide_walk import Link, Rows, Stage
from coach.planning.slide.slurs import CLEAN, Move, move_between


def lay_stages(
    moments: Sequence[Moment], settings: SlideSettings, dial: float
) -> tuple[Stage, ...]:
    """Work out what every step of every walk costs.

    Parameters
    ----------
    dial : float
        From 0, habit and the page, to 1, as many natural slurs as can be.
    """
    restraint = (1.0 - dial) / max(dial, settings.least_dial_share)
    weigher = Weigher(settings, restraint, _manners(moments, settings, restraint))
    known: dict[tuple[int, int, int], Stage] = {}
    stages = []
    before: Moment | None = None
    for moment, back in zip(
        moments, find_returns(moments, settings.leave_notes), strict=True
    ):
        pair = (id(before), id(moment))
        if (*pair, 0) not in known:
            known[*pair, 0] = weigher.stage(before, moment)
        if (*pair, back) not in known:
            known[*pair, back] = replace(known[*pair, 0], back=back)
        stages.append(known[*pair, back])
        before = moment
    return tuple(stages)


def _manners(
    moments: Sequence[Moment], settings: SlideSettings, restraint: float
) -> tuple[Manner, ...]:
    """Give the manners that are worth weighing.

    Where a slur on to a strong note costs more than any stroke, a passage in sets is
    cheaper than one slurred throughout, whatever places it takes.
    """
    if not any(moment.is_free for moment in moments):
        return (Manner.TONGUED,)
    most_saved = settings.stroke_weight * settings.quick_most_factor
    strong_slur = restraint * (settings.unwritten_weight + settings.strong_weight)
    if strong_slur > most_saved:
        return Manner.TONGUED, Manner.IN_SETS
    return tuple(Manner)


SMEARED = Begin.SLUR, Begin.GRACE
"""Where a soft stroke on one partial has a smear to hide."""

FROM_NOWHERE = 0, 0
"""Stands for the place and key before the first note."""


@dataclass(frozen=True, slots=True)
class Weigher:
    """Weighs the ways from one moment to the next, each once; moments outlive it."""

    settings: SlideSettings
    """What is weighed."""

    restraint: float
    """How much departures count: 1 with the dial in the middle, 0 with it at 1."""

    manners: tuple[Manner, ...] = tuple(Manner)
    """Manners that a passage may be begun in."""

    rows: dict[tuple[int, int, int], tuple[Link, ...]] = field(default_factory=dict)
    """Steps weighed so far, by the place and key they come from and the moment."""

    moves: dict[tuple[object, ...], tuple[float, int, Move]] = field(
        default_factory=dict
    )
    """Moves weighed so far, by both places, the interval and the time there is."""

    alone: dict[int, list[float]] = field(default_factory=dict)
    """For each moment, its ways weighed whatever comes before."""

    let: dict[tuple[int, bool], tuple[Link, ...]] = field(default_factory=dict)
    """For each row, the steps that are let where its passage slurs, and does not."""

    def stage(self, before: Moment | None, moment: Moment) -> Stage:
        """Weigh every step to a moment, from the one before it or from nothing."""
        quickness = self._quickness(moment)
        manners = self._manners(moment, self._rows(before, moment))
        return Stage(
            manners,
            self.settings.turn_weight * quickness,
            self.settings.switch_weight if moment.is_turn else inf,
            tuple(way.place.label for way in moment.ways),
            leave_costs=self._leaving(quickness, len(manners)),
        )

    def _leaving(self, quickness: float, manners: int) -> tuple[float, ...]:
        """Weigh in each manner that a pitch is played elsewhere than just before.

        Where all is tongued there is no slur to be gained by it.
        """
        slurred = self.settings.leave_weight * quickness
        if manners == 1:
            return (slurred,)
        tongued = self.settings.leave_tongued_weight * quickness
        return tongued, *(slurred,) * (manners - 1)

    def _rows(self, before: Moment | None, moment: Moment) -> Rows:
        """Weigh every step, the manner left aside."""
        if id(moment) not in self.alone:
            self.alone[id(moment)] = [self._alone(moment, way) for way in moment.ways]
        if before is None:
            first = tuple(Link(k, c, 0) for k, c in enumerate(self.alone[id(moment)]))
            return (self.rows.setdefault((*FROM_NOWHERE, id(moment)), first),)
        return tuple(self._row(before, moment, old.place) for old in before.ways)

    def _manners(self, moment: Moment, rows: Rows) -> tuple[Rows, ...]:
        """Give the steps that each manner lets, with what it adds to them."""
        if not (moment.is_free or moment.is_held):
            return (rows,)
        if moment.begin is not Begin.OPEN and not moment.is_against_sets:
            return (rows,) * len(self.manners)
        return tuple(self._in_manner(moment, rows, manner) for manner in self.manners)

    def _in_manner(self, moment: Moment, rows: Rows, manner: Manner) -> Rows:
        """Give the steps that one manner lets: slurs where it slurs, and strokes."""
        slurs = manner.slurs(is_strong=moment.is_strong)
        return tuple(self._let(moment, row, slurs=slurs) for row in rows)

    def _let(
        self, moment: Moment, row: tuple[Link, ...], *, slurs: bool
    ) -> tuple[Link, ...]:
        """Give the steps of a row that are let where its passage slurs, or does not."""
        key = id(row), slurs
        if key not in self.let:
            added = self.settings.exception_weight * self._quickness(moment) * slurs
            strokes = [way.is_stroke for way in moment.ways]
            if slurs:
                let = [
                    Link(step.choice, step.cost + added, step.direction)
                    if strokes[step.choice]
                    else step
                    for step in row
                ]
            else:
                let = [step for step in row if strokes[step.choice]]
            self.let[key] = tuple(let)
        return self.let[key]

    def _quickness(self, moment: Moment) -> float:
        """Tell how fully a note feels strokes and moves; 1 at `quick_s`."""
        most = self.settings.quick_most_factor
        if moment.ioi_s * most <= self.settings.quick_s:
            return most
        return self.settings.quick_s / moment.ioi_s

    def _alone(self, moment: Moment, way: NoteWay) -> float:
        """Weigh a way whatever comes before it."""
        s = self.settings
        cost = s.out_of_tune_per_cents_weight * abs(way.place.cents)
        if way.place.is_alternate:
            quickness = self._quickness(moment) * s.threshold_quick_s / s.quick_s
            cost += self._alternate(way.place) * max(1.0, quickness)
        if way.is_stroke:
            is_soft = moment.begin in SOFT_BEGINS
            stroke = s.legato_weight if is_soft else s.stroke_weight
            cost += stroke * self._quickness(moment)
        elif moment.begin is Begin.OPEN:
            departs = s.unwritten_weight + s.strong_weight * moment.is_strong
            cost += self.restraint * departs
        return cost

    def _alternate(self, place: Placement) -> float:
        """Tell what an alternate must buy among slower notes.

        Which ones are taught has one rule here: as far as fourth position all are, and
        further out those that lie no more than one partial above first position.
        """
        s = self.settings
        further = max(0.0, (place.cm or 0.0) - s.far_from_cm)
        is_rare = (
            further and place.number + (place.partial or 0) > s.taught_sum_partials
        )
        threshold = s.alternate_weight + (s.rare_weight if is_rare else 0.0)
        return self.restraint * threshold + s.far_per_cm_weight * further

    def _row(self, before: Moment, moment: Moment, old: Placement) -> tuple[Link, ...]:
        """Give the steps from one place to every way of a moment."""
        key = id(old), before.midi, id(moment)
        if key not in self.rows:
            self.rows[key] = tuple(self._links(before, moment, old))
        return self.rows[key]

    def _links(self, before: Moment, moment: Moment, old: Placement) -> Iterator[Link]:
        """Weigh the steps from one place to every way of a moment."""
        alone = self.alone[id(moment)]
        for k, way in enumerate(moment.ways):
            arm, direction, move = self._step(before, moment, old, way.place)
            if way.is_stroke:
                is_smear = moment.begin in SMEARED and move is Move.SMEAR
                lip = self.settings.smear_weight * self._quickness(moment) * is_smear
            elif _glides(moment, move) or (
                move in CLEAN and self._is_in_reach(moment, old, way.place)
            ):
                lip = self.settings.skip_weight * _leaped(old, way.place)
            else:
                continue
            if moment.begin is Begin.GLIDE and (way.is_stroke or move in CLEAN):
                lip += self.settings.no_glide_weight
            yield Link(k, alone[k] + arm + lip, direction)

    def _is_in_reach(self, moment: Moment, old: Placement, new: Placement) -> bool:
        """Tell whether the arm can make a slur here; a written one is obeyed.

        But for grace notes: there an editor's slur stands for no more than habit.
        """
        if moment.begin not in (Begin.OPEN, Begin.GRACE):
            return True
        return is_in_reach(travel_cm(old, new), moment.ioi_s, self.settings)

    def _step(
        self, before: Moment, moment: Moment, old: Placement, new: Placement
    ) -> tuple[float, int, Move]:
        """Tell what the arm pays, which way it goes and what kind of move it is."""
        semitones = moment.midi - before.midi
        timing = moment.ioi_s, moment.move_s, moment.is_break
        key = id(old), id(new), semitones, timing
        if key not in self.moves:
            direction = 0 if moment.is_break else self._direction(old, new)
            move = move_between(old, new, semitones)
            self.moves[key] = self._arm(moment, old, new), direction, move
        return self.moves[key]

    def _arm(self, moment: Moment, old: Placement, new: Placement) -> float:
        """Weigh what arm and fingers do from one place to another."""
        s = self.settings
        distance = travel_cm(old, new)
        if moment.is_break:
            return s.break_share * s.travel_per_cm_weight * distance
        quickness = self._quickness(moment)
        needs = move_time_s(distance, s.acceleration_mps2) / moment.move_s
        return (
            s.travel_per_cm_weight * distance * quickness
            + s.hurry_weight * max(0.0, needs - 1.0)
            + s.finger_weight * quickness * _fingers(old, new)
        )

    def _direction(self, before: Placement, after: Placement) -> int:
        """Tell which way the arm goes; 0 for a correction."""
        if travel_cm(before, after) < self.settings.still_cm:
            return 0
        return 1 if (after.cm or 0.0) > (before.cm or 0.0) else -1


def _glides(moment: Moment, move: Move) -> bool:
    """Tell whether the slide makes the glissando that the page asks for."""
    return moment.begin is Begin.GLIDE and move is Move.SMEAR


def _fingers(before: Placement, after: Placement) -> int:
    """Count the valves that go down or up."""
    if before.valves == after.valves:
        return 0
    return len(set(before.valves) ^ set(after.valves))


def _leaped(before: Placement, after: Placement) -> int:
    """Count the partials between two places."""
    apart = abs((after.partial or 0) - (before.partial or 0))
    return max(0, apart - 1)
