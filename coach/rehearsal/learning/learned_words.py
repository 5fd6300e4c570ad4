"""What was learned of a player's air, in the player's words."""

from __future__ import annotations

from collections.abc import Mapping

from coach.planning.naming import say_count

LONG_TONE = "long tone"
RAN_OUT = "run that ran out"
TO_THE_END = "run to the end"
"""What was seen, by its name for one."""


def say_air(
    flow: tuple[float, float, float],
    days: int,
    counts: Mapping[str, int],
    wide_share: float,
) -> str:
    """Say in one sentence what is believed, and what it stands on.

    Parameters
    ----------
    flow : tuple of float
        Flow scale, and the ends of the band, that are told.
    days : int
        Days that it is from; 0 where nothing was seen.
    counts : mapping
        How many there are of each thing that was seen, by its name for one.
    wide_share : float
        A band whose upper end lies further above the lower than this share of it has
        something to gain from a long tone.
    """
    middle, low, high = flow
    if not days:
        return (
            "No run and no long tone has told anything yet: your flow lies between "
            f"{low:.2f} and {high:.2f} of the model."
        )
    told = [_count(number, thing) for thing, number in counts.items() if number]
    *first, last = told
    basis = f"{', '.join(first)} and {last}" if first else last
    more = ""
    if days > 1 and not counts.get(LONG_TONE) and high > low * (1.0 + wide_share):
        never = "" if counts.get(RAN_OUT) else "you have never run out, so "
        more = f"; {never}a timed long tone would tell more"
    return (
        f"From {basis}, on {say_count(days, 'day')}: about {middle:.2f} of the "
        f"model's flow, likely {low:.2f} to {high:.2f}{more}."
    )


def _count(number: int, thing: str) -> str:
    """Say how many, as ``2 runs that ran out``."""
    noun, space, more = (
        ("long tone", "", "") if "tone" in thing else thing.partition(" ")
    )
    return f"{say_count(number, noun)}{space}{more}"
