"""Which sounds of a click track may be heard in a take beside the horn."""

from __future__ import annotations

from coach.rehearsal.click.clicks import ClickTrack, SoundKind
from coach.rehearsal.hearing.take import TakenClick

HELD = (SoundKind.GUIDE, SoundKind.DRONE)
"""Sounds that are held: they are no clicks."""


def taken_clicks(track: ClickTrack) -> tuple[TakenClick, ...]:
    """List the clicks of a track that sound, the count-in with them.

    Clicks of one key, struck alike, are of one kind.
    """
    kinds: dict[tuple[int, int, int], int] = {}
    return tuple(
        TakenClick(
            click.due,
            kinds.setdefault((click.channel, click.key, click.velocity), len(kinds)),
        )
        for click in track.clicks
        if click.velocity and click.kind not in HELD
    )
