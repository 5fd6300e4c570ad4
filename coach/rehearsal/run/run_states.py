"""States of a rehearsal, and the table that moves between them.

A rehearsal is ready, counts in, plays, and then either waits for the player's word
or rests until the next of several runs in a row.
"""

from __future__ import annotations

from collections.abc import Mapping
from enum import StrEnum


class State(StrEnum):
    """Where a rehearsal stands."""

    READY = "ready"
    """Nothing plays; everything may be changed."""

    COUNTING_IN = "counting-in"
    """The click runs, the first beat is still to come."""

    PLAYING = "playing"
    """The player plays."""

    RESTING = "resting"
    """Between two runs in a row."""

    ENDED = "ended"
    """The run is over and waits for the player's word."""


class Event(StrEnum):
    """What can happen to a rehearsal."""

    START = "start"
    """The player wants to play; in a rest, at once."""

    FIRST_BEAT = "first beat"
    """The count-in is over."""

    LAST_BEAT = "last beat"
    """The run is played to its end, and no other follows by itself."""

    LAST_BEAT_BUT_MORE = "last beat, with more to come"
    """The run is played to its end, and the next of several follows."""

    STOP = "stop"
    """The player wants no more of it."""

    LOST = "lost"
    """What plays the click is gone."""

    NO_MORE = "no more, with words to come"
    """A run ends before its first beat, and those before it wait for a word."""

    AGAIN = "again"
    """The player wants to start anew at once."""

    WORD = "word"
    """The player has said how the run was."""

    WORD_BUT_MORE = "word, with more to come"
    """The player has said it of one run, and others wait for a word."""


MOVES: Mapping[tuple[State, Event], State] = {
    (State.READY, Event.START): State.COUNTING_IN,
    (State.READY, Event.AGAIN): State.COUNTING_IN,
    (State.COUNTING_IN, Event.FIRST_BEAT): State.PLAYING,
    (State.COUNTING_IN, Event.STOP): State.READY,
    (State.COUNTING_IN, Event.LOST): State.READY,
    (State.COUNTING_IN, Event.NO_MORE): State.ENDED,
    (State.COUNTING_IN, Event.AGAIN): State.COUNTING_IN,
    (State.PLAYING, Event.LAST_BEAT): State.ENDED,
    (State.PLAYING, Event.LAST_BEAT_BUT_MORE): State.RESTING,
    (State.PLAYING, Event.STOP): State.ENDED,
    (State.PLAYING, Event.LOST): State.ENDED,
    (State.PLAYING, Event.AGAIN): State.COUNTING_IN,
    (State.RESTING, Event.START): State.COUNTING_IN,
    (State.RESTING, Event.STOP): State.ENDED,
    (State.RESTING, Event.AGAIN): State.COUNTING_IN,
    (State.ENDED, Event.WORD): State.READY,
    (State.ENDED, Event.WORD_BUT_MORE): State.ENDED,
    (State.ENDED, Event.START): State.COUNTING_IN,
    (State.ENDED, Event.AGAIN): State.COUNTING_IN,
}
"""Every move there is; any other pair is a mistake of the caller."""


def move(state: State, event: Event) -> State:
    """Tell the state after an event.

    Raises
    ------
    ValueError
        If that cannot happen in this state.

    Examples
    --------
    >>> move(State.READY, Event.START)
    <State.COUNTING_IN: 'counting-in'>
    """
    if (state, event) not in MOVES:
        raise ValueError(f"“{event}” cannot happen while {state}")
    return MOVES[state, event]
