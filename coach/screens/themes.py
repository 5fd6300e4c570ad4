"""Three sets of colours: by lamplight, on paper, on a dark stage.

State is always shown by shape and words too.  The colours of air and marks are the
Okabe-Ito set, which people with the common kinds of colour blindness can tell apart
(M. Okabe & K. Ito, "Color Universal Design", 2008).
"""

from __future__ import annotations

from textual.theme import Theme

OWN = "lamplight"

LAMPLIGHT = Theme(
    name="lamplight",
    primary="#D9A766",
    secondary="#8C7A5E",
    accent="#E8C58A",
    warning="#E69F00",
    error="#D55E00",
    success="#009E73",
    foreground="#F1ECDA",
    background="#15171C",
    surface="#1C1F26",
    panel="#262A33",
    dark=True,
    variables={
        "air": "#56B4E9",
        "air-spent": "#2F6A8C",
        "low": "#E69F00",
        "low-spent": "#8F6410",
        "dry": "#D55E00",
        "dry-spent": "#8A3E06",
        "track": "#23262E",
        "line": "#4A4E5A",
        "faint": "#8B8678",
        "brass": "#D9A766",
        "now": "#3A3424",
        "now-ink": "#FFF3D6",
    },
)

PAPER = Theme(
    name="paper",
    primary="#7A4E12",
    secondary="#7C7160",
    accent="#8A5A14",
    warning="#9A6300",
    error="#B04A00",
    success="#00694C",
    foreground="#1F1B14",
    background="#F4EEE0",
    surface="#ECE4D2",
    panel="#E0D6C0",
    dark=False,
    variables={
        "air": "#0072B2",
        "air-spent": "#6FA9CF",
        "low": "#C47F00",
        "low-spent": "#DDB36A",
        "dry": "#B04A00",
        "dry-spent": "#D98F5E",
        "track": "#E0D6C0",
        "line": "#B5AA94",
        "faint": "#766C5A",
        "brass": "#7A4E12",
        "now": "#FFE2A0",
        "now-ink": "#000000",
    },
)

STAGE = Theme(
    name="stage",
    primary="#FFC857",
    secondary="#BBBBBB",
    accent="#FFC857",
    warning="#FFB000",
    error="#FF7A1A",
    success="#2FD6A3",
    foreground="#FFFFFF",
    background="#000000",
    surface="#0A0A0A",
    panel="#1C1C1C",
    dark=True,
    variables={
        "air": "#66CCFF",
        "air-spent": "#2F7FA8",
        "low": "#FFB000",
        "low-spent": "#9C6C00",
        "dry": "#FF7A1A",
        "dry-spent": "#A34A06",
        "track": "#1C1C1C",
        "line": "#6A6A6A",
        "faint": "#BBBBBB",
        "brass": "#FFC857",
        "now": "#5A4A1A",
        "now-ink": "#FFFFFF",
    },
)

THEMES = (LAMPLIGHT, PAPER, STAGE)
