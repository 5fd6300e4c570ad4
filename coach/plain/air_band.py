"""What is known of a player's flow as one line: a scale, the band on it, the plan."""

from __future__ import annotations

from math import log

from coach.rehearsal.learning.learning import AirEstimate

LEAST, MOST = 0.4, 2.5
"""Ends of the scale, against the model's flow; even in ratio."""

CELLS = 41
"""Places on the scale; the model's own flow is the middle one."""


def band_line(estimate: AirEstimate, planned: float) -> str:
    """Draw the band in plain signs.

    Parameters
    ----------
    planned : float
        Flow scale that plans are made for.

    Returns
    -------
    str
        One line: `=` for the band, `o` for the flow told, `P` for the plan, `|` for the
        model where neither lies.
    """
    cells = ["."] * CELLS
    cells[_place(1.0)] = "|"
    low, high = _place(estimate.low), _place(estimate.high)
    cells[low : high + 1] = "=" * (high - low + 1)
    cells[_place(estimate.flow_scale)] = "o"
    cells[_place(planned)] = "P"
    return (
        f"  {LEAST:g} {''.join(cells)} {MOST:g} times the model's flow "
        "(= likely, o told, P plans)"
    )


def _place(flow_scale: float) -> int:
    """Find the cell of a flow scale; what is beyond an end stands there."""
    share = log(flow_scale / LEAST) / log(MOST / LEAST)
    return round(min(max(share, 0.0), 1.0) * (CELLS - 1))
