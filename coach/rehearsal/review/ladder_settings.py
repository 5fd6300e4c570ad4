"""The numbers of the ladder: the keys of ``[ladder]`` in ``config/rehearsal.toml``."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LadderSettings:
    """When to move on."""

    start_share: float
    """First tempo, as a share of the goal."""

    promote_runs: int
    """Clean runs in a row before a faster tempo."""

    demote_runs: int
    """Failed runs in a row before a slower one."""

    breathe_runs: int
    """Of the failed runs in a row, so many that ran out in the same bar ask for another
    breath; twice as many for a faster tempo, thrice for a smaller part."""

    ran_out_again_runs: int
    """So many runs that ran out in one and the same bar ..."""

    ran_out_among_runs: int
    """... among so many newest ones ask for one more breath before it."""

    learned_days_count: int
    """What is clean at the goal on so many days is left alone for a while."""

    room_up_to_share: float
    """Up to this share of the goal, runs short of breath ask for room to breathe."""

    room_runs: int
    """Clean runs in a row before half of that room is taken away, and the rest."""

    most_wary_runs: int
    """Each time that a faster tempo was given up it takes a clean run more to try it
    again; so many more at most."""

    falls_a_day_count: int
    """After so many moves down in a day a smaller part is tried, or it is left."""

    settle_runs: int
    """A faster tempo that fails within so many runs, in one and the same bar or after
    it was given up before, sends to the part in the way, at the same tempo."""

    never_clean_notches_count: int
    """Notches of a move down as long as nothing of the etude was clean at all."""

    near_goal_share: float
    """From this share of the goal on ..."""

    near_goal_runs: int
    """... so many clean runs in a row are enough before a faster tempo."""

    smooth_runs: int
    """Clean runs in a row before a faster tempo, as long as no run has failed."""

    smooth_notches_count: int
    """Notches of a move up as long as no run has failed ..."""

    smooth_up_to_share: float
    """... up to this share of the goal."""

    trial_notches_count: int
    """One run more notches above than this is a trial and moves nothing."""

    most_over_goal_share: float
    """Keys raise the tempo up to so many times the goal; what fails above that tells
    nothing of where the bars stand."""

    goal_try_share: float
    """From this share of the goal on, the goal itself is tried now and then."""

    goal_try_runs: int
    """So many runs of the etude lie between two such tries."""

    notch_lost_days: float
    """After so many days away one begins a notch slower, and so on."""

    most_notches_count: int
    """Notches lost so at most."""

    is_joined_from_end: bool
    """Parts are joined from the end of a page to its beginning."""

    pace_window_s: float
    """A pace is taken over so long."""

    elsewhere_runs: int
    """So many of the newest runs tell what is clean in other etudes."""

    elsewhere_least_notes_count: int
    """A run of fewer notes tells nothing of other etudes."""

    elsewhere_near_share: float
    """What went wrong at more than so many times the pace that is clean says nothing
    of where the limit is."""

    elsewhere_floor_share: float
    """However slow other etudes are, a first tempo is no slower than this share of the
    goal for that."""

    most_notes_ahead_count: int
    """Longer stretches are not planned ahead for advice."""

    block_s: float
    """Time on the same segment before another is played."""

    rest_after_s: float
    """Time of a rehearsal without a rest before one is due."""

    rest_s: float
    """A pause this long is a rest."""

    rehearsal_pause_s: float
    """A pause this long ends a rehearsal."""
