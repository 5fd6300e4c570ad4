"""The whole plan for a part at a tempo: breaths, positions, articulation, prompts.

Breaths and positions lean on each other: a breath gives the arm time, and arm and
tongue cost air.  So breaths are planned for even effort first, then positions
around them, then breaths again with the effort of those positions; if that moves a
breath, the positions follow.

Long, since the plan and the one that it is compared with are bound alike.
"""

from __future__ import annotations

from collections.abc import Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from typing import NamedTuple

from coach.last_answers import remembered
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import Player
from coach.planning.breathing.air_levels import AirLevels, lay_air_levels
from coach.planning.breathing.breaths import BreathPlan, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import (
    Breather,
    Going,
    Passage,
    go_on,
    set_passage,
)
from coach.planning.breathing.prompts import (
    Prompt,
    bracket_optional,
    lay_prompts,
)
from coach.planning.breathing.sure_breaths import find_sure, mark_optional
from coach.planning.edits import Edits
from coach.planning.effort import effort_factors, strokes_of
from coach.planning.instrument.instrument import Instrument
from coach.planning.performer import Performer
from coach.planning.slide.slide import Articulation, SlidePlan, plan_slide, plan_tongued
from coach.planning.slide.tongue import advise_tongue
from coach.score.phrase import NoteTime, Part
from coach.score.tempo import TempoMap

NOTHING_CHANGED = Edits()


@dataclass(frozen=True, slots=True)
class Plan:
    """All that is decided before a run."""

    passage: Passage
    """What it is for: part or segment, tempo, phrases, effort of tongue and arm."""

    player: Player
    """Whom it is for."""

    instrument: Instrument
    """What it is played on."""

    breaths: BreathPlan
    """Where to breathe and where the air goes."""

    slide: SlidePlan
    """Positions and articulation."""

    prompts: tuple[Prompt, ...]
    """What to say when, in order."""

    air: AirLevels
    """The air at every moment."""

    edits: Edits = NOTHING_CHANGED
    """What the player insists on, counted from the part's first note."""

    @property
    def part(self) -> Part:
        """The part or segment it is for."""
        return self.passage.part

    @property
    def bpm(self) -> float:
        """Tempo, in the part's beat."""
        return self.passage.bpm

    @property
    def tempo_map(self) -> TempoMap:
        """The page's speeds at that tempo."""
        return self.passage.tempo_map

    @property
    def times(self) -> tuple[NoteTime, ...]:
        """When each note sounds, as written."""
        return self.passage.times

    @property
    def phrase_ends(self) -> tuple[float, ...]:
        """For each gap, how likely a musician hears a phrase end there, 0 to 1."""
        return self.passage.ends


def make_plan(
    passage: Passage,
    performer: Performer,
    edits: Edits = NOTHING_CHANGED,
    before: Plan | None = None,
) -> Plan:
    """Plan breaths, positions and articulation together.

    Parameters
    ----------
    edits : Edits
        What the player insists on, counted from the part's first note.
    before : Plan, optional
        The plan of the same notes so far: its breaths stay where no others are
        clearly better.
    """
    worked, breaths, slide = _decide(passage, performer, edits, before)
    return replace(_bind(worked, performer, breaths, slide), edits=edits)


def make_breaths(passage: Passage, performer: Performer, edits: Edits) -> BreathPlan:
    """Plan the same, of which only the breaths are wanted.

    Parameters
    ----------
    passage : Passage
        Its times need not be those of its tempo, as where a bar is stretched.
    """
    return _decide(passage, performer, edits, None)[1]


def _decide(
    passage: Passage, performer: Performer, edits: Edits, before: Plan | None
) -> tuple[Passage, BreathPlan, SlidePlan]:
    """Decide on breaths, positions and articulation, and say what effort they take."""
    passage = _for_goal(passage, performer, edits, before)
    passage = passage.louder(edits.dynamic_shift)
    settings, breather = performer.settings, performer.breather
    so_far = None if before is None else before.breaths.own_places
    expected: _Breathed | None = None
    if before is not None and _keeps_arm(before, passage, performer, edits):
        # Other breaths hardly change what tongue and arm cost.
        slide = before.slide
    else:
        if before is None:
            expected = _places(plan_breaths(passage, breather, edits.locks))
        else:
            # Most edits leave most breaths: the arm is planned around those at once.
            after, left_out = _places(before.breaths)
            after = (after | edits.locks.must) - edits.locks.must_not
            expected = _Breathed(after, left_out)
        slide = _plan_arm(passage, performer, edits, expected)
    worked = _worked(passage, slide, settings.air)
    breaths = plan_breaths(worked, breather, edits.locks, so_far)
    if _places(breaths) != expected:
        slide = _plan_arm(passage, performer, edits, _places(breaths))
    return worked, breaths, slide


def _for_goal(
    passage: Passage, performer: Performer, edits: Edits, before: Plan | None
) -> Passage:
    """Tell a passage that is slower than its page which breaths the page's tempo has.

    An edit leaves them as they were, but where loudness or the player are others.
    """
    is_told = passage.goal_breaths is not None
    if is_told or passage.bpm >= passage.part.tempo.bpm:
        return passage
    known = None
    if before is not None and _is_for_same_lungs(before, performer, edits):
        known = before.passage.goal_breaths
    if known is None:
        known = _goal_breaths(passage.part, passage.ends, performer, edits)
    return replace(passage, goal_breaths=known)


def _is_for_same_lungs(before: Plan, performer: Performer, edits: Edits) -> bool:
    """Tell whether a plan is for the same player, and as loud."""
    was = before.player, before.edits.dynamic_shift
    return was == (performer.player, edits.dynamic_shift)


@remembered
def _goal_breaths(
    part: Part, ends: tuple[float, ...], performer: Performer, edits: Edits
) -> frozenset[int]:
    """Find the gaps breathed at where a part is played at its own tempo.

    Where the player has settled every gap, nothing is left to plan.
    """
    must, must_not = edits.locks.must, edits.locks.must_not
    if len(must | must_not) >= len(ends):
        return must
    at_goal = set_passage(part, part.tempo.bpm, ends)
    return make_breaths(at_goal, performer, edits).places


def _keeps_arm(
    before: Plan, passage: Passage, performer: Performer, edits: Edits
) -> bool:
    """Tell whether nothing that the arm is planned by has changed but the breaths."""
    so_far = before.edits.arm, before.bpm, before.instrument
    return so_far == (edits.arm, passage.bpm, performer.instrument)


def tell_sure(
    plan: Plan, breather: Breather, locks: Locks, before_each: Going = go_on
) -> Plan:
    """Tell sure breaths from optional ones, at the price of several more plans."""
    told = find_sure(plan.passage, breather, plan.breaths, locks, before_each)
    return _bracketed(plan, told)


def tell_optional(plan: Plan, optional: AbstractSet[int]) -> Plan:
    """Mark the breaths after some notes as optional: in brackets, in prompts too."""
    return _bracketed(plan, mark_optional(plan.breaths, optional))


def _bracketed(plan: Plan, breaths: BreathPlan) -> Plan:
    """Give a plan with its breaths told, in prompts too."""
    return replace(
        plan, breaths=breaths, prompts=bracket_optional(plan.prompts, breaths)
    )


def make_tongued_plan(plan: Plan, performer: Performer) -> Plan:
    """Plan the same phrase tongued throughout in usual positions, to compare with.

    It breathes where the plan does, so that the difference is arm and tongue alone.
    """
    settings, passage = performer.settings, plan.passage
    breathed, left_out = _places(plan.breaths)
    slide = plan_tongued(
        passage.part,
        passage.tempo_map,
        performer.instrument,
        settings.slide,
        breathed,
        left_out,
    )
    worked = _worked(passage, slide, settings.air)
    breaths = plan_breaths(
        worked,
        performer.breather,
        Locks(
            must=frozenset(breath.after_note for breath in plan.breaths.breaths),
            must_not=frozenset(range(len(passage.part.notes) - 1)) - breathed,
            left_out=left_out,
            may_leave_out=False,
        ),
    )
    return _bind(worked, performer, _as_asked(breaths, plan.breaths), slide)


def _as_asked(breaths: BreathPlan, plan: BreathPlan) -> BreathPlan:
    """Call those breaths the player's own that are so in the plan they come from."""
    known = {breath.after_note: breath for breath in plan.breaths}
    told = (
        replace(
            breath,
            is_locked=found.is_locked,
            is_extra=found.is_extra,
            say_why=found.say_why,
        )
        for breath in breaths.breaths
        for found in (known[breath.after_note],)
    )
    return replace(breaths, breaths=tuple(told))


def _plan_arm(
    passage: Passage, performer: Performer, edits: Edits, breathed: _Breathed
) -> SlidePlan:
    """Plan positions and articulation around breaths.

    They are those of the tempo that the page asks for, however slowly it is practised:
    what the arm and the tongue learn slowly, they do fast (common practice, no
    published source).
    """
    settings, part = performer.settings.slide, passage.part
    return plan_slide(
        part,
        passage.tempo_map,
        performer.instrument,
        settings,
        goal_map=part.at_tempo(max(passage.bpm, part.tempo.bpm)),
        dial=settings.dial_share if edits.dial is None else edits.dial,
        locked=dict(edits.positions),
        breaths_after=breathed.after,
        left_out=breathed.left_out,
    )


def _worked(passage: Passage, slide: SlidePlan, air: AirSettings) -> Passage:
    """Give a passage with the effort of tongue and arm that a plan of them asks for."""
    effort = effort_factors(slide, passage.times, air)
    return passage.worked(effort, strokes_of(slide, air))


def _silenced(slide: SlidePlan, left_out: Sequence[int]) -> SlidePlan:
    """Take out the strokes and slurs of notes that are left out."""
    if not left_out:
        return slide
    begun = list(slide.articulations)
    lost = [begun[note] for note in left_out]
    for note in left_out:
        begun[note] = Articulation.LEFT_OUT
    strokes = sum(articulation.is_stroke for articulation in lost)
    slurs = sum(articulation.is_slur for articulation in lost)
    return replace(
        slide,
        articulations=tuple(begun),
        tongue_strokes=slide.tongue_strokes - strokes,
        natural_slurs=slide.natural_slurs - slurs,
    )


class _Breathed(NamedTuple):
    """What breaths mean for arm and tongue."""

    after: frozenset[int]
    """The notes that a breath follows, those left out before the next too."""

    left_out: frozenset[int]
    """The notes that are left out."""


def _places(breaths: BreathPlan) -> _Breathed:
    """Name the notes that breaths follow, and those left out for them."""
    after = frozenset(
        note
        for breath in breaths.breaths
        for note in range(breath.after_note, breath.following)
    )
    return _Breathed(after, frozenset(breaths.left_out))


def _bind(
    passage: Passage, performer: Performer, breaths: BreathPlan, slide: SlidePlan
) -> Plan:
    """Put what was decided together, with the prompts."""
    part, tempo_map, settings = passage.part, passage.tempo_map, performer.settings
    slide = _silenced(slide, breaths.left_out)
    advice = advise_tongue(
        part,
        tempo_map,
        slide.articulations,
        settings.tongue,
        offers_slurs=performer.instrument.kind != "slide",
    )
    return Plan(
        passage=passage,
        player=performer.player,
        instrument=performer.instrument,
        breaths=breaths,
        slide=replace(slide, notices=slide.notices + advice),
        prompts=lay_prompts(part, tempo_map, breaths, performer.prompts),
        air=lay_air_levels(passage, breaths, performer.breather),
    )
