"""What the player has told the coach about themselves, and the player it makes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from itertools import product
from typing import TYPE_CHECKING, Any

from coach.config import (
    player_name,
    player_path,
    read_player_file,
    read_settings,
    read_shipped,
    write_player_file,
)
from coach.errors import ConfigError
from coach.planning.air.winds import BRASS
from coach.planning.player_facts import PlayerFacts, timed_on
from coach.score.note import DYNAMIC_STEPS, hertz_of
from coach.setting_kinds import OPEN

if TYPE_CHECKING:
    from coach.planning.air.air_settings import AirSettings
    from coach.planning.air.long_tones import LongTone
    from coach.planning.air.lungs import CapacityEquations, Player, Sex
    from coach.planning.air.tongued_pairs import TonguedPair

BOTH_TONES = 2
KEYS = tuple(product(("long", "loud"), ("midi", "wind")))
"""What is told of a tone beside its seconds."""
WORDS = ("about", "source")
MIDI_KEYS = range(128)  # MIDI 1.0


def read_facts() -> PlayerFacts:
    """Read what the player has said; what is taken for granted where nothing is."""
    facts = read_settings(PlayerFacts, "player")
    return replace(facts, tones=_without_pattern(facts.tones))


def check_facts(facts: PlayerFacts) -> None:
    """Refuse what makes no player: each number that was told, also one that waits.

    A height alone tells no capacity yet, but with age and sex it will have to.
    """
    make_player(facts, facts.long_tone_wind or BRASS)
    if facts.tongued_s and facts.in_twos_s:
        read_air(facts, facts.pair_wind or BRASS)
    if not facts.capacity_l:
        assumed = read_settings(AssumedPlayer, "lungs", "assumed")
        whole = replace(
            facts,
            sex=facts.sex or "female",
            height_cm=facts.height_cm or assumed.height_cm,
            age=facts.age or assumed.age_years,
        )
        _lungs_of(whole)


def write_facts(facts: PlayerFacts) -> None:
    """Keep what the player says, once it makes a player."""
    check_facts(facts)
    others = _without_pattern(facts.tones)
    said = _said({**asdict(facts), "tones": {k: _said(v) for k, v in others.items()}})
    write_player_file({**read_player_file(), "player": said})


def _said(told: Mapping[str, Any]) -> dict[str, Any]:
    """Leave out what was not said, and the pitch and family of what was not timed."""
    seconds = {f"{tone}_tone_{key}": told.get(f"{tone}_tone_s") for tone, key in KEYS}
    seconds["pair_wind"] = told.get("tongued_s") or told.get("in_twos_s")
    return {key: told[key] for key in told if told[key] and seconds.get(key, True)}


def _without_pattern(tones: Mapping[str, Any]) -> Mapping[str, Any]:
    """Leave out the table that only shows what others hold."""
    return {name: told for name, told in tones.items() if name != OPEN}


def change_facts(facts: PlayerFacts, changes: Mapping[str, Any]) -> PlayerFacts:
    """Give the facts with some said anew; None leaves one as it is."""
    said = {key: value for key, value in changes.items() if value is not None}
    return replace(facts, **said)


@dataclass(frozen=True, slots=True)
class AssumedPlayer:
    """Who plays until the player has told; keys of ``lungs.toml``."""

    height_cm: float
    """Height in centimetres."""

    age_years: float
    """Age in years."""

    grown_from_years: float
    """Who is younger is told that the guess is made for a grown player."""


def make_player(facts: PlayerFacts, wind: str = BRASS) -> Player:
    """Make the player that the planners know.

    Parameters
    ----------
    wind : str
        The family of winds that is played: tones held on another tell nothing of it.

    Raises
    ------
    ConfigError
        If a value is no person's, or the file holds a word that is not known.
    """
    # Here, so that the first picture of the shelf need not wait for the planners.
    from coach.planning.air.long_tones import fit_flow

    player = replace(_lungs_of(facts), name=player_name())
    tones = list_tones(facts, wind)
    if tones:
        air = read_model(wind, player.capacity_l)
        return replace(player, flow_scale=fit_flow(tones, player, air).flow_scale)
    return replace(player, is_flow_known=False)


def _lungs_of(facts: PlayerFacts) -> Player:
    """Measure, predict or assume a player's capacity."""
    from coach.planning.air.lungs import measured, predict_capacity

    equations = read_equations()
    if facts.capacity_l:
        return measured(facts.capacity_l, equations.limits)
    if facts.are_enough:
        return predict_capacity(_sex(facts.sex), facts.height_cm, facts.age, equations)
    assumed = read_settings(AssumedPlayer, "lungs", "assumed")
    whose = " for a grown player" if 0 < facts.age < assumed.grown_from_years else ""
    return replace(
        predict_capacity("female", assumed.height_cm, assumed.age_years, equations),
        capacity_from=f"assumed{whose} until you tell the coach about yourself",
    )


def read_model(wind: str, capacity_l: float) -> AirSettings:
    """Read the air model of a family of winds, the same for all of one capacity."""
    from coach.planning.air.air_settings import AirSettings
    from coach.planning.air.winds import WindAir, air_of_wind

    brass = read_settings(AirSettings, "air")
    if wind == BRASS:
        return brass
    winds = [BRASS, *(name for name in read_shipped("winds") if name not in WORDS)]
    if wind not in winds:
        raise ConfigError(
            f"There is no wind “{wind}” of which the coach knows the air.",
            f"Write one of these in the instrument's file: {', '.join(winds)}.",
        )
    return air_of_wind(brass, read_settings(WindAir, "winds", wind), capacity_l)


def read_air(facts: PlayerFacts, wind: str = BRASS) -> AirSettings:
    """Read the air model, fitted to two long tones and to a pair of quick breaths."""
    from coach.planning.air.long_tones import fit_flow
    from coach.planning.air.tongued_pairs import fit_stroke

    player, tones = _lungs_of(facts), list_tones(facts, wind)
    air = read_model(wind, player.capacity_l)
    pair = pair_of(facts, wind)
    if pair is not None:
        air = fit_stroke(pair, air)
    if len(tones) < BOTH_TONES:
        return air
    found = fit_flow(tones, player, air)
    return replace(air, loud_step_factor=found.loud_step_factor)


def pair_of(facts: PlayerFacts, wind: str = BRASS) -> TonguedPair | None:
    """Give the quick breaths timed on a family; one of them alone tells nothing."""
    from coach.planning.air.tongued_pairs import TonguedPair

    facts = timed_on(facts, wind, "in_twos_s", "pair_wind")
    if not (facts.tongued_s and facts.in_twos_s) or facts.pair_wind not in ("", wind):
        return None
    return TonguedPair(facts.tongued_s, facts.in_twos_s)


def list_tones(facts: PlayerFacts, wind: str = BRASS) -> list[LongTone]:
    """Give the long tones timed on a family; a loud one alone tells nothing."""
    from coach.planning.air.long_tones import LongTone

    facts = timed_on(facts, wind, "long_tone_s", "long_tone_wind")
    if not facts.long_tone_s or (facts.long_tone_wind or wind) != wind:
        return []
    for key, midi in (("long", facts.long_tone_midi), ("loud", facts.loud_tone_midi)):
        if midi not in MIDI_KEYS:
            raise ConfigError(
                f"{player_path()}: player.{key}_tone_midi is {midi}.",
                "Write the sounding key of a tone, 60 for middle C.",
            )
    tones = [LongTone(facts.long_tone_s, hertz_of(facts.long_tone_midi), 0.0)]
    if facts.loud_tone_s and (facts.loud_tone_wind or wind) == wind:
        loud, tone = DYNAMIC_STEPS["ff"], hertz_of(facts.loud_tone_midi)
        tones.append(LongTone(facts.loud_tone_s, tone, loud))
    return tones


def _sex(word: str) -> Sex:
    """Take a word of the player's file as it is meant, or refuse it."""
    known: dict[str, Sex] = {"female": "female", "male": "male"}
    if word not in known:
        raise ConfigError(
            f"player.toml: sex is “{word}”.", "Say female or male, or give litres."
        )
    return known[word]


def read_equations() -> CapacityEquations:
    """Read the equations that predict a capacity."""
    from coach.planning.air.capacity_equations import CapacityEquation
    from coach.planning.air.lungs import CapacityEquations, LungLimits

    return CapacityEquations(
        male=read_settings(CapacityEquation, "lungs", "gli_global.male"),
        female=read_settings(CapacityEquation, "lungs", "gli_global.female"),
        limits=read_settings(LungLimits, "lungs", "limits"),
    )
