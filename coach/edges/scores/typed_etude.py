"""Read a tune while it is typed: in the child, so that nothing typed can hold us up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from threading import Lock
from typing import Any, Self

from coach.edges.scores.score_columns import part_from_columns
from coach.edges.scores.score_process import ScoreChild
from coach.edges.scores.score_request import Request
from coach.score.abc.abc_faults import AbcFault, Spot
from coach.score.abc.typed_tune import TypedTune


class TypedReader:
    """Reads a tune again and again while it is typed; its child begins once.

    Threads may ask at the same time: each waits for those before it.
    """

    def __init__(self) -> None:
        self._child = ScoreChild()
        self._one_at_a_time = Lock()

    def __enter__(self) -> Self:
        """Give the reader; its child begins when it is first asked."""
        return self

    def __exit__(self, *_: object) -> None:
        """End the child."""
        self.end()

    def read(self, path: Path, text: str) -> TypedTune:
        """Read what was typed; raise ScoreError only where no answer comes at all."""
        request = Request(path.name, is_typed=True)
        with self._one_at_a_time:
            found = self._child.ask(request, text.encode(errors="replace"))
        slips, columns = found["slips"], found["part"]
        part = None
        if columns is not None:
            played = part_from_columns(columns)
            part = replace(played, title=played.title or path.stem, source=str(path))
        _, message, hint = found["told"] or ("", "", "")
        return TypedTune(
            part,
            _faults(slips["faults"]),
            _faults(slips["doubts"]),
            f"{message} {hint}".strip() if slips["has_notes"] else "",
        )

    def end(self) -> None:
        """End the child, once it has answered."""
        with self._one_at_a_time:
            self._child.end()


def _faults(rows: Sequence[Sequence[Any]]) -> tuple[AbcFault, ...]:
    """Take faults out of plain lists."""
    return tuple(
        AbcFault(Spot(line, column), bar, what, hint)
        for line, column, bar, what, hint in rows
    )
