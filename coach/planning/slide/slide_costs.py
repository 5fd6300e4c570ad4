"""What it costs to go from one note to the next, for every way to play both.

Costs are measured against one quick stroke of the tongue, which is about 1.  What
departs from the page and from habit (alternates, slurs that nobody wrote, a broken
pattern) is weighed by how far the dial is from its end, so that with the dial up,
departures never become fewer.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from coach.planning.instrument.placement import Articulation, Placement
from coach.planning.slide.arm import move_time_s, travel_cm
from coach.planning.slide.begins import Begin
from coach.planning.slide.slide_walk import Link, Stage
from coach.planning.slide.slurs import CLEAN, Move, move_between


@dataclass(frozen=True, slots=True)
class SlideSettings:
    """The keys of ``config/slide.toml``."""

    dial_share: float
    """Where the dial stands unless the player moves it, 0 to 1."""

    acceleration_mps2: float
    """Greatest acceleration of the arm in good order."""

    limit_mps2: float
    """Greatest acceleration that any arm has."""

    move_share: float
    """Share of the note before that the arm may use for its move."""

    still_cm: float
    """A smaller move is a correction, not a move."""

    travel_per_cm_weight: float
    """Cost of a centimetre."""

    break_share: float
    """What travel weighs across a rest or a breath."""

    turn_weight: float
    """Cost of the arm turning round."""

    hurry_weight: float
    """Cost for each time over that the arm needs more time than it has."""

    finger_weight: float
    """Cost of a valve that goes down or up."""

    out_of_tune_per_cents_weight: float
    """Cost of a cent."""

    soonest_s: float
    """No two notes are counted closer together than this."""

    quick_s: float
    """Notes this quick feel every stroke and move in full."""

    quick_most_factor: float
    """How much more quicker ones can feel it."""

    stroke_weight: float
    """Cost of a stroke of the tongue."""

    legato_weight: float
    """Cost of a soft stroke where the page slurs."""

    smear_weight: float
    """Added where the soft stroke has to hide a smear."""

    skip_weight: float
    """Cost of each partial that a slur leaps over."""

    alternate_weight: float
    """Threshold of an alternate, with the dial at 0."""

    far_from_cm: float
    """An alternate further out than this begins to sound and feel worse."""

    far_per_cm_weight: float
    """Cost of a centimetre that it lies further out than that."""

    unwritten_weight: float
    """Cost of a slur that the page does not write, with the dial at 0."""

    strong_weight: float
    """Added where it leads to a strong note."""

    pattern_weight: float
    """Cost of a note begun otherwise than the note before last, dial at 0."""

    longest_figure_notes: int
    """Notes in the longest figure that is looked for right after itself."""


@dataclass(frozen=True, slots=True)
class Way:
    """One way to play a note: where, and whether the tongue moves."""

    place: Placement
    """Where."""

    is_stroke: bool
    """The tongue moves."""


@dataclass(frozen=True, slots=True)
class Moment:
    """One note, with all that its cost depends on."""

    ways: tuple[Way, ...]
    """How it can be played."""

    midi: int
    """Sounding key."""

    begin: Begin
    """What the page lets the tongue do."""

    ioi_s: float
    """Time since the note before began."""

    move_s: float
    """Time the arm has to get here."""

    is_break: bool
    """The sound stops before it."""

    is_strong: bool
    """It stands on a strong place."""


def articulate(before: Moment, after: Moment, old: Way, new: Way) -> Articulation:
    """Name how a note is begun that is reached from another."""
    if not new.is_stroke:
        return CLEAN[move_between(old.place, new.place, after.midi - before.midi)]
    is_soft = after.begin in (Begin.SLUR, Begin.SOFT)
    return Articulation.LEGATO_TONGUED if is_soft else Articulation.TONGUED


def lay_stages(
    moments: Sequence[Moment], settings: SlideSettings, dial: float
) -> tuple[Stage, ...]:
    """Work out what every step of every walk costs.

    Parameters
    ----------
    moments : sequence of Moment
        The notes.
    settings : SlideSettings
        What is weighed.
    dial : float
        From 0, habit and the page, to 1, as many natural slurs as can be.

    Returns
    -------
    tuple of Stage
        One for each note; equal moments share one.
    """
    weigher = Weigher(settings, 1.0 - dial)
    known: dict[tuple[int, int], Stage] = {}
    stages = []
    before: Moment | None = None
    for moment in moments:
        key = (id(before), id(moment))
        if key not in known:
            known[key] = weigher.stage(before, moment)
        stages.append(known[key])
        before = moment
    return tuple(stages)


@dataclass(frozen=True, slots=True)
class Weigher:
    """Weighs the ways from one moment to the next."""

    settings: SlideSettings
    """What is weighed."""

    restraint: float
    """How much departures count: 1 with the dial at 0, 0 with the dial at 1."""

    def stage(self, before: Moment | None, moment: Moment) -> Stage:
        """Weigh every step to a moment, from the one before it or from nothing."""
        alone = [self._alone(moment, way) for way in moment.ways]
        if before is None:
            links = [
                tuple(
                    Link(k, alone[k], 0, way.is_stroke)
                    for k, way in enumerate(moment.ways)
                )
            ]
        else:
            rows = {
                id(place): self._row(before, moment, place, alone)
                for place in _places(before.ways)
            }
            links = [rows[id(old.place)] for old in before.ways]
        is_free = moment.begin is Begin.OPEN
        return Stage(
            tuple(links),
            self.settings.turn_weight * self._quickness(moment),
            self.settings.pattern_weight * self.restraint if is_free else 0.0,
        )

    def _quickness(self, moment: Moment) -> float:
        """Tell how fully a note feels strokes and moves; 1 at `quick_s`."""
        most = self.settings.quick_most_factor
        if moment.ioi_s * most <= self.settings.quick_s:
            return most
        return self.settings.quick_s / moment.ioi_s

    def _alone(self, moment: Moment, way: Way) -> float:
        """Weigh a way whatever comes before it."""
        s = self.settings
        cost = s.out_of_tune_per_cents_weight * abs(way.place.cents)
        if way.place.is_alternate:
            further = max(0.0, (way.place.cm or 0.0) - s.far_from_cm)
            cost += self.restraint * s.alternate_weight + s.far_per_cm_weight * further
        if way.is_stroke:
            is_soft = moment.begin in (Begin.SLUR, Begin.SOFT)
            stroke = s.legato_weight if is_soft else s.stroke_weight
            cost += stroke * self._quickness(moment)
        elif moment.begin is Begin.OPEN:
            departs = s.unwritten_weight + s.strong_weight * moment.is_strong
            cost += self.restraint * departs
        return cost

    def _row(
        self, before: Moment, moment: Moment, old: Placement, alone: Sequence[float]
    ) -> tuple[Link, ...]:
        """Weigh the steps from one place to every way of a moment."""
        steps = {
            id(place): self._step(before, moment, old, place)
            for place in _places(moment.ways)
        }
        links = []
        for k, way in enumerate(moment.ways):
            arm, direction, move = steps[id(way.place)]
            if way.is_stroke:
                is_smear = moment.begin is Begin.SLUR and move is Move.SMEAR
                lip = self.settings.smear_weight * self._quickness(moment) * is_smear
            elif move in CLEAN:
                lip = self.settings.skip_weight * _leaped(old, way.place)
            else:
                continue
            links.append(Link(k, alone[k] + arm + lip, direction, way.is_stroke))
        return tuple(links)

    def _step(
        self, before: Moment, moment: Moment, old: Placement, new: Placement
    ) -> tuple[float, int, Move]:
        """Tell what the arm pays, which way it goes and what kind of move it is."""
        move = move_between(old, new, moment.midi - before.midi)
        direction = 0 if moment.is_break else self._direction(old, new)
        return self._arm(moment, old, new), direction, move

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


def _places(ways: Sequence[Way]) -> list[Placement]:
    """Give the places of some ways, each once."""
    return list({id(way.place): way.place for way in ways}.values())


def _fingers(before: Placement, after: Placement) -> int:
    """Count the valves that go down or up."""
    if before.valves == after.valves:
        return 0
    return len(set(before.valves) ^ set(after.valves))


def _leaped(before: Placement, after: Placement) -> int:
    """Count the partials between two places."""
    apart = abs((after.partial or 0) - (before.partial or 0))
    return max(0, apart - 1)
