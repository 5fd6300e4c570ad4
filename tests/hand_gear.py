"""A choice of gear, made by hand."""

from __future__ import annotations

from coach.rehearsal.gear.gear_choice import ANY, GearChoice

SILENT = GearChoice("", ANY, "off", "", "", 0.0)
"""No sound at all; pedals work."""
