"""What is told while a run plays, and what begins one: ``config/following.toml``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SoundingSettings:
    """When a look holds a note, as ``[sounding]`` has it."""

    floor_percent: float
    """So much of all looks so far is the room alone."""

    softest_db: float
    """What lies below this is no room, but a microphone that is not on yet."""

    over_floor_db: float
    """A note stands so far out of the room's noise."""

    dip_window_s: float
    """A note is held against what was loudest so shortly before."""

    dip_db: float
    """It is at most so much softer."""

    fresh_db: float
    """At least so much of it is no ring of the room."""

    comb_fit: float
    """It fits some pitch at least so well."""

    note_s: float
    """What sounds for less than this in one go is no note."""

    key_cents: float
    """A pitch this near to a key speaks for the key."""

    kept_s: float
    """Looks are kept for so long."""


@dataclass(frozen=True, slots=True)
class LiveBreathSettings:
    """When a breath was taken or missed, as ``[breaths]`` has it."""

    blip_s: float
    """What sounds for less than this within a gap is none of the notes."""

    taken_s: float
    """A gap of this length, where a breath is planned, is one ..."""

    unplanned_s: float
    """... and of this length elsewhere, where no gap is due ..."""

    cut_s: float
    """... and longer by this, unless the player is known to join notes: detached ones
    leave such gaps."""

    joined_s: float
    """Notes whose usual gap is no longer than this are joined, ..."""

    joined_share: float
    """... or than this share of them."""

    usual_note_s: float
    """Notes that last so long tell the usual gap: shorter ones are cut less."""

    usual_factor: float
    """A breath where none is planned is so much longer than the usual gap."""

    known_joints: int
    """Of the last so many such notes, ..."""

    alike_factor: float
    """... first of all those that are at most so many times longer or shorter, ..."""

    usual_joints: int
    """... the usual gap is what most of so many are no longer than, at most ..."""

    usual_share: float
    """... which is this share of them ..."""

    least_joints: int
    """... and at least so many, else the player may be a detached one."""

    sounded_share: float
    """The note before it has sounded for this share of its length."""

    repeated_share: float
    """And for this share where the note before it is of its pitch: else it may be that
    one's ring, and itself left out ..."""

    repeated_s: float
    """... but for no longer than this: no ring seems a note for so long."""

    depth_db: float
    """In a breath the sound sinks at least so far ..."""

    shallow_db: float
    """... or so far where one is planned, or where nothing but the room is left ..."""

    bare_db: float
    """... which is at most so much louder than the room's noise."""

    sunk_db: float
    """What is softer than a note by this is no more of it, but the room's ring ..."""

    rise_db: float
    """... until it rises by this: another note begins."""

    sure_s: float
    """The note after it has sounded for so long when it is told."""

    early_s: float
    """So much before its time it may end."""

    late_s: float
    """And so much after it."""

    shown_s: float
    """Where the notes beside a breath are of one pitch, another follows within this,
    else nothing is told of a breath that was missed."""

    whole_s: float
    """Nothing is missed where the sound is gone for longer than this."""

    fit_slack: float
    """A note is heard where no other key fits better than it by more than this."""

    wrong_fit: float
    """A wrong note fits its own key at least so well."""

    most_behind_s: float
    """A player who is farther off the click than this is not followed."""

    behind_notes: int
    """How far behind the player is, is the middle of so many notes."""

    searched_s: float
    """A player who is lost is looked for in the last so many seconds ..."""

    step_s: float
    """... in steps of this ..."""

    found_share: float
    """... and is found where this share of the notes sounds."""

    trusted_notes: int
    """Of so many notes before ..."""

    least_held_share: float
    """... this share was heard, else nothing is told."""


@dataclass(frozen=True, slots=True)
class StopSettings:
    """When the player has stopped, as ``[stops]`` has it."""

    silent_bars: float
    """Nothing is heard for so many bars in which notes are due ..."""

    silent_s: float
    """... and for so long."""


@dataclass(frozen=True, slots=True)
class LevelSettings:
    """How loudness is followed, as ``[levels]`` has it."""

    step_db: float
    """How much louder a step of dynamics is."""

    own_notes: int
    """The first so many notes tell how loud this player's page is here."""

    middle_notes: int
    """Loudness now is the middle of so many notes."""

    told_steps: float
    """It is told when it has moved by so many steps."""


@dataclass(frozen=True, slots=True)
class StartSoundSettings:
    """What begins a run, as ``[starts]`` has it."""

    floor_s: float
    """The room is listened to for so long before anything counts."""

    over_floor_db: float
    """What begins a run stands so far out of the room's noise."""

    quiet_s: float
    """Before a start, and after two knocks, nothing is heard for so long."""

    quiet_db: float
    """Nothing is what lies so far below what begins the run."""

    held_s: float
    """A note that begins a run is held for so long."""

    steady_share: float
    """In each such share of it the same key fits best."""

    knock_s: float
    """A knock has died away after this."""

    knock_rise_s: float
    """It is there at once, within this."""

    most_fit: float
    """It fits no pitch better than this."""

    apart_least_s: float
    """Two knocks are at least so far apart."""

    apart_most_s: float
    """And at most so far."""

    alike_db: float
    """They are about as loud as each other."""

    key_s: float
    """After a key of the laptop nothing counts for so long."""

    renewed_s: float
    """What was heard in vain is forgotten after this."""


@dataclass(frozen=True, slots=True)
class FollowingSettings:
    """Everything in ``config/following.toml``."""

    sounding: SoundingSettings
    """When a look holds a note."""

    breaths: LiveBreathSettings
    """When a breath was taken or missed."""

    stops: StopSettings
    """When the player has stopped."""

    levels: LevelSettings
    """How loudness is followed."""

    starts: StartSoundSettings
    """What begins a run."""
