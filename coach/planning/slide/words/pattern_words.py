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

MOST_NAMED_BARS = 4
"""Of a longer passage nobody reads a list of most of its bars."""

NO_SLUR = "no clean slur, so a soft tongue"
"""Why a note is softly tongued that its pattern slurs."""

MIXED = "in sets (tongue the first, slur the others)"
SOFT_MIXED = "in sets (tongue the first, the others softly)"
"""Sets of two and of three in the same bars, as a repeat that is cut elsewhere."""

PLAIN = (Pattern.AS_WRITTEN, Pattern.TONGUED)
"""What the player does without being told."""


def say_patterns(part: Part, patterns: Sequence[PatternStretch]) -> list[str]:
    """Say which free bars are begun in which manner, and where they depart from it.

    A bar in which a passage ends is named with that passage, and not as tongued too;
    one in which two passages meet, by their beats.  Bars that lie in twos one time
    through and in threes another lie in sets.

    Returns
    -------
    list of str
        A sentence for each manner that is not the page's own; empty where all is
        tongued or as written.
    """
    found: dict[str, list[PatternStretch]] = defaultdict(list)
    is_mixed = _is_mixed(part, patterns)
    for stretch in patterns:
        if stretch.pattern in PATTERN_WORDS:
            found[_words(stretch.pattern, is_mixed=is_mixed)[0]].append(stretch)
    named = {words: _bars(part, stretches) for words, stretches in found.items()}
    plain = PATTERN_WORDS[Pattern.TONGUED]
    slurred = [bars for words, bars in named.items() if words != plain]
    if not any(slurred):
        return []
    named[plain] = named.get(plain, set()) - set().union(*slurred)
    order = list(dict.fromkeys([MIXED, *PATTERN_WORDS.values()]))
    sentences = []
    for words in sorted(named, key=order.index):
        if not named[words]:
            continue
        where = name_bars(named[words])
        manner = _say_manner(part, found[words], is_mixed=is_mixed)
        within = _say_beats(part, patterns, found[words])
        sentences.append(f"{where[0].upper()}{where[1:]} {manner}{within}.")
    return sentences


def _words(pattern: Pattern, *, is_mixed: bool) -> tuple[str, str]:
    """Give the words for a pattern, and those for one that is mostly softly tongued."""
    if is_mixed and pattern in (Pattern.IN_TWOS, Pattern.IN_THREES):
        return MIXED, SOFT_MIXED
    return PATTERN_WORDS[pattern], SOFT_WORDS.get(pattern, "")


def _is_mixed(part: Part, patterns: Sequence[PatternStretch]) -> bool:
    """Tell whether bars lie in twos one time through and in threes another."""
    twos, threes = (
        _bars(part, [stretch for stretch in patterns if stretch.pattern is pattern])
        for pattern in (Pattern.IN_TWOS, Pattern.IN_THREES)
    )
    meet = {
        part.notes[stretch.first].bar
        for stretch in patterns
        if stretch.first and _is_inside(part, stretch.first)
    }
    return bool((twos & threes) - meet)


def _is_inside(part: Part, k: int) -> bool:
    """Tell whether a note is not the first of its bar."""
    return part.notes[k - 1].bar == part.notes[k].bar


def _bars(part: Part, stretches: Sequence[PatternStretch]) -> set[int]:
    """Give the numbers of the bars that some stretches lie in."""
    return {
        note.bar
        for each in stretches
        for note in part.notes[each.first : each.last + 1]
    }


def _say_beats(
    part: Part,
    patterns: Sequence[PatternStretch],
    stretches: Sequence[PatternStretch],
) -> str:
    """Say which beats belong to some stretches in bars where another one meets them."""
    manners = {
        k: stretch.pattern
        for stretch in patterns
        for k in range(stretch.first, stretch.last + 1)
    }
    said: dict[str, None] = {}
    for stretch in stretches:
        for k, beside in (
            (stretch.first, stretch.first - 1),
            (stretch.last, stretch.last + 1),
        ):
            other = manners.get(beside, Pattern.TONGUED)
            bar = part.notes[k].bar
            if other not in PLAIN and part.notes[beside].bar == bar:
                inside = part.notes[stretch.first : stretch.last + 1]
                beats = [int(note.beat) for note in inside if note.bar == bar]
                said[f"in bar {bar} only from beat {min(beats)} to {max(beats)}"] = None
    return "".join(f"; {words}" for words in said)


def _say_manner(
    part: Part, stretches: Sequence[PatternStretch], *, is_mixed: bool
) -> str:
    """Say what a manner comes to: what most of its notes do, then where others are."""
    pattern = stretches[0].pattern
    usual, softly = _words(pattern, is_mixed=is_mixed)
    slurred = [part.notes[k].bar for each in stretches for k in each.slurred]
    soft = [part.notes[k].bar for each in stretches for k in each.soft]
    tongued = [part.notes[k].bar for each in stretches for k in each.tongued]
    clean, far = "slurred where that is clean", "tongued where the arm goes far"
    if pattern in PLAIN or len(slurred) >= len(soft) + len(tongued):
        said, others = usual, [(NO_SLUR, soft), (far, tongued)]
    elif len(soft) >= len(tongued):
        said, others = softly, [(clean, slurred), (far, tongued)]
    else:
        near = "softly tongued where the arm is near"
        said, others = "mostly tongued", [(clean, slurred), (near, soft)]
    all_bars = _bars(part, stretches)
    where = (_say_where(what, bars, all_bars) for what, bars in others if bars)
    return "; ".join([said, *where])


def _say_where(what: str, bars: Sequence[int], all_bars: AbstractSet[int]) -> str:
    """Say where a manner departs from itself: in which bars, unless it is in most."""
    if len(set(bars)) * 2 > len(all_bars) > MOST_NAMED_BARS:
        return f"{what}, in most bars"
    return f"{what}, in {name_bars(bars)}"
