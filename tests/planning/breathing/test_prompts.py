"""Prompts: on a felt beat, early enough, short, and only one thing at a time."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coach.config import read_settings
from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import choose_breaths, plan_breaths
from coach.planning.breathing.locks import Locks
from coach.planning.breathing.passage import set_passage
from coach.planning.breathing.prompts import (
    Prompt,
    PromptSettings,
    lay_prompts,
    say_how,
)
from coach.planning.breathing.words.left_out_words import name_left_out
from coach.planning.edits import Edits
from coach.score.metre import Metre
from coach.score.phrase import Bar, Part
from coach.score.tempo import Seconds, beats
from tests.dry_music import unbroken
from tests.hand_made import part_of, played
from tests.hand_rehearsal import HandPlanner
from tests.planning.breathing.breath_oracle import lay, parts, who

SETTINGS = read_settings(PromptSettings, "prompts")
NO_LOCKS = Locks()


def prompts_of(
    part: Part,
    bpm: float = 60.0,
    *,
    ends: tuple[float, ...] | None = None,
    litres: float = 3.4,
    locks: Locks = NO_LOCKS,
) -> tuple[Prompt, ...]:
    ends = (0.3,) * (len(part.notes) - 1) if ends is None else ends
    plan = plan_breaths(set_passage(part, bpm, ends), who(measured(litres)), locks)
    return lay_prompts(part, part.at_tempo(bpm), plan, SETTINGS)


def test_a_full_breath_is_announced_a_bar_ahead() -> None:
    (prompt,) = prompts_of(part_of("F3h G3h F3q rh. F3h"), ends=(0.1, 0.1, 1.0))
    assert prompt == Prompt(
        at=Seconds(1.0),
        bar=1,
        beat=2.0,
        say="breathe full in 4 beats, on bar 2 beat 2",
        kind="full",
        breath=0,
    )


def test_a_catch_breath_is_announced_two_beats_ahead() -> None:
    locks = Locks(must=frozenset({5}))
    part = part_of("F3q G3q F3q G3q F3q G3q F3q G3q")
    (prompt,) = prompts_of(part, 100, locks=locks)
    assert prompt.kind == "catch"
    assert prompt.say == "top off in 2 beats, after bar 2 beat 2"
    assert (prompt.bar, prompt.beat) == (1, 4.0)


def test_at_a_fast_tempo_there_is_still_a_second_to_act() -> None:
    part = part_of("F3q " * 16)
    (prompt,) = prompts_of(part, 220, locks=Locks(must=frozenset({11})))
    assert prompt.at <= 11 * 60 / 220 - SETTINGS.shortest_ahead_s + 0.3
    assert "in 4 beats" in prompt.say


def test_six_eight_counts_dotted_beats_and_names_places_by_eighths() -> None:
    """One sentence has one kind of beat."""
    part = part_of("F3q. F3q. F3q. F3q. F3q. F3q.", metre=Metre(6, 8))
    (prompt,) = prompts_of(part, 60, locks=Locks(must=frozenset({4})), litres=8.0)
    assert prompt.say == "top off in 2 beats, on bar 3 eighth 3"
    assert (prompt.bar, prompt.beat) == (2, 1.0)


def test_an_early_breath_is_announced_at_once() -> None:
    part = part_of("F3q F3q F3q F3q")
    (prompt,) = prompts_of(part, 90, locks=Locks(must=frozenset({0})))
    assert prompt.at == 0.0
    assert prompt.say == "top off now, after beat 1"


def test_nothing_is_said_while_the_breath_before_is_taken() -> None:
    part = part_of("F3h F3q F3q F3q F3q")
    first, second = prompts_of(part, 60, locks=Locks(must=frozenset({1, 2})))
    assert first.at < second.at
    assert second.at == 3.0


def test_between_two_felt_beats_it_is_said_as_soon_as_one_may() -> None:
    part = part_of("F3e F3e F3e F3e F3e F3e F3h")
    locks = Locks(must=frozenset({0, 1}))
    prompts = prompts_of(part, 40, locks=locks)
    assert prompts[1].at == pytest.approx(0.75)
    assert prompts[1].beat == 1.5


def test_a_long_stretch_without_a_breath_is_told() -> None:
    part = part_of("F3q G3q F3q rq " + "F3q G3q F3q G3q " * 4 + "F3h rh F3h")
    ends = (*(0.1,) * 2, 1, *(0.1,) * 16, 1)
    locks = Locks(must=frozenset({2}))
    prompts = prompts_of(part, 160, litres=8.0, ends=ends, locks=locks)
    hold = prompts[1]
    assert hold == Prompt(
        at=Seconds(1.5),
        bar=2,
        beat=1.0,
        say="play on, next breath in bar 6",
        kind="hold",
        breath=None,
    )


def test_a_breath_in_the_rest_behind_a_bar_line_is_in_the_bar_of_the_rest() -> None:
    part = part_of("F3q G3q F3q G3q " * 5 + "rh F3h")
    ends = (*(0.1,) * 19, 1.0)
    prompts = prompts_of(part, 200, litres=8.0, ends=ends, locks=must(19))
    assert [prompt.say for prompt in prompts] == [
        "play on, next breath in bar 6",
        "breathe full in 4 beats, on bar 6 beat 1",
    ]


def test_a_breath_a_hair_before_a_bar_line_is_on_it() -> None:
    """It has no fifth beat of four."""
    part = part_of("F3q G3q F3q G3q F3q G3q F3q G3q")
    breaths = plan_breaths(
        set_passage(part, 60, (0.3,) * 7), who(measured(3.4)), must(3)
    )
    (breath,) = breaths.breaths
    early = replace(breath, start=Seconds(3.98))
    (prompt,) = lay_prompts(
        part, part.at_tempo(60), replace(breaths, breaths=(early,)), SETTINGS
    )
    assert prompt.say.endswith("on bar 2 beat 1")


def test_a_bar_of_the_next_pass_is_named_with_its_time() -> None:
    """The breath follows a note of the last bar, in a rest of the first one."""
    part = played("rq F3q G3q F3q G3q F3q G3q F3q " * 2, [1, 2, 3, 4] * 2)
    (hold, *_) = prompts_of(part, 200, litres=8.0, locks=must(13))
    assert hold.say == "play on, next breath in bar 1, time 2 through"


def must(*places: int) -> Locks:
    """Insist on breaths."""
    return Locks(must=frozenset(places))


def test_in_a_repeat_it_is_said_which_time_the_bar_is_meant() -> None:
    part = played("F3q G3q F3q G3q " * 3, [1, 2, 3] * 4)
    locks = Locks(must=frozenset({3, 31}))
    prompts = prompts_of(part, 200, litres=8.0, locks=locks)
    holds = [prompt.say for prompt in prompts if prompt.kind == "hold"]
    assert holds == [
        "play on, next breath in bar 2, time 3 through",
        "no breath until the end",
    ]


def test_to_the_end_is_said_too_and_also_from_the_start() -> None:
    part = part_of("F3q G3q F3q G3q " * 4)
    prompts = prompts_of(part, 200, litres=8.0)
    assert [prompt.say for prompt in prompts] == ["no breath until the end"]
    assert (prompts[0].at, prompts[0].bar, prompts[0].beat) == (0.0, 1, 1.0)


def test_a_pickup_keeps_the_beats_of_its_bar() -> None:
    """A pickup of an eighth: the next felt beat is the downbeat."""
    whole = part_of("F3e F3q F3q F3q F3q F3q F3q F3q F3q")
    notes = tuple(
        type(note)(
            onset=beats(note.onset - beats("1/2")),
            length=note.length,
            written=note.written,
            sounding=note.sounding,
            bar=0 if k == 0 else (k - 1) // 4 + 1,
            beat=beats("9/2") if k == 0 else beats((k - 1) % 4 + 1),
        )
        for k, note in enumerate(whole.notes)
    )
    metre = Metre(4, 4)
    bars = (
        Bar(0, beats("-1/2"), beats("1/2"), metre, first_beat=beats("9/2")),
        Bar(1, beats(0), beats(4), metre),
        Bar(2, beats(4), beats(4), metre),
    )
    part = Part("x", "x", "", notes, bars, whole.tempo, whole.tempo_map)
    ends = (0.1,) * 8
    (prompt,) = prompts_of(part, 60, ends=ends, locks=Locks(must=frozenset({4})))
    assert (prompt.bar, prompt.beat) == (1, 2.0)
    early, *_ = prompts_of(part, 60, locks=Locks(must=frozenset({1})), litres=8.0)
    assert (early.bar, early.beat) == (0, 4.5)


@settings(max_examples=150, deadline=None)
@given(parts(most_notes=20), st.sampled_from((40.0, 90.0, 180.0)), st.floats(1.0, 6.0))
def test_every_breath_is_announced_in_order_before_it_comes(
    part: Part, bpm: float, litres: float
) -> None:
    ends = [0.9 if k % 4 == 0 else 0.1 for k in range(len(part.notes) - 1)]
    plan = choose_breaths(lay(part, bpm=bpm, ends=ends, player=measured(litres)))
    prompts = lay_prompts(part, part.at_tempo(bpm), plan, SETTINGS)
    announced = [p for p in prompts if p.breath is not None]
    assert [p.breath for p in announced] == list(range(len(plan.breaths)))
    times = [p.at for p in prompts]
    assert times == sorted(times)
    for prompt, breath in zip(announced, plan.breaths, strict=True):
        assert prompt.at <= breath.start + 1e-9
        assert len(prompt.say) <= 48


def test_a_breath_is_announced_as_the_table_names_it() -> None:
    """Full where it fills the lungs, deep where it has the time and does not."""
    plan = HandPlanner().plan(unbroken(), unbroken().tempo.bpm, Edits())
    breath = next(each for each in plan.breaths.breaths if each.kind == "full")
    for told in (replace(breath, fills=True), replace(breath, fills=False)):
        assert say_how(told, is_out_first=False) == f"breathe {told.depth}"
        assert say_how(told, is_out_first=True) == "breathe out, then in,"
    catch = replace(breath, kind="catch")
    assert {say_how(catch, is_out_first=out) for out in (False, True)} == {"top off"}


def test_notes_that_are_left_out_are_named_in_place_of_the_beat() -> None:
    part = unbroken()
    plan = HandPlanner().plan(part, part.tempo.bpm, Edits())
    said = [prompt.say for prompt in plan.prompts if prompt.breath is not None]
    assert said[0] == "breathe deep in 4 beats, leave out [D3 F3 D3]"
    four = name_left_out(part, range(1, 5))
    assert four == "[4 notes]"
