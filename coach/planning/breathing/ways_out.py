"""What would do where the air runs out whatever the breaths: each one planned.

Notes left out where the player has forbidden it, softer, another tempo, a bar stretched
for a breath, the largest lungs that the published equations know of, a breath within a
held note; where nothing that a player can do does alone, some of it together.  What
does not get the player through when it is planned is not said.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from math import floor

from coach.planning.breathing.breath_costs import SAME_PLACE
from coach.planning.breathing.breaths import BreathPlan
from coach.planning.breathing.divided_notes import DividedNotes, divide_notes
from coach.planning.breathing.passage import Breather, Passage
from coach.planning.trials import Trials
from coach.planning.way_out import WayOut
from coach.score.note import DYNAMIC_STEPS
from coach.score.phrase import NoteTime, Part, place_of
from coach.score.tempo import Seconds

MOST_STRETCHES = 12
"""More places to stretch are no way to play a piece."""


@dataclass(frozen=True, slots=True)
class WaysOutSettings:
    """How far ways out are looked for: the keys of ``config/ways_out.toml``."""

    tried_tempo_share: tuple[float, ...]
    """Tempi to try, as shares of the tempo; the nearest first."""

    tried_stretch_s: tuple[float, ...]
    """Seconds to stretch by, shortest first."""

    largest_l: float
    """Largest vital capacity that the published equations know of, in litres."""

    def up_to(self, fastest_bpm: float, bpm: float) -> WaysOutSettings:
        """Give the same for a tempo, with no faster one than can be played.

        Parameters
        ----------
        fastest_bpm, bpm : float
            The fastest tempo that can be played, and the tempo that does not work, in
            the part's beat.
        """
        most = max(floor(fastest_bpm) / bpm, 1.0)
        shares = dict.fromkeys(min(share, most) for share in self.tried_tempo_share)
        tried = tuple(share for share in shares if share != 1.0)
        return replace(self, tried_tempo_share=tried)


def find_ways_out(
    passage: Passage,
    breather: Breather,
    plan: BreathPlan,
    trials: Trials,
    settings: WaysOutSettings,
) -> tuple[WayOut, ...]:
    """Find what would get the player through, least trouble first.

    Parameters
    ----------
    plan : BreathPlan
        The plan in which the air runs out; of any other, nothing is said.

    Returns
    -------
    tuple of WayOut
        Each of them was planned, and works; at most one of each kind.
    """
    if plan.runs_out is None:
        return ()

    def works(changed: Passage) -> bool:
        return trials.works(changed, breather)

    def planned(changed: Passage) -> BreathPlan:
        return trials.plan(changed, breather)

    found = [
        _fewer_notes(passage, breather, trials),
        _softer(passage, plan, works),
        _other_tempo(passage, works, settings),
        _stretched(passage, planned, works, settings),
    ]
    divided = divide_notes(passage)
    if divided.within and not trials.has_places:
        found.append(_within(divided, planned))
        if not any(found):
            found.append(_within_and_softer(divided, planned))
    if not any(found):
        found.append(_softest_and_faster(passage, works, settings))
    player = replace(breather.player, capacity_l=settings.largest_l)
    is_larger = settings.largest_l > breather.player.capacity_l
    if is_larger and trials.works(passage, replace(breather, player=player)):
        found.append(WayOut("lungs", settings.largest_l, "L", "all"))
    return tuple(way for way in found if way is not None)


def _within(
    divided: DividedNotes, planned: Callable[[Passage], BreathPlan]
) -> WayOut | None:
    """Find the bar lines within held notes at which breaths get the player through."""
    plan = planned(divided.passage)
    bars = divided.breathed_before(plan)
    if plan.runs_out is not None or not bars:
        return None
    return WayOut("within", len(bars), "breaths", ", ".join(str(bar) for bar in bars))


def _within_and_softer(
    divided: DividedNotes, planned: Callable[[Passage], BreathPlan]
) -> WayOut | None:
    """Find how many steps softer all has to be for breaths within held notes to do."""
    for steps in range(1, _steps_down(divided.passage) + 1):
        way = _within(replace(divided, passage=divided.passage.louder(-steps)), planned)
        if way is not None:
            return WayOut("softer", steps, f"{_steps(steps)}, and {way}", "all")
    return None


def _softest_and_faster(
    passage: Passage, works: Callable[[Passage], bool], settings: WaysOutSettings
) -> WayOut | None:
    """Find the tempo that works when all is played as softly as one can."""
    steps = _steps_down(passage)
    soft = passage.louder(-steps)
    found = _other_tempo(soft, works, settings)
    if found is None:
        return None
    return WayOut("softer", steps, f"steps and at {found.amount:g} bpm", "all")


def _fewer_notes(passage: Passage, breather: Breather, trials: Trials) -> WayOut | None:
    """Let notes be left out where the player has forbidden it."""
    if trials.locks.may_leave_out:
        return None
    allowing = replace(trials, locks=replace(trials.locks, may_leave_out=True))
    plan = allowing.outcome(passage, breather)
    if plan.runs_out is not None or not plan.left_out:
        return None
    count, notes = len(plan.left_out), passage.part.notes
    bars = ", ".join(str(bar) for bar in sorted({notes[k].bar for k in plan.left_out}))
    return WayOut("leave_out", count, "note" if count == 1 else "notes", bars)


def _softer(
    passage: Passage, plan: BreathPlan, works: Callable[[Passage], bool]
) -> WayOut | None:
    """Find how many steps softer the bars around what is dry have to be."""
    first, last = _around(passage, plan)
    notes = passage.part.notes
    loudest = max(max(n.loud_start, n.loud_end) for n in notes[first : last + 1])
    softest = DYNAMIC_STEPS["ppp"]
    for stretch in ((first, last), (0, len(notes) - 1)):
        for steps in range(1, int(loudest - softest) + 1):
            if works(_soften(passage, *stretch, steps)):
                bars = _bar_numbers(passage.part, *stretch)
                return WayOut("softer", steps, _steps(steps), bars)
    return None


def _steps(count: int) -> str:
    """Say what dynamics are counted in."""
    return "step" if count == 1 else "steps"


def _steps_down(passage: Passage) -> int:
    """Count the steps by which the loudest note can be played softer."""
    loudest = max(max(n.loud_start, n.loud_end) for n in passage.part.notes)
    return int(loudest - DYNAMIC_STEPS["ppp"])


def _around(passage: Passage, plan: BreathPlan) -> tuple[int, int]:
    """Give the notes from the breath before the first dry one to the last breath's."""
    dry = plan.runs_out or 0
    before = [b.following for b in plan.breaths if b.following <= dry]
    after = [b.after_note for b in plan.breaths if b.after_note >= dry]
    first = before[-1] if before else 0
    return first, after[0] if after else len(passage.part.notes) - 1


def _soften(passage: Passage, first: int, last: int, steps: int) -> Passage:
    """Play some notes softer."""
    notes = [
        replace(n, loud_start=n.loud_start - steps, loud_end=n.loud_end - steps)
        if first <= k <= last
        else n
        for k, n in enumerate(passage.part.notes)
    ]
    return replace(passage, part=replace(passage.part, notes=tuple(notes)))


def _bar_numbers(part: Part, first: int, last: int) -> str:
    """Name the bars in which some notes sound."""
    first_bar = part.notes[first].bar
    last_bar = place_of(part, float(part.notes[last].end) - SAME_PLACE).bar
    return str(first_bar) if first_bar == last_bar else f"{first_bar} to {last_bar}"


def _other_tempo(
    passage: Passage, works: Callable[[Passage], bool], settings: WaysOutSettings
) -> WayOut | None:
    """Find the nearest tempo that works, to one beat a minute."""
    failed = [round(passage.bpm)]
    for share in settings.tried_tempo_share:
        bpm = round(passage.bpm * share)
        if bpm > 0 and works(passage.at(bpm)):
            return WayOut("tempo", _nearest(bpm, failed, passage, works), "bpm", "all")
        failed.append(bpm)
    return None


def _nearest(
    bpm: int,
    failed: Sequence[int],
    passage: Passage,
    works: Callable[[Passage], bool],
) -> int:
    """Halve the way from a tempo that works to the nearest before it that does not."""
    own = round(passage.bpm)
    short = min(
        (b for b in failed if (b - own) * (b - bpm) <= 0), key=lambda b: abs(b - bpm)
    )
    while abs(bpm - short) > 1:
        middle = (bpm + short) // 2
        if works(passage.at(middle)):
            bpm = middle
        else:
            short = middle
    return bpm


def _stretched(
    passage: Passage,
    planned: Callable[[Passage], BreathPlan],
    works: Callable[[Passage], bool],
    settings: WaysOutSettings,
) -> WayOut | None:
    """Find how long a bar has to be stretched for a breath, in each place that is dry.

    The time is put into the gap that a breath disturbs least, between the last breath
    and where it is dry.
    """
    notes = passage.part.notes
    for seconds in settings.tried_stretch_s:
        stretched = passage
        gaps: list[int] = []
        for _ in range(MOST_STRETCHES):
            plan = planned(stretched)
            if plan.runs_out is None:
                if not gaps or not works(stretched):
                    break
                numbers = sorted({notes[gap].bar for gap in gaps})
                bars = ", ".join(str(number) for number in numbers)
                return WayOut("stretch", seconds, "s", bars)
            first, _ = _around(stretched, plan)
            inside = range(first, plan.runs_out)
            if not inside or len(gaps) + _dry_stretches(plan) > MOST_STRETCHES:
                break
            gap = max(inside, key=lambda k: (stretched.ends[k], notes[k].length, k))
            gaps.append(gap)
            stretched = replace(stretched, times=_later(stretched.times, gap, seconds))
    return None


def _dry_stretches(plan: BreathPlan) -> int:
    """Count the stretches from breath to breath in which the air runs out."""
    breathed = [breath.after_note for breath in plan.breaths]
    return len({bisect_left(breathed, note) for note in plan.dry})


def _later(times: Sequence[NoteTime], gap: int, seconds: float) -> tuple[NoteTime, ...]:
    """Let all notes after a gap come later."""
    return tuple(
        time
        if k <= gap
        else NoteTime(Seconds(time.start + seconds), Seconds(time.end + seconds))
        for k, time in enumerate(times)
    )
