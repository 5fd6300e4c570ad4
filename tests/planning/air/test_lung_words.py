"""Lungs as players type them."""

from __future__ import annotations

from dataclasses import replace

import pytest

from coach.config import read_settings
from coach.errors import ConfigError
from coach.planning.air.lung_words import read_fact, read_lungs
from coach.planning.player_facts import PlayerFacts

NOBODY = read_settings(PlayerFacts, "player")


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("", {}),
        ("4.8", {"capacity_l": 4.8}),
        (" 4,8 L ", {"capacity_l": 4.8}),
        ("172 30 f", {"height_cm": 172.0, "age": 30.0, "sex": "female"}),
        ("172 cm, 30 years, Male", {"height_cm": 172.0, "age": 30.0, "sex": "male"}),
        ("1.58 m 14 f", {"height_cm": 158.0, "age": 14.0, "sex": "female"}),
        ("1,72m, 30 m", {"height_cm": 172.0, "age": 30.0, "sex": "male"}),
        ("5'8\" 30 m", {"height_cm": 173.0, "age": 30.0, "sex": "male"}),
        ("6 ft 30 f", {"height_cm": 183.0, "age": 30.0, "sex": "female"}),
    ],
)
def test_litres_or_height_and_age_are_understood(
    typed: str, told: dict[str, float | str]
) -> None:
    assert read_lungs(typed, NOBODY) == replace(NOBODY, **told)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "typed", ["4x8", "big", "172", "172 30 x", "f", "-4.8", "1 2 3", "0", "172 0 f"]
)
def test_what_makes_no_sense_is_refused_in_words(typed: str) -> None:
    with pytest.raises(ConfigError, match=r"litres.*172 30 f") as told:
        read_lungs(typed, NOBODY)
    assert typed in str(told.value)


@pytest.mark.parametrize("typed", ["172 30", "1,72m, 30", "6 ft 30"])
def test_height_and_age_ask_for_f_or_m_unless_that_is_known(typed: str) -> None:
    with pytest.raises(ConfigError, match=r"neither f nor m.*172 30 f") as told:
        read_lungs(typed, NOBODY)
    assert typed in str(told.value)
    known = read_lungs(typed, replace(NOBODY, sex="female"))
    assert (known.age, known.sex) == (30.0, "female")


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("height", "172", 172.0),
        ("height", " 172 cm", 172.0),
        ("height", "172,5", 172.5),
        ("height", "1.72", 172.0),
        ("height", "1,72 m", 172.0),
        ("height", "5'8\"", 173.0),
        ("height", "5 ft 8", 173.0),
        ("height", "6'", 183.0),
        ("age", "30 years", 30.0),
        ("capacity", "4,8 l", 4.8),
    ],
)
def test_one_number_is_taken_down_with_or_without_its_unit(
    name: str, typed: str, value: float
) -> None:
    field = {"height": "height_cm", "age": "age", "capacity": "capacity_l"}[name]
    assert getattr(read_fact(name, typed, NOBODY), field) == pytest.approx(value)


@pytest.mark.parametrize(
    ("name", "typed"),
    [("height", "tall"), ("height", ""), ("age", "5'8\""), ("capacity", "4.8.1")],
)
def test_what_is_no_number_is_refused_with_an_example(name: str, typed: str) -> None:
    with pytest.raises(ConfigError, match="is no number"):
        read_fact(name, typed, NOBODY)


@pytest.mark.parametrize("name", ["height", "age", "capacity"])
def test_nothing_at_all_is_no_answer(name: str) -> None:
    with pytest.raises(ConfigError, match=rf"“0” is no {name}\. Type"):
        read_fact(name, "0", NOBODY)
