"""How soon one breath may follow another."""

from __future__ import annotations

from bisect import bisect_right
from itertools import accumulate

from coach.last_answers import remembered
from coach.planning.breathing.passage import Breather
from coach.planning.breathing.ways.breath_draws import shortest_breath_s
from coach.planning.breathing.ways.breath_ways import ROUNDING, Gap


@remembered
def list_ripe(
    gaps: tuple[Gap, ...], breather: Breather, soonest_s: float, on_rest_s: float
) -> tuple[int, ...]:
    """Tell for each gap up to which note the last breath must have been.

    A rest that is long enough to breathe on is open sooner, and so is the end of a slow
    line; who lets them pass may breathe after them.  Where a breath may take from the
    note before as well, what it takes is not played: enough is played before the
    shortest breath, and before the longest what is enough in need.
    """
    costs, shortest_s = breather.costs, shortest_breath_s(breather)
    at_end_s = min(soonest_s, costs.soonest_at_end_s)
    played_s = [0.0, *accumulate(gap.length_s for gap in gaps)]
    ripe, last = [], -1
    for k, gap in enumerate(gaps):
        taken_s = min(gap.length_s * costs.most_taken_share, costs.longest_taken_s)
        least_s = min(taken_s, max(0.0, shortest_s - gap.rest_s))
        latest_s = played_s[k + 1] - max(
            least_s + (at_end_s if gap.ends_line else soonest_s),
            taken_s + costs.soonest_in_need_s,
        )
        if gap.rest_s >= shortest_s:
            taken_s = 0.0 if gap.rest_s >= costs.enough_rest_s else taken_s
            latest_s = max(latest_s, played_s[k + 1] - taken_s - on_rest_s)
        # Who has let a gap pass may breathe at each one after it.
        last = bisect_right(played_s, latest_s + ROUNDING, last + 1, k + 1) - 1
        ripe.append(last)
    return tuple(ripe)
