"""What was heard of a run, note by note, and what it says; or why nothing is said.

Conventions
-----------
Times are run time in seconds, notes are counted from 0 as on the page; behind is
positive, ahead negative.  Levels are decibels of the take's full scale: only their
differences mean anything.  This file loads no numpy, so that a screen may hold its
values.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from coach.score.tempo import Seconds


@dataclass(frozen=True, slots=True)
class HeardNote:
    """One note of the page, as it was heard; one that was not has no `heard`."""

    due: Seconds
    """When it was due."""

    heard: Seconds | None = None
    """When it began; of several times through, the last."""

    ended: Seconds | None = None
    """When it stopped sounding."""

    behind: Seconds | None = None
    """How far behind it began (negative: ahead), as the whole is told."""

    level_db: float | None = None
    """Level of its middle, the room's noise taken off."""

    cents: float | None = None
    """How sharp it was of the pitch in `midi`, the tuning of the whole take taken
    off."""

    midi: int | None = None
    """Sounding key that was heard; another than the page's is a wrong note."""

    confidence: float = 0.0
    """How sure the ear is of it, 0 to 1."""


@dataclass(frozen=True, slots=True)
class HeardBreath:
    """One breath that was heard as a gap between two notes."""

    after_note: int
    """Index of the note before it."""

    start: Seconds
    """When that note stopped, the room's ring taken off."""

    end: Seconds
    """When the next began."""

    is_planned: bool
    """The plan has a breath here."""


@dataclass(frozen=True, slots=True)
class Stretch:
    """Some notes in a row that were ahead or behind together."""

    first: int
    """Index of the first of them."""

    last: int
    """Index of the last of them."""

    behind: Seconds
    """How far behind they were in the middle; negative: ahead."""


@dataclass(frozen=True, slots=True)
class LateEntry:
    """A note that came late after a breath."""

    note: int
    """Index of the note."""

    behind: Seconds
    """How late it came."""


@dataclass(frozen=True, slots=True)
class RanOut:
    """Where the sound gave out."""

    note: int
    """Index of the note in which, or before which, it did."""

    at: Seconds
    """When."""


@dataclass(frozen=True, slots=True)
class Evenness:
    """How evenly the sound was spent, against the dynamics of the page."""

    slope_db_per_s: float
    """How much louder it became each second, as the middle of all phrases: below 0,
    it was spent at the start."""

    spread_db: float
    """How far the notes' levels scatter about their phrase's own line, by the middle
    one; what a usual room adds is taken off."""


@dataclass(frozen=True, slots=True)
class ThinTone:
    """A phrase whose tone got thin before the breath."""

    first: int
    """Index of the first note that was thin."""

    last: int
    """Index of the last note before the breath."""

    loss_db: float
    """How much of its upper partials' share the tone lost, in decibels."""


@dataclass(frozen=True, slots=True)
class PassedOver:
    """Notes for which there was no time: the player went on elsewhere on the page.

    Or the recording began after them.
    """

    first: int
    """Index of the first of them."""

    last: int
    """Index of the last of them."""

    is_repeat: bool
    """They are one time through a repeat: without them the page goes on."""

    is_recorded: bool = True
    """False where the recording began after them: nobody can say how they were."""


class ToldAgainst(StrEnum):
    """What being ahead or behind is told against."""

    CLICK = "click"
    """The clock of our own recording."""

    COUNT_IN = "count-in"
    """The count-in, heard in the recording."""

    OWN_AVERAGE = "own-average"
    """The player's own average: no count-in could be heard."""


class Doubt(StrEnum):
    """Something that makes a judgement less sure; told beside it."""

    NOISY = "noisy"
    CLIPPED = "clipped"
    RINGING_ROOM = "ringing-room"
    STOPPED_EARLY = "stopped-early"
    BEGAN_AGAIN = "began-again"
    TEMPO_ITS_OWN = "tempo-its-own"
    SWUNG = "swung"
    FAR_OFF_PITCH = "far-off-pitch"
    OWN_AVERAGE_ONLY = "own-average-only"


class Refusal(StrEnum):
    """Why nothing is said of a recording."""

    TOO_SHORT = "too-short"
    """Shorter than its first notes."""

    SILENT = "silent"
    """Nothing stands out of the room's noise."""

    CLIPPED = "clipped"
    """So much of it stands at full scale that nothing can be measured."""

    TOO_NOISY = "too-noisy"
    """The horn does not stand out of the noise."""

    NO_HORN = "no-horn"
    """Something sounds, but no held pitches: speech, knocks, the click alone."""

    ANOTHER_PIECE = "another-piece"
    """A horn plays, but not these notes."""


@dataclass(frozen=True, slots=True)
class Refused:
    """Nothing can be said of a recording, and why."""

    why: Refusal
    """The reason."""


@dataclass(frozen=True, slots=True)
class Heard:
    """All that was heard of one run."""

    notes: tuple[HeardNote, ...]
    """One for each note of the page, under the same index."""

    breaths: tuple[HeardBreath, ...]
    """In order."""

    rushed: tuple[Stretch, ...]
    """Stretches ahead of where they should be, in order."""

    dragged: tuple[Stretch, ...]
    """Stretches behind it, in order."""

    late_after_breath: tuple[LateEntry, ...]
    """In order."""

    missed: tuple[int, ...]
    """Notes that were due and not heard, before the run stopped and not passed over;
    in order."""

    wrong: tuple[int, ...]
    """Notes heard at another pitch, in order."""

    ran_out: RanOut | None
    """Where the sound gave out; None where it never did."""

    evenness: Evenness | None
    """None where too few notes were heard to tell."""

    thin: tuple[ThinTone, ...]
    """Phrases that ended thin, in order."""

    offset: Seconds
    """Run time of the recording's first sample, as known or found."""

    tuning_cents: float
    """How sharp the whole take was of A4 = 440 Hz."""

    own_tempo_share: float
    """The player's speed as a share of the click's: 1.02 is 2 % faster."""

    stopped: Seconds | None
    """When the player stopped, if before the last note."""

    began_again: tuple[int, ...]
    """Notes from which the player began again or went on elsewhere, in order."""

    told_against: ToldAgainst
    """What ahead and behind are told against."""

    confidence: float
    """How sure the ear is of the whole, 0 to 1."""

    doubts: tuple[Doubt, ...] = ()
    """What makes it less sure."""

    came_in: Seconds | None = None
    """How far behind the run was as a whole, from its first note on; None where it was
    in time.  Stretches and late entries are told against that."""

    passed_over: tuple[PassedOver, ...] = ()
    """Notes that were passed over, in order of the take."""

    swing_ratio: float = 1.0
    """How many times as long as the second the first note of a pair was, where pairs
    were swung; 1 where they were even."""
