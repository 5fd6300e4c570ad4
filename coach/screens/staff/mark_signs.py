"""The sign of each kind of mark, in the terminal's own signs."""

from __future__ import annotations

from coach.rehearsal.run.mark_kinds import KINDS, MarkKind
from coach.screens.signs import Signs


def mark_sign(signs: Signs, kind: MarkKind) -> str:
    """Give the sign of a kind of mark."""
    row = KINDS[kind]
    return row.plain_sign if signs.is_plain else row.sign
