"""The round trips that were measured, in ``player.toml``: one for each pair of gear."""

from __future__ import annotations

from dataclasses import asdict, dataclass

from coach.config import (
    player_path,
    read_player_file,
    settings_from,
    write_player_file,
)
from coach.edges.sound.microphone_settings import MicrophoneSettings
from coach.score.tempo import Seconds

TABLE = "sound"
LIST = "round_trips"


@dataclass(frozen=True, slots=True)
class GearPair:
    """What was measured with what; with any of it changed, it is another pair."""

    output: str
    """The sound device or MIDI port that clicks."""

    microphone: str
    """The microphone that hears them."""

    rate_hz: float
    """The microphone's samples a second."""

    block_samples: int
    """Its samples at a time."""

    latency_s: float
    """What was asked of its driver."""


@dataclass(frozen=True, slots=True)
class KeptRoundTrip:
    """One line of the list."""

    output: str
    """As in `GearPair`."""

    microphone: str
    """As in `GearPair`."""

    rate_hz: float
    """As in `GearPair`."""

    block_samples: int
    """As in `GearPair`."""

    latency_s: float
    """As in `GearPair`."""

    round_trip_s: float
    """From making a sample to getting it back."""


def gear_pair(output: str, name: str, settings: MicrophoneSettings) -> GearPair:
    """Name a pair of gear with what its round trip depends on."""
    return GearPair(
        output, name, settings.rate_hz, settings.block_samples, settings.latency_s
    )


def read_round_trip(pair: GearPair) -> Seconds | None:
    """Give what was measured with a pair; None if nothing was."""
    for kept in _list():
        if all(getattr(kept, key) == value for key, value in asdict(pair).items()):
            return Seconds(kept.round_trip_s)
    return None


def write_round_trip(pair: GearPair, round_trip: Seconds) -> None:
    """Keep what was measured, in the place of what was measured before."""
    wanted = asdict(pair)
    others = [
        asdict(line)
        for line in _list()
        if any(getattr(line, key) != value for key, value in wanted.items())
    ]
    kept = asdict(KeptRoundTrip(**wanted, round_trip_s=round_trip))
    file = read_player_file()
    write_player_file({**file, TABLE: {**file.get(TABLE, {}), LIST: [*others, kept]}})


def _list() -> list[KeptRoundTrip]:
    lines = read_player_file().get(TABLE, {}).get(LIST, [])
    where, table = str(player_path()), f"{TABLE}.{LIST}"
    return [
        settings_from(KeptRoundTrip, line, where=where, table=table) for line in lines
    ]
