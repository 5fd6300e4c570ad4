"""What an instrument can play, and how each pitch is placed on it.

Conventions
-----------
Keys are sounding MIDI keys, 60 for middle C.  A reading is a clef with the
semitones from the written to the sounding pitch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, fields
from typing import Any

from coach.config import settings_from
from coach.errors import ConfigError
from coach.planning.instrument.instrument_entry import (
    InstrumentEntry,
    build_entry,
    rows,
)
from coach.planning.instrument.own_line import instrument_words
from coach.planning.instrument.placement import NO_PLACE, Placement
from coach.planning.instrument.slide_chart import SlideTube, SlideValve, lay_slide_chart
from coach.planning.instrument.valve_chart import ValveSide, lay_valve_chart
from coach.setting_kinds import nearest_key, refuse_unknown

KEYS = (
    *("title", "also_called", "kind", "lowest_midi", "highest_midi", "about", "source"),
    *("long_tone", "loud_tone", "readings", "slide", "valves", "sides"),
    *("high_from_midi", "breathes_out_first", "wind"),
)
"""All that may stand at the top of an instrument's file."""


@dataclass(frozen=True, slots=True)
class Instrument(InstrumentEntry):
    """An instrument with its places laid out."""

    length_cm: float | None = None
    """Sounding length of the open tube; None for a breath-only instrument."""

    chart: Mapping[int, tuple[Placement, ...]] = field(
        default_factory=dict, repr=False, compare=False
    )
    """Places of each key that can be played; empty for a breath-only instrument."""

    @property
    def clef(self) -> str:
        """The clef it is usually read in."""
        return self.readings[0].clef

    @property
    def transposition(self) -> int:
        """Semitones from written to sounding pitch in that clef."""
        return self.readings[0].transposition_semitones

    def say_place(self, label: str) -> str:
        """Name a place as its players do: ``valves 12``, ``open``, ``position b4``."""
        if self.kind != "valves":
            return f"position {label}"
        pressed = label.replace("0", "")
        word = "valves" if len(pressed) > 1 else "valve"
        return f"{word} {pressed}" if pressed else "open"

    def choices(self, midi: int) -> tuple[Placement, ...]:
        """Give the places of a sounding key, the usual one first.

        Parameters
        ----------
        midi : int
            Sounding key.

        Returns
        -------
        tuple of Placement
            Empty if the key cannot be played; one place with an empty label on a
            breath-only instrument.
        """
        if self.kind == "breath-only":
            return (NO_PLACE,) if self.lowest <= midi <= self.highest else ()
        return self.chart.get(midi, ())


def build_instrument(
    name: str, table: Mapping[str, Any], where: str = ""
) -> Instrument:
    """Make an instrument from its file.

    Parameters
    ----------
    name : str
        Name of the file, without its ending.
    where : str
        The file, as it is named where something is wrong; a shipped one if empty.

    Raises
    ------
    ConfigError
        If something is missing, unknown or of the wrong kind; names the file.
    """
    where = where or f"instruments/{name}.toml"
    for key in table:
        if key not in KEYS:
            refuse_unknown(f"{where} does not know “{key}”.", nearest_key(key, KEYS))
    entry = build_entry(name, table, where)
    chart, length_cm = _lay_chart(entry, table, where)
    known = {field.name: getattr(entry, field.name) for field in fields(entry)}
    return Instrument(**known, length_cm=length_cm, chart=chart)


def is_called(asked: str, name: str, table: Mapping[str, Any]) -> bool:
    """Tell whether an instrument goes by a name: its file's, its title, another.

    Parameters
    ----------
    asked : str
        As a player types it; capitals, accents, hyphens and dots do not matter.
    name : str
        Name of the file, without its ending.

    Examples
    --------
    >>> horn = {"title": "horn in F", "also_called": ["French horn"]}
    >>> is_called("french-horn", "horn-f", horn), is_called("F", "horn-f", horn)
    (True, False)
    """
    names = (name, table.get("title", ""), *table.get("also_called", ()))
    return instrument_words(asked) in map(instrument_words, names)


def _lay_chart(
    entry: InstrumentEntry, table: Mapping[str, Any], where: str
) -> tuple[Mapping[int, tuple[Placement, ...]], float | None]:
    """Work out the places of every key, and the length of the open tube."""
    lowest, highest = entry.lowest, entry.highest
    if entry.kind == "slide":
        tube = settings_from(
            SlideTube, table.get("slide", {}), where=where, table="slide"
        )
        valves = [
            settings_from(SlideValve, valve, where=where, table="valves")
            for valve in rows(table, "valves", where)
        ]
        return lay_slide_chart(tube, valves, lowest, highest), tube.length_cm
    if entry.kind == "valves":
        sides = [
            settings_from(ValveSide, side, where=where, table="sides")
            for side in rows(table, "sides", where)
        ]
        if not sides:
            raise ConfigError(f"{where} has no [[sides]].", "Say what its valves do.")
        return lay_valve_chart(sides, lowest, highest), sides[0].length_cm
    return {}, None
