"""Have the child process engrave a whole part on pages, and wait for it."""

from __future__ import annotations

import json
import subprocess
import sys
from typing import cast

from coach.edges.engraving.engraver import CHILD, child_environment
from coach.edges.engraving.engraving_settings import read_engraving_limits
from coach.errors import CoachError

COMMAND = (sys.executable, "-P", "-m", CHILD)

MEASURE = "<measure "
"""What each bar of a part begins with in MEI."""


def engrave_pages(
    mei: str, size: tuple[int, int], command: tuple[str, ...] = COMMAND
) -> list[str]:
    """Engrave a part.

    Parameters
    ----------
    mei : str
        The whole part, as MEI.
    size : tuple of int
        Width and height of a page's music, in tenths of a millimetre.

    Returns
    -------
    list of str
        A page each, as SVG.

    Raises
    ------
    CoachError
        If nothing here engraves, or it takes too long.
    """
    limits = read_engraving_limits()
    asked = json.dumps({"do": "pages", "mei": mei, "size": size})
    try:
        done = subprocess.run(
            command,
            input=f"{asked}\n".encode(),
            capture_output=True,
            env=child_environment(),
            timeout=limits.start_s + limits.line_s * mei.count(MEASURE),
            check=False,
        )
        return cast("list[str]", json.loads(done.stdout)["pages"])
    except subprocess.TimeoutExpired as error:
        raise CoachError(
            "The part takes too long to engrave.", "Ask for some of its bars: --bars."
        ) from error
    except (OSError, ValueError, KeyError) as error:
        raise CoachError(
            "The part cannot be engraved here.",
            "coach plan writes the plan as lines of text.",
        ) from error
