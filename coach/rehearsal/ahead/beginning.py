"""Where to begin with bars that were never played: how fast, and with which part.

The plan tells where the air would run out and where the arm has no time; other etudes
tell how quick this player's fingers, tongue and arm are.
"""

from __future__ import annotations

from coach.planning.naming import say_bars
from coach.rehearsal.ahead.breath_before import FILL_UP
from coach.rehearsal.ahead.outlook import AS_MUCH_AS_IS_SEEN, Ahead, Bars
from coach.rehearsal.click.tempo_scale import notch_at_most, say_bpm, step_tempo
from coach.rehearsal.review.advice import Advice, Standing, advice_on
from coach.rehearsal.review.parts import SoFar, first_tempo

PERCENT = 100

HALF = 0.5
"""Of the air in hand: above it all is well, however much is used."""


def begin(so_far: SoFar, known: str) -> Advice:
    """Name a first tempo, and a first part where the whole would take too much air.

    Parameters
    ----------
    so_far : SoFar
        What was played of the etude; of the bars at hand nothing that tells.
    known : str
        What there is to say of them all the same, to stand before a colon.
    """
    here = so_far.here
    bars = (here.from_bar, here.to_bar)
    parts = so_far.parts_inside(bars)
    if here.is_from_end and parts and not so_far.played:
        bpm = so_far.tempo_of(parts[-1])
        why = f"From the end: begin with {say_bars(*parts[-1])} at {say_bpm(bpm)}."
        return Advice("part", *parts[-1], bpm, why)
    bpm, because = (
        so_far.likely(bars) if so_far.clean_by_bars() else _by_outlook(so_far)
    )
    why = f"{known}: begin at {say_bpm(bpm)}, {because}."
    ahead = here.outlook.ask(bars, bpm)
    if ahead is None or ahead.runs_out is None:
        return advice_on(here, "again", bpm, why)
    out = f"At {say_bpm(bpm)} the air runs out in bar {ahead.runs_out}"
    part = _around(so_far, ahead.runs_out, bpm)
    if part is not None:
        why = f"{out}: begin with {say_bars(*part)} alone, where full lungs last."
        return Advice("part", *part, bpm, why)
    part = _hardest(so_far, bpm)
    if part is not None:
        why = f"{out}: begin with {say_bars(*part)} alone, where the air lasts."
        return Advice("part", *part, bpm, why)
    faster = _lasting(so_far, bars, bpm)
    if faster is not None:
        why = f"{out}, and slower takes more air: begin at {say_bpm(faster)}."
        return advice_on(here, "again", faster, why)
    return advice_on(here, "again", bpm, f"{why} {out}: softer, or with more breaths.")


def with_air(advice: Advice, here: Standing) -> str:
    """Give the reason of advice, and say where slower takes more air than the goal.

    Returns
    -------
    str
        With what to do about it; the reason alone where it is no harder.
    """
    if advice.kind not in ("slower", "again", "part") or advice.bpm >= here.goal_bpm:
        return advice.why
    bars = (advice.from_bar, advice.to_bar)
    slow = here.outlook.ask(bars, advice.bpm)
    goal = here.outlook.ask(bars, here.goal_bpm)
    if slow is None or goal is None or not _is_harder(slow, goal):
        return advice.why
    more = [bar for bar in slow.breath_bars if bar not in goal.breath_bars]
    lows = [f"{round(PERCENT * one.lowest_air)} %" for one in (slow, goal)]
    if slow.runs_out is not None:
        cost, cure = f"out in bar {slow.runs_out}", "play softer"
        more = [bar for bar in more if bar <= slow.runs_out]  # a later one is too late
    else:
        cost, cure = f"down to {lows[0]}, {lows[1]} at the goal", FILL_UP
    if more:
        cure = f"the plan breathes in {say_bars(more[0], more[0])} too"
    if cure in advice.why:
        return f"{advice.why} Slower takes more air ({cost})."
    return f"{advice.why} Slower takes more air ({cost}): {cure}."


def _is_harder(slow: Ahead, goal: Ahead) -> bool:
    """Tell whether the lungs come lower, below half: by as much as a gauge shows."""
    if slow.runs_out is not None:
        return goal.runs_out is None
    if slow.lowest_air >= HALF:
        return False
    return slow.lowest_air < goal.lowest_air - AS_MUCH_AS_IS_SEEN


def _by_outlook(so_far: SoFar) -> tuple[float, str]:
    """Name a first tempo where nothing of the etude is known."""
    here, scale = so_far.here, so_far.scale
    goal = here.goal_bpm
    bpm = first_tempo(goal, scale, so_far.ladder)
    because = "slow enough to be clean"
    ahead = here.outlook.ask((here.from_bar, here.to_bar), goal)
    if ahead is None:
        return bpm, because
    elsewhere = here.outlook.elsewhere()
    if elsewhere is not None and ahead.notes_per_s:
        as_quick = goal * elsewhere.clean_per_s / ahead.notes_per_s
        known = step_tempo(notch_at_most(min(goal, as_quick), scale), -1, scale)
        least = _least(so_far, bpm) if elsewhere.is_limit else bpm
        if known > least:
            bpm, because = known, "a notch below what is as quick and clean elsewhere"
        elif least < bpm:
            bpm, because = least, "slow, since what was quick elsewhere went wrong"
    if ahead.hurry * bpm > goal:
        slow_enough = notch_at_most(goal * so_far.ladder.elsewhere_floor_share, scale)
        in_time = notch_at_most(goal / ahead.hurry, scale)
        if in_time >= slow_enough:
            bpm, because = in_time, "so that the arm has time for its moves"
        elif slow_enough < bpm:
            bpm, because = slow_enough, "slow, since some moves are quick for any arm"
    return bpm, because


def _least(so_far: SoFar, usual: float) -> float:
    """Give the slowest first tempo that other etudes may bring about.

    It is a fair share of the goal, and the air is no harder there than at the goal.
    """
    here, scale = so_far.here, so_far.scale
    bars, goal = (here.from_bar, here.to_bar), here.goal_bpm
    at_goal = here.outlook.ask(bars, goal)
    bpm = notch_at_most(goal * so_far.ladder.elsewhere_floor_share, scale)
    while bpm < usual and at_goal is not None:
        ahead = here.outlook.ask(bars, bpm)
        if ahead is None or not _is_harder(ahead, at_goal):
            break
        bpm = step_tempo(bpm, 1, scale)
    return min(bpm, usual)


def _around(so_far: SoFar, bar: int, bpm: float) -> Bars | None:
    """Find the part with the bar in which the air runs out, if alone it lasts.

    Of two that share the bar the first: there it is played to, and not from.
    """
    here = so_far.here
    for first, last in so_far.parts_inside((here.from_bar, here.to_bar)):
        if first <= bar <= last:
            ahead = here.outlook.ask((first, last), bpm)
            lasts = ahead is not None and ahead.runs_out is None
            return (first, last) if lasts else None
    return None


def _hardest(so_far: SoFar, bpm: float) -> Bars | None:
    """Find the part in which the fingers have most to do and the air lasts."""
    here = so_far.here
    asked = [
        (ahead, part)
        for part in so_far.parts_inside((here.from_bar, here.to_bar))
        if (ahead := here.outlook.ask(part, bpm)) and ahead.runs_out is None
    ]
    if not asked:
        return None
    return max(asked, key=lambda one: (one[0].hurry, one[0].notes_per_s))[1]


def _lasting(so_far: SoFar, bars: Bars, bpm: float) -> float | None:
    """Find the next faster tempo at which the air lasts; None up to the goal."""
    here = so_far.here
    while bpm < here.goal_bpm:
        bpm = min(here.goal_bpm, step_tempo(bpm, 1, so_far.scale))
        ahead = here.outlook.ask(bars, bpm)
        if ahead is not None and ahead.runs_out is None:
            return bpm
    return None
