"""What each pedal means, and which of what it sends is a press.

Conventions
-----------
A message of a pedal is written in words, with channels counted from 1 as on the gear
itself: ``control 64``, ``key 36 channel 10``, ``program 3``; without a channel, any
will do.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

from coach.errors import ConfigError
from coach.rehearsal.gear.gear import PedalAction

PRESSED = 64
"""MIDI 1.0: a switch controller is on from 64."""

CHANNELS = 16
HIGHEST_DATA = 127
STATUS_KINDS = {0x90: "key", 0xB0: "control", 0xC0: "program"}
"""MIDI 1.0 channel messages that a pedal may send: note on, control, program change."""

MESSAGE_WORDS = re.compile(r"(key|control|program) (\d{1,3})(?: channel (\d{1,2}))?")


@dataclass(frozen=True, slots=True)
class PedalMessage:
    """One message that a pedal or key sends when it is pressed."""

    kind: str
    """``key``, ``control`` or ``program``."""

    number: int
    """Which key, controller or program, from 0."""

    channel: int | None = None
    """Channel, from 0; None for any."""

    def __str__(self) -> str:
        """Write it in words, the channel counted from 1."""
        where = "" if self.channel is None else f" channel {self.channel + 1}"
        return f"{self.kind} {self.number}{where}"

    def fits(self, other: PedalMessage) -> bool:
        """Whether a message that came in is this one."""
        return (self.kind, self.number) == (other.kind, other.number) and (
            self.channel in (None, other.channel)
        )


def read_pedal_message(words: str) -> PedalMessage:
    """Read a message written in words.

    Raises
    ------
    ConfigError
        If it is none.

    Examples
    --------
    >>> read_pedal_message("key 36 channel 10")
    PedalMessage(kind='key', number=36, channel=9)
    """
    match = MESSAGE_WORDS.fullmatch(words.strip().lower())
    if match:
        kind, number, channel = match.groups()
        if int(number) <= HIGHEST_DATA and 1 <= int(channel or 1) <= CHANNELS:
            where = None if channel is None else int(channel) - 1
            return PedalMessage(kind, int(number), where)
    raise ConfigError(
        f"[click.pedals]: “{words}” is no pedal message.",
        "Write it as “control 64”, “key 36” or “program 3 channel 1”.",
    )


@dataclass(frozen=True, slots=True)
class PedalKeys:
    """What each pedal means, as ``[click.pedals]`` of the player's file has it."""

    start_stop: str
    """Message that starts and stops; empty for none."""

    again: str
    """Message that starts the segment anew; empty for none."""

    mark: str
    """Message that marks the beat that just went wrong; empty for none."""

    breathed: str
    """Message that says: here I breathed; empty for none."""

    def messages(self) -> dict[PedalAction, PedalMessage]:
        """Give the message of each action that has one."""
        words: dict[PedalAction, str] = {
            "start-stop": self.start_stop,
            "again": self.again,
            "mark": self.mark,
            "breathed": self.breathed,
        }
        return {
            action: read_pedal_message(said) for action, said in words.items() if said
        }

    def learned(self, action: PedalAction, message: str) -> PedalKeys:
        """Give the keys where a message means this action, and no other any more.

        >>> PedalKeys("control 66", "", "control 64", "").learned("again", "control 64")
        PedalKeys(start_stop='control 66', again='control 64', mark='', breathed='')
        """
        press = read_pedal_message(message)
        kept = {
            other: str(known)
            for other, known in self.messages().items()
            if other != action and not known.fits(press)
        }
        kept[action] = message
        return PedalKeys(
            start_stop=kept.get("start-stop", ""),
            again=kept.get("again", ""),
            mark=kept.get("mark", ""),
            breathed=kept.get("breathed", ""),
        )


class PedalBoard:
    """Tells presses from what pedals, keys and wind controllers send.

    A pedal that slides through many values is pressed once, when it passes the
    middle; one that sends its full value at each press and nothing between is
    pressed each time.
    """

    def __init__(self, messages: dict[PedalAction, PedalMessage]) -> None:
        self.messages = dict(messages)
        self.learning: PedalAction | None = None
        """The action that the next message will stand for."""
        self._values: dict[tuple[int, int], int] = {}

    def press(self, message: bytes) -> PedalMessage | None:
        """Tell which press a message that came in is; None if it is none."""
        kind = STATUS_KINDS.get(message[0] & 0xF0)
        if kind is None:
            return None
        channel, number = message[0] & 0x0F, message[1]
        press = PedalMessage(kind, number, channel)
        if kind == "program":
            return press
        value = message[2]
        if kind == "key":
            return press if value > 0 else None
        before = self._values.get((channel, number), 0)
        self._values[channel, number] = value
        return (
            press if value >= PRESSED and before in (value, *range(PRESSED)) else None
        )

    def action(self, press: PedalMessage) -> PedalAction | None:
        """Tell what a press means; None for nothing."""
        for action, message in self.messages.items():
            if message.fits(press):
                return action
        return None

    def learn(self, press: PedalMessage) -> PedalAction | None:
        """Take a press for the action that waits for one; None if none does."""
        action, self.learning = self.learning, None
        if action is not None:
            taken = [a for a, message in self.messages.items() if message.fits(press)]
            for other in taken:
                del self.messages[other]
            self.messages[action] = press
        return action
