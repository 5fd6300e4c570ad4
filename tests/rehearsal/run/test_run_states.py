"""Every state of a rehearsal against everything that can happen to it."""

from __future__ import annotations

import pytest

from coach.rehearsal.run.run_states import Event, State, move

R, C, P, S, E = (
    State.READY,
    State.COUNTING_IN,
    State.PLAYING,
    State.RESTING,
    State.ENDED,
)

TABLE = {
    #                          R     C     P     S     E
    Event.START:              (C,    None, None, C,    C),
    Event.FIRST_BEAT:         (None, P,    None, None, None),
    Event.LAST_BEAT:          (None, None, E,    None, None),
    Event.LAST_BEAT_BUT_MORE: (None, None, S,    None, None),
    Event.STOP:               (None, R,    E,    E,    None),
    Event.LOST:               (None, R,    E,    None, None),
    Event.NO_MORE:            (None, E,    None, None, None),
    Event.AGAIN:              (C,    C,    C,    C,    C),
    Event.WORD:               (None, None, None, None, R),
    Event.WORD_BUT_MORE:      (None, None, None, None, E),
}  # fmt: skip
"""Written by hand, a row an event, so that a slip in the code shows."""

PAIRS = [
    (before, event, after)
    for event, row in TABLE.items()
    for before, after in zip((R, C, P, S, E), row, strict=True)
]


def test_the_table_names_every_event_and_every_state() -> None:
    assert set(TABLE) == set(Event)
    assert len(PAIRS) == len(Event) * len(State)


@pytest.mark.parametrize(("before", "event", "after"), PAIRS)
def test_each_event_moves_each_state_as_the_table_says(
    before: State, event: Event, after: State | None
) -> None:
    if after is None:
        with pytest.raises(ValueError, match=f"“{event}” cannot happen while {before}"):
            move(before, event)
    else:
        assert move(before, event) is after
