"""How looks become notes: tables of ``config/hearing.toml``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EvidenceSettings:
    """What speaks for a note and what for silence, as ``[evidence]`` has it."""

    floor_percent: float
    """The room's noise is what the softest so many hundredths sound like."""

    over_floor_db: float
    """A level so far over the noise speaks neither way."""

    over_floor_per_db: float
    """How much each decibel more or less speaks."""

    dip_window_s: float
    """A dip is told against the loudest of so long before."""

    dip_db: float
    """A level so far below that speaks neither way."""

    dip_per_db: float
    """How much each decibel speaks."""

    comb_fit: float
    """A fit of the best comb that speaks neither way."""

    comb_weight: float
    """How much it speaks."""

    most_logit: float
    """No one of the three speaks more than this."""

    pitch_weight: float
    """How sharply a better fit is preferred."""

    least_log: float
    """A wrong pitch costs no more than this."""

    widest_cents: float
    """How far from the take's tuning a note may lie to fit."""


@dataclass(frozen=True, slots=True)
class RoughSettings:
    """The first way through the whole take, as ``[rough]`` has it."""

    hop_s: float
    """From one moment to the next."""

    most_cells_count: int
    """Longer takes are looked at less finely, so that no more cells than this are
    worked out."""

    weight: float
    """How much evidence counts."""

    slack: float
    """Cost of standing still or hurrying on for one moment."""

    begin_again: float
    """Cost of going to the start of a bar after a stop, or straight on."""

    pause: float
    """Cost of stopping to play."""

    pause_noise: float
    """Cost of each moment that sounds while nothing is played."""

    shortened: float
    """Cost of silence where a note is written, each moment."""

    held_on: float
    """Cost of sound where a rest is written, each moment."""

    home_s: float
    """How far from the click's time costs one, with a clock."""

    most_home: float
    """It costs no more than this, each moment."""


@dataclass(frozen=True, slots=True)
class FineSettings:
    """The second, note by note, as ``[fine]`` has it."""

    reach_s: float
    """How far from its rough place a note may begin."""

    smooth_notes: int
    """Rough places are smoothed over so many notes."""

    apart_s: float
    """Scale of the time between two notes about what is written."""

    place_s: float
    """Scale of a note's place about its smoothed rough one."""

    most_place: float
    """It costs no more than this."""

    least_note_s: float
    """A note sounds at least this long."""

    tongued: float
    """What a full beginning is worth for a tongued note."""

    slurred: float
    """And for a slurred one."""

    missing: float
    """Cost of a missing note."""

    most_missing_notes: int
    """How many notes in a row may be missing."""

    gap: float
    """Cost of a gap between two notes where none is due."""
