"""Who plays, and one long tone of theirs, timed while the screen is looked at."""

from __future__ import annotations

from math import isfinite, nan
from typing import TYPE_CHECKING

from coach.errors import CoachError, ConfigError
from coach.planning.player_facts import PlayerFacts, hold_tones
from coach.screens.coach_screen import CoachScreen
from coach.screens.set_up.big_figure import BigFigure
from coach.screens.set_up.set_up_needs import PlayerNeeds

if TYPE_CHECKING:
    from collections.abc import Sequence

    from textual.timer import Timer

    from coach.planning.instrument.instrument_entry import InstrumentEntry
    from coach.score.tempo import Seconds

TONE_HINT = "Type seconds (16)."
"""What a long tone that is known already is typed as."""

LEAST_SAID_S = 0.1
"""A slip of the thumb is no 0 seconds: that would be no answer at all."""


class ToneTiming(CoachScreen[PlayerNeeds]):
    """What is known of a player; whatever could not be kept is not taken."""

    def __init__(self) -> None:
        super().__init__()
        self._facts: PlayerFacts
        self._instruments: Sequence[InstrumentEntry] = ()
        self._tone_began: Seconds | None = None
        self._timer: Timer | None = None

    def _show(self) -> None:
        """Show what is known."""
        raise NotImplementedError

    def show_tone(self) -> None:
        """Show the line of the long tone, and how long it was held."""
        raise NotImplementedError

    def _instrument(self) -> InstrumentEntry | None:
        for instrument in self._instruments:
            if instrument.name == self._facts.instrument:
                return instrument
        return None

    @property
    def _chosen_instrument(self) -> int:
        """Where the chosen instrument stands among all; the first if it does not."""
        names = [instrument.name for instrument in self._instruments]
        return names.index(self._facts.instrument) if self._instrument() else 0

    def _say_capacity(self) -> str:
        """Say the capacity that follows from what is known, or why none does."""
        try:
            return self.studio.capacity(self._facts)
        except CoachError as error:
            return str(error)

    def _take(self, facts: PlayerFacts) -> None:
        """Take an answer, or say why it cannot be one and leave all as it was."""
        try:
            self.studio.capacity(facts)
        except CoachError as error:
            self.tell_error(error)
            return
        self._facts = facts
        self._show()

    def action_long_tone(self) -> None:
        """Begin or end the long tone."""
        instrument = self._instrument()
        if self._timer is None:
            return
        if instrument is None:
            self.tell("Choose your instrument first: each has its tone.", is_wrong=True)
            return
        if self._tone_began is None:
            self._tone_began = self.studio.clock.now()
            self._timer.resume()
            self.show_tone()
            self.tell("playing … press space as the tone ends", stays=True)
            return
        held = self.studio.clock.now() - self._tone_began
        seconds = max(LEAST_SAID_S, round(held, 1))
        self._end_tone()
        self.query_one(BigFigure).show_figure(f"{seconds:.1f}", "seconds")
        self._take(hold_tones(self._facts, instrument, long_s=seconds))

    def read_tone(self, text: str) -> PlayerFacts:
        """Take down a tone that was typed, in seconds.

        Raises
        ------
        ConfigError
            If it is no number.
        """
        instrument = self._instrument()
        try:
            seconds = float(text.strip().removesuffix("s").replace(",", "."))
        except ValueError:
            seconds = nan
        if instrument is None or not isfinite(seconds):
            raise ConfigError(f"“{text.strip()}” is no number.", TONE_HINT)
        return hold_tones(self._facts, instrument, long_s=seconds)

    def _end_tone(self) -> None:
        """Time no tone any more."""
        if self._timer is not None and self._tone_began is not None:
            self._tone_began = None
            self._timer.pause()
            self.tell("")

    def _count(self) -> None:
        """Show the seconds as they run."""
        if self._tone_began is not None:
            seconds = self.studio.clock.now() - self._tone_began
            self.query_one(BigFigure).show_figure(f"{seconds:.1f}", "seconds")
