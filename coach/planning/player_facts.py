"""What a player has told of themselves: instrument, body, air and long tones."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class PlayerFacts:
    """What a player may say; keys of ``player.toml``."""

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
    """How long F3 lasts at mezzo-forte from a full breath; 0 if not timed."""

    loud_tone_s: float
    """How long Bb3 lasts at fortissimo from a full breath; 0 if not timed."""

    @property
    def are_enough(self) -> bool:
        """A capacity can be told without guessing."""
        return bool(self.capacity_l or (self.sex and self.height_cm and self.age))
