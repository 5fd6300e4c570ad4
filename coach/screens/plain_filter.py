"""The last step before the terminal where it shows letters and dashes only."""

from __future__ import annotations

from rich.segment import Segment
from textual.color import Color
from textual.filter import LineFilter

from coach.screens.nearest_ascii import plain


class PlainFilter(LineFilter):
    """Writes every sign as the nearest one of ASCII, of the same width."""

    def apply(self, segments: list[Segment], background: Color) -> list[Segment]:
        """Turn the text of segments into ASCII."""
        del background
        return [
            segment
            if segment.text.isascii() or segment.control
            else Segment(plain(segment.text).ljust(segment.cell_length), segment.style)
            for segment in segments
        ]
