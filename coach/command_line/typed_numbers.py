"""Numbers as a player types them behind a command; what makes no sense is told."""

from __future__ import annotations

import argparse
from math import inf


def number(text: str) -> float:
    """Read a number with a point or a comma, as the screens do."""
    try:
        return float(text.replace(",", "."))
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text} is no number; give one as 4.8"
        ) from None


def measure(text: str) -> float:
    """Read what is measured of a player: there is always some of it."""
    size = number(text)
    if not 0 < size < inf:
        raise argparse.ArgumentTypeError(f"{text} is no measure; give one above 0")
    return size


def height(text: str) -> float:
    """Read a height as the screens do, in centimetres or in feet and inches."""
    from coach.errors import CoachError
    from coach.planning.air.lung_words import read_height

    try:
        size = read_height(text)
    except CoachError:
        size = 0.0
    if not size > 0:
        raise argparse.ArgumentTypeError(
            f"{text} is no measure of a height; give one as 172, in cm, or as 5ft8"
        )
    return size


def run(text: str) -> int:
    """Read the number of a run in the log."""
    if not text.isdecimal():
        raise argparse.ArgumentTypeError(
            f"{text} is no number of a run; they stand in: coach log --json"
        )
    return int(text)


def tempo(text: str) -> float:
    """Read a tempo that a player could mean."""
    slowest, fastest = 10.0, 400.0
    try:
        bpm = number(text)
    except argparse.ArgumentTypeError:
        bpm = 0.0
    if not slowest <= bpm <= fastest:
        raise argparse.ArgumentTypeError(
            f"{text} is no tempo; give {slowest:g} to {fastest:g} beats a minute"
        )
    return bpm


def bars(text: str) -> tuple[int | None, int | None]:
    """Read ``9-16``, with a hyphen or a dash, or ``9`` for one bar.

    An end that is left open is None: ``9-`` goes to the last bar, ``-8`` begins with
    the first.
    """
    first, dash, last = (end.strip() for end in text.replace("–", "-").partition("-"))
    ends = [end for end in (first, last) if end]
    is_whole = ends and all(map(str.isdecimal, ends))
    if not is_whole or int(ends[-1]) < int(ends[0]):
        raise argparse.ArgumentTypeError(
            f"{text} is no stretch of bars; say 9-16, or 9- up to the last"
        )
    if not dash:
        last = first
    return int(first) if first else None, int(last) if last else None


def semitones(text: str) -> int:
    """Read how far a part is moved."""
    from coach.planning.transposing import MOST_SEMITONES

    try:
        number = int(text)
    except ValueError:
        number = MOST_SEMITONES + 1
    if abs(number) > MOST_SEMITONES:
        raise argparse.ArgumentTypeError(
            f"{text} is no number of semitones; give -{MOST_SEMITONES} to "
            f"{MOST_SEMITONES}, -12 for an octave lower"
        )
    return number


def count(text: str) -> int:
    """Read a number of at least one."""
    number = count_or_none(text)
    if number < 1:
        raise argparse.ArgumentTypeError(f"{text} is too few; give 1 or more")
    return number


def count_or_none(text: str) -> int:
    """Read a number from none to what a patient player would want."""
    most = 99
    if not text.isdecimal() or int(text) > most:
        raise argparse.ArgumentTypeError(f"{text} is no number from 0 to {most}")
    return int(text)


def minutes(text: str) -> int:
    """Read a time for which somebody could play in a day."""
    most = 600
    if not text.isdecimal() or not 1 <= int(text) <= most:
        raise argparse.ArgumentTypeError(f"{text} is no number from 1 to {most}")
    return int(text)
