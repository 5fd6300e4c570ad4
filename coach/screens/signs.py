"""The signs that a terminal can show: all of them, or letters and dashes only."""

from __future__ import annotations

import re
from dataclasses import dataclass

PITCH = re.compile(r"(?<![\w/“.-])([A-G])(bb?|##?)(-?\d)(?![\w/”-]|\.\w)")
"""A pitch in scientific notation, but not within a title or the name of a file."""


@dataclass(frozen=True, slots=True)
class Signs:
    """One set of signs; each is one cell wide unless it says otherwise."""

    is_plain: bool
    """Only signs of ASCII."""

    line: str
    """A staff line, at the bottom of its cell."""

    on_line: str
    """A note on a line."""

    in_space: str
    """A note in the space above a line."""

    bar_line: str
    """Between two bars."""

    flat: str
    """Lowers a note."""

    sharp: str
    """Raises a note."""

    natural: str
    """Takes a flat or a sharp away."""

    rest: str
    """A rest of a quarter note, or more but no half."""

    short_rest: str
    """A rest shorter than a quarter note."""

    long_rest: str
    """A rest of a half note or more."""

    full_breath: str
    """A full breath, above the staff."""

    catch_breath: str
    """A catch breath, above the staff."""

    locked: str
    """Stands by a breath the player insists on."""

    extra: str
    """Stands by a breath that only a slow tempo asks for, as in the printed plan."""

    forbidden: str
    """Stands where the player refuses a breath."""

    arc: tuple[str, str, str]
    """Left end, middle and right end of a slur."""

    beam: tuple[str, str, str, str]
    """One beam: left end, middle, stem, right end."""

    double_beam: tuple[str, str, str, str]
    """Two beams: left end, middle, stem, right end."""

    stem: str
    """A stem alone: a quarter note."""

    half_note: str
    """A half note, in the row of lengths."""

    whole_note: str
    """A whole note, in the row of lengths."""

    dot: str
    """Makes a note half as long again."""

    tongue: str
    """Begun with the tongue."""

    soft_tongue: str
    """Begun with a soft tongue, slide moving."""

    tie: tuple[str, str]
    """A natural slur: middle and end."""

    playhead: str
    """Points at the note that sounds."""

    cursor: str
    """Points at the note that is looked at."""

    blocks: str
    """Filled from the bottom in eighths: nine signs, none to all."""

    bars: str
    """Filled from the left in eighths: nine signs, none to all."""

    upper_half: str
    """The upper half of a cell."""

    lower_half: str
    """The lower half of a cell."""

    mark: str
    """An upright line in a gauge."""

    shade: str
    """Fills where something is not known for sure."""

    rule: str
    """A level line."""

    edge: str
    """Stands before the line that is chosen."""

    bullet: str
    """Sets words apart."""

    quarter: str
    """The beat in a tempo, when it is a quarter note."""

    eighth: str
    """The beat in a tempo, when it is an eighth note."""

    arrow: str
    """Leads on to something."""

    below: str
    """Stands by how much more there is below."""

    def spell(self, words: str) -> str:
        """Write the pitches in a sentence as the staff does: B♭2 for Bb2."""
        return PITCH.sub(
            lambda found: (
                found[1]
                + found[2].replace("b", self.flat).replace("#", self.sharp)
                + found[3]
            ),
            words,
        )


FULL = Signs(
    is_plain=False,
    line="▁",
    on_line="▄",
    in_space="▀",
    bar_line="│",
    flat="♭",
    sharp="♯",
    natural="♮",
    rest="ζ",
    short_rest="γ",
    long_rest="▬",
    full_breath="V",
    catch_breath="’",
    locked="!",
    extra="+",
    forbidden="×",
    arc=("╭", "─", "╮"),
    beam=("└", "─", "┴", "┘"),
    double_beam=("╘", "═", "╧", "╛"),
    stem="╵",
    half_note="o",
    whole_note="O",
    dot="·",
    tongue="▾",
    soft_tongue="▿",
    tie=("╌", "╯"),
    playhead="▲",
    cursor="▲",
    blocks=" ▁▂▃▄▅▆▇█",
    bars=" ▏▎▍▌▋▊▉█",
    upper_half="▀",
    lower_half="▄",
    mark="┃",
    shade="▒",
    rule="─",
    edge="▌",
    bullet="·",
    quarter="♩",
    eighth="♪",
    arrow="→",
    below="↓",
)

PLAIN = Signs(
    is_plain=True,
    line="_",
    on_line="@",
    in_space="@",
    bar_line="|",
    flat="b",
    sharp="#",
    natural="n",
    rest="z",
    short_rest="y",
    long_rest="=",
    full_breath="V",
    catch_breath="'",
    locked="!",
    extra="+",
    forbidden="x",
    arc=("/", "-", "\\"),
    beam=("'", "-", "+", "'"),
    double_beam=("'", "=", "#", "'"),
    stem="'",
    half_note="o",
    whole_note="O",
    dot=".",
    tongue="t",
    soft_tongue="d",
    tie=("~", "~"),
    playhead="^",
    cursor="^",
    blocks="    .:###",
    bars="    |####",
    upper_half="#",
    lower_half="#",
    mark="|",
    shade="~",
    rule="-",
    edge=">",
    bullet="-",
    quarter="q",
    eighth="e",
    arrow=">",
    below="v",
)


def say_mic(title: str, signs: Signs) -> str:
    """Put the sign of a microphone that is on before a title."""
    sign = "(mic)" if signs.is_plain else "● mic"
    return f"{sign} {signs.bullet} {title}"
