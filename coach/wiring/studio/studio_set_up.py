"""What setting up player and gear needs from outside."""

from __future__ import annotations

from typing import TYPE_CHECKING

from coach.config import read_shipped
from coach.wiring.studio.studio_open import StudioOpen

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from coach.planning.instrument.instrument_entry import InstrumentEntry
    from coach.planning.player_facts import PlayerFacts
    from coach.rehearsal.gear.gear import PedalAction
    from coach.rehearsal.gear.gear_choice import GearNow
    from coach.rehearsal.hearing.calibration import Calibration
    from coach.screens.set_up.calibration_screen import CalibrationNeeds
    from coach.screens.set_up.gear_screen import GearNeeds
    from coach.screens.set_up.set_up_needs import Caution, CautionNeeds, PlayerNeeds


if TYPE_CHECKING:

    class SetUpFloor(
        StudioOpen,
        CalibrationNeeds,
        GearNeeds,
        PlayerNeeds,
        CautionNeeds,
    ):
        """What the screens are promised; loaded by the type checker alone."""

else:
    SetUpFloor = StudioOpen


class StudioSetUp(SetUpFloor):
    """Who plays, on what, with which gear, and what to take care of."""

    def read_player(self) -> PlayerFacts:
        """Give what the player has told."""
        from coach.wiring.player_file import read_facts

        return read_facts()

    def save_player(self, facts: PlayerFacts) -> None:
        """Keep what the player has told; plans made from now on follow it."""
        from coach.wiring.player_file import write_facts

        write_facts(facts)
        self._planner = None

    def list_instruments(self) -> Sequence[InstrumentEntry]:
        """List the instruments to choose from."""
        from coach.wiring.instrument_files import list_instruments

        return list_instruments()

    def broken_instruments(self) -> Sequence[str]:
        """Say of each of the player's own instruments that cannot be read why not."""
        from coach.wiring.instrument_files import broken_instruments

        return broken_instruments()

    def capacity(self, facts: PlayerFacts) -> str:
        """Say the capacity that follows from what was told, in one line."""
        from coach.wiring.player_file import check_facts, make_player

        check_facts(facts)
        player = make_player(facts)
        return f"{player.capacity_l:.1f} L, {player.capacity_from}"

    def read_gear(self) -> GearNow:
        """Look at all gear."""
        from coach.wiring.real_gear import read_gear

        return read_gear(self._player)

    def choose_gear(self, kind: str, option: str) -> None:
        """Use something from now on; an empty option for none."""
        from coach.wiring.real_gear import choose_gear

        choose_gear(self._player, kind, option)
        if kind == "takes" and self._ear is not None:  # the next ear keeps what is said
            self._ear.close()
            self._ear = None

    def test_click(self) -> None:
        """Play a bar of clicks."""
        from coach.wiring.real_gear import play_bar

        play_bar(self._player)

    def learn_pedal(self, action: PedalAction) -> None:
        """Take the next thing that the pedal sends for an action."""
        from coach.wiring.real_gear import learn_pedal

        learn_pedal(self._player, action)

    def listen_to_room(self, wanted: bool) -> None:
        """Hear the microphone, whose level is then told; or let it go."""
        from coach.wiring.real_gear import listen_to_room

        listen_to_room(self._player, wanted)

    def calibrate(self, go_on: Callable[[float], bool]) -> Calibration | None:
        """Play clicks, hear them, and keep how late they are heard."""
        from coach.wiring.real_gear import calibrate

        return calibrate(self._player, go_on)

    def list_cautions(self) -> Sequence[Caution]:
        """Give the cautions."""
        from coach.screens.set_up.set_up_needs import Caution

        return [
            Caution(item["name"], item["text"], item["source"], item["short"])
            for item in read_shipped("cautions")["caution"]
        ]
