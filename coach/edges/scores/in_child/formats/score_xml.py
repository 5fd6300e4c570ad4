"""Look through an XML score before anything else reads it: whole, and of sane size.

The scan holds nothing in memory but counts, so it is safe on any file.
"""

from __future__ import annotations

from collections import Counter
from xml.parsers import expat

from coach.edges.scores.score_limits import (
    SHORTER,
    ScoreLimits,
    check_count,
    unreadable,
)
from coach.errors import ScoreError
from coach.score.plain_text import plain_words

# What expat reports of a file that stops too early: no element found, unclosed
# token, unclosed CDATA section.
BREAKS_OFF = (3, 5, 20)
EXPORT_AGAIN = "Export it again."


def scan_xml(content: bytes, name: str, limits: ScoreLimits) -> str:
    """Give the first element's name; raise ScoreError if the file is unfit to read."""
    scan = _Scan(name, limits)
    parser = expat.ParserCreate()
    parser.StartElementHandler = scan.start
    parser.EndElementHandler = scan.end
    parser.EntityDeclHandler = scan.entity
    try:
        parser.Parse(content, True)
    except expat.ExpatError as error:
        raise scan.broken(error) from error
    except (LookupError, ValueError) as error:
        raise unreadable(
            name, "is XML in an encoding that the coach does not know", EXPORT_AGAIN
        ) from error
    return scan.root


class _Scan:
    """What has been met so far."""

    def __init__(self, name: str, limits: ScoreLimits) -> None:
        self.name = name
        self.limits = limits
        self.root = ""
        self.depth = 0
        self.elements = 0
        self.bar = ""
        self.part = ""
        self.notes: Counter[str] = Counter()
        self.bars: Counter[str] = Counter()

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        """Count an element and what it says of size."""
        tag = tag.rpartition(":")[2]
        self.root = self.root or tag
        self.depth += 1
        self.elements += 1
        if self.depth > self.limits.depth_count:
            raise self._too("is nested too deeply to be a score")
        if self.elements > self.limits.elements_count:
            raise self._too("holds too much for one score")
        if tag == "note":
            self.notes[self.part] += 1
            most = self.limits.notes_count
            check_count(self.notes[self.part], most, "notes in a part", self.name)
        elif tag == "measure":
            self.bar = attributes.get("number") or attributes.get("n") or ""
            self.bars[self.part] += 1
            check_count(self.bars[self.part], self.limits.bars_count, "bars", self.name)
        elif tag in ("part", "staff"):
            self.part = attributes.get("id") or attributes.get("n") or ""
        elif tag == "repeat":
            self._check_times(attributes.get("times", ""))

    def end(self, _tag: str) -> None:
        """Leave an element."""
        self.depth -= 1

    def entity(self, *_declaration: object) -> None:
        """Refuse entities: a score has no use for them, and they can explode."""
        raise unreadable(
            self.name,
            "declares entities of its own, which no score needs",
            EXPORT_AGAIN,
        )

    def broken(self, error: expat.ExpatError) -> ScoreError:
        """Say where a file stops being XML."""
        where = f" (bar {plain_words(self.bar)})" if self.bar else ""
        if error.code in BREAKS_OFF:
            why = f"breaks off in line {error.lineno}{where}"
        else:
            why = f"is broken in line {error.lineno}{where}"
        return unreadable(self.name, why, EXPORT_AGAIN)

    def _check_times(self, times: str) -> None:
        """Refuse a repeat that never ends."""
        if times.strip().isdigit() and int(times[:9]) > self.limits.repeats_count:
            raise unreadable(
                self.name,
                f"repeats a stretch {plain_words(times[:9])} times in bar "
                f"{plain_words(self.bar)}; the most is {self.limits.repeats_count}",
                "Mend the repeat sign.",
            )

    def _too(self, why: str) -> ScoreError:
        """Say that there is too much of something."""
        return unreadable(self.name, why, SHORTER)
