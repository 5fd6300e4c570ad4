"""What is sent of a screen: all that has changed, and little else is asked for it."""

from __future__ import annotations

from rich.segment import Segment
from textual._compositor import ChopsUpdate
from textual.app import App, ComposeResult
from textual.geometry import Region
from textual.screen import Screen
from textual.strip import Strip
from textual.widget import Widget

from coach.screens.sparing_compositor import SparingCompositor


class Letters(Widget):
    """A widget full of one letter that counts how often it is asked for its rows."""

    def __init__(self, letter: str) -> None:
        super().__init__(id=letter)
        self.letter = letter
        self.asked = 0

    def render_lines(self, crop: Region) -> list[Strip]:
        self.asked += 1
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        del y
        return Strip([Segment(self.letter * self.size.width)])


class Rows(Screen[None]):
    """Three widgets one over the other, and a fourth that lies over the last two."""

    CSS = """
    #a, #b, #c { height: 3; }
    Screen { layers: below above; }
    #d { layer: above; width: 4; height: 4; offset: 10 4; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._compositor = SparingCompositor()

    def compose(self) -> ComposeResult:
        yield from (Letters(letter) for letter in "abcd")


async def test_what_has_changed_is_sent_and_nothing_between_is_asked_for_it() -> None:
    async with App[None]().run_test(size=(20, 9)) as pilot:
        screen = Rows()
        await pilot.app.push_screen(screen)
        await pilot.pause()
        letters = {w.letter: w for w in screen.query(Letters)}
        asked = {name: w.asked for name, w in letters.items()}
        for name in "ac":
            letters[name].letter = name.upper()
            letters[name].refresh()
        screen._compositor.update_widgets({letters["a"], letters["c"]})
        update = screen._compositor.render_update()
        assert isinstance(update, ChopsUpdate)
        sent = {
            y: "".join(strip.text for strip in update.chops[y].values() if strip)
            for y, *_ in update.spans
        }
        whole = [strip.text for strip in screen._compositor.render_strips()]
        assert sent == {y: whole[y] for y in (0, 1, 2, 6, 7, 8)}
        assert whole[6] == "C" * 10 + "dddd" + "C" * 6
        more = {name for name, w in letters.items() if w.asked > asked[name] + 1}
        assert more == {"a", "c", "d"}, "and once more for the whole"
