"""What the player has told the coach about themselves, and the player it makes."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING, Any

from coach.config import (
    player_name,
    player_path,
    read_player_file,
    read_settings,
    write_player_file,
)
from coach.errors import ConfigError
from coach.planning.player_facts import PlayerFacts
from coach.score.note import DYNAMIC_STEPS, hertz_of
from coach.screens.screen_facts import ScreenFacts

if TYPE_CHECKING:
    from coach.planning.air.air import AirSettings
    from coach.planning.air.long_tones import LongTone
    from coach.planning.air.lungs import CapacityEquations, Player, Sex

TABLE = "player"
SCREENS_TABLE = "screens"
BOTH_TONES = 2
MIDI_KEYS = range(128)  # MIDI 1.0


def read_facts() -> PlayerFacts:
    """Read what the player has said; what is taken for granted where nothing is."""
    return read_settings(PlayerFacts, "player")


def write_facts(facts: PlayerFacts) -> None:
    """Keep what the player says, once it makes a player."""
    make_player(facts)
    played = asdict(facts)
    keys = {"long_tone_midi": facts.long_tone_s, "loud_tone_midi": facts.loud_tone_s}
    said = {key: value for key, value in played.items() if value and keys.get(key, 1)}
    write_player_file({**read_player_file(), TABLE: said})


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


def make_player(facts: PlayerFacts) -> Player:
    """Make the player that the planners know.

    Raises
    ------
    ConfigError
        If a value is no person's, or the file holds a word that is not known.
    """
    # Here, so that the first picture of the shelf need not wait for the planners.
    from coach.planning.air.air import AirSettings
    from coach.planning.air.long_tones import fit_flow
    from coach.planning.air.lungs import measured, predict_capacity

    equations = read_equations()
    if facts.capacity_l:
        player = measured(facts.capacity_l, equations.limits)
    elif facts.are_enough:
        player = predict_capacity(
            _sex(facts.sex), facts.height_cm, facts.age, equations
        )
    else:
        assumed = read_settings(AssumedPlayer, "lungs", "assumed")
        player = replace(
            predict_capacity("female", assumed.height_cm, assumed.age_years, equations),
            capacity_from="assumed until you tell the coach about yourself",
        )
    player = replace(player, name=player_name())
    if facts.long_tone_s:
        air = read_settings(AirSettings, "air")
        scale = fit_flow(list_tones(facts), player, air).flow_scale
        return replace(player, flow_scale=scale)
    return replace(player, is_flow_known=False)


def read_air(facts: PlayerFacts) -> AirSettings:
    """Read the air model, its dynamics fitted where two long tones were timed."""
    from coach.planning.air.air import AirSettings
    from coach.planning.air.long_tones import fit_flow

    air = read_settings(AirSettings, "air")
    tones = list_tones(facts)
    if len(tones) < BOTH_TONES:
        return air
    found = fit_flow(tones, make_player(replace(facts, loud_tone_s=0.0)), air)
    return replace(air, loud_step_factor=found.loud_step_factor)


def list_tones(facts: PlayerFacts) -> list[LongTone]:
    """Give the long tones that were timed; a loud one alone tells nothing."""
    from coach.planning.air.long_tones import LongTone

    if not facts.long_tone_s:
        return []
    for key, midi in (("long", facts.long_tone_midi), ("loud", facts.loud_tone_midi)):
        if midi not in MIDI_KEYS:
            raise ConfigError(
                f"{player_path()}: player.{key}_tone_midi is {midi}.",
                "Write the sounding key of a tone, 60 for middle C.",
            )
    tones = [LongTone(facts.long_tone_s, hertz_of(facts.long_tone_midi), 0.0)]
    if facts.loud_tone_s:
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


def read_screen_facts() -> ScreenFacts:
    """Read what the screens remember; one who set up by command is set up too."""
    known = read_settings(ScreenFacts, "screens")
    return replace(known, is_set_up=known.is_set_up or TABLE in read_player_file())


def write_screen_facts(facts: ScreenFacts) -> None:
    """Keep what the screens remember."""
    file = read_player_file()
    screens = {**file.get(SCREENS_TABLE, {}), **asdict(facts)}
    write_player_file({**file, SCREENS_TABLE: screens})
