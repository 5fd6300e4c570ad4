"""The keys of the phrase screen, by what they are for."""

from __future__ import annotations

from coach.screens.widgets.key_table import hidden, shown, to

PHRASE_KEYS = (
    *to(
        "play",
        shown("space,enter", "rehearse", "rehearse", "Play all, or bars from [ to ]"),
        hidden("[", "segment_from", "segment from here", "Rehearse from this bar"),
        hidden("]", "segment_to", "segment to here", "Rehearse up to this bar"),
        hidden("w", "whole", "whole etude", "Rehearse all of it"),
    ),
    *to(
        "breaths",
        shown("b", "breathe", "breathe here", "Always breathe after this note, or not"),
        shown("x", "never", "never here", "Never breathe after this note, or let it"),
        hidden("m", "move", "move a breath here", "Bring the nearest breath here"),
        hidden("g", "room", "room to breathe", "Rehearse with a rest at each breath"),
    ),
    *to(
        "notes left out to breathe",
        hidden("e", "leave_out", "leave out", "Leave this note out, or no longer"),
        hidden("n", "keep", "always play", "Never leave this note out, or let it"),
        hidden("N", "every_note", "every note", "Leave out no note unasked, or let it"),
    ),
    *to(
        "positions",
        shown("p", "position(1)", "position", "Play this note in its next position"),
        hidden("P", "position(-1)", "position before", "Play it in the one before"),
        hidden("a", "dial(1)", "more alternates", "More alternates and natural slurs"),
        hidden("A", "dial(-1)", "fewer alternates", "Fewer alternates"),
    ),
    *to(
        "all of it",
        shown("+,=", "tempo(1)", "faster", "One notch faster"),
        shown("-", "tempo(-1)", "slower", "One notch slower"),
        hidden("d", "dynamic(1)", "louder", "All of it one dynamic louder"),
        hidden("D", "dynamic(-1)", "softer", "All of it one dynamic softer"),
        *(
            hidden(str(n), f"try({n})", "try a way out", "Try what gets you through")
            for n in range(1, 5)
        ),
        hidden("o", "transpose(12)", "octave up", "All of it an octave higher"),
        hidden("O", "transpose(-12)", "octave down", "All of it an octave lower"),
        hidden("t", "transpose(1)", "semitone up", "All of it a semitone higher"),
        hidden("T", "transpose(-1)", "semitone down", "All of it a semitone lower"),
    ),
    *to(
        "your changes",
        shown("u", "undo", "undo", "Undo the last change"),
        hidden("U,ctrl+r", "redo", "redo", "Do it again"),
        hidden("k", "clear_here", "clear this note", "Leave this note to the plan"),
        hidden("K", "clear_all", "clear all", "Leave everything to the plan"),
    ),
    *to(
        "look",
        hidden("r", "reach", "reach", "At which tempos it works, in how many breaths"),
        hidden("c", "compare", "compare", "The same, tongued in usual positions"),
        hidden("s", "mark_part", "part for the stand", "A marked part, to be printed"),
        hidden("l", "log", "log", "Runs of this etude"),
        hidden("escape", "back", "shelf", "Back to the shelf"),
    ),
    *to(
        "move about",
        hidden("left", "note(-1)", "note before", "The note before"),
        hidden("right", "note(1)", "next note", "The next note"),
        hidden("up", "line(-1)", "line above", "The line above"),
        hidden("down", "line(1)", "line below", "The line below"),
        hidden("shift+left,H", "bar(-1)", "bar before", "The bar before"),
        hidden("shift+right,L", "bar(1)", "next bar", "The next bar"),
        hidden("comma", "breath(-1)", "breath before", "The breath before"),
        hidden(".", "breath(1)", "next breath", "The next breath"),
        hidden("(", "phrase(-1)", "phrase before", "The phrase before"),
        hidden(")", "phrase(1)", "next phrase", "The next phrase"),
        hidden("pageup", "page(-1)", "page before", "The page before"),
        hidden("pagedown", "page(1)", "next page", "The next page"),
        hidden("home", "note(-99999)", "first note", "The first note"),
        hidden("end", "note(99999)", "last note", "The last note"),
    ),
)
"""Of those that the bottom row shows the dearest stand first: it has room for few."""
