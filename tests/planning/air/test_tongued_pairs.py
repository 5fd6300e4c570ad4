"""What two breaths of quick notes tell of a player's tongue."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.errors import ConfigError
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.tongued_pairs import TonguedPair, fit_stroke, stroke_of
from coach.planning.effort import effort_factor
from coach.planning.slide.slide import Articulation

AIR = read_settings(AirSettings, "air")


def seconds_of(begun: list[str], held_s: float, air: AirSettings) -> float:
    """Tell how long a breath lasts that would hold one long tone for so long."""
    factors = [effort_factor(one, 0.0, air.pair_note_s, air) for one in begun]
    return held_s * len(factors) / sum(factors)


@given(stroke_s=st.floats(0.001, 0.14), held_s=st.floats(8.0, 60.0))
def test_the_model_runs_out_of_both_breaths_when_the_player_did(
    stroke_s: float, held_s: float
) -> None:
    own = fit_stroke(
        TonguedPair(
            held_s / (1.0 + stroke_s / AIR.pair_note_s),
            held_s / (1.0 + stroke_s / 2.0 / AIR.pair_note_s),
        ),
        AIR,
    )
    assert own.tongue_stroke_s == pytest.approx(stroke_s, rel=1e-6)
    tongued = seconds_of([Articulation.TONGUED], held_s, own)
    twos = seconds_of([Articulation.TONGUED, Articulation.NATURAL_SLUR], held_s, own)
    pair = TonguedPair(tongued, twos)
    assert stroke_of(pair, AIR) == pytest.approx(stroke_s, rel=1e-6)
    soft = AIR.legato_stroke_s / AIR.tongue_stroke_s
    assert own.legato_stroke_s == pytest.approx(stroke_s * soft, rel=1e-6)


@pytest.mark.parametrize(
    ("tongued_s", "in_twos_s", "says"),
    [
        (14.0, 13.0, "a breath ends a little sooner"),
        (14.0, 14.0, "a breath ends a little sooner"),
        (7.0, 14.0, "do not go together"),
        (1.0, 14.0, "A breath of 1 s is not between 3 and 120 s"),
        (14.0, 500.0, "A breath of 500 s is not"),
    ],
)
def test_times_that_are_no_players_are_refused(
    tongued_s: float, in_twos_s: float, says: str
) -> None:
    with pytest.raises(ConfigError, match=says):
        fit_stroke(TonguedPair(tongued_s, in_twos_s), AIR)
