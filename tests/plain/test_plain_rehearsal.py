"""A rehearsal in lines of text."""

from __future__ import annotations

import re
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

import pytest

from coach.edges.engine.silent_player import SilentPlayer
from coach.edges.log.run_log import RunLogFile
from coach.errors import PlanError
from coach.plain import beware_lines
from coach.plain.plain_rehearsal import rehearse_plain
from coach.rehearsal.click.clicks import ClickTrack
from coach.rehearsal.gear.gear import (
    ClickAwaited,
    GearLost,
    ManualClock,
    PedalPressed,
)
from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.following.told import StartBy, StartHeard
from coach.rehearsal.hearing.heard import Stretch
from coach.rehearsal.hearing.take import TakenClick
from coach.rehearsal.run.mark_kinds import MarkKind
from coach.rehearsal.run.run_states import State
from coach.rehearsal.run.take_book import LISTENING
from coach.score.tempo import Seconds, beats
from tests.dry_music import endless, unbroken
from tests.hand_heard import HandEar
from tests.hand_made import part_of, played
from tests.hand_rehearsal import (
    HandRehearsal,
    WaryPlanner,
    long,
    nothing_learned,
    short,
)
from tests.locked_log import lock_away


def rehearse(r: HandRehearsal, answer: str | None = None) -> tuple[int, list[str]]:
    """Rehearse to the end; give the exit code and the lines."""
    lines: list[str] = []
    ask = None if answer is None else lambda _: answer
    code = rehearse_plain(r.conductor, r.player, r.clock, lines.append, ask)
    return code, lines


def test_bars_are_named_as_they_begin_after_the_count_in() -> None:
    code, lines = rehearse(HandRehearsal(short()))
    assert code == 0
    assert lines[:3] == ["By Hand, Trombone.", "Bars 1 to 4 at 60.", "1"]
    assert lines[3] == "Click: silent: watch the beat."
    assert lines[4:8] == ["2", "3", "4", "bar 1"]
    bars = [line for line in lines if line.startswith("bar ")]
    assert bars == ["bar 1", "bar 2", "bar 3", "bar 4"]
    assert lines[-3] == "End of the run."
    assert lines[-2] == ("Played to the end, no word on it; kept in the log as run 1.")
    assert lines[-1].startswith("Next: bars 1 to 4 at ")


def test_every_prompt_and_every_breath_is_a_line_in_order_of_time() -> None:
    r = HandRehearsal(long())
    plan = r.conductor.plan
    _, lines = rehearse(r)
    said = [line for line in lines if line.startswith("  ")]
    breaths = [line for line in said if line in ("  breathe now", "  top off now")]
    assert len(breaths) == len(plan.breaths.breaths)
    prompts = [line for line in said if line not in breaths]
    assert prompts == [f"  {prompt.say}" for prompt in plan.prompts]
    first = plan.breaths.breaths[0]
    until = lines[: lines.index(breaths[0])]
    assert f"  {plan.prompts[0].say}" in until
    begun = [bar for bar in plan.part.bars if float(bar.onset) <= first.start]
    assert sum(line.startswith("bar ") for line in until) == len(begun)


def test_each_line_comes_when_it_is_due() -> None:
    r = HandRehearsal(short(), bpm=75)
    said: list[tuple[str, float]] = []

    def say(line: str) -> None:
        said.append((line, r.conductor.glance().time))

    rehearse_plain(r.conductor, r.player, r.clock, say)
    due = {f"bar {k + 1}": k * 3.2 for k in range(4)}
    late = [time - due[line] for line, time in said if line in due]
    assert len(late) == 4
    assert 0.0 <= min(late) <= max(late) < 0.002


def test_a_pickup_is_named_as_one() -> None:
    part = part_of("Bb2q C3w")
    pickup, first = part.bars
    part = replace(
        part,
        bars=(
            replace(
                pickup,
                number=0,
                onset=beats(-1),
                length=beats(1),
                first_beat=Fraction(4),
            ),
            replace(first, number=1, onset=beats(0)),
        ),
        notes=(
            replace(part.notes[0], onset=beats(-1), bar=0, beat=Fraction(4)),
            replace(part.notes[1], onset=beats(0), bar=1, beat=Fraction(1)),
        ),
    )
    _, lines = rehearse(HandRehearsal(part))
    assert lines[1:] == [
        "Pickup to bar 1 at 60.",
        "1",
        "Click: silent: watch the beat.",
        *["2", "3", "4", "1", "2", "3"],
        "pickup",
        "bar 1",
        *lines[-3:],
    ]


def test_one_bar_is_named_alone() -> None:
    _, lines = rehearse(HandRehearsal(short(), from_bar=2, to_bar=2))
    assert lines[1] == "Bar 2 at 60."


def test_a_segment_that_does_not_follow_on_the_page_is_told_in_its_order() -> None:
    r = HandRehearsal(played("F3w G3w A3w Bb3w", [1, 2, 3, 1, 2, 4]))
    r.conductor.set_segment(3, 4)
    _, lines = rehearse(r)
    order = "in the order 3, then 1 to 2, then 4"
    assert f"Bars 3 to 4, {order}" in lines
    assert f"Bars 3 to 4 at 60, {order}." in lines
    _, lines = rehearse(HandRehearsal(r.conductor.part))
    assert "Bars 1 to 4 at 60." in lines


def test_runs_in_a_row_are_announced_and_all_kept() -> None:
    r = HandRehearsal(short(), runs_in_a_row=3, rest=Seconds(4.0))
    _, lines = rehearse(r)
    assert lines.count("bar 1") == 3
    assert lines.count("1") == 3
    assert "End of the run; 2 to go. Rest for 4 s." in lines
    assert [run.is_completed for run in r.log.list_runs()] == [True] * 3


def test_the_ladder_says_why_it_moves() -> None:
    part = part_of("Bb2q C3q D3q Eb3q", bpm=96)
    r = HandRehearsal(part, bpm=63, runs_in_a_row=4, is_ladder_on=True)
    _, lines = rehearse(r)
    assert "Nothing was marked: up to 69." in lines
    assert "Bar 1 at 69." in lines


def test_the_answer_is_the_word_on_the_run() -> None:
    r = HandRehearsal(short())
    _, lines = rehearse(r, "not clean, ran out 3.2, lips tired")
    (run,) = r.log.list_runs()
    (mark,) = run.marks
    assert (mark.kind, mark.bar, mark.beat) == (MarkKind.RAN_OUT, 3, 2.0)
    assert (run.is_clean, run.note) == (False, "lips tired")
    assert lines[-2] == (
        "Played to the end, not clean; ran out 3.2; kept in the log as run 1."
    )


def test_words_of_harm_are_answered_by_a_stop() -> None:
    r = HandRehearsal(short())
    _, lines = rehearse(r, "not clean, my lips hurt")
    assert lines[-1] == (
        "Next: You said “my lips hurt”: stop for now, and rest. Tired lips? Rest as "
        "long as you have played; sore lips end the day. What stays or comes back is "
        "for a doctor or your teacher."
    )


def test_a_bar_that_was_not_played_stands_in_the_note() -> None:
    r = HandRehearsal(short())
    _, lines = rehearse(r, "rushed 12.3")
    assert (
        "Kept as a note: “rushed 12.3”. Not marked: no such beat of bars 1 to 4 was "
        "played, or no breath was due there."
    ) in lines
    (run,) = r.log.list_runs()
    assert (run.note, run.marks) == ("rushed 12.3", ())


def nobody(question: str) -> str:
    """Be asked, and not be there."""
    assert "How was it" in question
    raise EOFError


@pytest.mark.parametrize("is_interrupted", [False, True])
def test_what_a_log_that_cannot_be_written_forgets_is_not_said_to_be_kept(
    is_interrupted: bool, tmp_path: Path
) -> None:
    path = tmp_path / "log.db"
    RunLogFile(path).close()
    lock_away(path)
    with RunLogFile(path, goes_on=True) as log:
        r = HandRehearsal(short(), log=log)
        lines: list[str] = []

        def say(line: str) -> None:
            lines.append(line)
            if is_interrupted and line == "bar 2":
                raise KeyboardInterrupt

        rehearse_plain(r.conductor, r.player, r.clock, say)
    kept = [line for line in lines if "kept" in line]
    assert [line.partition("; ")[2] for line in kept] == ["not kept in the log."]


@pytest.mark.parametrize("words", ["good", "i did it!!", "7"])
def test_words_that_are_no_verdict_are_told_how_to_give_one(words: str) -> None:
    r = HandRehearsal(short())
    _, lines = rehearse(r, words)
    told = lines.index(f"Kept as a note: “{words}”.")
    assert lines[told + 1] == "No verdict: next time c says clean, t not clean."
    for said in ("c, good", "ran out 2, good", "ran out 99, good"):
        _, lines = rehearse(HandRehearsal(short()), said)
        assert any(line.startswith("Kept as a note: “good") for line in lines)
        assert not [line for line in lines if "No verdict" in line]


def test_no_answer_is_no_word() -> None:
    r = HandRehearsal(short())
    assert rehearse_plain(r.conductor, r.player, r.clock, print, nobody) == 0
    assert r.log.list_runs()[0].is_clean is None


def test_each_run_of_a_row_is_asked_about() -> None:
    r = HandRehearsal(short(), runs_in_a_row=4)
    lines: list[str] = []
    asked: list[str] = []
    answers = ["Clean!", "", "ran out 3.2; good, lips tired"]

    def ask(question: str) -> str:
        asked.append(question[:12])
        if not answers:
            raise EOFError
        return answers.pop(0)

    rehearse_plain(r.conductor, r.player, r.clock, lines.append, ask)
    assert asked == [f"Run {k} of 4. " for k in (1, 2, 3, 4)]
    runs = r.log.list_runs()
    assert [run.is_clean for run in runs] == [True, None, False, None]
    assert [len(run.marks) for run in runs] == [0, 0, 1, 0]
    assert "Run 3 of 4. Kept as a note: “good, lips tired”." in lines
    assert lines[-6:-1] == [
        "Run 1 of 4. Played to the end, clean; kept in the log as run 1.",
        "Run 2 of 4. Played to the end, no word on it; kept in the log as run 2.",
        "Run 3 of 4. Kept as a note: “good, lips tired”.",
        "Run 3 of 4. Played to the end, not clean; ran out 3.2; "
        "kept in the log as run 3.",
        "Run 4 of 4. Played to the end, no word on it; kept in the log as run 4.",
    ]
    assert lines.count("bar 1") == 4, "no run is read out twice"


def test_a_beat_that_its_bar_has_not_stands_in_the_note() -> None:
    r = HandRehearsal(short())
    rehearse(r, "rushed 2.9, clean")
    (run,) = r.log.list_runs()
    assert (run.note, run.marks, run.is_clean) == ("rushed 2.9", (), True)


@pytest.mark.parametrize(
    "note", ["\x1b]0;owned\x07 hello", "he\u202ello", "x" * 60_000]
)
def test_a_note_is_shown_and_never_obeyed(note: str) -> None:
    r = HandRehearsal(short())
    _, lines = rehearse(r, note)
    (told,) = [line for line in lines if line.startswith("Kept as a note")]
    assert told.isprintable()
    assert len(told) < 200
    assert r.log.list_runs()[0].note == note


def test_a_run_that_nobody_played_is_rehearsed_but_not_clean() -> None:
    r = HandRehearsal(short(), is_attended=False, runs_in_a_row=2)
    lines: list[str] = []
    rehearse_plain(r.conductor, r.player, r.clock, lines.append, nobody)
    runs = r.log.list_runs()
    assert [run.is_completed for run in runs] == [True, True]
    assert [(run.is_clean, run.is_attended) for run in runs] == [(None, False)] * 2
    assert lines[-2] == (
        "Run 2 of 2. Played to the end, no word on it; kept in the log as run 2."
    )
    assert lines[-1].startswith(
        "Next: bars 1 to 4 at 38. Nothing tells yet how these bars go"
    )
    assert r.conductor.review(nothing_learned()).runs == 2


@pytest.mark.parametrize(
    ("answer", "is_clean", "is_attended"),
    [
        ("clean", True, True),
        ("not clean", False, True),
        ("rushed 3.2", False, True),
        ("only trying it out", None, False),
    ],
)
def test_words_say_how_a_run_was_that_nobody_could_hear(
    answer: str, is_clean: bool | None, is_attended: bool
) -> None:
    r = HandRehearsal(short(), is_attended=False)
    rehearse(r, answer)
    (run,) = r.log.list_runs()
    assert (run.is_clean, run.is_attended) == (is_clean, is_attended)


class Interrupting:
    """Says lines, and interrupts at one of them as Ctrl-C does."""

    def __init__(self, at: str) -> None:
        self.at = at
        self.lines: list[str] = []

    def __call__(self, line: str) -> None:
        """Take a line."""
        self.lines.append(line)
        if line == self.at:
            raise KeyboardInterrupt


@pytest.mark.parametrize(
    ("at", "told", "kept"),
    [
        ("3", "Stopped before the first note: there is nothing to keep.", 0),
        ("bar 3", "Cut off in bar 3; kept in the log as run 1.", 1),
    ],
)
def test_an_interrupted_run_is_kept_as_cut_off(at: str, told: str, kept: int) -> None:
    r = HandRehearsal(short())
    say = Interrupting(at)
    assert rehearse_plain(r.conductor, r.player, r.clock, say) == 130
    assert say.lines[-1] == told
    assert [run.is_completed for run in r.log.list_runs()] == [False] * kept
    assert r.player.run_time() is None
    assert r.conductor.state is State.READY


def test_interrupted_in_a_rest_the_run_before_it_is_whole() -> None:
    r = HandRehearsal(short(), runs_in_a_row=2, rest=Seconds(9.0))
    say = Interrupting("End of the run; 1 to go. Rest for 9 s.")
    assert rehearse_plain(r.conductor, r.player, r.clock, say) == 130
    assert [run.is_completed for run in r.log.list_runs()] == [True]


def test_interrupted_before_the_start_nothing_is_kept() -> None:
    r = HandRehearsal(short(), player=Unwilling)
    assert rehearse_plain(r.conductor, r.player, r.clock, print) == 130
    assert not any(run.is_completed for run in r.log.list_runs())


class Unwilling(SilentPlayer):
    """A player that is interrupted when it is to start."""

    def play(self, track: ClickTrack) -> None:
        """Be interrupted."""
        raise KeyboardInterrupt(track.ends)


class Noisy(SilentPlayer):
    """A player whose gear has something to tell at some run times."""

    tells: tuple[tuple[float, object], ...] = ()

    def run_time(self) -> Seconds | None:
        """Tell what is due to be told, then the time."""
        time = super().run_time()
        due = [fact for at, fact in self.tells if time is not None and at <= time]
        self.tells = tuple(
            (at, fact) for at, fact in self.tells if time is None or at > time
        )
        for fact in due:
            self._tell(fact)  # type: ignore[arg-type]
        return time


def noisy(*tells: tuple[float, object]) -> type[SilentPlayer]:
    """Make a kind of player that tells things."""
    return type("Tells", (Noisy,), {"tells": tells})


def test_what_the_gear_says_is_said() -> None:
    r = HandRehearsal(short(), player=noisy((5.0, GearLost("The port is gone."))))
    _, lines = rehearse(r)
    assert lines.index("The port is gone.") == lines.index("bar 2") + 1


def test_the_pedal_marks_and_what_is_marked_is_said() -> None:
    pressed = PedalPressed(Seconds(9.0), "mark")
    r = HandRehearsal(short(), player=noisy((9.0, pressed)))
    _, lines = rehearse(r)
    assert "Ran out: bar 3, beat 1" in lines
    assert not r.log.list_runs()[0].is_clean


def test_again_by_the_pedal_says_the_bars_from_the_first() -> None:
    pressed = PedalPressed(Seconds(9.0), "again")
    r = HandRehearsal(short(), player=noisy((9.0, pressed)))
    _, lines = rehearse(r)
    assert lines.count("bar 1") == 2
    assert lines.count("bar 4") == 1
    assert [run.is_completed for run in r.log.list_runs()] == [False, True]


@pytest.mark.parametrize("word", ["clean so far", "not clean yet"])
def test_a_word_on_a_run_that_was_cut_off_is_said(word: str) -> None:
    stop = PedalPressed(Seconds(9.0), "start-stop")
    r = HandRehearsal(short(), player=noisy((9.0, stop)))
    _, lines = rehearse(r, word.removesuffix(" so far").removesuffix(" yet"))
    assert f"Cut off in bar 3, {word}; kept in the log as run 1." in lines


def test_stopped_by_the_pedal_the_run_is_kept_as_cut_off() -> None:
    pressed = PedalPressed(Seconds(9.0), "start-stop")
    r = HandRehearsal(short(), player=noisy((9.0, pressed)))
    code, lines = rehearse(r)
    assert code == 0
    assert "Cut off in bar 3; kept in the log as run 1." in lines


def test_a_breath_taken_in_between_changes_what_is_said() -> None:
    plain = rehearse(HandRehearsal(long()))[1]
    pressed = PedalPressed(Seconds(2.0), "breathed")
    told = rehearse(HandRehearsal(long(), player=noisy((2.0, pressed))))[1]
    assert told != plain
    assert "Breath taken in bar 1, beat 3" in told
    assert told.count("bar 16") == 1


class Waiting(SilentPlayer):
    """A player whose click is ready after a while, and lost in the count-in once."""

    def play(self, track: ClickTrack) -> None:
        """Wait for the click, and for it again after two seconds of counting in."""
        self._began = self._clock.now()
        super().play(track)
        self._tell(ClickAwaited("The count-in waits."))

    def run_time(self) -> Seconds | None:
        """Stand before the start while the click is not ready."""
        gone = self._clock.now() - self._began
        track = self._track
        if track and (gone < 3.0 or 5.0 <= gone < 8.0):
            self._zero = Seconds(self._clock.now() - track.starts)
            return Seconds(track.starts - 0.1)
        self._tell(ClickAwaited(""))
        return super().run_time()


def test_nothing_is_counted_while_the_click_is_waited_for() -> None:
    _, before = rehearse(HandRehearsal(short()))
    _, lines = rehearse(HandRehearsal(short(), player=Waiting))
    waits = lines.index("The count-in waits.")
    counts = [line for line in lines[waits:] if line.isdigit()]
    assert counts == ["1", "2", "3", "1", "2", "3", "4"]
    assert "" not in lines
    assert lines[lines.index("bar 1") :] == before[before.index("bar 1") :]


class Counting(SilentPlayer):
    """A player that counts how often it is stopped."""

    stops = 0

    def stop(self) -> None:
        """Count."""
        self.stops += 1
        super().stop()


def test_what_goes_wrong_ends_the_sound_first() -> None:
    r = HandRehearsal(short(), runs_in_a_row=2, player=Counting)

    def say(line: str) -> None:
        if line == "bar 4":
            r.conductor.step_tempo(1)
            r.planner.fails = True

    with pytest.raises(PlanError):
        rehearse_plain(r.conductor, r.player, r.clock, say)
    assert isinstance(r.player, Counting)
    assert r.player.stops == 1


def test_what_is_left_out_and_what_is_optional_is_said_before_the_run() -> None:
    _, lines = rehearse(HandRehearsal(unbroken(), planner=WaryPlanner()))
    first = lines.index("Bars 1 to 12 at 100.")
    found = re.fullmatch(
        r"In bar \d+ leave out (\[\w+ \w+ \w+\]) to breathe\.", lines[1]
    )
    assert found is not None
    assert lines[first - 1].startswith("(in brackets: optional")
    said = [line for line in lines[first:] if "leave out" in line]
    assert said
    assert all(line.startswith("  (") and line.endswith(")") for line in said)
    assert any(f"in 4 beats, leave out {found[1]})" in line for line in said)
    now = [line for line in lines[first:] if line.strip(" ()").endswith(" now")]
    assert set(now) == {"  (breathe now)"}


def test_where_the_air_runs_out_what_would_do_is_said_before_the_run() -> None:
    r = HandRehearsal(endless())
    _, lines = rehearse(r)
    place = r.conductor.plan.breaths.dry_place(0)
    assert place.bar > 1
    assert lines[1].startswith(f"The air runs out in bar {place.bar}, beat ")
    assert lines[2] == "What gets you through (each one planned):"
    assert lines[3] == f"  {r.conductor.ways_out()[0]}"
    assert f"  the air runs out in bar {place.bar}" in lines


def test_in_a_long_piece_nobody_waits_for_what_would_do(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(beware_lines, "MOST_NOTES", 0)
    _, lines = rehearse(HandRehearsal(endless()))
    assert lines[1].startswith("The air runs out in bar ")
    assert "What gets you through (each one planned):" not in lines


def test_a_sure_plan_says_nothing_beforehand() -> None:
    _, lines = rehearse(HandRehearsal(short()))
    assert lines[1] == "Bars 1 to 4 at 60."
    assert "  breathe now" in lines or "  top off now" in lines
    assert not [line for line in lines[:-1] if "(" in line]


class QuickEar(HandEar):
    """Says at once what it heard: some notes ahead of the click."""

    rehearsal: HandRehearsal

    def hear(
        self,
        run_id: int,
        due: DuePart,
        clicks: tuple[TakenClick, ...],
        until: Seconds,
    ) -> None:
        super().hear(run_id, due, clicks, until)
        rushed = (Stretch(4, 8, Seconds(-0.08)),)
        self.rehearsal.player._tell(self.answer(rushed=rushed))


@pytest.mark.parametrize(
    ("answer", "kinds"), [("as heard", ["rushed"]), ("clean", []), ("", [])]
)
def test_what_was_heard_is_told_and_taken_over_by_a_word(
    answer: str, kinds: list[str]
) -> None:
    ear = QuickEar()
    ear.rehearsal = r = HandRehearsal(short(), ear=ear, listens=True)
    asked: list[str] = []
    lines: list[str] = []

    def ask(question: str) -> str:
        asked.append(question)
        return answer

    assert rehearse_plain(r.conductor, r.player, r.clock, lines.append, ask) == 0
    assert "Heard: rushed at bar 1, beat 2, 80 ms ahead." in lines
    assert asked[0].startswith("How was it (as heard, clean, ")
    (run,) = r.log.list_runs()
    assert [mark.kind for mark in run.marks] == kinds
    assert not ear.is_open


def test_an_ear_that_says_nothing_is_not_waited_for_without_end() -> None:
    r = HandRehearsal(short(), ear=HandEar(), listens=True)
    code, lines = rehearse(r, "clean")
    assert code == 0
    assert LISTENING in lines


@pytest.mark.parametrize(
    ("by", "line"),
    [
        ("note", "Hold a note for a second to begin; Ctrl+C ends."),
        ("knock", "Knock twice to begin; Ctrl+C ends."),
    ],
)
def test_a_run_waits_for_the_sound_that_begins_it(by: StartBy, line: str) -> None:
    r = HandRehearsal(
        short(), ear=HandEar(), listens=True, following=FollowWishes(start_by=by)
    )
    waited: list[float] = []

    class Patient(ManualClock):
        def wait_until(self, time: Seconds) -> None:
            super().wait_until(time)
            r.clock.wait_until(time)
            waited.append(time)
            if len(waited) == 1:
                r.player._tell(GearLost("The microphone is gone."))
            if len(waited) == 3:
                r.player._tell(StartHeard(by))

    lines: list[str] = []
    clock = Patient(r.clock.now())
    code = rehearse_plain(r.conductor, r.player, clock, lines.append, lambda _: "clean")
    assert code == 0
    told = lines.index(line)
    assert lines[told + 1] == "The microphone is gone."
    assert lines.index("bar 1") > told
    (run,) = r.log.list_runs()
    assert run.is_clean
