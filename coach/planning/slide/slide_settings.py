"""What is weighed in choosing positions and articulation."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SlideSettings:
    """The keys of ``config/slide.toml``."""

    dial_share: float
    """Where the dial stands unless the player moves it, 0 to 1."""

    least_dial_share: float
    """Further down than this the dial restrains no more."""

    acceleration_mps2: float
    """Greatest acceleration of the arm in good order."""

    limit_mps2: float
    """Greatest acceleration in a slur that nobody wrote, or to a grace."""

    swing_limit_mps2: float
    """Greatest acceleration of an arm that swings from note to note."""

    move_share: float
    """Share of the note before that the arm may use for its move."""

    still_cm: float
    """A smaller move is a correction, not a move."""

    travel_per_cm_weight: float
    """Cost of a centimetre."""

    break_share: float
    """What travel weighs across a rest or a breath."""

    turn_weight: float
    """Cost of the arm turning round."""

    hurry_weight: float
    """Cost for each time over that the arm needs more time than it has."""

    finger_weight: float
    """Cost of a valve that goes down or up."""

    out_of_tune_per_cents_weight: float
    """Cost of a cent."""

    soonest_s: float
    """No two notes are counted closer together than this."""

    quick_s: float
    """Notes this quick feel every stroke and move in full."""

    quick_most_factor: float
    """How much more quicker ones can feel it."""

    stroke_weight: float
    """Cost of a stroke of the tongue."""

    legato_weight: float
    """Cost of a soft stroke where the page slurs."""

    smear_weight: float
    """Added where the soft stroke has to hide a smear."""

    no_glide_weight: float
    """Cost of a written glissando that is made otherwise than by the slide."""

    skip_weight: float
    """Cost of each partial that a slur leaps over."""

    alternate_weight: float
    """Threshold of an alternate, with the dial in the middle."""

    threshold_quick_s: float
    """Among notes quicker than this it grows as strokes and moves do."""

    rare_weight: float
    """Added for one that is seldom taught, with the dial in the middle."""

    taught_sum_partials: int
    """Position and partial together, beyond `far_from_cm`, of what is still taught."""

    farthest_alternate_cm: float
    """Further out than this an alternate is used only where it is insisted on."""

    rare_partials: tuple[int, ...]
    """An alternate on one of these is used only where it is insisted on."""

    far_from_cm: float
    """An alternate further out than this begins to sound and feel worse."""

    far_per_cm_weight: float
    """Cost of a centimetre that it lies further out than that."""

    unwritten_weight: float
    """Cost of a slur that the page does not write, with the dial in the middle."""

    strong_weight: float
    """Added where it leads to a strong note."""

    exception_weight: float
    """Cost of a note tongued where its passage slurs."""

    switch_weight: float
    """Cost of a passage begun in another manner than the one before."""

    slowest_free_s: float
    """Notes slower than this are begun as the page has them."""

    slur_speed_mps: float
    """Greatest mean speed of the arm in a slur that nobody wrote or to a grace."""

    leave_weight: float
    """Cost of a pitch played in another place than just before."""

    leave_tongued_weight: float
    """The same in a passage that is tongued throughout."""

    leave_notes: int
    """How many notes ago counts as just before."""

    longest_figure_notes: int
    """Notes in the longest figure that is looked for right after itself."""
