"""Bars with no page, to hear the click and to time it."""

from __future__ import annotations

from coach.config import read_settings
from coach.rehearsal.click.bars_of_four import lay_bars
from coach.rehearsal.click.click_settings import ClickSettings
from coach.rehearsal.click.clicks import SoundKind

SETTINGS = read_settings(ClickSettings, "click", "track")


def test_bars_are_laid_with_an_accent_on_each_first_beat() -> None:
    track = lay_bars(2, 2, SETTINGS)
    accents = [click.due for click in track.clicks if click.kind is SoundKind.ACCENT]
    assert accents == [0.0, 2.0]
    assert len(track.clicks) == 16
    assert track.ends == 4.0


def test_what_divides_a_beat_is_no_beat() -> None:
    track = lay_bars(1, 4, SETTINGS)
    kinds = [click.kind for click in track.clicks]
    assert kinds[:5] == [
        SoundKind.ACCENT,
        *(SoundKind.SUBDIVISION,) * 3,
        SoundKind.BEAT,
    ]
    assert [click.beat for click in track.clicks if click.beat] == [1, 2, 3, 4]
