"""What to play next: tempos, and when to move up, down, on, or to a smaller part.

Conventions
-----------
Runs are oldest first.  A run that failed is one that was played and was not clean;
a run that nobody played, or said a word about, says nothing, nor does a false start.
Where the player stands follows from the log alone, so that whoever asks is told the
same.

References
----------
Duke, Simmons & Cash 2009, J. Res. Music Educ. 56:310–321: the share of correct runs
matters, not their number.  Carter & Grahn 2016, Front. Psychol. 7:1251: passages in
turn.  Simmons 2012, J. Res. Music Educ. 59:357–368: a night between.  Three clean
runs before moving up is common practice, no published source.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import datetime
from itertools import takewhile

from coach.rehearsal.ahead.beginning import begin, with_air
from coach.rehearsal.ahead.body_words import say_to_stop
from coach.rehearsal.ahead.rests import ask_for_rest
from coach.rehearsal.click.tempo_scale import TempoSettings, say_bpm, whole_bpm
from coach.rehearsal.review.advice import HOW_TO_SAY, Advice, Standing, advice_on
from coach.rehearsal.review.footing import Footing, within_reach
from coach.rehearsal.review.ladder_settings import LadderSettings
from coach.rehearsal.review.next_step import NextStep
from coach.rehearsal.review.parts import SoFar
from coach.rehearsal.review.progress import is_false_start, played_of
from coach.rehearsal.review.room_step import (
    breathe_elsewhere,
    offer_room,
    step_with_room,
)
from coach.rehearsal.run.run import Run


def advise(
    runs: Sequence[Run], here: Standing, ladder: LadderSettings, scale: TempoSettings
) -> Advice:
    """Tell what to play next and why.

    Parameters
    ----------
    runs : sequence of Run
        All runs of this etude, oldest first.  Those with other room to breathe than
        there is here count for the rest that is due alone.
    here : Standing
        Segment and goal; its tempo is that of the stand and changes nothing.

    Returns
    -------
    Advice
        The first of these that applies: stop, where words on a run of this rehearsal
        say that playing harms (bars and tempo stay what they would be); rest; say how
        it was; begin; back from a trial; test again on a new day; room to breathe;
        breathe elsewhere; slower, a smaller part or enough for today; faster or on;
        another spot; a try at the goal; again.  Where breaths have room: less of it,
        slower, or again.
    """
    here = here.rounded
    advice = _advise(runs, here, ladder, scale)
    if advice.kind != "rest":
        advice = replace(advice, silence=_say_silence(runs, here))
    stop = say_to_stop(
        (*runs, *here.day), here.body, here.now, ladder.rehearsal_pause_s
    )
    if not stop:
        return advice
    return replace(
        advice,
        kind="rest",
        why=stop,
        clean=0,
        needed=0,
        silence="",
        is_for_harm=True,
    )


def tempo_now(
    runs: Sequence[Run], here: Standing, ladder: LadderSettings, scale: TempoSettings
) -> float:
    """Tell the tempo at which the bars at hand stand, or that to begin them with."""
    here = here.rounded
    advice = advise(runs, here, ladder, scale)
    if (advice.from_bar, advice.to_bar) == (here.from_bar, here.to_bar):
        return advice.bpm
    played = _played_so(played_of(runs), here, ladder)
    return SoFar(played, here, ladder, scale).tempo_of((here.from_bar, here.to_bar))


def _advise(
    runs: Sequence[Run], here: Standing, ladder: LadderSettings, scale: TempoSettings
) -> Advice:
    """Tell what to play next, whatever words tell of the body."""
    told = played_of(runs)
    so_far = SoFar(_played_so(told, here, ladder), here, ladder, scale)
    rung = so_far.rung((here.from_bar, here.to_bar))
    ask = ask_for_rest(told, here, ladder) or _ask(runs, rung, here)
    if ask is not None:
        return ask
    if here.room_beats:
        if rung is None and here.is_open:
            bpm = tempo_now(runs, replace(here, room_beats=0.0), ladder, scale)
            here = replace(here, bpm=bpm)
        return step_with_room(rung, here, ladder, scale)
    if rung is None:
        return begin(so_far, _say_known(runs, told, here))
    step = NextStep(so_far, rung, _last_with_room(told, here))
    advice = (
        step.back_from_trial()
        or step.test_again()
        or offer_room(step)
        or breathe_elsewhere(step)
        or step.slower()
        or step.up_or_on()
        or step.another_spot()
        or step.try_goal()
        or step.again()
    )
    if advice.kind == "again" and len(rung.runs) > 1:
        return advice  # that slower takes more air was said before the first
    return replace(advice, why=with_air(advice, here))


def _played_so(
    told: Sequence[Run], here: Standing, ladder: LadderSettings
) -> tuple[Run, ...]:
    """Give runs with as much room to breathe; not what failed far above the goal."""
    alike = [run for run in told if run.how.room_beats == here.room_beats]
    return tuple(within_reach(alike, here.goal_bpm, ladder))


def _say_known(runs: Sequence[Run], told: Sequence[Run], here: Standing) -> str:
    """Say what is known of bars none of whose runs in time tells where they stand."""
    bars = (here.from_bar, here.to_bar)
    tried, failed = (
        [
            run
            for run in some
            if (run.from_bar, run.to_bar) == bars and not run.how.room_beats
        ]
        for some in (runs, told)
    )
    if failed:  # or it would have told where they stand
        return (
            f"{say_bpm(whole_bpm(failed[-1].bpm))}, far above the goal, was not clean"
        )
    if any(run.was_played and not is_false_start(run) for run in tried):
        return f"Nothing tells yet how these bars go ({HOW_TO_SAY})"
    return "These bars are new"


def _say_silence(runs: Sequence[Run], here: Standing) -> str:
    """Say that the newest runs of these bars, after one with a word, got none.

    Returns
    -------
    str
        Empty where the newest run got its word, or none ever did.
    """
    these = [
        run
        for run in runs
        if (run.from_bar, run.to_bar) == (here.from_bar, here.to_bar)
        and run.how.room_beats == here.room_beats
        and run.was_played
        and not is_false_start(run)
    ]
    silent = sum(1 for _ in takewhile(lambda run: run.is_clean is None, these[::-1]))
    if not silent or silent == len(these):
        return ""
    last, those = ("run", "it") if silent == 1 else (f"{silent} runs", "them")
    how = "clean" if these[-1 - silent].is_clean else "not clean"
    return (
        f"No word on the last {last} ({HOW_TO_SAY}); the one before {those} was {how}."
    )


def _last_with_room(told: Sequence[Run], here: Standing) -> datetime | None:
    """Tell when these bars were last played with room to breathe."""
    bars = (here.from_bar, here.to_bar)
    with_room = (
        run.started
        for run in told
        if run.how.room_beats and (run.from_bar, run.to_bar) == bars
    )
    return max(with_room, default=None)


def _ask(runs: Sequence[Run], rung: Footing | None, here: Standing) -> Advice | None:
    """Ask for a word where these bars were played and nobody said how it was."""
    bars = (here.from_bar, here.to_bar)
    silent = [
        run
        for run in runs
        if run.is_attended and run.is_clean is None and run.was_played
    ]
    if rung is not None or not any(
        (run.from_bar, run.to_bar) == bars for run in silent
    ):
        return None
    why = f"Nobody said yet how these bars go: play them, and say it ({HOW_TO_SAY})."
    return advice_on(here, "again", here.bpm, why)
