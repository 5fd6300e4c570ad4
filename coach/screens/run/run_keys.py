"""The keys of the run, to be found by a thumb with the horn in both hands."""

from __future__ import annotations

from textual.binding import Binding

from coach.rehearsal.run.mark_kinds import KINDS

RUN_KEYS = (
    Binding(
        "space",
        "start_stop",
        "start/stop",
        tooltip="Count in and play; stop and keep the run as cut off",
    ),
    *(
        Binding(row.key, f"mark('{kind}')", row.on_key, tooltip=row.explained)
        for kind, row in KINDS.items()
    ),
    Binding(
        "plus,equals_sign,up",
        "tempo(1)",
        "faster",
        show=False,
        tooltip="One notch faster, from the next run on",
    ),
    Binding(
        "minus,down",
        "tempo(-1)",
        "slower",
        show=False,
        tooltip="One notch slower, from the next run on",
    ),
    Binding(
        "a",
        "again",
        "again",
        show=False,
        tooltip="Cut this run off and begin again at once",
    ),
    Binding(
        "backspace",
        "take_back",
        "take back a mark",
        show=False,
        tooltip="Take the last mark back",
    ),
    Binding(
        "right",
        "segment(1)",
        "next segment",
        show=False,
        tooltip="The bars that follow, or the next breath",
    ),
    Binding(
        "left",
        "segment(-1)",
        "segment before",
        show=False,
        tooltip="The bars before, or the breath before",
    ),
    Binding(
        "right_square_bracket",
        "resize(1)",
        "longer segment",
        show=False,
        tooltip="One bar more",
    ),
    Binding(
        "left_square_bracket",
        "resize(-1)",
        "shorter segment",
        show=False,
        tooltip="One bar less",
    ),
    Binding("w", "whole", "whole etude", show=False, tooltip="Rehearse all of it"),
    Binding(
        "v",
        "by_breath",
        "by breath or bars",
        show=False,
        tooltip="Segments go from breath to breath, or by bars",
    ),
    Binding(
        "i",
        "lead_in",
        "lead-in",
        show=False,
        tooltip="Play 0, 1 or 2 bars before the segment",
    ),
    Binding(
        "j",
        "overlap",
        "into the next downbeat",
        show=False,
        tooltip="Play on into the next downbeat, or end with the segment",
    ),
    Binding(
        "s",
        "subdivide",
        "subdivisions",
        show=False,
        tooltip="Click the beat alone, or 2, 3, 4 to a beat",
    ),
    Binding(
        "c",
        "count_in",
        "count-in",
        show=False,
        tooltip="Count in one bar, two, or none",
    ),
    Binding(
        "u",
        "guide",
        "guide notes",
        show=False,
        tooltip="Hear the line, silent where you breathe",
    ),
    Binding(
        "t",
        "drone",
        "drone",
        show=False,
        tooltip="Hold the tonic throughout",
    ),
    Binding(
        "k",
        "cues",
        "breath sound",
        show=False,
        tooltip="Hear a soft sound before each breath",
    ),
    Binding(
        "z",
        "silent_bars",
        "silent bars",
        show=False,
        tooltip="The click comes and goes by two bars, to test yourself",
    ),
    Binding(
        "h",
        "hide_gauge",
        "hide the gauge",
        show=False,
        tooltip="Hide the gauge, to test yourself",
    ),
    Binding(
        "l",
        "ladder",
        "ladder",
        show=False,
        tooltip="Let the tempo move by itself between runs in a row",
    ),
    *(
        Binding(
            str(n),
            f"runs({n})",
            "runs in a row",
            show=False,
            tooltip="Play that many runs in a row",
        )
        for n in range(1, 10)
    ),
    Binding(
        "e",
        "rest",
        "rest between runs",
        show=False,
        tooltip="Rest 0, 5, 15 or 30 seconds between runs in a row",
    ),
    Binding(
        "escape", "back", "back", show=False, tooltip="Stop, and back to the phrase"
    ),
)
"""The dearest first: the bottom row shows as many as fit."""
