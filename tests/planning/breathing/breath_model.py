"""The breath problem as an integer program, for a solver that knows nothing of ours.

Every way to play a note and breathe after it is a binary with a level of its own,
which is 0 unless the way is chosen; every breath is worth taking and ends on a whole
step (an integer); what lies below half or low is bounded from below.  HiGHS, through
SciPy, does the rest.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import groupby

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

from coach.planning.breathing.breath_places import Places
from coach.planning.breathing.ways.choose_ways import Allowed

SLACK = 1e-9


@dataclass
class Program:
    """Columns, rows and prices, gathered one by one."""

    lower: list[float] = field(default_factory=list)
    upper: list[float] = field(default_factory=list)
    price: list[float] = field(default_factory=list)
    is_whole: list[int] = field(default_factory=list)
    rows: list[Mapping[int, float]] = field(default_factory=list)
    limits: list[float] = field(default_factory=list)

    def column(
        self, low: float, high: float, price: float = 0.0, *, is_whole: bool = False
    ) -> int:
        """Add an unknown; give its number."""
        self.lower.append(low)
        self.upper.append(high)
        self.price.append(price)
        self.is_whole.append(int(is_whole))
        return len(self.lower) - 1

    def at_most(self, terms: Mapping[int, float], limit: float) -> None:
        """Add a row: the terms together are at most `limit`."""
        self.rows.append(terms)
        self.limits.append(limit)

    def equal(self, terms: Mapping[int, float], value: float) -> None:
        """Add a row: the terms together are `value`."""
        self.at_most(terms, value)
        self.at_most({column: -factor for column, factor in terms.items()}, -value)

    def solve(self, seconds: float, gap: float) -> tuple[float, float]:
        """Give the least cost found and the least there can be."""
        entries = [
            (r, c, value) for r, row in enumerate(self.rows) for c, value in row.items()
        ]
        at_row, at_column, values = zip(*entries, strict=True)
        shape = (len(self.rows), len(self.lower))
        matrix = csr_array((values, (at_row, at_column)), shape=shape)
        result = milp(
            c=np.array(self.price),
            constraints=LinearConstraint(matrix, -np.inf, np.array(self.limits)),
            bounds=Bounds(np.array(self.lower), np.array(self.upper)),
            integrality=np.array(self.is_whole),
            options={"time_limit": seconds, "mip_rel_gap": gap},
        )
        cost = np.inf if result.fun is None else float(result.fun)
        return cost, float(result.mip_dual_bound)


@dataclass
class Arrived:
    """What leads to a note: the choices that may have been made, and the air then."""

    chosen: dict[int, float] = field(default_factory=dict)
    level: dict[int, float] = field(default_factory=dict)

    def take(self, chosen: Mapping[int, float], level: Mapping[int, float]) -> None:
        """Let one more way lead here."""
        self.chosen.update(chosen)
        self.level.update(level)


def solve(
    places: Places, allowed: Allowed, *, seconds: float = 60.0, gap: float = 1e-7
) -> tuple[float, float]:
    """Solve a problem without marks or locks, over all plans that never run dry.

    Parameters
    ----------
    places : Places
        The problem.
    allowed : Allowed
        How one may breathe; nothing is forced.
    seconds : float
        The solver stops after this.
    gap : float
        The solver stops when the cost is proved to this share.

    Returns
    -------
    tuple of float
        The least cost found, and the least that there can be.
    """
    program = Program()
    full = places.breather.air.full_share
    begun = program.column(1.0, 1.0)
    arrived = [Arrived() for _ in range(len(places.notes) + 1)]
    arrived[0] = Arrived({begun: 1.0}, {program.column(full, full): 1.0})
    breaths: dict[int, list[tuple[int, int]]] = {}
    for k in range(len(places.notes)):
        breaths[k] = _note(program, places, allowed, k, arrived)
    _keep_apart(program, places, breaths)
    return program.solve(seconds, gap)


def _keep_apart(
    program: Program, places: Places, breaths: Mapping[int, list[tuple[int, int]]]
) -> None:
    """Take no two breaths of which the later comes too soon."""
    for k, later in breaths.items():
        if not later:
            continue
        for j in range(k):
            for following, x in breaths[j]:
                if places.ripe_from[k] < following <= k:
                    row = {x: 1.0} | dict.fromkeys((y for _, y in later), 1.0)
                    program.at_most(row, 1.0)
        if places.ripe_from[k] < 0:
            program.at_most(dict.fromkeys((y for _, y in later), 1.0), 0.0)


def _note(
    program: Program,
    places: Places,
    allowed: Allowed,
    k: int,
    arrived: list[Arrived],
) -> list[tuple[int, int]]:
    """Play a note in one of all ways, if it is played; list the breaths after it."""
    note, here = places.notes[k], arrived[k]
    going_on = places.gaps[k].going_on_cost if k < len(places.gaps) else 0.0
    plain = program.column(0.0, 1.0, going_on, is_whole=True)
    chosen, start = [plain], [program.column(0.0, 1.0)]
    _play(program, places, k, plain, start[0], note.used, note.sounding_s)
    arrived[k + 1].take({plain: 1.0}, {start[0]: 1.0, plain: -note.used})
    if going_on and places.ways[k]:
        # Who is too full to breathe pays no more than a breath would cost.
        least = min(going_on, *(way.cost for way in places.ways[k]))
        free = program.column(0.0, 1.0, least, is_whole=True)
        before = program.column(0.0, 1.0)
        _play(program, places, k, free, before, note.used, note.sounding_s)
        fullest = places.breather.air.half_share - min(
            way.worth_depth - way.used for way in places.ways[k]
        )
        program.at_most({free: fullest, before: -1.0}, 0.0)
        chosen.append(free)
        start.append(before)
        arrived[k + 1].take({free: 1.0}, {before: 1.0, free: -note.used})
    breaths = []
    ways = allowed.ways[k] if k < len(allowed.ways) else ()
    for count, same in groupby(ways, key=lambda way: way.left_out):
        filled: dict[int, float] = {}
        taken = []
        for way in same:
            x = program.column(0.0, 1.0, way.cost, is_whole=True)
            before = program.column(0.0, 1.0)
            _play(program, places, k, x, before, way.used, way.sounding_s)
            # Who has more air than that does not find the breath worth taking.
            worth = places.lungs.half - way.worth_depth + way.used
            program.at_most({before: 1.0, x: -worth}, SLACK)
            keeps = way.still_empty
            filled[before] = -keeps
            filled[x] = keeps * way.used - (1.0 - keeps)
            chosen.append(x)
            start.append(before)
            taken.append(x)
        air = places.breather.air
        steps = places.breather.costs.air_steps_count
        most = round(air.full_share * steps)
        whole = program.column(0.0, most, is_whole=True)
        program.at_most({whole: 1.0 / steps, **filled}, SLACK)
        program.at_most({whole: 1.0} | dict.fromkeys(taken, -float(most)), 0.0)
        following = k + 1 + count
        arrived[following].take(dict.fromkeys(taken, 1.0), {whole: 1.0 / steps})
        breaths += [(following, x) for x in taken]
    program.equal(
        dict.fromkeys(chosen, 1.0) | {x: -v for x, v in here.chosen.items()}, 0.0
    )
    program.equal(
        dict.fromkeys(start, 1.0) | {c: -v for c, v in here.level.items()}, 0.0
    )
    return breaths


def _play(
    program: Program,
    places: Places,
    k: int,
    chosen: int,
    start: int,
    used: float,
    seconds: float,
) -> None:
    """Play a note in one way: all its unknowns are 0 unless that way is chosen."""
    air, weights = places.breather.air, places.breather.costs
    half = weights.below_half_weight * seconds / 2
    is_high = places.passage.part.notes[k].sounding.midi >= weights.high_from_midi
    high = weights.high_below_half_weight if is_high else 0.0
    program.at_most({start: 1.0, chosen: -air.full_share}, 0.0)
    program.at_most({start: -1.0, chosen: air.empty_share + used}, 0.0)
    for level, more, price in (
        (air.half_share, 0.0, half + high),
        (air.half_share, used, half),
        (weights.low_share, used, weights.below_low_weight * seconds),
    ):
        below = program.column(0.0, 1.0, price)
        program.at_most({below: -1.0, chosen: level + more, start: -1.0}, 0.0)
