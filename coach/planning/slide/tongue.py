"""Say where the tempo asks for a double tongue, or for slurring in twos.

Strokes of the tongue a second are held against the limits of single and double
tonguing.  Only strokes that follow each other that quickly count: a slurred note
between two strokes gives the tongue its time.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import pairwise
from math import inf

from coach.planning.instrument.placement import Articulation
from coach.planning.slide.words.hurry_words import slower_percent
from coach.score.bar_numbers import name_bars
from coach.score.phrase import Part
from coach.score.tempo import TempoMap


@dataclass(frozen=True, slots=True)
class TongueSettings:
    """The keys of ``config/tongue.toml``."""

    demanding_per_s: float
    """Up to here a single tongue is easy."""

    single_limit_per_s: float
    """From here a single tongue is near its limit."""

    double_per_s: float
    """From here only a double tongue is quick enough."""

    double_limit_per_s: float
    """From here a double tongue is at its limit too."""

    beyond_per_s: float
    """From here no tongue is quick enough."""

    least_notes: int
    """Fewer strokes in a row do not tire."""


@dataclass(frozen=True, slots=True)
class TongueStretch:
    """A stretch of quick strokes."""

    first: int
    """Index of the first note."""

    last: int
    """Index of the last note."""

    strokes_per_s: float
    """How many strokes a second it takes."""


def find_stretches(
    part: Part,
    tempo_map: TempoMap,
    articulations: Sequence[Articulation],
    settings: TongueSettings,
) -> tuple[TongueStretch, ...]:
    """Find where strokes follow each other too quickly to be easy.

    Parameters
    ----------
    articulations : sequence of Articulation, one for each note
        How each note is begun.
    """
    struck = [k for k, begun in enumerate(articulations) if begun.is_stroke]
    times = {k: tempo_map.seconds_at(part.notes[k].onset) for k in struck}
    stretches = []
    for run in _quick_runs(struck, times, settings):
        lasts_s = times[run[-1]] - times[run[0]]
        stretches.append(TongueStretch(run[0], run[-1], (len(run) - 1) / lasts_s))
    return tuple(stretches)


def most_speedup(part: Part, tempo_map: TempoMap, settings: TongueSettings) -> float:
    """Tell how many times as fast a double tongue could still begin each note.

    Each note counts, slurred or not: lips, slide and fingers are taken to be no
    quicker than the tongue (our own choice).  Grace notes are outside the beat.

    Returns
    -------
    float
        Below 1 where it is too fast already; infinite where there are too few notes
        to tell.
    """
    onsets = [tempo_map.seconds_at(n.onset) for n in part.notes if not n.is_grace]
    gaps = max(settings.least_notes - 1, 1)
    starts = zip(onsets, onsets[gaps:], strict=False)
    shortest_s = min((last - first for first, last in starts), default=inf)
    return shortest_s * settings.double_limit_per_s / gaps


def _quick_runs(
    struck: Sequence[int], times: Mapping[int, float], settings: TongueSettings
) -> Iterator[list[int]]:
    """Give the runs of strokes that each follow quickly on the one before."""
    run = list(struck[:1])
    for before, after in pairwise(struck):
        if (times[after] - times[before]) * settings.demanding_per_s >= 1.0:
            if len(run) >= settings.least_notes:
                yield run
            run = []
        run.append(after)
    if len(run) >= settings.least_notes:
        yield run


def advise_tongue(
    part: Part,
    tempo_map: TempoMap,
    articulations: Sequence[Articulation],
    settings: TongueSettings,
    *,
    offers_slurs: bool,
) -> tuple[str, ...]:
    """Say in the player's words where the tongue is asked for much.

    Parameters
    ----------
    articulations : sequence of Articulation, one for each note
        How each note is begun.
    offers_slurs : bool
        Whether slurring in twos is for the player to choose; on a slide the plan
        has put every slur that the horn makes cleanly.

    Returns
    -------
    tuple of str
        A sentence for each kind of advice, the most pressing first; empty where a
        single tongue is easy throughout.
    """
    found: dict[_Advice, list[TongueStretch]] = {}
    for stretch in find_stretches(part, tempo_map, articulations, settings):
        found.setdefault(_advice(stretch.strokes_per_s, settings), []).append(stretch)
    sentences = []
    for advice, stretches in sorted(found.items(), key=lambda item: -_most(item[1])):
        rate = _most(stretches)
        notes = (k for each in stretches for k in range(each.first, each.last + 1))
        where = name_bars(part.notes[k].bar for k in notes)
        sentences.append(
            f"{where[0].upper()}{where[1:]}: {rate:.1f} strokes a second {advice.says}"
            f" {advice.to_do(rate, offers_slurs=offers_slurs)}."
        )
    return tuple(sentences)


def _most(stretches: Sequence[TongueStretch]) -> float:
    """Give the quickest of some stretches, in strokes a second."""
    return max(stretch.strokes_per_s for stretch in stretches)


@dataclass(frozen=True, slots=True)
class _Advice:
    """What a rate is, and what helps."""

    says: str
    helps: tuple[str, ...]
    limit_per_s: float

    def to_do(self, strokes_per_s: float, *, offers_slurs: bool) -> str:
        """Say what to do, the gentlest way last."""
        slower = slower_percent(strokes_per_s / self.limit_per_s)
        ways = [
            *self.helps,
            *["slur in twos"] * offers_slurs,
            f"take it {slower} % slower",
        ]
        return " or ".join(filter(None, (", ".join(ways[:-1]), ways[-1])))


def _advice(strokes_per_s: float, settings: TongueSettings) -> _Advice:
    """Put a rate into words."""
    double = ("double-tongue",)
    if strokes_per_s >= settings.beyond_per_s:
        limit = settings.double_limit_per_s
        return _Advice("is too quick for any tongue:", (), limit)
    if strokes_per_s >= settings.double_limit_per_s:
        limit = settings.double_limit_per_s
        return _Advice("is at the limit of a double tongue:", ("stay light",), limit)
    if strokes_per_s >= settings.double_per_s:
        limit = settings.single_limit_per_s
        return _Advice("is too quick for a single tongue:", double, limit)
    if strokes_per_s >= settings.single_limit_per_s:
        limit = settings.single_limit_per_s
        return _Advice("is near the limit of a single tongue:", double, limit)
    limit = settings.demanding_per_s
    return _Advice("is demanding for a single tongue:", ("stay light",), limit)
