"""What sizes of terminal screens tell apart: ``.tcss`` files say what each leaves out.

A style class holds from so many columns or rows on.
"""

from __future__ import annotations

WIDTHS = [(0, "-narrow"), (72, "-medium"), (110, "-wide")]
"""By columns."""

HEIGHTS = [(0, "-low"), (22, "-middling"), (34, "-tall"), (50, "-huge")]
"""By rows."""
