"""Flow against published anchors; hairpins, tongue and arm; what a breath gives."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.errors import ConfigError
from coach.planning.air.air import (
    NoteAir,
    air_of,
    flow_lps,
    refill,
    sounding_share,
    still_empty,
    time_to_fill,
)
from coach.planning.air.air_settings import AirSettings
from coach.planning.air.lungs import measured
from coach.score.note import Note
from tests.hand_made import part_of

AIR = read_settings(AirSettings, "air")
PLAYER = measured(5.0)


def note_of(word: str, **changes: object) -> Note:
    return replace(part_of(word).notes[0], **changes)  # type: ignore[arg-type]


class TestFlow:
    @pytest.mark.parametrize(
        ("hertz", "loudness", "low", "high"),
        [
            # Fréour, Caussé & Cossette 2010: trumpet, averages of earlier studies.
            (233.0, 1.0, 0.18, 0.63),
            # The same: low fortissimo, a peak of up to 0.95 L/s.
            (185.0, 2.0, 0.63, 0.95),
            # Jacobs and Burrows, in Frederiksen 1996: trumpet very high, 0.167 L/s.
            (1046.5, 1.0, 0.167, 0.167),
            # The same: trumpet low register, 0.42 to 0.50 L/s.
            (220.0, 1.0, 0.42, 0.50),
            # The same: tuba at full volume, well above 2 L/s.
            (55.0, 3.0, 2.0, 3.0),
            # The same: tuba as soft as possible, 0.117 L/s.
            (116.5, -3.0, 0.117, 0.117),
        ],
    )
    def test_the_published_anchors_lie_inside_the_spread_between_players(
        self, hertz: float, loudness: float, low: float, high: float
    ) -> None:
        """Players differ by a factor of 0.6 to 1.6; no anchor is a trombone's."""
        flow = flow_lps(hertz, loudness, AIR)
        assert low <= 1.6 * flow
        assert 0.6 * flow <= high

    @pytest.mark.parametrize("litres", [4.5, 5.26])
    def test_a_trained_player_holds_f3_for_about_fifteen_seconds(
        self, litres: float
    ) -> None:
        """Common practice, no published source: 13 to 20 s with average lungs.

        5.26 L is the median of men of 30 and 180 cm (GLI Global 2022), 4.5 L that of
        tall women and of older men.
        """
        blown = (AIR.full_share - AIR.empty_share) * litres
        assert 13.0 <= blown / flow_lps(AIR.reference_hz, 0.0, AIR) <= 20.0

    def test_low_loud_notes_need_far_more_than_high_soft_ones(self) -> None:
        """Direction: Uniarts Helsinki, wind acoustics teaching pages."""
        assert flow_lps(82.4, 2.0, AIR) > 8 * flow_lps(349.2, -2.0, AIR)

    def test_no_note_takes_less_than_the_floor(self) -> None:
        assert flow_lps(1000.0, -6.0, AIR) == AIR.floor_lps


class TestNotes:
    def test_a_steady_note_uses_flow_times_time(self) -> None:
        used = air_of(note_of("F3h"), 2.0, PLAYER, AIR).used_l(2.0)
        assert used == pytest.approx(flow_lps(174.614, 0.0, AIR) * 2.0, rel=1e-4)

    @given(
        st.floats(-4.0, 3.0), st.floats(-4.0, 3.0), st.floats(0.1, 9.0), st.floats(0, 1)
    )
    def test_a_hairpin_is_followed_exactly(
        self, start: float, end: float, seconds: float, part: float
    ) -> None:
        """Held to a sum over many thin slices, floor and all."""
        note = note_of("F4h", loud_start=start, loud_end=end)
        air = air_of(note, seconds, PLAYER, AIR)
        slices = 2000
        until = seconds * part
        thin = until / slices
        summed = sum(
            flow_lps(
                note.sounding.hertz,
                start + (end - start) * ((k + 0.5) * thin / seconds),
                AIR,
            )
            * thin
            for k in range(slices)
        )
        assert air.used_l(until) == pytest.approx(summed, rel=1e-4, abs=1e-9)

    def test_a_crescendo_takes_more_at_its_end(self) -> None:
        air = air_of(note_of("F3w", loud_end=3.0), 4.0, PLAYER, AIR)
        assert air.used_l(4.0) - air.used_l(2.0) > 1.5 * air.used_l(2.0)

    def test_no_air_goes_before_it_starts_or_after_it_stops(self) -> None:
        air = NoteAir(0.4, 0.0, 0.1, 1.0)
        assert air.used_l(-1.0) == 0.0
        assert air.used_l(5.0) == air.used_l(1.0) == pytest.approx(0.4)

    @pytest.mark.parametrize(
        ("signs", "share"),
        [
            ((), 1.0),
            (("tenuto",), 1.0),
            (("staccato",), 0.5),
            (("staccato", "accent"), 0.5),
            (("staccatissimo",), 0.35),
            (("detached-legato",), 0.85),
        ],
    )
    def test_dots_shorten_the_sound(self, signs: tuple[str, ...], share: float) -> None:
        """Common practice, no published source."""
        note = note_of("F3q", articulations=frozenset(signs))
        assert sounding_share(note, AIR) == share

    @pytest.mark.parametrize(
        ("sign", "factor"), [("tenuto", 1.0), ("accent", 1.1), ("strong-accent", 1.2)]
    )
    def test_accents_are_blown_harder(self, sign: str, factor: float) -> None:
        """Common practice, no published source."""
        plain = air_of(note_of("F3q"), 1.0, PLAYER, AIR)
        struck = air_of(
            note_of("F3q", articulations=frozenset({sign})), 1.0, PLAYER, AIR
        )
        assert struck.used_l(1.0) == pytest.approx(factor * plain.used_l(1.0))

    def test_the_player_and_the_effort_scale_it_all(self) -> None:
        note = note_of("F3h", loud_start=-4.0, loud_end=1.0)
        plain = air_of(note, 2.0, PLAYER, AIR).used_l(1.3)
        leaky = replace(PLAYER, flow_scale=1.4)
        assert air_of(note, 2.0, leaky, AIR, 1.1).used_l(1.3) == pytest.approx(
            1.4 * 1.1 * plain
        )


class TestBreath:
    def test_a_gasp_fills_as_much_in_a_second_as_people_do(self) -> None:
        """BMC Pulm Med 2017;17:48, table 3: FIV1/FIVC = 0.94, men of 30, 175 cm."""
        gasp = replace(AIR, release_s=0.0, full_share=1.0, empty_share=0.0)
        assert refill(0.0, 1.0, gasp, is_gasp=True) == pytest.approx(0.94, abs=0.005)

    @pytest.mark.parametrize("is_gasp", [False, True])
    def test_the_flow_in_stays_below_the_greatest_measured(self, is_gasp: bool) -> None:
        """The same table: peak inspiratory flow of 8.3 L/s for such a man."""
        capacity_l, step = 5.3, 0.001
        open_air = replace(AIR, full_share=1.0)

        def level(k: int) -> float:
            return refill(0.1, k * step, open_air, is_gasp=is_gasp)

        fastest = max(level(k + 1) - level(k) for k in range(1000))
        assert 2.0 < fastest * capacity_l / step < 8.3

    @pytest.mark.parametrize(
        ("seconds", "low", "high"),
        [(0.2, 0.5, 0.8), (0.25, 0.4, 1.2), (0.35, 0.9, 1.3)],
    )
    def test_a_catch_breath_takes_what_players_take(
        self, seconds: float, low: float, high: float
    ) -> None:
        """Half a sine wave with peaks of 4 to 6 L/s, as clinics see (University of
        Iowa protocol: above 4 L/s even unforced); 0.25 s: common practice, 90 %."""
        taken_l = 5.0 * (refill(0.5, seconds, AIR, is_gasp=True) - 0.5)
        assert low <= taken_l + 0.05 <= high + 0.05

    def test_a_quarter_of_a_second_gives_three_quarters_of_a_litre(self) -> None:
        """Common practice, no published source."""
        taken_l = 5.0 * (refill(0.45, 0.25, AIR, is_gasp=True) - 0.45)
        assert taken_l == pytest.approx(0.75, abs=0.03)

    @given(st.floats(0.05, 1.0))
    def test_the_time_to_fill_is_what_fills(self, share: float) -> None:
        taken_s = time_to_fill(share, AIR)
        assert still_empty(taken_s, AIR, is_gasp=True) == pytest.approx(share)

    def test_a_stolen_tenth_of_a_second_gives_little(self) -> None:
        assert refill(0.3, 0.1, AIR) - 0.3 < 0.04
        assert refill(0.3, 0.5, AIR) - 0.3 > 0.25

    def test_no_time_gives_nothing(self) -> None:
        assert refill(0.4, 0.0, AIR) == 0.4
        assert still_empty(-1.0, AIR) == 1.0

    def test_it_stops_at_full(self) -> None:
        assert refill(0.5, 10.0, AIR) == AIR.full_share
        assert refill(0.95, 10.0, AIR) == 0.95

    def test_who_is_dry_starts_from_empty(self) -> None:
        assert refill(-0.3, 0.5, AIR) == refill(AIR.empty_share, 0.5, AIR)

    @given(
        st.floats(-0.5, 0.9), st.floats(0.0, 0.4), st.floats(0.0, 3.0), st.floats(0, 1)
    )
    def test_more_air_and_more_time_never_leave_less(
        self, air: float, more: float, gap: float, longer: float
    ) -> None:
        plain = refill(air, gap, AIR)
        assert refill(air + more, gap, AIR) >= plain - 1e-12
        assert refill(air, gap + longer, AIR) >= plain - 1e-12
        assert plain >= air
        assert refill(air, gap, AIR, is_gasp=True) >= plain


def test_every_level_is_a_share_and_in_order() -> None:
    assert 0 < AIR.empty_share < AIR.half_share < AIR.full_share < 1
    assert math.isclose(AIR.reference_hz, 440 * 2 ** (-16 / 12), rel_tol=1e-5)


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"half_share": 0.95}, "must rise from 0 to 1"),
        ({"full_share": 1.2}, "must rise from 0 to 1"),
        ({"empty_share": 0.5}, "must rise from 0 to 1"),
        ({"floor_lps": 0.0}, "must be above 0"),
        ({"release_s": -0.1}, "must be above 0"),
        ({"gasp_fill_s": 0.7}, "a gasp must not fill more slowly"),
        ({"loud_step_factor": 1.0}, "must be above 1"),
        ({"staccato_share": 0.0}, "must sound for some of its length"),
        ({"staccato_share": 1.1}, "must sound for some of its length"),
        ({"strong_accent_factor": 0.9}, "may give air back"),
        ({"arm_share_per_m": -0.1}, "may give air back"),
    ],
)
def test_settings_that_nobody_can_have_are_refused(
    changes: dict[str, float], sentence: str
) -> None:
    with pytest.raises(ConfigError, match=sentence):
        replace(AIR, **changes)
