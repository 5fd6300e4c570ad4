"""Give grace notes their time, which is taken from a neighbour.

A grace note without a slash is leaned on: it takes its written length from its main
note, but no more than half of it, or two thirds of a dotted one (C. P. E. Bach 1753,
Versuch über die wahre Art das Clavier zu spielen, chapter 2, section 2, paragraph 11;
quoted from memory).  One with a slash, or after its main note, is quick and comes out
of the note before (common practice, no published source).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from coach.score.note import Note
from coach.score.tempo import Beats

DOTTED = 3
FINEST = 1024
"""Settings are taken to the nearest fraction with at most this denominator."""


@dataclass(frozen=True, slots=True)
class GraceSettings:
    """How much time grace notes take, and of which note."""

    quick_quarters: float
    """Length of a grace note with a slash."""

    before_share: float
    """The most that grace notes take of the note before."""

    leaned_share: float
    """The most that grace notes without a slash take of their main note."""

    leaned_dotted_share: float
    """The same of a main note with a dot."""


@dataclass(frozen=True, slots=True)
class Grace:
    """A grace note that has no time yet."""

    note: Note
    """Its onset is its place on the page, its length that of its small sign."""

    takes_from_before: bool
    """It has a slash, or stands after its main note."""


def time_graces(
    line: Sequence[Note | Grace], settings: GraceSettings
) -> tuple[Note, ...]:
    """Put every grace note in time.

    Parameters
    ----------
    line : sequence of Note or Grace
        A single line in order; grace notes before their main note.

    Returns
    -------
    tuple of Note
        As many notes, each longer than 0, none reaching into the next.
    """
    timed: list[Note] = []
    waiting: list[Grace] = []
    for item in line:
        if isinstance(item, Grace):
            waiting.append(item)
            continue
        main = _lean(waiting, item, timed, settings)
        timed.append(main)
        waiting = []
    if waiting and timed:
        _squeeze(_placed_after(waiting, timed[-1]), timed, settings)
    return tuple(timed)


def _lean(
    waiting: Sequence[Grace], main: Note, timed: list[Note], settings: GraceSettings
) -> Note:
    """Time the grace notes before a main note; give what is left of it."""
    after = [grace for grace in waiting if timed and _is_after(grace, main)]
    waiting = waiting[len(after) :]
    quick = [grace for grace in waiting if timed and grace.takes_from_before]
    leaned = [grace for grace in waiting if not (timed and grace.takes_from_before)]
    if after:
        _squeeze(_placed_after(after, timed[-1]), timed, settings)
    if quick:
        _squeeze(quick, timed, settings)
    if not leaned:
        return main
    wanted = [_wanted(grace, settings) for grace in leaned]
    is_dotted = _is_dotted(main.length)
    share = settings.leaned_dotted_share if is_dotted else settings.leaned_share
    room = main.length * _fraction(share)
    _lay(leaned, wanted, main.onset, room, timed)
    taken = min(sum(wanted), room)
    return replace(
        main, onset=Beats(main.onset + taken), length=Beats(main.length - taken)
    )


def _is_after(grace: Grace, main: Note) -> bool:
    """Tell whether a grace note ends the note before rather than begins the next."""
    return grace.note.onset < main.onset or grace.note.bar != main.bar


def _placed_after(graces: Sequence[Grace], before: Note) -> list[Grace]:
    """Give grace notes the place of the note that they end."""
    return [
        replace(grace, note=replace(grace.note, bar=before.bar, beat=before.beat))
        for grace in graces
    ]


def _squeeze(
    quick: Sequence[Grace], timed: list[Note], settings: GraceSettings
) -> None:
    """Time quick grace notes in front of their place, after the note before."""
    before = timed[-1]
    place = quick[-1].note.onset
    if place <= before.onset:
        place = before.end
    room = (place - before.onset) * _fraction(settings.before_share)
    wanted = [_wanted(grace, settings) for grace in quick]
    start = Beats(place - min(sum(wanted), room))
    timed[-1] = replace(before, length=min(before.length, Beats(start - before.onset)))
    _lay(quick, wanted, start, room, timed)


def _wanted(grace: Grace, settings: GraceSettings) -> Fraction:
    """Tell how long a grace note would be with all the time it wants."""
    if not grace.takes_from_before:
        return grace.note.length
    return min(grace.note.length, _fraction(settings.quick_quarters))


def _fraction(setting: float) -> Fraction:
    """Make a setting exact."""
    return Fraction(setting).limit_denominator(FINEST)


def _lay(
    graces: Sequence[Grace],
    wanted: Sequence[Fraction],
    start: Fraction,
    room: Fraction,
    timed: list[Note],
) -> None:
    """Lay grace notes end to end, all shorter by the same share if they must be."""
    share = min(Fraction(1), room / sum(wanted))
    place = start
    for grace, length in zip(graces, wanted, strict=True):
        timed.append(
            replace(grace.note, onset=Beats(place), length=Beats(length * share))
        )
        place += length * share


def _is_dotted(length: Fraction) -> bool:
    """Tell whether a length is written with one dot: three halves of a plain one."""
    upper = length.numerator
    while upper % 2 == 0:
        upper //= 2
    return upper == DOTTED and length.denominator & (length.denominator - 1) == 0
