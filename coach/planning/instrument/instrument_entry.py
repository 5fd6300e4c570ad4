"""What an instrument's file says at its top: name, kind, range, clefs, tones to time.

Conventions
-----------
Keys are sounding MIDI keys, 60 for middle C.  A reading is a clef with the
semitones from the written to the sounding pitch.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal

from coach.config import settings_from
from coach.errors import ConfigError
from coach.planning.air.winds import BRASS
from coach.score.note import Pitch, pitch_named

InstrumentKind = Literal["slide", "valves", "breath-only"]
KINDS: tuple[InstrumentKind, ...] = ("slide", "valves", "breath-only")


@dataclass(frozen=True, slots=True)
class Reading:
    """One way a player of the instrument reads."""

    clef: str
    """``bass``, ``tenor``, ``alto`` or ``treble``."""

    transposition_semitones: int
    """Semitones from written to sounding pitch."""


@dataclass(frozen=True, slots=True)
class ReferenceTone:
    """A tone that a player holds for as long as one breath lasts."""

    written: Pitch
    """As the player reads it, in the usual reading."""

    midi: int
    """Sounding key."""


@dataclass(frozen=True, slots=True)
class InstrumentEntry:
    """An instrument to choose, before its places are laid out."""

    name: str
    """Name of its file: ``tenor-trombone``."""

    title: str
    """Name in words: ``tenor trombone``."""

    kind: InstrumentKind
    """What places its pitches: a slide, valves, or nothing that the coach plans."""

    lowest: int
    """Lowest sounding key."""

    highest: int
    """Highest sounding key."""

    readings: tuple[Reading, ...]
    """How it is read, the usual way first; at least one."""

    long_tone: ReferenceTone
    """The tone that is held at mezzo-forte, to learn how much air the player takes."""

    loud_tone: ReferenceTone
    """The tone that is held at fortissimo besides."""

    high_from: int | None = None
    """From this sounding key up notes want the top half; None where none is set."""

    breathes_out_first: bool = False
    """Its players breathe out before they breathe in."""

    wind: str = BRASS
    """The family whose air it takes: a table of ``config/winds.toml``, or brass."""

    about: str = ""
    """What a player should know of how it is treated."""


@dataclass(frozen=True, slots=True)
class _Head:
    """The words and numbers at the top of a file, for their kinds to be checked."""

    title: str
    kind: str
    lowest_midi: int
    highest_midi: int
    long_tone: str
    loud_tone: str
    about: str = ""
    also_called: tuple[str, ...] = ()
    high_from_midi: int | None = None
    breathes_out_first: bool = False
    wind: str = BRASS


def build_entry(name: str, table: Mapping[str, Any], where: str) -> InstrumentEntry:
    """Make an entry from the top of an instrument's file.

    Parameters
    ----------
    name : str
        Name of the file, without its ending.
    where : str
        The file, as it is named where something is wrong.

    Raises
    ------
    ConfigError
        If something is missing or makes no sense; names the file.
    """
    head_keys = _Head.__dataclass_fields__
    head = settings_from(
        _Head, {key: table[key] for key in head_keys if key in table}, where=where
    )
    readings = tuple(
        settings_from(Reading, reading, where=where, table="readings")
        for reading in rows(table, "readings", where)
    )
    if not readings or head.lowest_midi > head.highest_midi:
        raise ConfigError(
            f"{where} needs a reading and a lowest note that is not above the highest.",
            "Mend the file.",
        )
    return InstrumentEntry(
        name,
        head.title,
        _kind(head.kind, where),
        head.lowest_midi,
        head.highest_midi,
        readings,
        _tone("long_tone", head.long_tone, head, readings[0], where),
        _tone("loud_tone", head.loud_tone, head, readings[0], where),
        head.high_from_midi,
        head.breathes_out_first,
        head.wind,
        head.about,
    )


def rows(table: Mapping[str, Any], key: str, where: str) -> list[Any]:
    """Give the tables of a list of tables; none where the file has none."""
    found = table.get(key, [])
    if not isinstance(found, list):
        raise ConfigError(f"{where}: {key} is no list.", f"Write [[{key}]] above it.")
    return found


def _kind(kind: str, where: str) -> InstrumentKind:
    """Take the kind as written, or refuse it."""
    for known in KINDS:
        if kind == known:
            return known
    raise ConfigError(
        f"{where}: kind is {kind!r}.", f"Write one of {', '.join(KINDS)}."
    )


def _tone(
    key: str, text: str, head: _Head, reading: Reading, where: str
) -> ReferenceTone:
    """Read a tone that the instrument can play."""
    written = pitch_named(text)
    midi = written.midi + reading.transposition_semitones if written else -1
    if written is None or not head.lowest_midi <= midi <= head.highest_midi:
        raise ConfigError(
            f"{where}: {key} is “{text}”, which is no note of the instrument.",
            "Write it as the player reads it: Bb3, F#4.",
        )
    return ReferenceTone(written, midi)
