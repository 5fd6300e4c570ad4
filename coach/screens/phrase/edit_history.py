"""What was changed in a plan, to be undone and done again."""

from __future__ import annotations

from coach.planning.edits import Edits


class EditHistory:
    """Edits as they were, on both sides of now."""

    def __init__(self) -> None:
        self._before: list[Edits] = []
        self._after: list[Edits] = []

    def add(self, before: Edits) -> None:
        """Remember how it was before a change; what was undone is forgotten."""
        self._before.append(before)
        self._after.clear()

    def undo(self, now: Edits) -> Edits | None:
        """Give how it was before the last change; None if nothing was changed."""
        if not self._before:
            return None
        self._after.append(now)
        return self._before.pop()

    def redo(self, now: Edits) -> Edits | None:
        """Give how it was before the last undoing; None if nothing was undone."""
        if not self._after:
            return None
        self._before.append(now)
        return self._after.pop()
