"""The engine's side of the process that looks for MIDI ports and listens to pedals."""

from __future__ import annotations

import json
import subprocess
import sys
import threading
from collections.abc import Callable, Mapping
from contextlib import suppress
from typing import IO, cast

WATCHER = "coach.edges.midi.in_child.watch_child"
REMARK = "The MIDI ports cannot be looked for: no process is to be had for that."


class PortWatch:
    """Knows which ports there are, as last told; never waits for a driver."""

    def __init__(
        self,
        every_s: float,
        hear: Callable[[bytes, float], None],
        wake: Callable[[], None],
    ) -> None:
        """Start to look; `wake` is called on news, `hear` on messages."""
        self.outs: Mapping[str, int] = {}
        """Ports to send to, each with the number of its MIDI system."""
        self.ins: tuple[str, ...] = ()
        """Ports to listen to."""
        self.listened: tuple[str, ...] = ()
        """Those that are listened to."""
        self.remark = ""
        """Why there is no MIDI; empty when there is."""
        self._asked = {"listen": "", "wants": ""}
        self._serial = self._answered = 0
        self._hear = hear
        self._wake = wake
        self.is_gone = False
        """Its process is gone: nobody looks any more."""
        self._process: subprocess.Popen[bytes] | None = None
        try:
            self._process = subprocess.Popen(
                [sys.executable, "-m", WATCHER, str(every_s)],
                stdin=subprocess.PIPE,
                stdout=subprocess.PIPE,
            )
        except OSError:
            self.remark, self.is_gone = REMARK, True
            return
        threading.Thread(target=self._read, name="ports", daemon=True).start()

    @property
    def has_looked(self) -> bool:
        """Whether what was last asked for has been looked for, or never will be."""
        return self.is_gone or self._answered == self._serial != 0

    def ask(self, listen: str, wants: str) -> None:
        """Listen to these ports from now on, and look for a port to send to."""
        asked = {"listen": listen, "wants": wants}
        if asked == self._asked and self._serial:
            return
        self._asked = asked
        self._serial += 1
        if self._process is not None:
            stream = cast(IO[bytes], self._process.stdin)
            with suppress(OSError, ValueError):
                words = {"serial": self._serial, **asked}
                stream.write(json.dumps(words).encode() + b"\n")
                stream.flush()

    def end(self) -> None:
        """Ask it to leave."""
        if self._process is not None:
            with suppress(OSError):
                cast(IO[bytes], self._process.stdin).close()

    def wait(self, patience_s: float) -> None:
        """Wait until it has left; make it leave when that takes too long."""
        if self._process is not None:
            end_child(self._process, patience_s)

    def _read(self) -> None:
        """Take what it tells until it is gone."""
        process = cast("subprocess.Popen[bytes]", self._process)
        with suppress(OSError, ValueError), cast(IO[bytes], process.stdout) as stream:
            for line in stream:
                words = json.loads(line)
                if "heard" in words:
                    self._hear(bytes.fromhex(words["heard"]), words["at"])
                else:
                    self._take(words)
        process.wait()
        self.is_gone = True
        self._take({"outs": {}, "ins": (), "listened": (), "remark": REMARK})

    def _take(self, words: Mapping[str, object]) -> None:
        """Take what there is."""
        self.outs = dict(cast(Mapping[str, int], words["outs"]))
        self.ins = tuple(cast(list[str], words["ins"]))
        self.listened = tuple(cast(list[str], words["listened"]))
        self.remark = str(words["remark"])
        self._answered = int(str(words.get("serial", 0)))
        self._wake()


def end_child(process: subprocess.Popen[bytes], patience_s: float) -> None:
    """Wait until a child has left; make it leave when that takes too long."""
    try:
        process.wait(patience_s)
    except subprocess.TimeoutExpired:
        process.kill()
        with suppress(subprocess.TimeoutExpired):
            process.wait(patience_s)
