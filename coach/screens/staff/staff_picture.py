"""What every picture of a staff has in common: its styles."""

from __future__ import annotations

from typing import ClassVar

from coach.screens.staff.air_curve import COMPONENTS
from coach.screens.widgets.picture import Picture

NARROWEST_LINE = 16
"""A line is never broken narrower than this, whatever the terminal."""


class StaffPicture(Picture):
    """A picture with notes in it."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "staff--line",
        "staff--rule",
        "staff--bar",
        "staff--clef",
        "staff--sign",
        "staff--note",
        "staff--held",
        "staff--rest",
        "staff--slur",
        "staff--length",
        "staff--name",
        "staff--position",
        "staff--alternate",
        "staff--left-out",
        "staff--own",
        "staff--tongue",
        "staff--tie",
        "staff--full-breath",
        "staff--catch-breath",
        "staff--number",
        "staff--now",
        "staff--past",
        "staff--seam",
        "staff--waiting",
        "staff--pointer",
        "staff--mark",
        "staff--proposed",
        *COMPONENTS,
    }

    DEFAULT_CSS = """
    StaffPicture {
        .staff--line { color: $line; }
        .staff--rule { color: $faint; }
        .staff--bar { color: $line; }
        .staff--clef { color: $brass; text-style: bold; }
        .staff--sign { color: $foreground; }
        .staff--note { color: $foreground; text-style: bold; }
        .staff--held { color: $faint; }
        .staff--rest { color: $faint; }
        .staff--slur { color: $faint; }
        .staff--length { color: $faint; }
        .staff--name { color: $faint; }
        .staff--position { color: $foreground; }
        .staff--alternate { color: $brass; text-style: bold underline; }
        .staff--left-out { color: $brass; text-style: bold; }
        .staff--own { color: $foreground; text-style: bold underline; }
        .staff--tongue { color: $faint; }
        .staff--tie { color: $brass; }
        .staff--full-breath { color: $air; text-style: bold; }
        .staff--catch-breath { color: $low; text-style: bold; }
        .staff--number { color: $faint; }
        .staff--now { color: $now-ink; background: $now; text-style: bold; }
        .staff--past { color: $line; }
        .staff--seam { color: $line; }
        .staff--waiting { color: $faint; }
        .staff--pointer { color: $brass; text-style: bold; }
        .staff--mark { color: $dry; text-style: bold; }
        .staff--proposed { color: $faint; text-style: bold; }
        .air--top-half { color: $air; }
        .air--low { color: $low; }
        .air--floor { color: $dry; }
        .air--track { color: $line; }
        .air--half { color: $line; }
    }
    """
