"""What the page says outright about phrase ends: slurs, breath marks, rests, repeats.

Songs hold no slurs over phrases and no breath marks, so these are rules; how much
they count stands in ``config/phrasing.toml``.

Conventions
-----------
Gap k follows note k.  Chances are probabilities from 0 to 1, odds their log-odds.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from coach.planning.phrasing.melody import ALMOST, Melody
from coach.planning.phrasing.strain_ends import find_strain_ends
from coach.score.note import Note
from coach.score.phrase import Part

MOST_ODDS = 30.0
"""Beyond this, chances are 0 or 1 for any use."""


@dataclass(frozen=True, slots=True)
class SignSettings:
    """How much the signs on the page count."""

    slurred_at_most_share: float
    """Highest chance inside a slur, and between a grace note and its main note."""

    marked_at_least_share: float
    """Lowest chance at a breath mark or caesura."""

    strain_at_least_share: float
    """Lowest chance where a repeat sign turns back."""

    rest_at_least_share: float
    """Lowest chance at a clear rest."""

    clear_rest_beats: float
    """Length of a clear rest, in beats of the metre."""

    clear_rest_after_bars: float
    """Music before a clear rest, since the rest before; with less, the lowest chance
    is lower in proportion."""

    held_at_least_share: float
    """Lowest chance after a fermata."""

    before_held_at_most_share: float
    """Highest chance before the note with the fermata, where no rest is."""

    slur_end_weight: float
    """What the end of a long slur adds, in log-odds; of a shorter one, its share."""

    long_slur_bars: float
    """Length of a long slur."""


@dataclass(frozen=True, slots=True)
class PhraseSigns:
    """What the page says about each gap."""

    odds: list[float]
    """Log-odds that signs add."""

    at_least: list[float]
    """Lowest chance; 0 where the page says nothing."""

    at_most: list[float]
    """Highest chance; 1 where the page says nothing."""

    def agree(self, odds: list[float]) -> list[float]:
        """Turn log-odds into chances that agree with the page."""
        return [
            min(most, max(least, odds_to_chance(said)))
            for said, least, most in zip(odds, self.at_least, self.at_most, strict=True)
        ]


def read_signs(part: Part, melody: Melody, settings: SignSettings) -> PhraseSigns:
    """Read what the page says outright."""
    at_rests = _weigh_rests(melody, settings)
    ends = _measure_slurs(part.notes, melody)
    strains = find_strain_ends(part)
    odds, at_least, at_most = [], [], []
    for k in range(melody.gaps):
        before, after = part.notes[k], part.notes[k + 1]
        slur_share = min(1.0, ends[k] / max(ALMOST, settings.long_slur_bars))
        odds.append(settings.slur_end_weight * slur_share)
        least, most = at_rests[k], 1.0
        if before.has_fermata:
            least = max(least, settings.held_at_least_share)
        elif after.has_fermata and melody.rests[k] <= ALMOST:
            most = settings.before_held_at_most_share
        if k in strains:
            least = max(least, settings.strain_at_least_share)
        if after.is_slurred or before.is_grace:
            most = settings.slurred_at_most_share
        if before.breath_mark:
            least, most = settings.marked_at_least_share, 1.0
        at_least.append(least)
        at_most.append(most)
    return PhraseSigns(odds, at_least, at_most)


def _weigh_rests(melody: Melody, settings: SignSettings) -> list[float]:
    """Give the lowest chance at each rest: lower where they come thick and fast."""
    at_least = []
    rested = melody.places[0]
    for k, rest in enumerate(melody.rests):
        music = melody.places[k] + melody.lengths[k] / melody.bar_beats[k] - rested
        share = min(1.0, music / max(ALMOST, settings.clear_rest_after_bars))
        is_long = rest >= settings.clear_rest_beats * melody.beat_beats[k] - ALMOST
        at_least.append(settings.rest_at_least_share * share if is_long else 0.0)
        if rest > ALMOST:
            rested = melody.places[k + 1]
    return at_least


def _measure_slurs(notes: tuple[Note, ...], melody: Melody) -> list[float]:
    """Give the bars that the slur takes which ends before each gap; 0 without one."""
    bars = []
    begun = melody.places[0]
    for k in range(melody.gaps):
        if not notes[k].is_slurred:
            begun = melody.places[k]
        end = melody.places[k] + melody.lengths[k] / melody.bar_beats[k]
        ends_here = notes[k].is_slurred and not notes[k + 1].is_slurred
        bars.append(end - begun if ends_here else 0.0)
    return bars


def odds_to_chance(odds: float) -> float:
    """Turn log-odds into a probability.

    Examples
    --------
    >>> odds_to_chance(0.0)
    0.5
    """
    return 1.0 / (1.0 + math.exp(-max(-MOST_ODDS, min(MOST_ODDS, odds))))
