"""How well an ear heard: what it told against what is known to have been played.

Onsets are scored note by note, by the page's own index: a note counts as found within
a window when the ear gives its onset there.  F1 weighs notes found against all that
were played and all that were told.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace

import mir_eval.onset
import numpy as np

from coach.rehearsal.hearing.due_part import DuePart
from coach.rehearsal.hearing.heard import Heard
from coach.rehearsal.hearing.judging.evenness import find_evenness
from coach.rehearsal.hearing.judging.judging_settings import SoundSettings
from tests.hearing_room.players import Played

LINE_S = 0.04
NEAR_LINE_S = 0.01


@dataclass
class Score:
    """Sums over takes."""

    played: int = 0
    told: int = 0
    at_50: int = 0
    at_25: int = 0
    tongued: list[float] = field(default_factory=list)
    slurred: list[float] = field(default_factory=list)
    rush: list[int] = field(default_factory=lambda: [0, 0, 0])
    """Right, told, true."""
    drag: list[int] = field(default_factory=lambda: [0, 0, 0])
    breaths: list[int] = field(default_factory=lambda: [0, 0])
    """Found, true."""
    gaps: list[int] = field(default_factory=lambda: [0, 0])
    """Right, told."""
    breath_lengths: list[float] = field(default_factory=list)
    dropped: list[int] = field(default_factory=lambda: [0, 0])
    false_missed: int = 0
    wrong: list[int] = field(default_factory=lambda: [0, 0])
    false_wrong: int = 0
    ran_out: list[int] = field(default_factory=lambda: [0, 0])
    false_ran_out: int = 0
    """Told where nothing gave out, or more than a beat from where it did."""
    late: list[int] = field(default_factory=lambda: [0, 0, 0])
    levels: list[float] = field(default_factory=list)
    spreads: list[float] = field(default_factory=list)
    slopes: list[float] = field(default_factory=list)
    cents: list[float] = field(default_factory=list)
    ghosts: list[int] = field(default_factory=lambda: [0, 0])
    """Told, of notes never played after a stop."""
    by_time: list[float] = field(default_factory=list)
    """F1 at 50 ms of each take by mir_eval, which matches by time alone."""
    confidences: list[float] = field(default_factory=list)
    refused: list[str] = field(default_factory=list)

    def add(
        self,
        heard: Heard,
        played: Played,
        due: DuePart,
        levels_db: dict[int, float],
        settings: SoundSettings,
    ) -> None:
        """Add one take."""
        true = {note.note: note for note in played.notes}
        told = {k: n for k, n in enumerate(heard.notes) if n.heard is not None}
        self.played += len(true)
        self.told += len(told)
        level_errors = []
        for k, note in true.items():
            if k not in told:
                continue
            error = float(told[k].heard or 0.0) - note.on
            self.at_50 += abs(error) <= 0.05
            self.at_25 += abs(error) <= 0.025
            if abs(error) <= 0.05:
                (self.slurred if note.is_slurred else self.tongued).append(error)
            self._add_side(self.rush, -1, told[k].behind, note.on - due.notes[k].due)
            self._add_side(self.drag, 1, told[k].behind, note.on - due.notes[k].due)
            level_errors.append(float(told[k].level_db or 0.0) - levels_db[k])
            if k not in played.wrong:
                self.cents.append(
                    float(told[k].cents or 0.0) + heard.tuning_cents - note.cents
                )
        if level_errors:
            middle = np.median(level_errors)
            self.levels += [abs(float(e - middle)) for e in level_errors]
        self._add_breaths(heard, played)
        self._add_faults(heard, played, float(due.beat))
        self._add_evenness(heard, due, levels_db, settings)
        self.confidences.append(heard.confidence)
        lead = 10.0  # mir_eval takes no times below 0
        self.by_time.append(
            mir_eval.onset.f_measure(
                np.array(sorted(note.on + lead for note in played.notes)),
                np.array(sorted(float(n.heard or 0.0) + lead for n in told.values())),
                window=0.05,
            )[0]
        )

    def _add_side(
        self, side: list[int], sign: int, told: float | None, true: float
    ) -> None:
        """Count a note on one side of the line, unless nobody can say."""
        if abs(sign * true - LINE_S) <= NEAR_LINE_S:
            return
        is_true, is_told = sign * true > LINE_S, sign * (told or 0.0) > LINE_S
        side[0] += is_true and is_told
        side[1] += is_told
        side[2] += is_true

    def _add_breaths(self, heard: Heard, played: Played) -> None:
        """Count breaths."""
        told = {breath.after_note: breath for breath in heard.breaths}
        true = {after: (start, end) for after, start, end in played.breaths}
        self.breaths[0] += len(told.keys() & true.keys())
        self.breaths[1] += len(true)
        self.gaps[0] += len(told.keys() & true.keys())
        self.gaps[1] += len(told)
        for after in told.keys() & true.keys():
            start, end = true[after]
            length = float(told[after].end) - float(told[after].start)
            self.breath_lengths.append(length - (end - start))

    def _add_faults(self, heard: Heard, played: Played, beat_s: float) -> None:
        """Count missing, wrong and late notes, and where the air was gone."""
        unplayed = set(played.unplayed)
        told = {k for k, note in enumerate(heard.notes) if note.heard is not None}
        self.dropped[0] += sum(k not in told for k in played.dropped)
        self.dropped[1] += len(played.dropped)
        self.false_missed += len(set(heard.missed) - set(played.dropped) - unplayed)
        self.wrong[0] += len(set(heard.wrong) & set(played.wrong))
        self.wrong[1] += len(played.wrong)
        self.false_wrong += len(set(heard.wrong) - set(played.wrong))
        self.ghosts[0] += len(told & unplayed)
        self.ghosts[1] += len(unplayed)
        late = {entry.note for entry in heard.late_after_breath}
        self.late[0] += len(late & set(played.late_entries))
        self.late[1] += len(late)
        self.late[2] += len(played.late_entries)
        told_out = None if heard.ran_out is None else float(heard.ran_out.at)
        true_out = None if played.ran_out is None else played.ran_out[1]
        self.ran_out[1] += true_out is not None
        if told_out is None:
            return
        if true_out is not None and abs(told_out - true_out) <= beat_s:
            self.ran_out[0] += 1
        else:
            self.false_ran_out += 1

    def _add_evenness(
        self,
        heard: Heard,
        due: DuePart,
        levels_db: dict[int, float],
        settings: SoundSettings,
    ) -> None:
        """Hold evenness against that of the dry sound, to which no room adds."""
        true_levels = [levels_db.get(k) for k in range(len(due.notes))]
        true = find_evenness(due, true_levels, replace(settings, room_spread_db=0.0))
        if true is not None and heard.evenness is not None:
            self.spreads.append(heard.evenness.spread_db - true.spread_db)
            self.slopes.append(heard.evenness.slope_db_per_s - true.slope_db_per_s)

    def f1(self, hits: int) -> float:
        """Give the F1 of so many notes found."""
        return 2 * hits / max(1, self.played + self.told)

    def row(self) -> str:
        """Say all of it in one line."""

        def ms(errors: list[float]) -> str:
            if not errors:
                return "-"
            e = np.array(errors) * 1000
            return (
                f"{np.median(e):+.1f}/{np.median(np.abs(e)):.1f}"
                f"/{np.percentile(np.abs(e), 95):.0f}"
            )

        def pr(side: list[int]) -> str:
            return f"{side[0] / max(1, side[1]):.3f}/{side[0] / max(1, side[2]):.3f}"

        lengths = np.array(self.breath_lengths or [0.0]) * 1000
        return (
            f"F1@50 {self.f1(self.at_50):.4f} F1@25 {self.f1(self.at_25):.4f}"
            f" by time alone {np.mean(self.by_time or [0]):.4f}"
            f" | tongued bias/med/p95 {ms(self.tongued)} slurred {ms(self.slurred)}"
            f" | lost {self.played - len(self.tongued) - len(self.slurred)}"
            f" of {self.played}"
            f" | rush P/R {pr(self.rush)} drag {pr(self.drag)}"
            f" | breaths {self.breaths[0]}/{self.breaths[1]}"
            f" gaps right {self.gaps[0]}/{self.gaps[1]}"
            f" length bias {np.median(lengths):+.0f}"
            f" within 50 ms {np.mean(np.abs(lengths) <= 50):.2f}"
            f" | dropped {self.dropped[0]}/{self.dropped[1]}"
            f" falsely missed {self.false_missed}"
            f" wrong {self.wrong[0]}/{self.wrong[1]} falsely {self.false_wrong}"
            f" | late entries {pr(self.late)}"
            f" | ran out {self.ran_out[0]}/{self.ran_out[1]}"
            f" falsely {self.false_ran_out}"
            f" | level med err {np.median(self.levels or [0]):.2f} dB"
            f" spread err {np.median(np.abs(self.spreads or [0])):.2f}"
            f" max {np.max(np.abs(self.spreads or [0])):.2f}"
            f" slope err {np.median(np.abs(self.slopes or [0])):.2f} dB/s"
            f" | cents med err {np.median(np.abs(self.cents or [0])):.1f}"
            f" | ghosts {self.ghosts[0]}/{self.ghosts[1]}"
            f" | confidence {np.mean(self.confidences or [0]):.2f}"
            f" | refused {self.refused}"
        )
