"""The keys after a run: marks have the keys that they have in it."""

from __future__ import annotations

from coach.rehearsal.run.mark_kinds import KINDS
from coach.screens.widgets.key_table import hidden, shown, to

AFTER_KEYS = (
    *to(
        "what comes next",
        shown("space,enter", "follow", "next", "As it stands here; play what is next"),
    ),
    *to(
        "how it was",
        shown("c", "clean", "clean", "It was clean; what is next waits for space"),
        shown("t", "not_clean", "not clean", "Not clean, although nothing is marked"),
    ),
    *to(
        "mark a place",
        shown("left", "place(-1)", "beat before", "Point at the beat before"),
        shown("right", "place(1)", "next beat", "Point at the next beat"),
    ),
    *to(
        "what comes next",
        shown("a", "again", "again", "Play the same again"),
        hidden("s", "slower", "slower", "The same, one notch slower"),
        hidden("f", "faster", "faster", "The same, one notch faster"),
        hidden("g", "room", "with room", "The same, with a rest at each breath"),
        hidden("escape", "leave", "done", "Keep the run, and back to where it started"),
    ),
    *to(
        "how it was",
        shown("w", "words", "in words", "Type it: ran out 7.3, lips tired"),
    ),
    *to(
        "mark a place",
        *(
            shown(row.key, f"mark('{kind}')", row.on_key, row.explained)
            for kind, row in KINDS.items()
        ),
        shown("y", "accept('here')", "take over", "Take over what is heard here"),
        shown("x", "wave_off('here')", "strike", "Strike what is marked or heard here"),
        hidden("Y", "accept('all')", "take over all", "Take over all that is heard"),
        hidden("X", "wave_off('all')", "wave off all", "Wave off all that is heard"),
        hidden("p", "play_take", "play it", "Hear the run from the pointer, or stop"),
        hidden("k", "keep_take", "keep the take", "Keep the recording of this run"),
        hidden("K", "throw_take_away", "throw it away", "Throw the recording away"),
        hidden("up", "turn(-1)", "mark before", "Point at the mark before"),
        hidden("down", "turn(1)", "next mark", "Point at the next mark"),
        hidden("backspace", "take_back", "take back a mark", "Undo the newest mark"),
    ),
)
"""Of those that the bottom row shows the dearest stand first: it has room for few."""
