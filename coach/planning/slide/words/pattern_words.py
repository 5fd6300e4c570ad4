"""Say in a player's words in which manner passages are begun."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from collections.abc import Set as AbstractSet

from coach.planning.slide.patterns import Pattern, PatternStretch
from coach.score.bar_numbers import name_bars
from coach.score.phrase import Part

PATTERN_WORDS = {
    Pattern.IN_TWOS: "in twos (tongue, slur)",
    Pattern.IN_THREES: "in threes (tongue, slur, slur)",
    Pattern.SLURRED: "slurred throughout",
    Pattern.TONGUED: "tongued",
}

SOFT_WORDS = {
    Pattern.IN_TWOS: "in twos (tongue, soft tongue)",
    Pattern.IN_THREES: "in threes (tongue, soft tongue, soft tongue)",
    Pattern.SLURRED: "softly tongued throughout",
}
"""What it comes to where the horn parts fewer notes cleanly than it does not."""

NO_SLUR = "no clean slur, so a soft tongue"
"""Why a note is softly tongued that its pattern slurs."""

PLAIN = (Pattern.AS_WRITTEN, Pattern.TONGUED)
"""What the player does without being told."""


def say_patterns(part: Part, patterns: Sequence[PatternStretch]) -> list[str]:
    """Say which free bars are begun in which manner, and where they depart from it.

    A bar in which a passage ends is named with that passage, and not as tongued too;
    one in which two passages meet, by their beats.

    Returns
    -------
    list of str
        A sentence for each manner that is not the page's own; empty where all is
        tongued or as written.
    """
    found: dict[Pattern, list[PatternStretch]] = defaultdict(list)
    for stretch in patterns:
        found[stretch.pattern].append(stretch)
    named = {pattern: _bars(part, found[pattern]) for pattern in PATTERN_WORDS}
    slurred = [bars for pattern, bars in named.items() if pattern not in PLAIN]
    named[Pattern.TONGUED] -= set().union(*slurred)
    sentences = []
    for pattern, bars in named.items():
        others = set().union(*(named[other] for other in named if other != pattern))
        if bars:
            where = name_bars(bars)
            manner = _say_manner(part, pattern, found[pattern])
            within = _say_beats(part, found[pattern], bars & others)
            sentences.append(f"{where[0].upper()}{where[1:]} {manner}{within}.")
    return sentences if any(slurred) else []


def _bars(part: Part, stretches: Sequence[PatternStretch]) -> set[int]:
    """Give the numbers of the bars that some stretches lie in."""
    return {
        note.bar
        for each in stretches
        for note in part.notes[each.first : each.last + 1]
    }


def _say_beats(
    part: Part, stretches: Sequence[PatternStretch], shared: AbstractSet[int]
) -> str:
    """Say which beats of bars that two passages share belong to some stretches."""
    said: dict[str, None] = {}
    for stretch in stretches:
        for bar in sorted(_bars(part, [stretch]) & shared):
            inside = part.notes[stretch.first : stretch.last + 1]
            beats = [int(note.beat) for note in inside if note.bar == bar]
            said[f"in bar {bar} only from beat {min(beats)} to {max(beats)}"] = None
    return "".join(f"; {words}" for words in said)


def _say_manner(
    part: Part, pattern: Pattern, stretches: Sequence[PatternStretch]
) -> str:
    """Say what a manner comes to: what most of its notes do, then where others are."""
    slurred = [part.notes[k].bar for each in stretches for k in each.slurred]
    soft = [part.notes[k].bar for each in stretches for k in each.soft]
    tongued = [part.notes[k].bar for each in stretches for k in each.tongued]
    clean, far = "slurred where that is clean", "tongued where the arm goes far"
    if pattern in PLAIN or len(slurred) >= len(soft) + len(tongued):
        said, others = PATTERN_WORDS[pattern], [(NO_SLUR, soft), (far, tongued)]
    elif len(soft) >= len(tongued):
        said, others = SOFT_WORDS[pattern], [(clean, slurred), (far, tongued)]
    else:
        near = "softly tongued where the arm is near"
        said, others = "mostly tongued", [(clean, slurred), (near, soft)]
    where = (f"{what}, in {name_bars(bars)}" for what, bars in others if bars)
    return "; ".join([said, *where])
