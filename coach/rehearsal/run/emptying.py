"""Which flow would have emptied the lungs: what one run tells of a player's air.

Conventions
-----------
A flow scale is this player's flow against the model's; 1 is the model.
"""

from __future__ import annotations

from coach.planning.breathing.breaths import breath_to_breath
from coach.rehearsal.run.gauge import Gauge
from coach.score.tempo import Seconds

LEAST_USED = 0.02
"""Share of capacity that must have been used for a mark to tell anything."""


def empties_at_scale(gauge: Gauge, ran_out: Seconds | None) -> float | None:
    """Tell at which flow scale the air would be gone: at a mark, or anywhere.

    Parameters
    ----------
    gauge : Gauge
        The run as it was played, breaths as they were taken.
    ran_out : Seconds or None
        Run time of a ran-out mark; None for a run to the end without one.

    Returns
    -------
    float or None
        The flow scale; None where too little air was used to tell.

    Notes
    -----
    The air after each breath is taken as planned.  A player who uses more also
    starts lower after a catch breath, so that the true scale lies a little nearer
    to 1 than this.
    """
    air = gauge.plan.breaths
    spans = breath_to_breath(air.breaths, len(air.ends))
    if ran_out is not None:
        begun = sum(1 for first, _ in spans if gauge.starts[first] <= ran_out)
        spans = (spans[max(0, begun - 1)],)
    scales = (_scale_in_span(gauge, span, ran_out) for span in spans)
    return min((scale for scale in scales if scale is not None), default=None)


def _scale_in_span(
    gauge: Gauge, span: tuple[int, int], until: Seconds | None
) -> float | None:
    """Tell the flow scale that empties the air within one breath's notes."""
    air = gauge.plan.breaths
    first, last = span
    full = air.air_before[first]
    left = air.air_after[last] if until is None else gauge.level_at(until)
    used = full - left
    usable = full - gauge.empty_air
    if used < LEAST_USED or usable <= 0:
        return None
    return usable / used * gauge.plan.player.flow_scale
