"""What engraves staff lines, as the screens that show a staff know it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, Protocol

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Mapping


class Engraver(Protocol):
    """Makes pictures of staff lines for a terminal that can show them."""

    @property
    def graphics(self) -> Literal["sixel", "kitty"]:
        """How the terminal wants its pictures."""
        ...

    def cell_pixels(self) -> tuple[int, int] | None:
        """Give width and height of a cell as they are now; None when not known."""
        ...

    def engrave(
        self,
        lines: Iterable[tuple[str, int, bool]],
        height: int,
        colours: tuple[str, str, str],
        tell: Callable[[int, int, str, Mapping[str, float]], None],
    ) -> None:
        """Engrave lines soon, and tell of each from another thread.

        Lines are written when the engraver takes them, in its own thread.  One is its
        MEI, its width in pixels, and whether it may end before that;
        what is told is its number, its width, the picture in the terminal's words,
        and the middle of each head by its id, in pixels.
        The colours are ink, staff lines and paper, as ``#rrggbb``.  What cannot be
        engraved is never told of; what is asked later takes the place of what waits.
        """
        ...


class StaffNeeds(Protocol):
    """What engraves, where anything does."""

    def engraver(self) -> Engraver | None:
        """Give what engraves staff lines; None where they are drawn in cells."""
        ...
