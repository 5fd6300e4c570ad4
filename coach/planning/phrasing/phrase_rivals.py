"""Neighbouring gaps vie for one phrase end: where one likely ends, the next do not.

The two looks judge every gap by itself, and so may hear an end after either of two
half notes at a cadence.  No phrase is as short as a few notes: a gap is an end only if
none of its neighbours is one.  Were they judged without a look at each other, that
would divide a gap's odds by one and the sum of all its rivals' odds.  The second look
has seen what the first one says of them, so a part of that is left, in log-odds.

Conventions
-----------
Gap k follows note k.  Chances are probabilities from 0 to 1; odds are how many times
likelier an end is than none.  Before the first note and after the last one are ends.

References
----------
S. Sarawagi and W. Cohen, "Semi-Markov conditional random fields for information
extraction", Proc. NIPS 2004: ends chosen together, with no two too near.
"""

from __future__ import annotations

import math

SUREST = 0.99
"""No rival counts as surer: the sums stay finite."""


def weigh_rivals(
    chances: list[float], gaps: list[int], rival_notes: int
) -> list[float]:
    """Tell how much speaks for a phrase end near each gap, but not in it.

    Parameters
    ----------
    chances : list of float
        How likely a phrase ends in every gap.
    gaps : list of int
        The gaps that vie with each other, in order; all others are none.
    rival_notes : int
        How many notes away a rival may be; at least 1.

    Returns
    -------
    list of float, of the length of `gaps`
        Natural logarithm of one and the sum of the rivals' odds; 0 without a rival.

    Notes
    -----
    Time grows linearly with the notes.
    """
    surest = _odds(SUREST)
    edge = [0.0] * (rival_notes - 1)
    odds = [0.0] * len(chances)
    for k in gaps:
        odds[k] = _odds(min(SUREST, chances[k]))
    around = [*edge, surest, *odds, surest, *edge]
    return [
        math.log1p(
            sum(around[k : k + rival_notes])
            + sum(around[k + rival_notes + 1 : k + 2 * rival_notes + 1])
        )
        for k in gaps
    ]


def _odds(chance: float) -> float:
    """Turn a probability below 1 into odds."""
    return chance / (1.0 - chance)
