"""Open, watch and close streams of sound, whatever the drivers do."""

from __future__ import annotations

import threading
from contextlib import suppress
from typing import Any

from coach.edges.sound.sound_devices import (
    SoundDevice,
    choose_another,
    load_sound_library,
)
from coach.errors import GearError
from coach.rehearsal.gear.gear import Clock
from coach.score.tempo import Seconds

CLOSE_WITHIN_S = 1.0
"""A device that is gone may never answer: how long to wait for it."""

_open: set[int] = set()
_loaded: list[Any] = []


class StreamWatch:
    """Tells when a device has stopped calling."""

    def __init__(self, clock: Clock, lost_after_s: float) -> None:
        self._clock = clock
        self._lost_after_s = lost_after_s
        self._called = self._looked = clock.now()
        self._is_gone = False

    def note_call(self) -> Seconds:
        """Take note of a callback; give when it came."""
        self._called = self._clock.now()
        return self._called

    def is_gone(self) -> bool:
        """Tell once that the device is gone."""
        now = self._clock.now()
        if now - self._looked > self._lost_after_s / 2:
            self._called = now  # it was us who were held up
        self._looked = now
        is_news = not self._is_gone and now - self._called > self._lost_after_s
        self._is_gone = self._is_gone or is_news
        return is_news


def look_for_devices() -> None:
    """Have the library look for devices anew, which it can while no stream is open."""
    library = load_sound_library()
    if _open:
        return
    if _loaded:  # loading it was a look
        with suppress(library.PortAudioError):
            library._terminate()  # noqa: SLF001  # its only way to look anew
        try:
            library._initialize()  # noqa: SLF001
        except library.PortAudioError as error:
            raise GearError(f"The sound system cannot be used: {error}.") from error
    _loaded[:] = [library]


def leave() -> None:
    """Take leave of all sound systems: a server waits for who goes without a word."""
    for library in _loaded:
        with suppress(library.PortAudioError):
            library._terminate()  # noqa: SLF001  # its own way, at the end of Python
    _loaded.clear()


def open_stream(device: SoundDevice, **how: Any) -> Any:
    """Open a stream on a device and let it run; `GearError` when it does not."""
    library = load_sound_library()
    kinds = {"output": library.OutputStream, "input": library.InputStream}
    try:
        stream = kinds[device.way](device=device.index, dtype="float32", **how)
        stream.start()
    except (library.PortAudioError, ValueError) as error:
        raise GearError(
            f"“{device.name}” cannot be opened for {device.way}: {error}.",
            choose_another(device.way),
        ) from error
    _open.add(id(stream))
    return stream


def close_stream(stream: Any) -> None:
    """Let a device go; one that is gone may keep us no longer than a second."""

    def close() -> None:
        library = load_sound_library()
        with suppress(library.PortAudioError):
            stream.abort()
        with suppress(library.PortAudioError):
            stream.close()

    closing = threading.Thread(target=close, name="sound ends", daemon=True)
    closing.start()
    closing.join(CLOSE_WITHIN_S)
    _open.discard(id(stream))
