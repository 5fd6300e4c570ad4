"""Write what belongs to the notes of a staff: names, positions, tongue and breaths.

What is put in brackets may be left away: a note that is left out to breathe stands in
square ones, an optional breath in round ones.  What the player has changed by hand has
a sign of its own, also before a plan was made for it.
"""

from __future__ import annotations

from bisect import bisect_left

from coach.planning.breath_place import ROUNDING
from coach.planning.breathing.breaths import Breath
from coach.planning.edits import Edits
from coach.planning.plan import NOTHING_CHANGED, Plan
from coach.planning.slide.slide import Articulation
from coach.score.note import Pitch
from coach.score.phrase import Part
from coach.score.tempo import Beats
from coach.screens.signs import Signs
from coach.screens.staff.staff_lines import Placed, StaffLine
from coach.screens.staff.staff_slots import name_of
from coach.screens.staff.terminal_rows import StaffRows
from coach.screens.widgets.sheet import Sheet

LEFT_OUT = "staff--left-out"
OWN = "staff--own"


class StaffWords:
    """Writes into a sheet what stands over and under a line of notes.

    Parameters
    ----------
    plan : Plan or None
        What is decided; None before there is a plan.
    edits : Edits
        What the player insists on, counted from the part's first note.
    """

    def __init__(
        self,
        part: Part,
        plan: Plan | None,
        signs: Signs,
        edits: Edits = NOTHING_CHANGED,
    ) -> None:
        self.part = part
        self.plan = plan
        self.signs = signs
        self._own_positions = dict(edits.positions)
        locks = edits.locks
        self._own_left_out = locks.left_out
        self._own_breaths = locks.must
        self._refused = locks.must_not
        self._kept = locks.kept
        self._wished_at = frozenset(self._own_positions).union(
            locks.left_out, locks.must, locks.must_not, locks.kept
        )
        breaths = plan.breaths.breaths if plan else ()
        self._breaths = {
            breath.after_note: breath
            for breath in breaths
            if breath.after_note not in locks.must_not
        }
        left_out = plan.breaths.left_out if plan else ()
        self._left_out = frozenset(left_out) - locks.kept | locks.left_out

    def wishes_on(self, line: StaffLine) -> tuple[tuple[object, ...], ...]:
        """Give what the player insists on in a line: whatever of it is drawn there."""
        return tuple(
            (
                note,
                self._own_positions.get(note),
                note in self._own_left_out,
                note in self._own_breaths,
                note in self._refused,
                note in self._kept,
            )
            for note in sorted(self._wished_at)
            if any(placed.slot.note == note for placed in line.places)
        )

    def is_left_out(self, note: int | None) -> bool:
        """Tell whether a note is left out to breathe."""
        return note in self._left_out

    def draw_note_words(
        self, sheet: Sheet, x: int, rows: StaffRows, placed: Placed
    ) -> None:
        """Write what belongs to a note: its name, its position, that it is kept."""
        slot = placed.slot
        if slot.note is None:
            return
        head = x + slot.head
        note = self.part.notes[slot.note]
        if rows.names is not None:
            name = self._name(note.written, rows)
            if self.is_left_out(slot.note):
                sheet.put(head - 1, rows.names, f"[{name}]", LEFT_OUT)
            else:
                style = "staff--name" if rows.has_staff else "staff--note"
                sheet.put(head, rows.names, name, style)
        if self.plan is not None:
            self._draw_placement(sheet, head, rows, slot.note)
        if rows.breaths is not None and slot.note in self._kept:
            sheet.put(x, rows.breaths, self.signs.locked, OWN)

    def draw_breath(
        self, sheet: Sheet, x: int, rows: StaffRows, placed: Placed
    ) -> None:
        """Draw the breath that begins in a note, or in the held rest of one."""
        note = placed.slot.note
        if rows.breaths is None or note is None:
            return
        if placed.slot.at == self._breath_slot(note):
            self._draw_breath(sheet, x + placed.width, rows.breaths, note)

    def _breath_slot(self, k: int) -> Beats:
        """Tell where the slot begins that has the breath after a note.

        A held note has a slot for each bar; what nobody has timed is at its end.
        """
        note, where = self.part.notes[k], float(self.part.notes[k].end)
        breath = self._breaths.get(k)
        if breath is not None and self.plan is not None:
            where = self.plan.tempo_map.beats_at(breath.start)
        bars = self.part.bars
        begun = bisect_left(bars, where - ROUNDING, key=lambda bar: float(bar.onset))
        return max(note.onset, bars[max(0, begun - 1)].onset)

    def _name(self, pitch: Pitch, rows: StaffRows) -> str:
        """Name a note; with its octave where it stands for the staff."""
        name = name_of(pitch)
        if self.signs.is_plain:
            name = name.replace("♭", "b").replace("♯", "#")
        return name if rows.has_staff else name + str(pitch.octave)

    def _draw_placement(
        self, sheet: Sheet, head: int, rows: StaffRows, note: int
    ) -> None:
        """Write the position; an alternate stands in brackets."""
        if rows.positions is None or self.plan is None:
            return
        placement = self.plan.slide.placements[note]
        chosen = self._own_positions.get(note, placement.label)
        label = say_label(chosen, self.signs)
        locked = self.signs.locked
        if self.is_left_out(note):
            own = locked if note in self._own_left_out else ""
            sheet.put_right(head + 2, rows.positions, f"{own}[{label}]", LEFT_OUT)
        elif label and note in self._own_positions:
            sheet.put_right(head + 1, rows.positions, locked + label, OWN)
        elif label and placement.is_alternate:
            sheet.put(head - 1, rows.positions, f"({label})", "staff--alternate")
        elif label:
            sheet.put_right(head + 1, rows.positions, label, "staff--position")

    def draw_begins(self, sheet: Sheet, x: int, y: int, line: StaffLine) -> None:
        """Draw how each note is begun: a stroke, or a tie from the note before."""
        if self.plan is None:
            return
        signs = self.signs
        before = x - 1
        for placed in line.places:
            if placed.slot.kind != "note" or placed.slot.note is None:
                continue
            head = x + placed.head
            begun = self.plan.slide.articulations[placed.slot.note]
            if begun is Articulation.TONGUED:
                sheet.put(head, y, signs.tongue, "staff--tongue")
            elif begun is Articulation.LEGATO_TONGUED:
                sheet.put(head, y, signs.soft_tongue, "staff--tongue")
            elif begun is not Articulation.LEFT_OUT:
                link = head - before - 1
                sheet.put(before + 1, y, signs.tie[0] * link, "staff--tie")
                sheet.put(head, y, signs.tie[1], "staff--tie")
            before = head

    def _draw_breath(self, sheet: Sheet, x: int, y: int, note: int) -> None:
        """Draw the breath after a note: its sign, and how long it lasts.

        One that the player refuses has a sign too.
        """
        breath = self._breaths.get(note)
        if note in self._refused:
            sheet.put_right(x, y, self.signs.forbidden, "staff--mark")
        elif breath is not None:
            style = OWN if breath.is_locked else _style_of(breath)
            words = say_breath(breath, self.signs)
            if sheet.text(y)[max(0, x - len(words)) : x].strip():
                words = say_sign(breath, self.signs)  # something stands before it
            sheet.put_right(x, y, words, style)
        elif note in self._own_breaths:
            signs = self.signs
            sheet.put_right(x, y, signs.locked + signs.full_breath, OWN)


def _style_of(breath: Breath) -> str:
    """Tell the style of a planned breath."""
    return "staff--full-breath" if breath.kind == "full" else "staff--catch-breath"


def say_breath(breath: Breath, signs: Signs) -> str:
    """Write a breath: how long, whether it is the player's own, and its sign."""
    return _bracketed(breath, f"{breath.gap:.1f}{_own_sign(breath, signs)}")


def say_sign(breath: Breath, signs: Signs) -> str:
    """Write a breath where there is no room to say how long it is."""
    return _bracketed(breath, _own_sign(breath, signs))


def _bracketed(breath: Breath, words: str) -> str:
    """Put an optional breath in brackets, unless it is the player's own."""
    return f"({words})" if breath.is_optional and not breath.is_locked else words


def _own_sign(breath: Breath, signs: Signs) -> str:
    """Give the sign of a breath, behind that of the player's own or of an extra one."""
    sign = signs.full_breath if breath.kind == "full" else signs.catch_breath
    if breath.is_locked:
        return signs.locked + sign
    return signs.extra + sign if breath.is_extra else sign


def say_label(label: str, signs: Signs) -> str:
    """Write a position as a player does: lowered and raised with their signs."""
    return label.replace("b", signs.flat).replace("#", signs.sharp)
