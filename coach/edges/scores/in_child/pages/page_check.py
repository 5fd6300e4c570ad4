"""Refuse a page that no player could play, and name the bar."""

from __future__ import annotations

from coach.edges.scores.score_limits import ScoreLimits, unreadable
from coach.score.page import Page, PageBar, PageNote

MEND = "Mend it in the file."


def check_page(page: Page, name: str, limits: ScoreLimits) -> None:
    """Raise ScoreError for a page that is empty, endless or senseless."""
    if not any(bar.notes for bar in page.bars):
        raise unreadable(name, "has no notes", "Choose another score or part.")
    length = 0.0
    for bar in page.bars:
        _check_bar(bar, name, limits)
        length += float(bar.length)
        if length > limits.length_quarters:
            raise unreadable(
                name,
                f"is longer than {limits.length_quarters} quarter notes in bar "
                f"{bar.number}",
                "Choose a shorter score.",
            )
    starts = page.bar_starts
    for mark in page.speeds:
        speed = mark.quarters_per_minute
        if speed is not None and not limits.slowest_qpm <= speed <= limits.fastest_qpm:
            k = max(k for k in range(len(page.bars)) if k == 0 or starts[k] <= mark.at)
            raise unreadable(
                name,
                f"has a tempo of {speed:g} quarter notes a minute in bar "
                f"{page.bars[k].number}",
                MEND,
            )
    if len(page.order(limits.played_bars)) > limits.played_bars:
        raise unreadable(
            name,
            f"has more than {limits.played_bars} bars with all its repeats",
            "Choose a shorter score.",
        )


def _check_bar(bar: PageBar, name: str, limits: ScoreLimits) -> None:
    """Check one bar and its notes."""
    if not 0 <= bar.length <= limits.bar_quarters:
        raise unreadable(
            name, f"has {float(bar.length):g} quarter notes in bar {bar.number}", MEND
        )
    if bar.signs.times > limits.repeats_count:
        raise unreadable(
            name, f"repeats {bar.signs.times} times up to bar {bar.number}", MEND
        )
    for note in bar.notes:
        why = _wrong(note, limits)
        if why:
            raise unreadable(name, f"has {why} in bar {bar.number}", MEND)


def _wrong(note: PageNote, limits: ScoreLimits) -> str:
    """Tell what is wrong with a note; empty if nothing is."""
    if note.length <= 0 or note.offset < 0:
        return "a note of no length"
    lowest, highest = limits.lowest_midi, limits.highest_midi
    if not lowest <= note.written.midi <= highest:
        return f"a note that no instrument plays ({note.written})"
    if not lowest <= note.sounding.midi <= highest:
        return f"a note that no instrument plays ({note.sounding})"
    return ""
