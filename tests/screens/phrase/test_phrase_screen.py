"""The phrase: looking at a plan and changing it."""

from __future__ import annotations

from dataclasses import replace
from threading import Event
from typing import Any

import pytest
from textual.pilot import Pilot

from coach.conductor import Conductor
from coach.planning.breathing.passage import Going, go_on
from coach.planning.edits import Edits
from coach.planning.plan import Plan
from coach.planning.way_out import WayOut
from coach.rehearsal.gear.gear import ManualClock
from coach.rehearsal.run.playing import NO_ROOM_NEEDED
from coach.score.phrase import Part
from coach.screens.app import CoachApp
from coach.screens.choose_screen import ChooseScreen
from coach.screens.phrase import part_reading
from coach.screens.phrase.phrase_screen import LOOKING, PhraseScreen
from coach.screens.phrase.reach_plot import ReachPlot
from coach.screens.phrase.reach_screen import ReachScreen
from coach.screens.run.run_screen import RunScreen
from coach.screens.shelf.log_screen import LogScreen
from coach.screens.shelf.shelf_screen import ShelfScreen
from coach.screens.staff.staff_pages import StaffPages
from coach.screens.widgets.heading import Heading
from coach.screens.widgets.key_bar import KeyBar
from coach.screens.widgets.notice import Notice
from coach.screens.widgets.text_lines import Words
from coach.wiring.player_planner import PlayerPlanner
from tests.dry_music import endless, unbroken
from tests.hand_made import part_of
from tests.hand_rehearsal import HandPlanner, WaryPlanner
from tests.screens.paper_studio import PaperStudio
from tests.screens.playing import press, screen_of, settle, text_of, wait_for


async def open_phrase(app: CoachApp, pilot: Pilot[Any]) -> None:
    """Open the first etude."""
    await settle(pilot)
    await press(pilot, "enter")
    assert isinstance(screen_of(app), PhraseScreen)


def edits_of(studio: PaperStudio) -> Edits:
    """Ask for the edits anew."""
    return studio.conductors[-1].edits


async def test_the_phrase_shows_breaths_positions_and_what_the_plan_comes_to(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        plan = text_of(app, Words, "#plan")
        assert "1 full breath, 3 top-offs" in plan
        assert "12 natural slurs" in plan
        assert "bar 1, beat 1 · B♭2 mf · position 1" in text_of(app, Words, "#note")
        await press(pilot, "down")
        staff = text_of(app, StaffPages)
        assert "0.2’" in staff, "a top-off and its length"
        assert "(4)" in staff, "alternates stand in brackets"
        assert "█" in staff, "the air is drawn under the line"


async def test_the_cursor_goes_by_note_bar_breath_phrase_line_and_page(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        plan = screen.plan
        assert plan is not None
        bars = [note.bar for note in plan.part.notes]

        def here() -> int:
            return screen._cursor

        await press(pilot, "right", "right", "left")
        assert here() == 1
        await press(pilot, "shift+right")
        assert here() == bars.index(2)
        await press(pilot, "shift+left")
        assert here() == 0
        await press(pilot, "full_stop")
        assert here() == plan.breaths.breaths[0].after_note
        await press(pilot, "comma", "home", "down")
        assert bars[here()] == 2
        await press(pilot, "pageup")
        assert bars[here()] == 1
        await press(pilot, "end")
        assert here() == len(bars) - 1
        await press(pilot, "right_parenthesis", "left_parenthesis")
        assert here() == 0, "no phrase ends inside, so the phrase starts at the top"
    assert studio.conductors


async def test_b_insists_on_a_breath_and_b_again_lets_it_go(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "right", "b")
        assert edits_of(studio).locks.must == {1}
        assert "!’" in text_of(app, StaffPages), "a locked breath is marked"
        await press(pilot, "b")
        assert edits_of(studio) == Edits()


async def test_x_refuses_a_breath_and_shows_so(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "full_stop", "x")
        (note,) = edits_of(studio).locks.must_not
        assert "×" in text_of(app, StaffPages)
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        assert screen.plan is not None
        assert note not in [b.after_note for b in screen.plan.breaths.breaths]


async def test_m_moves_the_nearest_breath_to_the_cursor(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "full_stop")
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        old = screen._cursor
        await press(pilot, "left", "left", "m")
        assert edits_of(studio).locks.must == {old - 2}
        assert edits_of(studio).locks.must_not == {old}


async def test_m_says_why_it_moves_no_breath(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "full_stop", "m")
        assert words_of(app) == "That breath is here already."
        await press(pilot, "end", "m")
        assert words_of(app) == "After the last note you may always breathe."
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        assert screen._plan is not None
        breaths = replace(screen._plan.breaths, breaths=())
        screen._plan = replace(screen._plan, breaths=breaths)
        await press(pilot, "home", "m")
        assert words_of(app) == "There is no breath to move: b asks for one here."
        assert edits_of(studio) == Edits()


async def test_p_takes_the_next_position_and_k_leaves_it_to_the_plan_again(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "p")
        assert edits_of(studio).positions == ((0, "6"),)
        assert "!6" in text_of(app, StaffPages)
        await press(pilot, "k")
        assert edits_of(studio) == Edits()


async def test_p_says_why_a_note_has_no_other_place(
    app: CoachApp, studio: PaperStudio, part: Part
) -> None:
    one = studio.ways_to_play(part.notes[0])[:1]
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        studio.ways_to_play = lambda _: ()  # type: ignore[method-assign,assignment]
        await press(pilot, "p")
        assert words_of(app) == (
            "B♭2 cannot be played on the tenor trombone: o, O, t and T move all of it."
        )
        studio.ways_to_play = lambda _: one  # type: ignore[method-assign,assignment]
        await press(pilot, "p")
        assert words_of(app) == "There is no other way to play this note."
    assert edits_of(studio) == Edits()


async def test_a_dial_that_turns_nothing_is_said_to(part: Part) -> None:
    studio = PaperStudio([part], planner=PlayerPlanner("flute"))
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "a")
        assert words_of(app) == (
            "No positions or valves are planned for this instrument."
        )
    assert edits_of(studio) == Edits()


async def test_dial_and_dynamics_go_up_and_down(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "a", "d", "d", "D")
        assert edits_of(studio).dial == 0.75
        assert edits_of(studio).dynamic_shift == 1
        heading = text_of(app, Heading)
        assert "dynamics +1" in heading
        await press(pilot, "A", "A", "K")
        assert edits_of(studio) == Edits()


async def test_every_change_can_be_undone_and_done_again(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "b", "right", "right", "x")
        both = edits_of(studio)
        await press(pilot, "u", "u")
        assert edits_of(studio) == Edits()
        await press(pilot, "U", "U")
        assert edits_of(studio) == both
        assert studio.log.edits["River at Low Water"] == both, "kept at once"


async def test_slower_needs_more_air_and_the_plan_is_made_anew(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        before = text_of(app, Words, "#plan")
        await press(pilot, *["minus"] * 6)
        assert text_of(app, Words, "#plan") != before
        assert "♩ 72" in text_of(app, Heading)


async def test_bars_between_brackets_are_rehearsed(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "shift+right", "left_square_bracket", "right_square_bracket")
        assert "bar 2" in text_of(app, Heading)
        await press(pilot, "shift+right", "right_square_bracket")
        assert "bars 2 to 3" in text_of(app, Heading)
        await press(pilot, "enter")
        assert isinstance(screen_of(app), RunScreen)
        wishes = studio.conductors[-1].wishes
        assert (wishes.from_bar, wishes.to_bar) == (2, 3)


async def test_compare_shows_the_same_tongued_throughout_and_back(
    app: CoachApp,
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "c")
        assert "tongued throughout" in text_of(app, Words, "#plan")
        await press(pilot, "c")
        assert "12 natural slurs" in text_of(app, Words, "#plan")


async def test_a_key_marks_the_part_for_the_stand_and_says_where_it_lies(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "s")
        await settle(pilot)
        said = app.screen.query_one(Notice).words
        assert "The marked part is in marked/" in said
        assert "open it in a browser" in said
        studio.is_full = True
        await press(pilot, "s")
        await settle(pilot)
        assert "Make room on the disk." in app.screen.query_one(Notice).words


async def test_reach_shows_at_which_tempos_it_works(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "r")
        assert isinstance(screen_of(app), ReachScreen)
        answer = app.screen.query_one("#answer", Words).text
        assert answer == (
            "Stays on the top half from 104 on; at the goal 80 it takes 4 breaths."
        )
        table = app.screen.query_one("#tempos", Words).text
        assert "the air does not last" in table
        assert "4 breaths, lowest air 14 %" in table
        rows = text_of(app, ReachPlot).split("\n")
        assert any("dry" in row for row in rows)
        assert any("half" in row for row in rows)
        tempos = next(row for row in rows if "tempo" in row)
        goal = next(row for row in rows if "goal 80" in row)
        assert goal.index(app.signs.cursor) == tempos.index("80")
        await press(pilot, "escape", "l")
        assert isinstance(screen_of(app), LogScreen)


@pytest.mark.parametrize(("key", "name"), [("enter", "Trombone"), ("up", "Flute")])
async def test_a_score_of_several_parts_asks_which_and_points_at_the_players_own(
    app: CoachApp, studio: PaperStudio, key: str, name: str
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        app.push_screen(PhraseScreen("duet"))
        await settle(pilot)
        assert isinstance(screen_of(app), ChooseScreen)
        await press(pilot, key)
        if key != "enter":
            await press(pilot, "enter")
        assert isinstance(screen_of(app), PhraseScreen)
        assert studio.conductors[-1].part.name == name


async def test_a_click_puts_the_cursor_on_a_note(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        row = text_of(app, StaffPages).split("\n")
        names = next(y for y, line in enumerate(row) if "G" in line and "B♭" in line)
        await pilot.click(StaffPages, offset=(row[names].index("G") + 1, names))
        await settle(pilot)
        assert screen._cursor == 5


async def test_keys_move_the_etude_by_octaves_and_semitones(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        for keys, moved in (("O", -12), ("o", 0), ("t", 1), ("T", 0)):
            await press(pilot, keys)
            await settle(pilot)
            says = f"Moved by {moved}." if moved else "As it is written."
            assert app.screen.query_one(Notice).words == says


async def test_g_gives_each_breath_room_in_the_run_and_leaves_the_page_as_it_is(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        before = screen.plan
        await press(pilot, "g")
        assert "a beat of room" in text_of(app, Heading)
        assert "a beat of room at each breath" in app.screen.query_one(Notice).words
        assert screen.plan == before
        conductor = studio.conductors[-1]
        assert conductor.plan.part.end > conductor.part.end
        await press(pilot, "enter", "escape")
        assert screen.plan == before
        await press(pilot, "g", "g")
        assert "room" not in text_of(app, Heading)
        assert conductor.plan.part.end == conductor.part.end


async def test_after_g_the_head_says_what_space_begins_with_by_then(
    clock: ManualClock,
) -> None:
    """With room the air lasts, so that nothing of it needs to be begun alone."""
    loud = replace(part_of("Bb3h Bb3h Bb3w " * 8, loud=3.0), title="Loud")
    studio = PaperStudio([loud], clock, HandPlanner())
    app = CoachApp(studio)
    async with app.run_test(size=(120, 24)) as pilot:
        await open_phrase(app, pilot)
        conductor = studio.conductors[-1]
        conductor.set_wishes(
            replace(conductor.wishes, is_open=frozenset({"bars", "tempo"}))
        )
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        screen._opening = conductor.opening()
        screen.show_wishes()
        await settle(pilot)
        assert "space begins with bars" in text_of(app, Heading)
        await press(pilot, "g")
        assert "space begins at" in text_of(app, Heading)
        await press(pilot, "space")
        assert (conductor.wishes.from_bar, conductor.wishes.to_bar) == (1, 16)


def dry_studio(part: Part, clock: ManualClock) -> PaperStudio:
    """Put an etude on the shelf that asks for more air than there is."""
    return PaperStudio([part], clock, HandPlanner())


def words_of(app: CoachApp) -> str:
    """Give what was done last, as the screen says it."""
    return app.screen.query_one(Notice).words


async def test_where_room_is_asked_for_and_no_breath_needs_it_the_head_says_so(
    clock: ManualClock,
) -> None:
    app = CoachApp(dry_studio(part_of("F3q G3q A3q Bb3q C4h "), clock))
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "g")
        assert NO_ROOM_NEEDED in text_of(app, Heading)
        await press(pilot, "g", "g")
        assert "room" not in text_of(app, Heading)


async def test_notes_are_left_out_kept_and_all_played_by_a_key_and_undo_says_which(
    clock: ManualClock,
) -> None:
    studio = dry_studio(unbroken(6), clock)
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "e")
        assert words_of(app) == "The first and the last note are always played."
        await press(pilot, "right", "right", "right", "e")
        assert edits_of(studio).locks.left_out == {3}
        assert words_of(app) == "D3 in bar 1, beat 1.75 left out."
        assert "![4]" in text_of(app, StaffPages)
        await press(pilot, "n")
        locks = edits_of(studio).locks
        assert (locks.left_out, locks.kept) == (frozenset(), frozenset({3}))
        assert "always played" in words_of(app)
        await press(pilot, "u")
        assert edits_of(studio).locks.left_out == {3}
        assert words_of(app).startswith("Undone: D3 in bar 1, beat 1.75 always played")
        await press(pilot, "U")
        assert words_of(app).startswith("Done again: D3 in bar 1, beat 1.75 always")
        await press(pilot, "k", "e", "K")
        assert edits_of(studio) == Edits()
        await press(pilot, "u")
        assert words_of(app).startswith("Undone: D3 in bar 1, beat 1.75 no longer")
        await press(pilot, "N")
        assert not edits_of(studio).locks.may_leave_out
        assert words_of(app) == "Every other note is played."
        assert "every other note" in text_of(app, Heading)
        await press(pilot, "end", "e")
        assert "always played" in words_of(app)


async def test_optional_breaths_stand_in_brackets_once_they_are_told(
    clock: ManualClock,
) -> None:
    app = CoachApp(PaperStudio([unbroken()], clock, WaryPlanner()))
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "full_stop")
        assert "(0.5V)" in text_of(app, StaffPages)
        note = app.screen.query_one("#note", Words).text
        assert "then optional deep breath" in note
        assert "leaving out [" in note


async def test_where_the_air_runs_out_what_would_do_is_said_and_tried_by_a_key(
    clock: ManualClock,
) -> None:
    studio = dry_studio(endless(), clock)
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        conductor = studio.conductors[-1]
        said = conductor.ways_out()
        assert said
        plan = app.screen.query_one("#plan", Words)
        assert f"What gets you through: 1: {said[0]}" in plan.text
        assert plan.region.height >= 3
        await press(pilot, "r")
        answer = app.screen.query_one("#answer", Words)
        assert conductor.plan_in_time.breaths.notices[0] in answer.text
        assert f"What gets you through: {said[0]}" in answer.text
        assert answer.more_below == 0
        await press(pilot, "escape", "4")
        assert words_of(app) == "There is no such way out to try."
        await press(pilot, "1")
        assert edits_of(studio).dynamic_shift < 0
        assert words_of(app) == "All of it softer."
        await press(pilot, "u")
        assert words_of(app) == "Undone: all of it softer."


async def test_who_keeps_every_note_lets_some_be_left_out_by_a_key(
    clock: ManualClock,
) -> None:
    studio = dry_studio(unbroken(), clock)
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "N")
        (way, *_) = studio.conductors[-1].ways_out()
        assert way.do == "leave_out"
        assert f"1: {way}" in app.screen.query_one("#plan", Words).text
        await press(pilot, "1")
        assert edits_of(studio).locks.may_leave_out
        assert words_of(app) == "Notes may be left out."


async def test_a_tempo_that_does_is_tried_and_lungs_are_not(
    clock: ManualClock,
) -> None:
    class FarPlanner(HandPlanner):
        """Knows of a tempo and of larger lungs."""

        def ways_out(
            self, plan: Plan, edits: Edits, before_each: Going = go_on
        ) -> tuple[WayOut, ...]:
            found = super().ways_out(plan, edits, before_each)
            more = WayOut("tempo", 240, "bpm", "all"), WayOut("lungs", 9.0, "L", "all")
            return more if found else ()

    studio = PaperStudio([endless()], clock, FarPlanner())
    app = CoachApp(studio)
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        words = app.screen.query_one("#plan", Words).text
        assert "1: take it at 240; the largest lungs, 9.0 L, would do." in words
        await press(pilot, "2")
        assert (
            words_of(app) == "No key can try this: the largest lungs, 9.0 L, would do."
        )
        await press(pilot, "1")
        assert studio.conductors[-1].wishes.bpm == 240
        await press(pilot, "u")
        assert words_of(app) == "Undone: tempo 240 instead of 100."


async def test_help_takes_no_way_out_away_and_who_comes_too_early_is_told(
    clock: ManualClock,
) -> None:
    may_look = Event()

    class SlowPlanner(HandPlanner):
        """Looks for ways out when it may."""

        def ways_out(
            self, plan: Plan, edits: Edits, before_each: Going = go_on
        ) -> tuple[WayOut, ...]:
            may_look.wait()
            super().ways_out(plan, edits, before_each)
            return (WayOut("softer", 1, "step", "2"),)

    app = CoachApp(PaperStudio([endless()], clock, SlowPlanner()))
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await pilot.press("enter")
        await wait_for(
            pilot, lambda: "runs out" in app.screen.query_one("#plan", Words).text
        )
        await pilot.press("1")
        await wait_for(pilot, lambda: words_of(app) == LOOKING)
        may_look.set()
        await settle(pilot)
        assert words_of(app) == "", "it is found now"
        ways = app.screen.query_one("#plan", Words).text
        assert "1: play softer by 1 step in bar 2 (the key softens all of it)" in ways
        may_look.clear()
        await pilot.press("question_mark", "escape", "1")
        await wait_for(pilot, lambda: words_of(app) == "All of it softer.")
        may_look.set()


async def test_a_long_reading_says_how_long_and_escape_ends_it(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(part_reading, "TELLS_EVERY_S", 0.01)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        studio.may_read.clear()
        await pilot.press("enter")
        await wait_for(
            pilot,
            lambda: (
                isinstance(app.screen, PhraseScreen)
                and "Escape goes back to the shelf" in text_of(app, Words)
            ),
        )
        await pilot.press("escape")
        await settle(pilot)
        assert studio.stopped == 1
        assert isinstance(screen_of(app), ShelfScreen)


async def test_leaving_what_is_read_stops_nothing(
    app: CoachApp, studio: PaperStudio
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        await press(pilot, "escape")
        assert studio.stopped == 0


async def test_while_it_is_read_an_etude_is_called_by_its_file(
    studio: PaperStudio,
) -> None:
    path = "/music/slow-stairs.musicxml"
    studio.parts[path] = studio.parts["Slow Stairs"]
    studio.may_read.clear()
    app = CoachApp(studio, open_path=path)
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: isinstance(app.screen, PhraseScreen))
        await wait_for(pilot, lambda: "slow-stairs" in text_of(app, Heading))
        studio.may_read.set()
        await settle(pilot)
        await press(pilot, "escape")
        assert "Slow Stairs" in text_of(app, Heading)


async def test_what_is_to_be_known_of_a_plan_is_cut_with_a_sign_and_whole_in_help(
    clock: ManualClock,
) -> None:
    app = CoachApp(dry_studio(endless(), clock))
    async with app.run_test(size=(50, 24)) as pilot:
        await open_phrase(app, pilot)
        screen = screen_of(app)
        assert isinstance(screen, PhraseScreen)
        assert screen.plan is not None
        (notice, *_) = screen.plan.breaths.notices
        last = text_of(app, Words, "#note").split("\n")[-1]
        assert last.rstrip().endswith("more ↓")
        assert "? " in last, "the key that tells it whole stands beside it"
        await press(pilot, "question_mark")
        assert notice in app.screen.query_one(Words).text
        assert notice[:20] in text_of(app, Words), "before the keys, in view at once"


async def test_what_was_told_goes_with_the_next_key(app: CoachApp) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter", "d", "u")
        assert "Undone: " in app.screen.query_one(Notice).words
        await press(pilot, "right")
        assert app.screen.query_one(Notice).words == ""


async def test_what_the_signs_mean_stays_while_one_moves_about(
    app: CoachApp, studio: PaperStudio
) -> None:
    studio.memory = replace(studio.memory, has_seen_legend=False)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await press(pilot, "enter")
        legend = words_of(app)
        assert legend
        await press(pilot, "right", "right")
        assert words_of(app) == legend


async def test_space_pressed_while_it_is_read_plays_it_as_soon_as_it_is(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    may_go_on, opens = Event(), studio.open_part

    def open_slowly(path: str, name: str | None = None) -> Part:
        may_go_on.wait()
        return opens(path, name)

    monkeypatch.setattr(studio, "open_part", open_slowly)
    async with app.run_test(size=(80, 24)) as pilot:
        await settle(pilot)
        await pilot.press("enter", "space", "b")
        await pilot.pause()
        assert isinstance(screen_of(app), PhraseScreen)
        keys = text_of(app, KeyBar)
        assert "rehearse" in keys
        assert "breathe" not in keys, "there is nothing yet to do it to"
        may_go_on.set()
        await settle(pilot)
        assert isinstance(screen_of(app), RunScreen)


async def test_a_key_that_comes_before_the_part_is_told_to_do_nothing_yet(
    studio: PaperStudio,
) -> None:
    """Else the notes that it went past would not count, and the next key would be for
    the first note."""
    studio.may_read.clear()
    app = CoachApp(studio, open_path="Slow Stairs")
    async with app.run_test(size=(80, 24)) as pilot:
        await wait_for(pilot, lambda: isinstance(app.screen, PhraseScreen))
        for key in ("right", "e", "b", "plus", "1", "l"):
            await pilot.press(key)
            await pilot.pause()
            assert app.screen.query_one(Notice).words.startswith("Not yet")
        studio.may_read.set()
        await settle(pilot)
        assert isinstance(screen_of(app), RunScreen)
        await press(pilot, "escape")
        assert not app.screen.query_one(Notice).words.startswith("Not yet")


def rows_of_staff(app: CoachApp) -> int:
    return app.screen.query_one(StaffPages).content_size.height


async def test_a_message_takes_no_row_of_the_staff(app: CoachApp) -> None:
    """Else the names under the notes would come and go with every word."""
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        rows = rows_of_staff(app)
        await press(pilot, "e")
        assert "first and the last note" in app.screen.query_one(Notice).words
        assert rows_of_staff(app) == rows
        await press(pilot, "right")
        assert app.screen.query_one(Notice).words == ""
        note = app.screen.query_one("#note", Words)
        assert (rows_of_staff(app), note.content_size.height) == (rows, 2)
        app.screen.tell("It stays. " * 20, stays=True)  # type: ignore[attr-defined]
        await settle(pilot)
        assert note.content_size.height == 1, "the note under the cursor is told of"


async def test_the_heading_says_what_space_begins_with_where_it_is_something_else(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    rehearse = studio.rehearse

    def open_wide(part: Part) -> Conductor:
        conductor = rehearse(part)
        wishes = conductor.wishes
        conductor.set_wishes(replace(wishes, is_open=frozenset({"bars", "tempo"})))
        return conductor

    monkeypatch.setattr(studio, "rehearse", open_wide)
    async with app.run_test(size=(120, 40)) as pilot:
        await open_phrase(app, pilot)
        begins = studio.conductors[-1].opening()
        assert begins.bpm < 96
        assert f"♩ 96 · space begins at ♩ {begins.bpm:g}" in text_of(app, Heading)
        await press(pilot, "plus")
        assert "space begins" not in text_of(app, Heading), "that is asked for now"


async def test_after_a_run_the_plan_is_made_for_what_it_taught(
    app: CoachApp, studio: PaperStudio, monkeypatch: pytest.MonkeyPatch
) -> None:
    async with app.run_test(size=(80, 24)) as pilot:
        await open_phrase(app, pilot)
        planned: list[float] = []
        plan = studio.maker.plan

        def count(segment: Part, bpm: float, *rest: Any) -> Plan:
            planned.append(bpm)
            return plan(segment, bpm, *rest)

        monkeypatch.setattr(studio.maker, "plan", count)
        await press(pilot, "question_mark", "escape")
        assert (studio.times_learned, planned) == (0, []), "nothing was played"
        await press(pilot, "enter", "escape")
        assert studio.times_learned == 1
        assert planned
