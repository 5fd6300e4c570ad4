"""How bars, beats and numbers of things are said to a player, wherever they are."""

from __future__ import annotations

from coach.score.bar_numbers import name_bars

LEAST_SAID_L = 0.1
"""Litres are told in tenths."""


def say_beat(beat: float) -> str:
    """Say a place in a bar, to a hundredth of a beat.

    Examples
    --------
    >>> say_beat(3.0), say_beat(2.5)
    ('3', '2.5')
    """
    return f"{beat:.2f}".rstrip("0").rstrip(".")


def say_place(bar: int, beat: float) -> str:
    """Say a bar and a beat in it.

    Examples
    --------
    >>> say_place(7, 3.0)
    'bar 7, beat 3'
    """
    return f"bar {bar}, beat {say_beat(beat)}"


def say_place_short(bar: int, beat: float) -> str:
    """Say a bar and a beat as a player types them.

    Examples
    --------
    >>> say_place_short(7, 3.0)
    '7.3'
    """
    return f"{bar}.{say_beat(beat)}"


def say_time_through(time: int) -> str:
    """Say which time a repeated place is meant, to stand behind it.

    Examples
    --------
    >>> say_place_short(2, 3.0) + say_time_through(2), say_time_through(1)
    ('2.3, time 2 through', '')
    """
    return f", time {time} through" if time > 1 else ""


def say_bars(first: int, last: int) -> str:
    """Say a stretch of bars.

    Examples
    --------
    >>> say_bars(1, 4), say_bars(7, 7), say_bars(0, 4), say_bars(0, 0)
    ('bars 1 to 4', 'bar 7', 'pickup to bar 4', 'pickup')
    """
    if not first:
        return f"pickup to bar {last}" if last else "pickup"
    return name_bars(range(first, last + 1))


def say_count(number: int, one: str) -> str:
    """Say how many of a thing there are.

    Parameters
    ----------
    one : str
        The word for one of them, to which an *s* is put for more.

    Examples
    --------
    >>> say_count(1, "run"), say_count(3, "run")
    ('1 run', '3 runs')
    """
    return f"{number} {one if number == 1 else one + 's'}"


def name_beat(quarters: float) -> str:
    """Name a beat as a player does.

    Examples
    --------
    >>> name_beat(1.5), name_beat(2.5)
    ('dotted quarter', '2.5 quarters')
    """
    names = {
        0.5: "eighth",
        0.75: "dotted eighth",
        1.0: "quarter",
        1.5: "dotted quarter",
        2.0: "half",
        3.0: "dotted half",
    }
    return names.get(quarters, f"{quarters:g} quarters")


def say_short(litres: float) -> str:
    """Say how much air is lacking.

    Examples
    --------
    >>> say_short(1.23), say_short(0.04)
    ('1.2 L short', 'less than 0.1 L short')
    """
    if litres < LEAST_SAID_L / 2:
        return f"less than {LEAST_SAID_L:g} L short"
    return f"{litres:.1f} L short"
