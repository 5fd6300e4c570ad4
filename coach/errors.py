"""What can go wrong in a way that a player can mend.

Every error carries what happened, in the player's words, and what to do next.
Only ``cli`` prints one and only a screen shows one; nobody else formats it.
"""

import errno

FULL = (errno.ENOSPC, errno.EDQUOT)
"""What the system says of a disk, or a share of it, that has no room left."""


class CoachError(Exception):
    """Something a player can mend.

    Parameters
    ----------
    message : str
        What happened and where, in one sentence.
    hint : str
        What to do next; may be empty.
    """

    exit_code = 1
    """What the command exits with."""

    def __init__(self, message: str, hint: str = "") -> None:
        super().__init__(message)
        self.message = message
        self.hint = hint

    def __str__(self) -> str:
        """Say what happened and what to do, in one line."""
        return f"{self.message} {self.hint}".rstrip()


class ScoreError(CoachError):
    """A score that cannot be read; names the file and, where known, the bar."""


class ConfigError(CoachError):
    """A setting that cannot be used; names the file and the key."""


class PlanError(CoachError):
    """No plan fits; names the bar where it fails."""


class GearError(CoachError):
    """A port, sound device or microphone that fails; lists what is available."""


class RunLogError(CoachError):
    """The run log cannot be opened, read or written."""


class RecordingError(CoachError):
    """A recording that cannot be read or judged; names the file and why."""


def what_to_do(error: OSError) -> str:
    """Say what to do where nothing can be written in the player's folder."""
    if error.errno in FULL:
        return "Make room on the disk."
    return "Check the folder's rights, or name another with COACH_HOME."
