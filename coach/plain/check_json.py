"""What was read of a page, as a dictionary for scripts."""

from __future__ import annotations

from typing import Any

from coach.score.page_facts import facts_of
from coach.score.phrase import Part

SCHEMA = 1
"""Goes up when a key changes its meaning."""


def check_as_dict(part: Part, fit: str) -> dict[str, Any]:
    """Lay out what was read; `fit` says how it does not fit the instrument, or not."""
    facts = facts_of(part)
    lowest, highest = facts.range
    return {
        "schema": SCHEMA,
        "etude": {"title": part.title, "file": part.source, "part": part.name},
        "bars": facts.bar_count,
        "first_bar": facts.bars[0],
        "last_bar": facts.bars[1],
        "notes": facts.note_count,
        "key": part.key_name,
        "fifths": part.bars[0].fifths,
        "keys": [{"bar": bar, "fifths": fifths} for bar, fifths in facts.keys],
        "clef": part.bars[0].clef,
        "clefs": [{"bar": bar, "clef": clef} for bar, clef in facts.clefs],
        "graces": {
            "notes": len(facts.grace_bars),
            "bars": sorted(set(facts.grace_bars)),
        },
        "metres": [{"bar": bar, "metre": name} for bar, name in facts.metres],
        "order": [{"from_bar": first, "to_bar": last} for first, last in facts.way],
        "tempo": {
            "bpm": part.tempo.bpm,
            "beat_quarters": float(part.tempo.beat),
            "guessed": part.is_tempo_guessed,
            "changes": [{"bar": bar, "bpm": bpm} for bar, bpm in facts.speeds],
        },
        "range": {"lowest": str(lowest), "highest": str(highest)},
        "fit": fit,
        "left_out": list(facts.left_out),
        "guessed": list(facts.guessed),
    }
