"""What the signs on and around the staff mean."""

from __future__ import annotations

from coach.screens.signs import Signs
from coach.screens.widgets.text_lines import Line


def say_legend(signs: Signs) -> str:
    """Say in a few words what a player cannot guess, for the first time."""
    left, level, stem, right = signs.beam
    double = "".join((signs.double_beam[0], signs.double_beam[1], signs.double_beam[3]))
    return (
        f"{signs.full_breath} full breath, {signs.catch_breath} top off, before each "
        f"the seconds it has; (4) alternate position; {signs.tongue} tongued, "
        f"{signs.tie[0]}{signs.tie[1]} natural slur; {left}{level}{stem}{right} "
        f"eighths, {double} sixteenths. ? tells all signs and keys."
    )


def legend_lines(signs: Signs) -> list[Line]:
    """Tell of each sign, a line each, under a title."""
    left, level, _, right = signs.beam
    double = "".join((signs.double_beam[0], signs.double_beam[1], signs.double_beam[3]))
    told = (
        (f"0.6{signs.full_breath}", "Breathe full, or deep, in 0.6 seconds"),
        (f"0.2{signs.catch_breath}", "Top off, in 0.2 seconds"),
        (f"(0.2{signs.catch_breath})", "You may leave this one out"),
        (
            f"0.2{signs.extra}{signs.catch_breath}",
            "At this slow tempo only: at the page's you play through",
        ),
        (signs.locked, "By a breath, position or note: your own choice"),
        (f"[{signs.on_line}]", "A note that is left out to breathe"),
        (signs.forbidden, "You refuse a breath here"),
        (
            f"{signs.on_line} {signs.in_space}",
            "A note on a line, and in the space above",
        ),
        (signs.stem, "A quarter note"),
        (f"{left}{level}{right} {double}", "Eighths and sixteenths under a beam"),
        (
            f"{signs.half_note} {signs.whole_note} {signs.dot}",
            "Half note, whole note, half as long again",
        ),
        (
            f"{signs.rest} {signs.short_rest} {signs.long_rest}",
            "Rests: a quarter or more, shorter, a half or more",
        ),
        ("4 (4)", "Slide position, and an alternate"),
        (f"{signs.tongue} {signs.soft_tongue}", "Tongued, and softly with the slide"),
        (f"{signs.tie[0]}{signs.tie[1]}", "A natural slur: no tongue"),
        (
            f"{signs.dot} {signs.rule} > ^",
            "On the page: staccato, tenuto, accent, marcato",
        ),
        (f"p <{signs.rule}{signs.rule} f", "On the page: dynamics and hairpins"),
    )
    return [Line("signs", "title"), *(Line(words, lead=sign) for sign, words in told)]
