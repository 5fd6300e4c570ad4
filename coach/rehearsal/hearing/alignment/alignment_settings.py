"""How looks become notes: tables of ``config/hearing.toml``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class EvidenceSettings:
    """What speaks for a note and what for silence, as ``[evidence]`` has it."""

    floor_percent: float
    """The room's noise is what the softest so many hundredths sound like ..."""

    widest_range_db: float
    """... and whatever lies so far under the loudest notes: no horn plays so softly."""

    over_floor_db: float
    """A level so far over the noise speaks neither way."""

    over_floor_per_db: float
    """How much each decibel more or less speaks."""

    dip_window_s: float
    """A dip is told against the loudest of so long before."""

    dip_db: float
    """A level so far below that speaks neither way."""

    new_dip_db: float
    """What is surely fresh may lie so far below ..."""

    new_fresh_db: float
    """... where so much of its power is fresh."""

    dip_per_db: float
    """How much each decibel speaks."""

    fresh_db: float
    """So much of a look's power must be fresh to speak neither way."""

    fresh_per_db: float
    """How much each decibel speaks."""

    steady_s: float
    """What changes for so long ..."""

    steady_db: float
    """... by less than this is held, and no ring of the room."""

    steady_per_db: float
    """How fast that speaks, per decibel."""

    freshening_s: float
    """Sound turns from ring to fresh from so long before a beginning to after it ..."""

    freshening_db: float
    """... by so much, in a full one."""

    freshening_share: float
    """How much that counts for a beginning; the rest is what is new in the sound."""

    unclear_fit: float
    """What fits no key so well ..."""

    unclear_db: float
    """... and is softer by this ..."""

    unclear_s: float
    """... than what comes within this time is a breath, or the room, and no note."""

    valley_s: float
    """A valley between two notes lies within this of both."""

    comb_fit: float
    """A fit of the best comb that speaks neither way."""

    comb_weight: float
    """How much it speaks."""

    most_logit: float
    """Together they speak no more than this."""

    pitch_weight: float
    """How sharply a better fit is preferred."""

    least_log: float
    """A wrong pitch costs no more than this."""

    sounds_over_floor_db: float
    """Looks so far over the room's noise tell how well keys fit here ..."""

    near_keys_count: int
    """... those that fit a key best, or one no farther off than this ..."""

    least_looks_count: int
    """... if there are so many of them."""

    usual_percent: float
    """So much of them fits no better than is usual there."""

    usual_fit: float
    """Keys that usually fit worse than this are raised to it ..."""

    most_raised_factor: float
    """... by no more than this."""

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

    sounding_share: float
    """So much of a written note sounds at least; then it may be cut short."""

    shortened: float
    """Cost of silence before that, each moment ..."""

    cut_short: float
    """... and after it."""

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

    repeated: float
    """What a deep valley just before it is worth for a note that is repeated."""

    deep_db: float
    """A valley so deep is deep."""

    valley_before_s: float
    """So long before its beginning the valley lies."""

    missing: float
    """Cost of a missing note."""

    most_missing_notes: int
    """How many notes in a row may be missing."""

    unplayed: float
    """Cost of each note that is missing where a leg begins or ends."""

    around_notes: int
    """So many notes before and after a leg may belong to it, too."""

    wrong: float
    """LookEvidence of each look at a pitch that none of the notes around has."""

    gap: float
    """Cost of a gap between two notes where none is due."""


@dataclass(frozen=True, slots=True)
class NoteSettings:
    """What a found note must be to be one, and what it was, as ``[notes]`` has it."""

    core_from_share: float
    """The core of a note begins after this share of it ..."""

    core_to_share: float
    """... and ends after this one."""

    other_fit: float
    """How much better another key must fit than the page's to be a wrong note."""

    own_share: float
    """... in more than all but this share of its looks."""

    least_voiced_share: float
    """Share of its looks in which a note must sound."""

    least_share: float
    """Share of its written time that it must last, if it is a short remainder."""

    shortest_s: float
    """A remainder shorter than this is none."""

    false_start_notes: int
    """A leg of fewer notes is none, where the player then begins no later."""

    held_valley_db: float
    """A repeated note with no valley so deep is the one before, held on."""

    end_window_s: float
    """The height of a note's end lies within so long before it."""

    end_late_db: float
    """An end seems late by the time in which the room rings off so far."""

    ring_from_db: float
    """How fast the room rings off is told from this far below a note ..."""

    ring_to_db: float
    """... to this far."""


@dataclass(frozen=True, slots=True)
class CountInSettings:
    """How a count-in is found in another's recording, as ``[count_in]`` has it."""

    reach_s: float
    """It is looked for so far about where the notes put it ..."""

    reach_share: float
    """... or for this share of the shortest time between two clicks, if that is more:
    with half of it a click might be taken for its neighbour."""

    first_notes: int
    """So many notes put it there, the first ones: later ones may have gone astray."""

    step_s: float
    """To this fineness."""

    before_s: float
    """A click is louder than all of so long before it ..."""

    most_rise: float
    """... and counts no more than this, in powers of ten."""

    least_rise: float
    """Each click of the count-in rises at least so far, in powers of ten."""

    before_run_s: float
    """Only clicks due before this run time are looked for."""

    least_clicks_count: int
    """At least so many must lie in the recording."""

    least_sigma: float
    """The best place must stand out of the others by so many times their spread."""

    most_rival_share: float
    """No other place may stand out by more than this share of it."""

    apart_s: float
    """What is nearer to it is the same place."""
