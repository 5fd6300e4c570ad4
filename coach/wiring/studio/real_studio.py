"""Everything the screens need from outside, on real edges."""

from __future__ import annotations

from coach.wiring.studio.studio_pages import StudioPages
from coach.wiring.studio.studio_set_up import StudioSetUp
from coach.wiring.studio.studio_shelf import StudioShelf


class RealStudio(StudioShelf, StudioPages, StudioSetUp):
    """The screens' `Studio`."""
