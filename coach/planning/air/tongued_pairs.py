"""What two breaths tell of a player's tongue: one tongued throughout, one in twos.

Both are spent on the same quick notes at mezzo-forte, from a full breath until nothing
more comes: once with a stroke on each note, once with a stroke on every second one and
a slur between.  The flow is the same, so the times alone tell what a stroke takes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from coach.errors import ConfigError

if TYPE_CHECKING:
    from coach.planning.air.air_settings import AirSettings


@dataclass(frozen=True, slots=True)
class TonguedPair:
    """How long one breath lasted for the same notes, begun in two ways."""

    tongued_s: float
    """With a stroke on each note, in seconds."""

    in_twos_s: float
    """With a stroke on every second note, in seconds."""


def stroke_of(pair: TonguedPair, settings: AirSettings) -> float:
    """Tell what a stroke takes: what its note does in so many seconds.

    As far as the model goes: from nothing to the whole length of the note.
    """
    # With n notes a second of length l, tongued t seconds and in twos w seconds:
    # t (1 + s / l) = w (1 + s / 2 l), since a slur takes nothing.
    note_s = settings.pair_note_s
    more_s = max(0.0, pair.in_twos_s - pair.tongued_s)
    least_s = pair.tongued_s - pair.in_twos_s / 2.0
    return note_s if least_s <= more_s else note_s * more_s / least_s


def fit_stroke(pair: TonguedPair, settings: AirSettings) -> AirSettings:
    """Tell what a stroke of a player's tongue takes.

    Returns
    -------
    AirSettings
        With it, the model runs out of both at the same air; a soft stroke keeps its
        share of a plain one.

    Raises
    ------
    ConfigError
        If nobody plays for so short or so long on a breath, or if the two times are
        not those of one player: tongued notes last less long than slurred ones, and
        more than half as long.
    """
    for seconds in (pair.tongued_s, pair.in_twos_s):
        if not settings.shortest_tone_s <= seconds <= settings.longest_tone_s:
            raise ConfigError(
                f"A breath of {seconds:g} s is not between "
                f"{settings.shortest_tone_s:g} and {settings.longest_tone_s:g} s.",
                "Breathe in fully and play until nothing more comes.",
            )
    stroke_s = stroke_of(pair, settings)
    if not 0.0 < stroke_s < settings.pair_note_s:
        raise ConfigError(
            f"Tongued for {pair.tongued_s:g} s and in twos for {pair.in_twos_s:g} s do "
            "not go together: tongued, a breath ends a little sooner.",
            "Play both again, three times each, and give the middle ones.",
        )
    soft = settings.legato_stroke_s / settings.tongue_stroke_s
    return replace(settings, tongue_stroke_s=stroke_s, legato_stroke_s=stroke_s * soft)
