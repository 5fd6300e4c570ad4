"""Gauge, countdown, ball, figures, signs: shapes that say what they mean."""

from __future__ import annotations

import re
from collections.abc import Awaitable, Callable
from dataclasses import replace
from functools import partial
from itertools import combinations
from typing import TypeVar

import pytest
from textual.app import App, ComposeResult
from textual.strip import Strip

from coach.screens.nearest_ascii import plain
from coach.screens.run.air_gauge import AirGauge
from coach.screens.run.bar_number import BarNumber
from coach.screens.run.beat_ball import BeatBall
from coach.screens.run.countdown import Countdown, Cue
from coach.screens.set_up.big_figure import BigFigure
from coach.screens.signs import FULL, PLAIN, Signs
from coach.screens.staff.strip_windows import number_bar
from coach.screens.widgets.big_type import (
    FIGURES,
    LETTERS,
    PLAIN_FIGURES,
    set_figures,
    set_letters,
    set_plain_letters,
)
from coach.screens.widgets.key_bar import KeyBar, ShownKey, say_key
from coach.screens.widgets.picture import Picture
from coach.screens.widgets.plot import LinePlot
from coach.screens.widgets.sheet import Sheet, cut
from coach.screens.widgets.text_lines import Line, Words
from tests.screens.playing import text_in

P = TypeVar("P", bound=Picture)


async def shown(
    picture: P, show: Callable[[P], None], width: int = 80, height: int = 6
) -> str:
    """Show a picture in an app of its own and give what it looks like."""

    class Frame(App[None]):
        CSS = f"{type(picture).__name__} {{ width: {width}; height: {height}; }}"

        def compose(self) -> ComposeResult:
            yield picture

    async with Frame().run_test(size=(max(width, 20), max(height, 8))) as pilot:
        show(picture)
        await pilot.pause()
        return text_in(picture)


async def test_what_is_told_before_there_is_room_stands_in_the_first_picture() -> None:
    """Else the player looks at an empty screen until the next one is drawn."""
    rows: list[str] = []

    class Watched(Words):
        def render_line(self, y: int) -> Strip:
            strip = super().render_line(y)
            rows.append(strip.text)
            return strip

    class Frame(App[None]):
        def compose(self) -> ComposeResult:
            yield Watched()

        def on_mount(self) -> None:
            self.query_one(Watched).show_lines([Line("Breathe here")])

    async with Frame().run_test() as pilot:
        await pilot.pause()
    assert rows[0].strip() == "Breathe here"


@pytest.mark.parametrize(
    ("air", "filled"), [(1.0, 70), (0.5, 35), (0.25, 17), (0.0, 0), (-0.2, 0)]
)
async def test_the_gauge_is_filled_as_far_as_there_is_air(
    air: float, filled: int
) -> None:
    text = await shown(
        AirGauge(empty=0.1), lambda gauge: gauge.show_air(air, None, 5.0), height=3
    )
    top = text.split("\n")[0]
    marked = top[:70].replace("┃", "█" if air > 0.5 else " ")
    assert marked.count("█") + marked.count("▄") == pytest.approx(filled, abs=1)
    assert "┃" in top, "the half mark is always there"


def show_air(air: float, gauge: AirGauge) -> None:
    """Show a level."""
    gauge.show_air(air, 0.1, 1.0)


async def test_nothing_stands_beside_the_seconds_that_is_read_as_a_figure() -> None:
    """An S in big letters is a 5 from afar: 6 seconds would be 65."""
    text = await shown(
        AirGauge(empty=0.1), lambda gauge: gauge.show_air(0.6, 0.4, 6.0), height=4
    )
    assert letters_in(text, "6")
    assert not letters_in(text, "S")
    assert text.split("\n")[3].endswith("s left")


CUES = [
    Cue("count", 4, ("COUNT",), ""),
    Cue("full", 4, ("BREATHE", "FULL"), ""),
    Cue("catch", 4, ("TOP", "OFF"), ""),
    Cue("catch", 4, ("NEED", "SIP?"), ""),
    Cue("hold", None, ("INTO", "BAR 14"), ""),
    Cue("in-full", None, ("BREATHE", "FULL"), ""),
    Cue("in-catch", None, ("TOP", "OFF"), ""),
    Cue("last", None, ("TO END",), ""),
    Cue("ready", None, ("READY",), ""),
    Cue("rest", 15, ("REST",), ""),
    Cue("full", 4, ("NEED", "AIR?"), ""),
    Cue("hold", 3, ("PLAY", "ON"), ""),
    Cue("hold", None, ("AIR OUT", "BAR 14"), ""),
]
"""One of every kind."""


def show_cue(cue: Cue, countdown: Countdown) -> None:
    """Show a cue."""
    countdown.show_cue(cue)


async def test_the_gauge_moves_by_eighths_of_a_cell() -> None:
    seen = set()
    for k in range(8):
        air = (20 + k / 8) / 70
        text = await shown(AirGauge(empty=0.1), partial(show_air, air), height=3)
        seen.add(text.split("\n")[1])
    assert len(seen) == 8


async def test_what_will_be_spent_before_the_breath_stands_lower() -> None:
    text = await shown(
        AirGauge(empty=0.1), lambda gauge: gauge.show_air(0.9, 0.4, 8.0), height=3
    )
    top, bottom, scale = text.split("\n")
    assert top[:28] == "█" * 28, "what is left at the breath"
    assert top[30:34] == "▄" * 4, "what goes until then"
    assert bottom[30:34] == "█" * 4
    assert "air 90 %" in scale
    assert "at the breath → 40 %" in scale
    assert "8 s left" in bottom


@pytest.mark.parametrize(
    ("air", "words"),
    [
        (0.7, "top half"),
        (0.496, "air 50 % · top half"),
        (0.4, "below half"),
        (0.15, "nearly dry"),
        (0.05, "dry"),
    ],
)
async def test_the_gauge_says_in_words_where_the_air_stands(
    air: float, words: str
) -> None:
    text = await shown(
        AirGauge(empty=0.1), lambda gauge: gauge.show_air(air, None, 3.0), height=3
    )
    assert words in text


@pytest.mark.parametrize("height", [3, 4, 6, 11])
async def test_every_kind_of_cue_has_a_look_of_its_own(height: int) -> None:
    looks = [
        await shown(Countdown(), partial(show_cue, cue), width=66, height=height)
        for cue in CUES
    ]
    assert len(set(looks)) == len(CUES)


async def test_figures_of_the_countdown_can_be_told_apart() -> None:
    looks = set()
    for number in range(21):
        looks.add(
            await shown(
                Countdown(),
                partial(show_cue, replace(CUES[1], number=number)),
                width=44,
            )
        )
    assert len(looks) == 21


def test_every_figure_and_letter_differs_from_every_other() -> None:
    assert len(set(FIGURES.values())) == len(FIGURES)
    alike = {"O", "0"}
    letters = {sign: shape for sign, shape in LETTERS.items() if sign not in alike}
    assert len(set(letters.values())) == len(letters)
    assert {len(set_figures(sign)) for sign in FIGURES} == {10}
    assert {len(set_letters(sign)) for sign in LETTERS} == {5}


@pytest.mark.parametrize(("one", "other"), combinations(sorted(PLAIN_FIGURES), 2))
def test_plain_figures_differ_in_three_signs_or_more(one: str, other: str) -> None:
    pairs = zip("".join(PLAIN_FIGURES[one]), "".join(PLAIN_FIGURES[other]), strict=True)
    assert sum(a != b for a, b in pairs) >= 3


@pytest.mark.parametrize("signs", [FULL, PLAIN], ids=["full", "plain"])
@pytest.mark.parametrize("size", [(45, 6), (68, 12), (110, 17)])
@pytest.mark.parametrize("cue", CUES, ids=lambda cue: cue.kind)
async def test_no_cue_is_cut_or_written_through(
    cue: Cue, size: tuple[int, int], signs: Signs
) -> None:
    """All that stands in a small room stands in a larger one, and the words with it."""
    width, height = size
    said = replace(cue, say="in words")

    async def ink(wide: int) -> int:
        text = await shown(Countdown(signs), partial(show_cue, said), wide, height)
        big, said_whole, after = text.partition(said.say)
        assert said_whole
        return sum(not sign.isspace() for sign in big + after)

    assert await ink(width) > 0
    if not signs.is_plain:
        assert await ink(width) <= await ink(width + 60)


SHOW_A_NUMBER: dict[str, Callable[[int, int], Awaitable[str]]] = {
    "seconds": lambda number, rows: shown(
        AirGauge(PLAIN, empty=0.1),
        lambda gauge: gauge.show_air(0.5, None, number),
        80,
        rows,
    ),
    "bar": lambda number, rows: shown(
        BarNumber(PLAIN), lambda bar: bar.show_bar(number, 90, "beat 1"), 15, rows
    ),
    "figure": lambda number, rows: shown(
        BigFigure(PLAIN), lambda big: big.show_figure(f"{number}.5", "s"), 40, rows
    ),
}


@pytest.mark.parametrize("rows", [3, 4, 5, 6])
@pytest.mark.parametrize("what", SHOW_A_NUMBER)
async def test_no_number_in_plain_signs_is_made_of_halves_of_them(
    what: str, rows: int
) -> None:
    """A sign has no upper half: figures of halves are blots, all alike."""
    for number in (3, 5, 8):
        text = await SHOW_A_NUMBER[what](number, rows)
        figure = [row.rstrip() for row in PLAIN_FIGURES[str(number)]]
        drawn = text.split("\n")
        is_drawn = any(
            all(
                row[x:].startswith(part)
                for row, part in zip(drawn, figure, strict=False)
            )
            for x in range(len(drawn[0]))
        )
        assert is_drawn or re.search(rf"\b{number}\b", text), text


async def test_nothing_stands_before_the_number() -> None:
    """A sign there was read as a figure: a bar and 1 as 11, a line and 8 as -8."""
    for cue in CUES:
        if cue.number is not None:
            text = await shown(Countdown(), partial(show_cue, cue), width=44)
            figures = set_figures(str(cue.number))
            first = "".join(
                " " if up + low == ".." else "#"
                for up, low in zip(*figures[:2], strict=True)
            )
            drawn = text.split("\n")[0][: len(first)]
            assert "".join(" " if sign == " " else "#" for sign in drawn) == first


async def test_the_bar_number_does_not_shrink_from_bar_10_on() -> None:
    def rows(text: str) -> int:
        return sum("█" in row or "▀" in row for row in text.split("\n"))

    for width, height in [(16, 6), (32, 11), (50, 17)]:
        sizes = {
            rows(
                await shown(
                    BarNumber(), partial(show_bar, bar), width=width, height=height
                )
            )
            for bar in (1, 9, 10, 28)
        }
        assert len(sizes) == 1


def show_bar(bar: int, number: BarNumber) -> None:
    """Show a bar of 28."""
    number.show_bar(bar, 28, "beat 2")


async def test_the_ball_lies_on_its_pad_at_the_beat_and_flies_between() -> None:
    async def ball(phase: float) -> list[str]:
        text = await shown(
            BeatBall(), lambda b: b.show_beat(1, 4, phase), width=40, height=6
        )
        return text.split("\n")

    on_beat, between, before_next = await ball(0.0), await ball(0.5), await ball(0.99)
    assert "████" in on_beat[4], "just over the pads"
    assert "████" in between[0], "at the top"
    assert before_next[4].index("████") - on_beat[4].index("████") == 10
    assert "█" in on_beat[5], "the pad that is struck is full"
    assert "█" not in between[5]


async def test_the_bar_number_is_as_big_as_there_is_room() -> None:
    for height, rows in [(1, 1), (3, 3), (6, 5), (12, 10)]:
        text = await shown(
            BarNumber(),
            lambda b: b.show_bar(8, 9, "beat 2"),
            width=24,
            height=height,
        )
        inked = [row for row in text.split("\n") if "█" in row or "▀" in row]
        assert len(inked) == (0 if height == 1 else rows)
        assert ("bar 8" in text) == (height == 1)


def test_a_sheet_shows_nothing_that_a_terminal_would_obey() -> None:
    sheet = Sheet(12, 1)
    sheet.put(0, 0, "a\x1b[2J\x07\u202eb")
    assert sheet.text(0) == "a [2J  b    "


def test_in_plain_signs_a_wait_is_no_about() -> None:
    """A tilde before a number of seconds is read as *about*."""
    sheet = Sheet(20, 2, PLAIN)
    sheet.put(0, 0, "reading … 49 s")
    sheet.put_right(20, 1, "reading …")
    assert sheet.text(0).rstrip() == "reading ... 49 s"
    assert sheet.text(1) == "reading ...".rjust(20)
    full = Sheet(20, 1)
    full.put(0, 0, "reading …")
    assert full.text(0).rstrip() == "reading …"


def test_a_wide_sign_takes_two_cells_and_is_never_cut_in_half() -> None:
    sheet = Sheet(5, 1)
    assert sheet.put(0, 0, "練習曲") == 4
    assert sheet.text(0) == "練習 "
    assert cut("練習曲集", 5) == "練習…"


def test_only_what_changed_is_sent() -> None:
    old, new = Sheet(10, 2), Sheet(10, 2)
    new.put(3, 1, "ab")
    assert new.change_since(old, 0) is None
    assert new.change_since(old, 1) == (3, 5)


@pytest.mark.parametrize("text", ["Étude in E♭", "“Tide”", "練習", "▁▄▀█", "…—–"])
def test_plain_text_has_as_many_signs_as_it_had(text: str) -> None:
    assert plain(text).isascii()
    assert len(plain(text)) == len(text)


def test_letters_of_the_latin_alphabets_stay_letters_in_plain_signs() -> None:
    assert plain("Straßenbær, Œuvre, Øre, Łódź, Đuro") == (
        "Strasenbar, Ouvre, Ore, Lodz, Duro"
    )


def test_plain_signs_are_ascii() -> None:
    for name in Signs.__dataclass_fields__:
        value = getattr(PLAIN, name)
        assert isinstance(value, bool) or "".join(value).isascii(), name
    assert FULL.blocks[8] == "█"


def test_keys_are_written_as_they_stand_on_the_keyboard() -> None:
    assert say_key("plus,equals_sign,up") == "+ = ↑"
    assert say_key("ctrl+r") == "ctrl+r"
    assert say_key("left", is_plain=True) == "left"


async def test_the_gauge_shows_between_what_the_air_may_lie() -> None:
    text = await shown(
        AirGauge(empty=0.1),
        lambda gauge: gauge.show_air(0.7, 0.4, 8.0, (0.6, 0.8)),
        height=3,
    )
    level, likely, words = text.splitlines()
    assert "air 70 (60–80) % · top half" in words
    assert "▒" not in level
    width = len(likely.rstrip()) - len(" 8 s left")
    shaded = [x for x, sign in enumerate(likely) if sign == "▒"]
    assert shaded[0] == pytest.approx(0.6 * width, abs=2)
    assert shaded[-1] == pytest.approx(0.8 * width, abs=2)
    sure = await shown(
        AirGauge(empty=0.1),
        lambda gauge: gauge.show_air(0.9, 0.4, 8.0, (0.9, 0.9)),
        height=3,
    )
    assert "air 90 %" in sure


@pytest.mark.parametrize(
    ("air", "says"), [(0.83, "air 83 (64–83) %"), (0.6, "air 60 (60–82) %")]
)
async def test_the_level_lies_where_the_air_may_lie(air: float, says: str) -> None:
    """A plan rounds its levels, and a narrow band may miss them by a hair."""
    text = await shown(
        AirGauge(empty=0.1),
        lambda gauge: gauge.show_air(air, 0.4, 8.0, (0.64, 0.82)),
        height=3,
    )
    assert says in text


def cue_until(bar: int) -> Cue:
    """Give the cue that the next breath comes in a bar."""
    words = ("INTO", f"BAR {bar}")
    return Cue("hold", None, words, f"next breath in bar {bar}, in 25 beats")


@pytest.mark.parametrize("signs", [FULL, PLAIN])
async def test_a_bar_ahead_is_never_taken_for_the_bar_that_sounds(signs: Signs) -> None:
    """Beside the number of the bar that sounds, BAR 8 alone would be read as it."""
    text = await shown(
        Countdown(signs), lambda panel: panel.show_cue(cue_until(8)), 44, 6
    )
    alone = Cue("hold", None, ("BAR 8",), "next breath in bar 8, in 25 beats")
    assert text != await shown(
        Countdown(signs), lambda panel: panel.show_cue(alone), 44, 6
    )


async def test_a_cue_in_few_rows_is_said_to_its_end() -> None:
    text = await shown(Countdown(), lambda panel: panel.show_cue(cue_until(8)), 26, 3)
    assert "beats" in text


async def test_the_row_of_keys_shows_as_many_as_fit_and_always_help() -> None:
    keys = [
        ShownKey("enter", "open", "open"),
        ShownKey("b", "breathe here", "breathe"),
        ShownKey("?", "keys", "show_keys"),
    ]
    wide = await shown(KeyBar(), lambda bar: bar.show_keys(keys), 60, 1)
    narrow = await shown(KeyBar(), lambda bar: bar.show_keys(keys), 24, 1)
    assert "breathe here" in wide
    assert "breathe here" not in narrow
    assert narrow.rstrip().endswith("? keys")


async def test_lines_that_do_not_fit_say_how_many_more_there_are() -> None:
    lines = [Line(f"line {k}") for k in range(40)]
    text = await shown(Words(), lambda words: words.show_lines(lines), 30, 8)
    assert "line 6" in text
    assert "line 7" not in text
    assert "33 more ↓" in text
    few = await shown(Words(), lambda words: words.show_lines(lines[:8]), 30, 8)
    assert "line 7" in few
    assert "more" not in few


async def test_in_two_rows_no_word_is_written_over_to_say_that_there_is_more() -> None:
    """The last row ended in "then t  ? 1 more": nobody could tell what it had said."""

    def tell(words: Words) -> None:
        words.name_reader("?")
        words.show_lines([Line("position 1 · then top off 0.2 s"), Line("and more")])

    text = await shown(Words(), tell, 30, 2)
    assert [row.strip() for row in text.split("\n")] == [
        "position 1 ·",
        "then top off    ? 2 more ↓",
    ]
    whole = await shown(Words(), tell, 40, 2)
    assert "then top off 0.2 s" in whole
    assert "more ↓" not in whole


async def test_the_last_line_is_shown_whole_when_it_is_reached() -> None:
    def to_the_end(words: Words) -> None:
        words.show_lines([Line(f"line {k}") for k in range(40)])
        words.scroll_rows(999)

    text = await shown(Words(), to_the_end, 30, 8)
    assert "line 39" in text
    assert "line 32" in text
    assert "more" not in text


async def test_words_scroll_to_the_line_that_is_chosen() -> None:
    lines = [Line(f"line {k}", "chosen" if k == 30 else "plain") for k in range(40)]
    text = await shown(Words(), lambda words: words.show_lines(lines), 30, 8)
    assert "line 30" in text
    assert "line 0 " not in text


async def test_who_reads_on_stays_there_until_another_line_is_chosen() -> None:
    """A level that is told ten times a second takes nobody back."""
    lines = [Line(f"line {k}", "chosen" if k == 0 else "plain") for k in range(40)]

    def read_on(words: Words) -> None:
        words.show_lines(lines)
        words.scroll_rows(20)
        words.show_lines(lines)

    def choose_another(words: Words) -> None:
        read_on(words)
        other = [Line(f"line {k}", "chosen" if k == 1 else "plain") for k in range(40)]
        words.show_lines(other)

    assert "line 20" in await shown(Words(), read_on, 30, 8)
    assert "line 1 " in await shown(Words(), choose_another, 30, 8)


async def test_a_line_is_drawn_in_dots_or_in_stars() -> None:
    points = [(0.0, 60.0), (1.0, 72.0), (3.0, 96.0)]

    def show(plot: LinePlot) -> None:
        plot.show_points("tempo", points, ("then", "now"), (90.0, "goal"))

    full = await shown(LinePlot(), show, 40, 10)
    stars = await shown(LinePlot(PLAIN), show, 40, 10)
    assert any(0x2800 < ord(sign) < 0x2900 for sign in full)
    assert "*" in stars
    assert stars.isascii()
    for text in (full, stars):
        for word in ("tempo", "96", "60", "then", "now", "goal"):
            assert word in text


async def test_a_warning_too_long_for_the_bottom_row_is_shown_in_turn() -> None:
    """In a run nothing may move, and nothing may be cut."""
    words = "The synth has gone. The built-in click goes on; plug it in again."
    seen = set()

    def tell(bar: KeyBar) -> None:
        bar.show_words(words, is_wrong=True)

    for turns in range(3):

        def turn(bar: KeyBar, turns: int = turns) -> None:
            tell(bar)
            for _ in range(turns):
                bar._turn_page()

        row = await shown(KeyBar(), turn, 40, 1)
        seen.add(row.strip().removesuffix("…").strip())
    assert len(seen) == 2
    assert {word for row in seen for word in row.split()} == set(words.split())
    short = await shown(KeyBar(), lambda bar: bar.show_words("Marked."), 40, 1)
    assert short.strip() == "Marked."


STAND = (45, 6)
"""The room of the countdown at 80 by 24."""


def letters_in(text: str, words: str, signs: Signs = FULL) -> bool:
    """Tell whether words stand in a picture in big letters."""
    height = 5 if signs.is_plain else 3
    sheet = Sheet(100, height, signs)
    if signs.is_plain:
        sheet.put_shape(0, 0, set_plain_letters(words), "")
    else:
        sheet.put_pixels(0, 0, set_letters(words), "")
    shape = [sheet.text(y).rstrip() for y in range(height)]
    rows = text.split("\n")
    return any(
        all(rows[y + k][x:].startswith(row) for k, row in enumerate(shape))
        for y in range(len(rows) - height + 1)
        for x in range(len(rows[y]))
    )


@pytest.mark.parametrize("cue", CUES, ids=lambda cue: cue.kind)
async def test_at_80_by_24_all_words_of_a_cue_stand_in_large_letters(cue: Cue) -> None:
    said = replace(cue, say="in 4 beats")
    text = await shown(Countdown(), partial(show_cue, said), *STAND)
    assert all(letters_in(text, word) for word in " ".join(cue.words).split())
    assert all(word in text for word in said.say.split())


@pytest.mark.parametrize(
    ("cue", "says"),
    [(CUES[1], "FILL UP"), (CUES[5], "FILL UP"), (CUES[2], "TOP OFF")],
    ids=lambda value: getattr(value, "kind", value),
)
async def test_in_plain_signs_the_kind_of_breath_is_said_whole(
    cue: Cue, says: str
) -> None:
    text = await shown(Countdown(PLAIN), partial(show_cue, cue), *STAND)
    assert letters_in(text, says, PLAIN), text


async def test_what_more_is_to_be_done_is_said_whole_before_all_letters_stand() -> None:
    more = "breathe full in 4 beats, leave out [C4 D4]"
    said = replace(CUES[1], say=more)
    text = await shown(Countdown(), partial(show_cue, said), *STAND)
    assert more in text
    assert letters_in(text, "FULL")


AIR_OUT, INTO, HERE = ("AIR OUT", "BAR 14"), ("INTO", "BAR 114"), ("PLAY", "ON")


@pytest.mark.parametrize(
    ("words", "says"), [(AIR_OUT, "OUT IN 14"), (INTO, "INTO 114"), (HERE, "PLAY ON")]
)
async def test_at_80_by_24_words_of_a_bar_are_short_in_plain_signs_and_mean_the_same(
    words: tuple[str, ...], says: str
) -> None:
    """TO 8 was read as up to bar 8, BAR 8 alone as the bar that sounds, 5 BAR as it."""
    cue = Cue("hold", 5 if words == HERE else None, words, "in words")
    text = await shown(Countdown(PLAIN), partial(show_cue, cue), *STAND)
    assert letters_in(text, says, PLAIN)


@pytest.mark.parametrize("signs", [FULL, PLAIN], ids=["full", "plain"])
@pytest.mark.parametrize("words", [AIR_OUT, INTO])
async def test_what_is_too_wide_for_large_letters_is_written_whole(
    words: tuple[str, ...], signs: Signs
) -> None:
    cue = Cue("hold", None, words, "in words")
    text = await shown(Countdown(signs), partial(show_cue, cue), 28, 6)
    assert " ".join(words) in text
    assert "in words" in text
    assert not letters_in(text, words[-1], signs)


@pytest.mark.parametrize("bar", [7, 36, 112])
async def test_a_bar_number_is_whole_at_80_by_24(bar: int) -> None:
    wide = await shown(BarNumber(), lambda b: b.show_bar(bar, bar, "beat 1"), 40, 6)
    text = await shown(BarNumber(), lambda b: b.show_bar(bar, bar, "beat 1"), 15, 6)
    assert text.split("\n")[0].strip() == wide.split("\n")[0].strip() or letters_in(
        text, str(bar)
    )


@pytest.mark.parametrize(("breath", "row"), [("", "24"), ("  (0.9V)", "  (0.9V)")])
def test_no_bar_number_stands_before_or_in_the_seconds_of_a_breath(
    breath: str, row: str
) -> None:
    sheet = Sheet(12, 1, FULL)
    sheet.put(0, 0, breath, "")
    number_bar(sheet, 0, 0, 24)
    assert sheet.text(0).rstrip() == row


async def test_what_is_lit_up_begins_with_a_free_cell() -> None:
    """BREATHE at the very edge was read as 3REATHE."""
    cue = Cue("in-full", None, ("BREATHE", "FULL"), "now; the next note in time")
    text = await shown(Countdown(), partial(show_cue, cue), 45, 6)
    assert letters_in(text, "BREATHE")
    assert all(row.startswith(" ") for row in text.split("\n") if row)
