"""The keys of the run, to be found by a thumb with the horn in both hands."""

from __future__ import annotations

from textual.binding import Binding

from coach.rehearsal.run.mark_kinds import KINDS
from coach.screens.widgets.key_table import hidden, shown, to


def asked(key: str, wish: str, name: str, tells: str) -> Binding:
    """Bind a key to the next answer of one of `next_wishes`."""
    return hidden(key, f"wish('{wish}')", name, tells)


RUN_KEYS = (
    *to(
        "while you play",
        shown("space", "start_stop", "start/stop", "Count in and play, or cut it off"),
        *(
            shown(row.key, f"mark('{kind}')", row.on_key, row.explained)
            for kind, row in KINDS.items()
        ),
        hidden("backspace", "take_back", "take back a mark", "Take the last mark back"),
        hidden("a", "again", "again", "Cut this run off and begin again at once"),
        hidden("h", "hide_gauge", "hide the gauge", "Hide the gauge, to test yourself"),
        asked("p", "microphone", "microphone", "Be heard and get marks, or not"),
        hidden("escape", "back", "back", "Stop, and back to the phrase"),
    ),
    *to(
        "what the next run plays",
        hidden("+,=,up", "tempo(1)", "faster", "One notch faster"),
        hidden("-,down", "tempo(-1)", "slower", "One notch slower"),
        hidden("right", "segment(1)", "next segment", "On to the next bars, or breath"),
        hidden("left", "segment(-1)", "segment before", "The bars, or breath, before"),
        hidden("]", "resize(1)", "longer segment", "One bar more"),
        hidden("[", "resize(-1)", "shorter segment", "One bar less"),
        hidden("w", "whole", "whole etude", "Rehearse all of it"),
        asked("v", "by_breath", "by breath or bars", "Segments by breath, or by bars"),
        asked("i", "lead_in", "lead-in", "Play 0, 1 or 2 bars before the segment"),
        asked("j", "overlap", "next downbeat", "Play into the next downbeat, or not"),
        asked("f", "from_end", "from the end", "Join parts from the last one, or not"),
        asked("g", "room", "room to breathe", "Rest at a breath: a beat, half, none"),
    ),
    *to(
        "what sounds",
        asked("s", "subdivide", "subdivisions", "Click beats alone, or 2, 3, 4 to one"),
        asked("c", "count_in", "count-in", "Count in one bar, two, or none"),
        asked("u", "guide", "guide notes", "Hear the line, silent where you breathe"),
        asked("t", "drone", "drone", "Hold the tonic throughout"),
        asked("k", "cues", "breath sound", "Hear a soft sound before each breath"),
        asked("z", "silent_bars", "silent bars", "Two bars with click, two without"),
    ),
    *to(
        "several runs",
        *(
            hidden(str(n), f"runs({n})", "runs in a row", "Play so many runs in a row")
            for n in range(1, 10)
        ),
        asked("y", "ladder", "ladder", "The tempo moves by itself from run to run"),
        asked("e", "rest", "rest between runs", "Rest 0, 5, 15 or 30 s between runs"),
    ),
)
"""The dearest first: the bottom row shows as many as fit."""
