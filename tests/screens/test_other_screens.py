"""Log, player, gear, import, cautions, keys, palette: each does its one thing."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest
from textual.widgets import Input, OptionList

from coach.rehearsal.gear.gear import (
    LevelHeard,
    ManualClock,
    PedalLearned,
    PedalPressed,
)
from coach.rehearsal.run.mark import Mark
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.playing import Playing
from coach.rehearsal.run.run import Run
from coach.score.phrase import Part
from coach.score.tempo import Seconds
from coach.screens.app import CoachApp
from coach.screens.phrase.phrase_screen import PhraseScreen
from coach.screens.run.run_keys import RUN_KEYS
from coach.screens.shelf.log_screen import RUNS_READ, LogScreen
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.widgets.ask_line import AskLine
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.plot import ColumnPlot, LinePlot
from coach.screens.widgets.text_lines import Words
from tests.screens.paper_studio import NEVER_SEEN, NOBODY, PaperStudio
from tests.screens.playing import press, screen_of, settle, text_of, wait_for


def keep_some_days(studio: PaperStudio, part: Part) -> None:
    """Put a week of runs into the log: out of air in bar 3, rushed in bar 6."""
    for day in range(1, 8):
        is_clean = day % 3 == 0
        marks = (
            Mark(MarkKind.RAN_OUT, 3, 1.0, Seconds(5.0)),
            Mark(MarkKind.RUSHED, 6, 2.0, Seconds(13.0)),
        )
        run = Run(
            datetime(2026, 3, day, 17, 0, tzinfo=UTC),
            part.title,
            1,
            8,
            60.0 + day,
            is_completed=True,
            is_clean=is_clean,
            marks=() if is_clean else marks,
            note="good day" if is_clean else "",
            is_whole=True,
        )
        studio.log.begin(run)


async def test_where_several_have_played_the_log_says_who(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    keep_some_days(studio, part)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        assert "Ann" not in app.screen.query_one("#runs", Words).text
        await press(pilot, "escape")
        run = studio.log.runs[3]
        studio.log.runs[3] = replace(run, how=replace(run.how, player="Ann"))
        await press(pilot, "l")
        runs = app.screen.query_one("#runs", Words).text
        assert runs.count("Ann") == 1
        assert "clean · Ann" in runs


async def test_the_log_of_an_etude_shows_trouble_progress_and_advice(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    keep_some_days(studio, part)
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", "l")
        assert isinstance(screen_of(app), LogScreen)
        runs = app.screen.query_one("#runs", Words).text
        assert "7 March 2026" in runs
        assert "bars 1 to 8 · ♩ 67 · not clean, 2 marks" in runs
        story = app.screen.query_one("#story", Words).text
        assert "whole: clean at ♩ 66 of 96" in story
        assert "ran out at bar 3" in story
        assert "5" in text_of(app, ColumnPlot), "five runs ran out in bar 3"
        assert "goal" in text_of(app, LinePlot)
        await press(pilot, "down")
        assert "good day" in app.screen.query_one("#story", Words).text


async def test_older_runs_are_read_when_the_cursor_comes_to_them(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    for k in range(RUNS_READ + 3):
        begun = datetime(2026, 3, 1, tzinfo=UTC) + timedelta(minutes=k)
        studio.log.begin(Run(begun, part.title, k, k + 1, 67.0, False, None))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        assert "203 runs" in text_of(app, Heading)
        screen = screen_of(app)
        assert isinstance(screen, LogScreen)
        screen.action_move(RUNS_READ - 1)
        await settle(pilot)
        assert "bars 3 to 4" in screen.query_one("#runs", Words).text
        assert "bars 2 to 3" not in screen.query_one("#runs", Words).text
        screen.action_move(9)
        await settle(pilot)
        assert "pickup to bar 1" in screen.query_one("#runs", Words).text


async def test_a_run_that_counts_again_is_set_aside_again_as_it_was(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    begun = datetime(2026, 3, 1, tzinfo=UTC)
    first = studio.log.begin(Run(begun, part.title, 1, 2, 67.0, True, None))
    studio.log.runs[first] = replace(studio.log.runs[first], set_aside="not-me")
    kept = []
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        for _ in range(3):
            await press(pilot, "x")
            kept.append(studio.log.runs[first].set_aside)
    assert kept == [None, "not-me", None]


async def test_a_run_gets_its_word_in_the_log_and_may_get_another(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    begun = datetime(2026, 3, 1, tzinfo=UTC)
    first = studio.log.begin(Run(begun, part.title, 1, 2, 67.0, True, None))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        assert "no word on it" in text_of(app, Words, "#runs")
        await press(pilot, "c")
        assert "This run: clean." in app.screen.query_one(Notice).words
        assert studio.log.runs[first].is_clean is True
        await press(pilot, "t")
        assert "This run: not clean." in app.screen.query_one(Notice).words
    assert studio.log.runs[first].is_clean is False


async def test_the_log_says_which_runs_had_room_to_breathe(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    begun = datetime(2026, 3, 1, tzinfo=UTC)
    roomy = Playing(room_beats=0.5)
    studio.log.begin(Run(begun, part.title, 1, 2, 67.0, True, True, how=roomy))
    async with app.run_test(size=(120, 40)) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        shown = text_of(app, Words, "#runs").replace("▌", "")
        assert "half a beat of room" in " ".join(shown.split())


async def test_the_log_of_all_etudes_names_them(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    keep_some_days(studio, part)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        assert part.title in app.screen.query_one("#runs", Words).text


async def test_an_empty_log_says_so(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "l")
        assert "no runs yet" in app.screen.query_one("#runs", Words).text


async def test_a_player_is_set_up_with_a_few_keys(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.facts = NOBODY
    studio.memory = replace(NEVER_SEEN, has_seen_cautions=True)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        keys = ["right", "down", "enter", *"172", "enter", "enter", *"30", "enter"]
        await press(pilot, *keys, "right", "escape")
        assert isinstance(screen_of(app), ShelfScreen)
    assert studio.facts == replace(
        NOBODY, instrument="trumpet", sex="female", height_cm=172.0, age=30.0
    )
    assert studio.memory.is_set_up
    assert len(keys) < 20, "well under a minute"


@pytest.mark.parametrize(("typed", "told"), [("old", "no number"), ("300", "no age")])
async def test_a_number_that_is_none_is_refused_in_words(
    app: CoachApp, studio: PaperStudio, typed: str, told: str
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "down", "down", "enter", *typed, "enter")
        assert told in app.screen.query_one("#what", Words).text
        assert app.screen.query_one(AskLine).value == typed, "it stays to be mended"
        await press(pilot, "escape")
    assert studio.facts.age == 0.0


async def test_a_slip_of_the_thumb_is_no_long_tone(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "space", "space")
        assert "0.1 s is no long tone" in app.screen.query_one(Notice).words
        await press(pilot, "x", "escape")
    assert studio.facts.long_tone_s == 0.0


async def test_a_long_tone_is_timed_by_the_clock_that_the_screen_is_handed(
    app: CoachApp, studio: PaperStudio, clock: ManualClock
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "space")
        clock.wait_until(Seconds(clock.now() + 12.34))
        await press(pilot, "space")
        assert "12.3" in app.screen.query_one("#setup", Words).text
        await press(pilot, "escape")
    assert studio.facts.long_tone_s == 12.3


async def test_a_line_that_is_left_open_says_so(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.facts = replace(NOBODY, capacity_l=4.8, long_tone_s=14.0, loud_tone_s=6.0)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "up", "x")
        assert app.screen.query_one("#setup", Words).text.count("open") == 4
        await press(pilot, "escape")
    assert studio.facts == replace(NOBODY, capacity_l=4.8)


async def test_an_instrument_is_chosen_from_a_list(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "enter", "down", "enter", "escape")
    assert studio.facts.instrument == "trumpet"


async def test_gear_is_listed_chosen_and_told_how_late_it_is(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g")
        words = app.screen.query_one(Words).text
        assert "built-in sound on Laptop" in words
        assert "12 ms after" in words
        assert "nothing found" in words
        await press(pilot, "enter", "down", "enter")
        assert studio.gear.choice.midi_out == "Synth one"
        await press(pilot, "space")
        assert "Nothing can sound here" in app.screen.query_one(Notice).words


async def test_without_a_port_to_hear_it_on_no_pedal_is_waited_for(
    app: CoachApp, studio: PaperStudio
) -> None:
    found = studio.gear.found
    assert found is not None
    studio.gear = replace(studio.gear, found=replace(found, listened=()))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g", *("down",) * 4, "enter")
        assert "No MIDI port is listened to" in app.screen.query_one(Notice).words
        assert "press the pedal now" not in app.screen.query_one(Words).text
    assert studio.learned == []


async def test_the_pedal_learns_an_action_and_the_microphone_shows_its_level(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "g", *("down",) * 4, "enter")
        assert studio.learned == ["start-stop"]
        assert "press the pedal now" in app.screen.query_one(Words).text
        studio.tell(PedalLearned("start-stop", "control 64 channel 1"))
        await settle(pilot)
        assert "press the pedal now" not in app.screen.query_one(Words).text
        assert "means start and stop" in app.screen.query_one(Notice).words
        studio.tell(PedalPressed(Seconds(0.0), "again"))
        await settle(pilot)
        assert "the pedal means: again" in app.screen.query_one(Notice).words
        studio.tell(LevelHeard(-20.0, is_overloaded=False))
        await settle(pilot)
        assert "-20 dB" in app.screen.query_one(Words).text
        studio.tell(LevelHeard(0.0, is_overloaded=True))
        await settle(pilot)
        assert "too loud" in app.screen.query_one(Words).text
        assert studio.hears_room
        await press(pilot, "escape")
    assert not studio.hears_room


async def test_a_file_is_found_by_walking_or_by_typing(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "enter")
        assert "/music/duets" in text_of(app, Heading)
        await press(pilot, "left", "down", "enter")
        assert studio.imported == ["/music/one.musicxml"]
        assert "8, no pickup" in text_of(app, Words), "as on the page?"
        await press(pilot, "left", "down", "slash", "enter")
        assert isinstance(screen_of(app), ShelfScreen)
        await press(pilot, "i", "slash", *"a.mid", "enter")
        assert studio.imported[-1] == "/a.mid"


async def test_a_file_that_is_no_score_is_refused_in_words(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "i", "down", "down", "enter")
        assert "is no score" in app.screen.query_one(Notice).words
        assert studio.imported == []


async def test_the_question_mark_tells_what_every_key_does_here(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 60)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", "enter", "question_mark")
        words = app.screen.query_one(Words).text
        for binding in RUN_KEYS:
            assert binding.tooltip in words
        await press(pilot, "escape")


async def test_the_command_palette_knows_every_key_of_the_screen(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter")
        await press(pilot, "ctrl+p")
        app.screen.query_one(Input).value = "reach"
        found = app.screen.query_one(OptionList)
        await wait_for(
            pilot,
            lambda: (
                found.option_count
                and "reach" in str(found.get_option_at_index(0).prompt).lower()
            ),
        )
        await press(pilot, "enter")
        await settle(pilot)
        assert type(screen_of(app)).__name__ == "ReachScreen"


async def test_colours_change_with_a_key_and_are_kept(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert app.theme == "lamplight"
        await press(pilot, "ctrl+t")
        assert studio.memory.theme == "paper"
    again = CoachApp(studio)
    assert again.theme == "paper"


async def test_a_pedal_on_the_phrase_screen_leads_to_the_run(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter")
        assert isinstance(screen_of(app), PhraseScreen)
        studio.tell(PedalPressed(Seconds(0.0), "start-stop"))
        await settle(pilot)
        assert type(screen_of(app)).__name__ == "RunScreen"


async def test_what_was_answered_is_kept_however_the_screen_is_left(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "down", "enter", *"172", "enter")
        assert studio.facts.height_cm == 0.0
        await press(pilot, "ctrl+q")
    assert studio.facts.height_cm == 172.0


async def test_a_first_question_shows_the_way_past_all_of_them(
    studio: PaperStudio,
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert "esc shelf" in text_of(app, KeyBar)


async def test_while_a_line_is_typed_the_bottom_row_has_its_keys(
    studio: PaperStudio,
) -> None:
    studio.memory, studio.facts = NEVER_SEEN, NOBODY
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        assert "space next, long tone" in text_of(app, KeyBar)
        await press(pilot, "enter")
        assert "enter take it" in text_of(app, KeyBar)
        assert "long tone" not in text_of(app, KeyBar), "space is typed here"
        await pilot.click(KeyBar, offset=(2, 0))
        await settle(pilot)
        assert "space next, long tone" in text_of(app, KeyBar)


@pytest.mark.parametrize(("key", "height_cm"), [("enter", 172.0), ("esc", 0.0)])
async def test_a_key_of_a_typed_line_that_is_clicked_does_what_it_says(
    app: CoachApp, studio: PaperStudio, key: str, height_cm: float
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "p", "down", "enter", *"172")
        await pilot.click(KeyBar, offset=(text_of(app, KeyBar).index(key) + 1, 0))
        await settle(pilot)
        assert "take it" not in text_of(app, KeyBar)
        await press(pilot, "ctrl+q")
    assert studio.facts.height_cm == height_cm
