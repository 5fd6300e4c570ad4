"""Print many plans in a line or two each, to be read as a teacher would.

    uv run python -m tests.benchmarks.teachers_table

Lines of all kinds that a player meets, at a tempo and a loudness, for small and large
lungs.  For each: every breath as *bar.beat*, with the air before and after it, ``!``
for a gasp, ``r`` for one on a rest, the notes left out for it in brackets; then the
least air and whether it runs out.  No figure is a verdict: the reader gives it, in
``teachers_verdicts.toml``.  A plan that is not the one that was read is printed with
that one, and is to be read again.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator
from pathlib import Path

from coach.planning.air.lungs import measured
from coach.planning.breathing.breaths import Breath, BreathPlan, plan_breaths
from coach.planning.breathing.passage import set_passage
from coach.planning.phrasing.phrasing import phrase_ends
from coach.score.metre import Metre
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.planning.breathing.breath_oracle import who

VERDICTS = Path(__file__).with_name("teachers_verdicts.toml")
PERCENT = 100
WALTZ, JIG = Metre(3, 4), Metre(6, 8)

LINES: dict[str, tuple[str, float, Metre | None]] = {
    "sixteenths, unbroken": ("D4s F4s Eb4s C4s Bb3s D4s C4s A3s " * 16, 100, None),
    "sixteenths, an eighth each 4 bars": (
        ("D4s F4s Eb4s C4s Bb3s D4s C4s A3s " * 7 + "D4s F4s Eb4s C4s Bb3s D4s C4e ")
        * 3,
        100,
        None,
    ),
    "eighths, unbroken": ("F3e G3e A3e Bb3e C4e D4e C4e A3e " * 12, 132, None),
    "eighths, a quarter each 2 bars": (
        "F3e G3e A3e Bb3e C4e D4e C4e A3e Bb3e C4e A3e F3e G3e A3e Bb3q " * 6,
        120,
        None,
    ),
    "slow song": (
        "F3q. G3e A3q Bb3q C4h. A3q D4q. C4e Bb3q A3q G3w "
        "A3q. Bb3e C4q D4q Eb4h. C4q D4q C4e Bb3e A3q G3q Bb3w ",
        66,
        None,
    ),
    "slow song with rests": (
        "F3q G3q A3q Bb3q C4h rh D4q C4q Bb3q A3q G3h rh F3q A3q C4q Eb4q D4w ",
        60,
        None,
    ),
    "waltz": ("F3q A3q C4q D4h C4q Bb3q A3q G3q A3h. " * 6, 132, WALTZ),
    "jig": ("F3q. A3e G3e F3e C4q. D4e C4e A3e Bb3q. A3q. G3h. " * 5, 100, JIG),
    "march": (
        "F3e. F3s A3q C4q rq D4e. C4s Bb3q G3q rq F3q A3q G3q C4q F3h. rq " * 3,
        108,
        None,
    ),
    "high and long": ("F4h G4h A4h Bb4h A4h. G4q F4w Eb4h D4h F4w Bb4w ", 72, None),
    "low and long": ("F2h G2h A2h Bb2h A2h. G2q F2w G2h F2h E2w F2w ", 72, None),
    "slurred fours": ("F3e ~G3e ~A3e ~Bb3e C4e ~Bb3e ~A3e ~G3e " * 10, 96, None),
}
"""Notes, beats a minute and metre, by what they are."""

PLAYERS = ((3.2, 0.0), (4.8, 0.0), (4.8, 2.0), (6.5, -2.0))
"""Litres, and steps louder than mezzo-forte."""


def rows() -> Iterator[str]:
    """Plan every line for every player, and say what was said of that."""
    said = tomllib.loads(VERDICTS.read_text(encoding="utf-8"))
    for name, (words, bpm, metre) in LINES.items():
        part = (
            part_of(words, bpm=bpm)
            if metre is None
            else part_of(words, bpm=bpm, metre=metre)
        )
        ends = phrase_ends(part)
        yield f"{name}, {bpm:.0f}, {len(part.notes)} notes"
        for litres, steps in PLAYERS:
            passage = set_passage(part, bpm, ends).louder(steps)
            plan = plan_breaths(passage, who(measured(litres)))
            player, row = f"{litres} L, {steps:+.0f}", _row(part, plan)
            read = said[name][player]
            yield f"   {player}: {row}"
            is_known = row == read["read"]
            yield f"      {read['verdict'] if is_known else 'ANEW; was ' + read['read']}"


def _row(part: Part, plan: BreathPlan) -> str:
    """Write a plan in one line."""
    breaths = "  ".join(_breath(part, breath) for breath in plan.breaths) or "no breath"
    out = plan.runs_out
    end = "" if out is None else f"; RUNS OUT in bar {part.notes[out].bar}"
    return f"{breaths}; least {plan.lowest_air * PERCENT:.0f}%{end}"


def _breath(part: Part, breath: Breath) -> str:
    """Write one breath in a few signs."""
    note = part.notes[breath.after_note]
    signs = "!" * breath.is_gasp + "r" * breath.is_on_rest
    left_out = " ".join(str(part.notes[k].sounding) for k in breath.left_out)
    air = f"{breath.air_before * PERCENT:.0f}-{breath.air_after * PERCENT:.0f}"
    return f"{note.bar}.{float(note.beat):g}{signs} {air}" + (
        f" [{left_out}]" if left_out else ""
    )


if __name__ == "__main__":
    for row in rows():
        print(row)
