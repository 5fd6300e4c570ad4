"""How long a run is loud: what the ears are given, as far as the page tells.

A hairpin counts as loud as its middle.  How loud it really is depends on room and
player; no microphone is asked.
"""

from __future__ import annotations

from coach.planning.plan import Plan
from coach.score.note import DYNAMIC_STEPS
from coach.score.tempo import Seconds


def loud_until(plan: Plan, end: Seconds) -> Seconds:
    """Tell how long notes are forte or louder in a run that comes to its end.

    Parameters
    ----------
    plan : Plan
        What is played; notes that it leaves out are silent.
    end : Seconds
        Run time at which it ends.
    """
    silent = set(plan.breaths.left_out)
    return Seconds(
        sum(
            max(0.0, min(time.end, end) - time.start)
            for k, (note, time) in enumerate(
                zip(plan.part.notes, plan.times, strict=True)
            )
            if (note.loud_start + note.loud_end) / 2 >= DYNAMIC_STEPS["f"]
            and k not in silent
        )
    )
