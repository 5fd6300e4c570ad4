"""What a player has told of themselves: instrument, body, air and long tones."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from coach.planning.instrument.instrument_entry import InstrumentEntry

UNTIMED: Mapping[str, Any] = {
    **dict.fromkeys(("long_tone_s", "loud_tone_s", "tongued_s", "in_twos_s"), 0.0),
    **dict.fromkeys(("long_tone_wind", "loud_tone_wind", "pair_wind"), ""),
}
"""What is known of an instrument on which nothing was timed."""

TIMED = (*UNTIMED, "long_tone_midi", "loud_tone_midi")
"""All that is timed on one instrument, by its name among the facts."""


@dataclass(frozen=True, slots=True)
class PlayerFacts:
    """What a player may say; keys of ``player.toml``.

    What was timed is of the instrument that is played; of others it stands in `tones`.
    """

    instrument: str
    """Name of the instrument's file."""

    sex: str
    """``female``, ``male`` or empty."""

    height_cm: float
    """Height in centimetres; 0 if not said."""

    age: float
    """Age in years; 0 if not said."""

    capacity_l: float
    """Measured vital capacity in litres; 0 if not measured."""

    long_tone_s: float
    """How long one tone lasts at mezzo-forte from a full breath; 0 if not timed."""

    long_tone_midi: int
    """The sounding key of that tone."""

    long_tone_wind: str
    """The family of winds it was held on; empty if not said: of what is played."""

    loud_tone_s: float
    """How long one tone lasts at fortissimo from a full breath; 0 if not timed."""

    loud_tone_midi: int
    """The sounding key of that tone."""

    loud_tone_wind: str
    """The family of winds it was held on; empty if not said: of what is played."""

    tongued_s: float
    """How long sixteenths at 100 last, tongued, from a full breath; 0 if not timed."""

    in_twos_s: float
    """How long they last with every second one slurred; 0 if not timed."""

    pair_wind: str
    """The family of winds that both were played on."""

    tones: Mapping[str, Mapping[str, Any]]
    """By instrument: what was timed on those that are not played now, as above."""

    @property
    def are_enough(self) -> bool:
        """A capacity can be told without guessing."""
        return bool(self.capacity_l or (self.sex and self.height_cm and self.age))


def take_up(facts: PlayerFacts, instrument: str) -> PlayerFacts:
    """Take up another instrument, with what was timed on it; each keeps its own."""
    if instrument == facts.instrument:
        return facts
    known = {**facts.tones, facts.instrument: {k: getattr(facts, k) for k in TIMED}}
    own = {**UNTIMED, **known.pop(instrument, {})}
    kept = {name: told for name, told in known.items() if _has_timed(told)}
    return replace(facts, instrument=instrument, tones=kept, **own)


def timed_on(facts: PlayerFacts, wind: str, seconds: str, on: str) -> PlayerFacts:
    """Give the facts with what was timed on a family of winds.

    Where nothing was timed on the instrument itself, another of its family tells.

    Parameters
    ----------
    seconds, on : str
        Names of what must be timed for that, and of the family it was timed on.
    """
    if getattr(facts, seconds) and getattr(facts, on) in ("", wind):
        return facts
    for told in facts.tones.values():
        if told.get(seconds) and told.get(on) == wind:
            return replace(facts, **{**UNTIMED, **told})
    return facts


def _has_timed(told: Mapping[str, Any]) -> bool:
    """Tell whether anything was timed on an instrument."""
    return any(value for key, value in told.items() if key in UNTIMED)


def hold_tones(
    facts: PlayerFacts,
    instrument: InstrumentEntry,
    *,
    long_s: float | None = None,
    loud_s: float | None = None,
    tongued_s: float | None = None,
    in_twos_s: float | None = None,
) -> PlayerFacts:
    """Take down how long the tones of an instrument were held, and its quick notes.

    Parameters
    ----------
    long_s, loud_s : float, optional
        Seconds at mezzo-forte and at fortissimo; one that is left out stays as it
        was, with the instrument that it was played on.
    tongued_s, in_twos_s : float, optional
        Seconds of sixteenths at 100, tongued and in twos.
    """
    if long_s is not None:
        tone = instrument.long_tone
        facts = replace(
            facts,
            long_tone_s=long_s,
            long_tone_midi=tone.midi,
            long_tone_wind=instrument.wind,
        )
    if loud_s is not None:
        tone = instrument.loud_tone
        facts = replace(
            facts,
            loud_tone_s=loud_s,
            loud_tone_midi=tone.midi,
            loud_tone_wind=instrument.wind,
        )
    if tongued_s is not None:
        facts = replace(facts, tongued_s=tongued_s, pair_wind=instrument.wind)
    if in_twos_s is not None:
        facts = replace(facts, in_twos_s=in_twos_s, pair_wind=instrument.wind)
    return facts
