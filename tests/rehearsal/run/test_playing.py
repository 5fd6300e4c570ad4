"""Each run says who played it, with what and how."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.planning.breathing.locks import Locks
from coach.planning.edits import Edits
from coach.planning.plan import make_plan
from coach.rehearsal.click.click_wishes import ClickWishes
from coach.rehearsal.run.playing import Like, Playing, playing_of
from tests.hand_rehearsal import HandRehearsal, performer, short

WISHES = {
    "on": ClickWishes(),
    "gapped": ClickWishes(play_bars=2, silent_bars=2),
    "silent": ClickWishes(is_sounding=False),
}


@pytest.mark.parametrize("kind", WISHES)
def test_a_run_keeps_how_much_of_the_click_is_heard(kind: str) -> None:
    r = HandRehearsal(short(), click=WISHES[kind])
    r.run_clean()
    (kept,) = r.log.list_runs()
    assert kept.how.click == kind


def test_a_click_that_dies_away_is_gapped() -> None:
    r = HandRehearsal(short(), click=ClickWishes(fading=True))
    r.run_clean()
    assert r.log.list_runs()[0].how.click == "gapped"


def test_a_run_keeps_player_instrument_air_loudness_guide_and_word() -> None:
    r = HandRehearsal(short(), click=ClickWishes(guide=True), word="straight mute")
    r.planner.player = replace(r.planner.player, name="Ann")
    r.conductor.set_edits(Edits(dynamic_shift=-2.0))
    r.run_clean()
    (kept,) = r.log.list_runs()
    assert kept.how == Playing(
        player="Ann",
        instrument="tenor-trombone",
        capacity_l=4.8,
        dynamic_shift=-2.0,
        guide=True,
        word="straight mute",
    )
    assert kept.how.like == Like("Ann", "tenor-trombone", "straight mute", -2.0, True)


def test_notes_left_out_are_counted_in_the_whole_part() -> None:
    r = HandRehearsal(short())
    plan = make_plan(
        r.conductor.plan.passage,
        performer(r.planner.player),
        Edits(locks=Locks(must=frozenset({14}), left_out=frozenset({15}))),
    )
    assert plan.breaths.left_out == (15,)
    how = playing_of(plan, ClickWishes(), first_note=100, dynamic_shift=0.0)
    assert how.left_out == (115,)


def test_clean_at_pianissimo_is_not_clean_as_written() -> None:
    """Nor with the line sounding along: of each the ladder begins anew."""
    r = HandRehearsal(short())
    r.conductor.set_edits(Edits(dynamic_shift=-2.0))
    r.run_clean()
    softly = r.conductor.advice()
    r.conductor.set_edits(Edits())
    as_written = r.conductor.advice()
    r.conductor.set_edits(Edits(dynamic_shift=-2.0))
    assert r.conductor.advice() == softly != as_written
    r.conductor.set_wishes(replace(r.conductor.wishes, click=ClickWishes(guide=True)))
    assert r.conductor.advice() == as_written


def test_another_player_begins_the_ladder_anew() -> None:
    r = HandRehearsal(short())
    untouched = r.conductor.advice()
    for _ in range(3):
        r.run_clean()
    assert r.conductor.advice() != untouched
    r.planner.player = replace(r.planner.player, name="Ben")
    r.conductor.set_tempo(r.conductor.wishes.bpm - 1)
    r.conductor.set_tempo(r.conductor.wishes.bpm + 1)
    assert r.conductor.advice() == untouched
