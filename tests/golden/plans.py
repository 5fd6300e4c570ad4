"""Write the plan of every etude as text, to be read aloud and kept.

Run ``uv run python -m tests.golden.plans`` after a change that is meant, read what
git shows as changed, with the horn in mind, and commit it with the change.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from coach.config import read_settings, read_shipped, shipped
from coach.edges.scores.score_files import read_part
from coach.plain.plan_table import plan_lines
from coach.planning.air.long_tones import LongTone, fit_flow
from coach.planning.air.lungs import measured
from coach.planning.air.winds import WindAir, air_of_wind
from coach.planning.breathing.passage import set_passage
from coach.planning.instrument.instrument import build_instrument
from coach.planning.performer import Performer
from coach.planning.phrasing.phrasing import phrase_ends
from coach.planning.plan import Plan, make_plan
from coach.score.phrase import Part
from tests.hand_made import part_of
from tests.hand_rehearsal import performer, plan_settings

FOLDER = Path(__file__).parent / "plans"
CAPACITY_L = 4.5
WIDTH = 100
LONG_RUN = FOLDER / "the-long-run.txt"

WINDS_L = 4.0
"""Lungs of those who play other winds: smaller than the trombonist's."""


def low_meadow() -> Part:
    """Write an oboe's slow song: sixteen bars slurred in twos to fours, twice."""
    song = (
        "C5q ~D5q ~C5q Bb4q A4q ~G4q ~A4h C5q ~D5q ~E5q F5q E5q ~D5q ~C5h "
        "Bb4q ~C5q ~D5q Bb4q A4q ~Bb4q ~C5q A4q G4q ~A4q ~Bb4q ~G4q A4w "
        "F5q ~E5q ~D5q C5q D5q ~C5q ~Bb4h C5q ~Bb4q ~A4q G4q A4q ~F4q ~C5h "
        "D5q ~E5q ~F5q G5q F5q ~E5q ~D5q C5q Bb4q ~A4q ~G4q ~E4q F4h. rq "
    )
    return part_of(song * 2, bpm=56, title="Low Meadow")


def swallows() -> Part:
    """Write a flute's study: four bars of sixteenths with one quarter, four times."""
    study = (
        "D5s F#5s A5s F#5s D5s F#5s A5s F#5s E5s G5s B5s G5s E5s G5s B5s G5s "
        "F#5s A5s D6s A5s F#5s A5s D6s A5s G5s B5s D6s B5s A5q "
        "B5s A5s G5s F#5s G5s F#5s E5s D5s C#5s D5s E5s F#5s G5s A5s B5s C#6s "
        "D6s C#6s B5s A5s B5s A5s G5s F#5s G5s E5s C#5s E5s D5e A4e "
    )
    return part_of(study * 4, bpm=92, title="Swallows")


WINDS = {"oboe": low_meadow, "flute": swallows}
"""Music of ours for winds that are no brass, by instrument."""


def wind_plan(name: str) -> Plan:
    """Plan what there is for a wind, with its own law of air."""
    part, settings = WINDS[name](), plan_settings()
    wind = read_settings(WindAir, "winds", name)
    instrument = build_instrument(name, read_shipped(f"instruments/{name}"))
    own = replace(settings, air=air_of_wind(settings.air, wind, WINDS_L))
    passage = set_passage(part, part.tempo.bpm, phrase_ends(part))
    return make_plan(passage, Performer(measured(WINDS_L), instrument, own))


def wind_text(plan: Plan) -> str:
    """Write a plan out, and below it what is said when."""
    said = (f"{said.bar}.{said.beat:g}  {said.say}" for said in plan.prompts)
    return text_of(plan) + "\n" + "\n".join(said) + "\n"


def long_run() -> Plan:
    """Plan the trade's own case: a long technical phrase with one longer note.

    Eight bars of sixteenths in pairs at 100, an eighth in bar 4; a player of 5.2 L
    whose F3 at mezzo-forte lasts 16 s.  What lies around D4 and F4 is played in third
    and fourth, so these two are best in fourth (common practice, no published source).
    """
    pairs = "D4s F4s D4s F4s Eb4s C4s Eb4s C4s Ab3s C4s Ab3s C4s G3s B3s D4s F4s "
    longer = "D4s F4s D4s F4s Eb4s C4s Eb4s C4s Ab3e C4s Ab3s G3s B3s D4s F4s "
    part = part_of(pairs * 3 + longer + pairs * 4, bpm=100, title="The Long Run")
    settings = plan_settings()
    player = measured(5.2)
    tone = LongTone(seconds=16.0, hertz=settings.air.reference_hz, loudness=0.0)
    scale = fit_flow([tone], player, settings.air).flow_scale
    passage = set_passage(part, part.tempo.bpm, phrase_ends(part))
    return make_plan(passage, performer(replace(player, flow_scale=scale)))


def etudes() -> list[Path]:
    """List the shipped etudes."""
    return sorted(shipped("etudes").glob("*.musicxml"))


def plan_text(path: Path) -> str:
    """Write out the plan of an etude at its goal tempo."""
    part = read_part(path)
    passage = set_passage(part, part.tempo.bpm, phrase_ends(part))
    plan = make_plan(passage, performer(measured(CAPACITY_L)))
    return text_of(plan)


def text_of(plan: Plan) -> str:
    """Write a plan out."""
    return "\n".join(plan_lines(plan, width=WIDTH)) + "\n"


def golden(path: Path) -> Path:
    """Name the file that keeps the plan of an etude."""
    return FOLDER / f"{path.stem}.txt"


def golden_wind(name: str) -> Path:
    """Name the file that keeps the plan of a wind."""
    return FOLDER / f"for-{name}.txt"


def main() -> None:
    """Write all plans anew."""
    FOLDER.mkdir(exist_ok=True)
    for path in etudes():
        golden(path).write_text(plan_text(path), encoding="utf-8")
    LONG_RUN.write_text(text_of(long_run()), encoding="utf-8")
    for name in WINDS:
        golden_wind(name).write_text(wind_text(wind_plan(name)), encoding="utf-8")


if __name__ == "__main__":
    main()
