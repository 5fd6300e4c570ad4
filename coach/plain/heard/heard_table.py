"""What was heard of a run as lines of text that a player reads at a glance.

A line for each stretch, not for each note: what, where, how much; then what to do.
"""

from __future__ import annotations

from coach.planning.plan import Plan
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.heard_findings import find_all
from coach.rehearsal.hearing.heard_words import (
    say_breaths,
    say_doubts,
    say_evenness,
    say_found,
    say_next,
)
from coach.rehearsal.hearing.telling_settings import TellingSettings


def heard_lines(plan: Plan, heard: Heard, settings: TellingSettings) -> list[str]:
    """Write out what was heard, what makes it unsure, and what to do next."""
    findings = find_all(plan, heard, settings)
    what = max((len(finding.what) for finding in findings), default=0)
    where = max((len(finding.where) for finding in findings), default=0)
    lines = [say_found(heard)]
    lines += [f"! {doubt}" for doubt in say_doubts(plan, heard)]
    lines.append("")
    lines += [
        f"{one.what:{what}}  {one.where:{where}}  {one.amount}".rstrip()
        for one in findings
    ] or ["Nothing went wrong that could be heard."]
    lines += ["", f"Breaths: {say_breaths(plan, heard)}."]
    evenness = say_evenness(heard, settings)
    if evenness:
        lines.append(f"Evenness: {evenness}.")
    if abs(heard.tuning_cents) >= 1:
        way = "sharp" if heard.tuning_cents > 0 else "flat"
        lines.append(f"Tuning: {abs(heard.tuning_cents):.0f} cents {way} of A 440.")
    return [*lines, f"Next: {say_next(plan, heard, settings)}"]
