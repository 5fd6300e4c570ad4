"""What the player has chosen, and what there is to choose from."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.config import read_settings
from coach.errors import ConfigError, GearError
from coach.rehearsal.gear.gear import GearReport
from coach.rehearsal.gear.gear_choice import (
    KEEP_EACH,
    KEEP_NONE,
    OFF,
    ON,
    START_WAYS,
    THROW_AWAY,
    GearChoice,
    GearNow,
    TakeChoice,
    choose,
)
from coach.rehearsal.gear.pedals import PedalKeys
from coach.rehearsal.hearing.following.follow_wishes import FollowWishes
from coach.rehearsal.hearing.following.told import StartBy
from coach.score.tempo import Seconds
from tests.hand_gear import SILENT

FOUND = GearReport(
    midi_outs=("Synth",),
    midi_ins=("Board",),
    midi_out="",
    listened=("Board",),
    sound="Headphones",
    latency=Seconds(0.01),
    scheduling="",
    sound_outs=("Headphones", "Loudspeaker"),
    microphones=("Laptop",),
)
NOW = GearNow("", SILENT, PedalKeys("", "", "", ""), FOUND)


def test_the_shipped_choice_sounds_with_nothing_set_up() -> None:
    choice = read_settings(GearChoice, "click", "gear")
    assert (choice.midi_out, choice.sound, choice.midi_in) == ("", "auto", "any")


def test_a_way_of_sounding_that_there_is_not_is_refused() -> None:
    with pytest.raises(ConfigError, match="loud"):
        replace(SILENT, sound="loud")


@pytest.mark.parametrize(
    ("kind", "option", "field", "value"),
    [
        ("click", "Synth", "midi_out", "Synth"),
        ("pedal", "any", "midi_in", "any"),
        ("microphone", "Laptop", "microphone", "Laptop"),
        ("sound", "auto", "sound", "auto"),
        ("sound", "", "sound", "off"),
        ("sound", "Headphones", "sound_out", "Headphones"),
        ("sound", "Headphones", "sound", "on"),
    ],
)
def test_one_thing_is_chosen_at_a_time(
    kind: str, option: str, field: str, value: str
) -> None:
    assert getattr(choose(SILENT, kind, option), field) == value


def test_gear_of_no_kind_is_refused() -> None:
    with pytest.raises(GearError, match="harp"):
        choose(SILENT, "harp", "")


def test_each_thing_tells_what_there_is_and_what_is_used() -> None:
    click, sound, microphone, pedal = NOW.options()
    assert (click.options, click.chosen) == (("Synth",), "")
    assert sound.options == ("auto", "on", "off", "Headphones", "Loudspeaker")
    assert (microphone.options, microphone.chosen) == (("Laptop",), "")
    assert (pedal.options, pedal.chosen) == (("any", "Board"), "any")


@pytest.mark.parametrize(
    ("option", "chosen"),
    [("auto", "auto"), ("on", "on"), ("", "off"), ("Loudspeaker", "Loudspeaker")],
)
def test_a_device_that_was_chosen_is_shown_and_else_the_way(
    option: str, chosen: str
) -> None:
    choice = choose(SILENT, "sound", option)
    assert replace(NOW, choice=choice).options()[1].chosen == chosen


def test_the_built_in_sound_is_turned_off_in_one_way() -> None:
    (sound,) = [thing for thing in NOW.options() if thing.says == "built-in sound"]
    assert "off" in sound.options
    assert not sound.may_be_none


def test_where_nothing_looks_for_gear_nothing_can_be_chosen() -> None:
    assert replace(NOW, found=None).options() == ()


def test_recordings_are_kept_or_not_and_thrown_away_where_there_are_any() -> None:
    hearing, takes = TakeChoice(listens=True, keeps=False, kept="").options()
    assert (hearing.kind, hearing.chosen) == ("hearing", ON)
    assert (takes.options, takes.chosen) == ((KEEP_NONE, KEEP_EACH), KEEP_NONE)
    hearing, takes = TakeChoice(listens=False, keeps=True, kept="3 files").options()
    assert (hearing.chosen, takes.chosen) == (OFF, KEEP_EACH)
    assert takes.options[-1] == f"{THROW_AWAY} 3 files"


@pytest.mark.parametrize("by", ["", "note", "knock"])
def test_what_the_microphone_may_do_while_a_run_plays_is_chosen_too(
    by: StartBy,
) -> None:
    wishes = FollowWishes(follows=True, drives_gauge=True, start_by=by)
    *_, follows, stops, gauge, begins = replace(NOW, following=wishes).options()
    ways = {thing.kind: thing.chosen for thing in (follows, stops, gauge)}
    assert ways == {"follows": ON, "stops": OFF, "drives_gauge": ON}
    assert START_WAYS[begins.chosen] == by
    assert not any(one.may_be_none for one in (follows, stops, gauge, begins))
    assert NOW.options() == replace(NOW, following=wishes).options()[:-4]
