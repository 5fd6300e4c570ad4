"""Write the plan of every etude as text, to be read aloud and kept.

Run ``uv run python -m tests.golden.plans`` after a change that is meant, read what
git shows as changed, with the horn in mind, and commit it with the change.
"""

from __future__ import annotations

from pathlib import Path

from coach.config import shipped
from coach.edges.scores.score_files import read_part
from coach.plain.plan_table import plan_lines
from coach.planning.air.lungs import measured
from coach.planning.breathing.passage import set_passage
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.plan import make_plan
from tests.hand_rehearsal import performer

FOLDER = Path(__file__).parent / "plans"
CAPACITY_L = 4.5
WIDTH = 100


def etudes() -> list[Path]:
    """List the shipped etudes."""
    return sorted(shipped("etudes").glob("*.musicxml"))


def plan_text(path: Path) -> str:
    """Write out the plan of an etude at its goal tempo."""
    part = read_part(path)
    passage = set_passage(part, part.tempo.bpm, phrase_ends(part))
    plan = make_plan(passage, performer(measured(CAPACITY_L)))
    return "\n".join(plan_lines(plan, width=WIDTH)) + "\n"


def golden(path: Path) -> Path:
    """Name the file that keeps the plan of an etude."""
    return FOLDER / f"{path.stem}.txt"


def main() -> None:
    """Write all plans anew."""
    FOLDER.mkdir(exist_ok=True)
    for path in etudes():
        golden(path).write_text(plan_text(path), encoding="utf-8")


if __name__ == "__main__":
    main()
