"""The child process that reads a score, within limits that the system keeps.

For each score it reads a line of JSON (what is asked, and how many bytes the file has)
and then the file's bytes from standard input, and writes a line of JSON to standard
output: what was asked for, or an error in words, which ends it.  Only this process
imports music21.
"""

from __future__ import annotations

import gc
import json
import re
import sys
import traceback
import warnings
from collections.abc import Sequence
from contextlib import suppress
from dataclasses import asdict, replace
from math import ceil
from typing import Any

from coach.edges.scores.in_child.abc_book import AbcBook
from coach.edges.scores.in_child.formats.score_formats import (
    ScoreData,
    ScoreFormat,
    find_score,
)
from coach.edges.scores.in_child.open_score import OpenScore
from coach.edges.scores.in_child.pages.page_check import check_page
from coach.edges.scores.in_child.score_guards import check_score
from coach.edges.scores.in_child.typed_slips import slips_of
from coach.edges.scores.page_settings import read_page_settings
from coach.edges.scores.part_list import choose_part
from coach.edges.scores.score_columns import part_to_columns
from coach.edges.scores.score_limits import ScoreLimits, read_score_limits, unreadable
from coach.edges.scores.score_request import Request
from coach.errors import CoachError, ConfigError, ScoreError
from coach.score.plain_text import plain_words
from coach.score.played.unfolding import unfold

FORMAT_NAMES = {
    ScoreFormat.MUSICXML: "MusicXML",
    ScoreFormat.MIDI: "MIDI",
    ScoreFormat.ABC: "ABC",
    ScoreFormat.KERN: "Humdrum kern",
    ScoreFormat.MEI: "MEI",
}


EXPORT_AGAIN = "Export it again."
EXPORT_OTHERWISE = "Export it again, or as MusicXML."


def main() -> None:
    """Answer one request after another, until there are no more or one goes wrong.

    What a library prints goes to standard error: standard output is for answers.
    """
    answers, sys.stdout = sys.stdout.buffer, sys.stderr
    limits = read_score_limits()
    while asked := sys.stdin.buffer.readline():
        _limit_resources(limits)
        fields = json.loads(asked)
        content = sys.stdin.buffer.read(fields.pop("bytes_count"))
        said = answer(Request(**fields), content, limits)
        answers.write(json.dumps(said, separators=(",", ":")).encode() + b"\n")
        answers.flush()
        if "error" in said:
            return
        del said, content
        gc.collect()


def _limit_resources(limits: ScoreLimits) -> None:
    """Let the system stop this process before a score hurts; not every system can.

    Computing time is counted from now on: each score has its own.
    """
    with suppress(ImportError, ValueError, OSError):
        import resource

        used = resource.getrusage(resource.RUSAGE_SELF)
        most = ceil(used.ru_utime + used.ru_stime) + limits.cpu_s
        _, hardest = resource.getrlimit(resource.RLIMIT_CPU)
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        resource.setrlimit(resource.RLIMIT_CPU, (most, hardest))
        memory = limits.memory_bytes
        resource.setrlimit(resource.RLIMIT_AS, (memory, memory))


def answer(request: Request, content: bytes, limits: ScoreLimits) -> dict[str, Any]:
    """Read, or say in words why not."""
    if request.is_typed:
        slips = slips_of(content.decode("utf-8", errors="replace"))
        told = answer(replace(request, is_typed=False), content, limits)
        return {"slips": slips, "part": told.get("part"), "told": told.get("error")}
    try:
        return _read(request, content, limits)
    except CoachError as error:
        kind = "config" if isinstance(error, ConfigError) else "score"
        return {"error": [kind, error.message, error.hint]}
    except MemoryError:
        large = unreadable(
            request.name,
            "needs too much memory to read",
            "Choose a shorter score, or one part of it.",
        )
        return {"error": ["memory", large.message, large.hint]}


def _read(request: Request, content: bytes, limits: ScoreLimits) -> dict[str, Any]:
    """List the parts, or read one and play it."""
    name = request.name
    data = find_score(content, name, limits)
    check_score(data, name, limits)
    with warnings.catch_warnings(record=True) as heard:
        warnings.simplefilter("always")
        try:
            score = _open(data, name, limits)
            entries = score.entries
            if request.is_list:
                return {"entries": [asdict(part) for part in entries]}
            chosen, remark = choose_part(entries, request.part, name)
            page = score.read(chosen.number)
        except (CoachError, MemoryError):
            raise
        except Exception as error:  # music21 raises anything at all
            raise _senseless(name, data.kind, error, heard) from error
    check_page(page, name, limits)
    part = unfold(page, read_page_settings(), most_bars=limits.played_bars)
    if len(part.notes) > limits.played_notes:
        raise unreadable(
            name,
            f"has more than {limits.played_notes} notes with all its repeats",
            "Choose a shorter score.",
        )
    part = replace(
        part,
        name=chosen.name,
        remarks=tuple(filter(None, (remark, *part.remarks))),
    )
    return {"part": part_to_columns(part)}


def _open(data: ScoreData, name: str, limits: ScoreLimits) -> OpenScore:
    """Open a score; music21 is loaded only for what it reads."""
    if data.kind is ScoreFormat.ABC:
        return AbcBook(data.text, name)
    from coach.edges.scores.in_child.score_reading import open_score

    return open_score(data, name, limits)


def _senseless(
    name: str,
    kind: ScoreFormat,
    error: Exception,
    heard: Sequence[warnings.WarningMessage],
) -> ScoreError:
    """Say that music21 cannot make sense of a score, and where it stopped.

    The whole story goes to standard error, which is seen when the child is run by
    hand.
    """
    traceback.print_exception(error)
    told = [str(getattr(error, "measureNumber", None) or "")]
    told += [
        found.group(1)
        for message in heard
        if (found := re.search(r"took place in m\. (\w+)", str(message.message)))
    ]
    bar = plain_words(next(filter(None, reversed(told)), ""))
    where = f" in bar {bar}" if bar else ""
    return unreadable(
        name,
        f"does not make sense as {FORMAT_NAMES[kind]}{where}",
        EXPORT_AGAIN if kind is ScoreFormat.MUSICXML else EXPORT_OTHERWISE,
    )


if __name__ == "__main__":
    main()
