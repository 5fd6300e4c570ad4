"""Tell where a musician hears a phrase end.

Two looks at every gap between two notes.  The first takes what the page shows there:
length, rest, pitch, metre, form, likeness to other places.  The second, at the gaps
that are left, also takes how likely the gaps around and some bars away are, and those
where the same is heard, since phrases come in like lengths and end alike.  Then those
next to each other vie for one end.  Slurs, breath marks and clear rests on the page
have the last word.

How much each thing counts was learned from folk songs whose phrases are marked, from
studies made of them by breaking up their notes, and from chorales, in which a fermata
ends each line of verse (``tests/benchmarks/train_phrasing.py``).

Conventions
-----------
Gap k follows note k.  A chance of 0.5 and more is a phrase end: the cut that finds
the most ends for the fewest false ones.

References
----------
H. Schaffrath, The Essen Folksong Collection, 1995: the songs.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from coach.config import read_settings, read_shipped_json
from coach.planning.phrasing.melody import hear_melody
from coach.planning.phrasing.phrase_context import look_again
from coach.planning.phrasing.phrase_echoes import hear_echoes
from coach.planning.phrasing.phrase_features import look_first
from coach.planning.phrasing.phrase_forest import Forest, forest_from
from coach.planning.phrasing.phrase_rivals import weigh_rivals
from coach.planning.phrasing.phrase_signs import SignSettings, read_signs
from coach.score.phrase import Part


@dataclass(frozen=True, slots=True)
class LookSettings:
    """How far the looks go."""

    second_look_share: float
    """Chance from which a gap gets a second look."""

    likely_share: float
    """Chance from which a gap counts as a likely end in the second look."""

    rival_notes: int
    """Gaps that are at most so many notes apart vie for one end."""

    rival_weight: float
    """How much of what speaks for its rivals speaks against a gap, in log-odds."""


def phrase_ends(part: Part) -> tuple[float, ...]:
    """Give each gap between notes the chance that a phrase ends there.

    Parameters
    ----------
    part : Part
        The page; at least one note.

    Returns
    -------
    tuple of float, length ``len(part.notes) - 1``
        Probability from 0 to 1 that a musician hears a phrase end after each note
        but the last.

    Raises
    ------
    ConfigError
        If the shipped numbers cannot be read.

    Notes
    -----
    Time grows linearly with the notes.
    """
    if len(part.notes) == 1:
        return ()
    looks, signs_settings, first, second = _learned()
    melody = hear_melody(part)
    shown = look_first(melody)
    signs = read_signs(part, melody, signs_settings)
    odds = [a + b for a, b in zip(first.weigh(shown), signs.odds, strict=True)]
    chances = signs.agree(odds)
    gaps = [k for k, chance in enumerate(chances) if chance >= looks.second_look_share]
    around = look_again(melody, chances, gaps, looks.likely_share)
    echoes = hear_echoes(melody, chances, gaps, looks.likely_share)
    seen = {name: [column[k] for k in gaps] for name, column in shown.items()}
    again = second.weigh({**seen, **around, **echoes})
    for k, said in zip(gaps, again, strict=True):
        odds[k] = said + signs.odds[k]
    rivals = weigh_rivals(signs.agree(odds), gaps, looks.rival_notes)
    for k, rival in zip(gaps, rivals, strict=True):
        odds[k] -= looks.rival_weight * rival
    return tuple(signs.agree(odds))


@cache
def _learned() -> tuple[LookSettings, SignSettings, Forest, Forest]:
    """Read the shipped numbers once."""
    trees = read_shipped_json("phrasing_trees")
    return (
        read_settings(LookSettings, "phrasing", "looks"),
        read_settings(SignSettings, "phrasing", "signs"),
        forest_from(trees["first"]),
        forest_from(trees["second"]),
    )
