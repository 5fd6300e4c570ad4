"""Who plays: what the player's screen says of instruments."""

from __future__ import annotations

from coach.screens.app import CoachApp
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, settle


async def test_an_instrument_that_cannot_be_read_is_told_where_one_is_chosen(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.broken = ["serpent.toml cannot be read: Invalid value. Mend it."]
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p")
        words = app.screen.query_one("#what", Words)
        assert "serpent.toml cannot be read" in words.text
        await press(pilot, "down")
        assert "serpent.toml" not in words.text
