"""Who plays a run, with what and how, and which runs are held against each other."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from coach.planning.plan import Plan
from coach.rehearsal.click.click_wishes import ClickWishes

ClickKind = Literal["on", "gapped", "silent"]

A_BEAT, HALF_A_BEAT = 1.0, 0.5
"""How much rest may be put in at each breath, in felt beats."""

NO_ROOM_NEEDED = "no breath needs room"
"""What is said where room is asked for, and no breath has use for it."""


@dataclass(frozen=True, slots=True)
class Like:
    """What runs have in common that are held against each other."""

    player: str
    """Who plays; empty for the one that a laptop belongs to."""

    instrument: str
    """Name of the instrument's file; a run of an older log, which did not keep it,
    counts for any."""

    word: str = ""
    """The player's word for what is out of the ordinary."""

    dynamic_shift: float | None = None
    """Steps louder or softer than the page; None for any."""

    guide: bool | None = None
    """The line sounds along; None for either."""


@dataclass(frozen=True, slots=True)
class Playing:
    """Who plays a run, with what and how."""

    player: str = ""
    """Who plays; empty for the one that the laptop belongs to."""

    instrument: str = ""
    """Name of the instrument's file; empty in an older log."""

    capacity_l: float | None = None
    """The player's capacity then, in litres; None in an older log."""

    dynamic_shift: float = 0.0
    """Steps louder (positive) or softer than the page."""

    click: ClickKind = "on"
    """Heard throughout, with silent bars or fading, or not at all."""

    guide: bool = False
    """The line sounded along."""

    word: str = ""
    """The player's word for what is out of the ordinary, as “straight mute”."""

    left_out: tuple[int, ...] = ()
    """Notes that were left out to breathe, counted in the whole part."""

    room_beats: float = 0.0
    """Beats of rest put in at each breath; 0 where it is played in time."""

    @property
    def like(self) -> Like:
        """Tell which runs this one is held against."""
        return Like(
            self.player, self.instrument, self.word, self.dynamic_shift, self.guide
        )


def playing_of(
    plan: Plan,
    click: ClickWishes,
    *,
    first_note: int,
    dynamic_shift: float,
    word: str = "",
    room_beats: float = 0.0,
) -> Playing:
    """Tell who plays a plan, with what and how.

    Parameters
    ----------
    first_note : int
        Index in the whole part of the plan's first note.
    dynamic_shift : float
        Steps louder (positive) or softer than the page.
    """
    return Playing(
        player=plan.player.name,
        instrument=plan.instrument.name,
        capacity_l=plan.player.capacity_l,
        dynamic_shift=dynamic_shift,
        click=_click_kind(click),
        guide=click.guide,
        word=word,
        left_out=tuple(first_note + note for note in plan.breaths.left_out),
        room_beats=room_beats,
    )


def _click_kind(click: ClickWishes) -> ClickKind:
    """Tell how much of the click is heard."""
    if not click.is_sounding:
        return "silent"
    return "gapped" if click.silent_bars or click.fading else "on"


def say_room(room_beats: float) -> str:
    """Say how much rest there is at each breath: ``half a beat of room``."""
    beats = {A_BEAT: "a beat", HALF_A_BEAT: "half a beat"}
    return f"{beats.get(room_beats, f'{room_beats:g} beats')} of room"


def less_room(room_beats: float) -> float:
    """Give the rest at each breath that comes next: half of a beat, then none."""
    return HALF_A_BEAT if room_beats >= A_BEAT else 0.0
