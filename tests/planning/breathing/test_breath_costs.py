"""What a place and a lack of air cost: the order that a teacher would put them in."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from coach.config import read_settings
from coach.errors import ConfigError
from coach.planning.breathing.breath_costs import AirCosts, place_costs
from coach.planning.breathing.breath_settings import BreathSettings
from coach.score.metre import Metre
from coach.score.phrase import Part, time_notes
from tests.hand_made import part_of

COSTS = read_settings(BreathSettings, "breaths")
LACK = AirCosts(
    low_depth=0.3,
    empty_depth=0.4,
    half_weight=1.5,
    low_weight=20.0,
    dry_weight=100.0,
    dry_note_weight=5.0,
)


def weigh(part: Part, end: float = 0.0, costs: BreathSettings = COSTS) -> list[float]:
    """Weigh each place, every phrase end as likely as any other."""
    times = time_notes(part, part.tempo_map)
    return place_costs(part, [end] * (len(times) - 1), times, costs)


def in_a_run(part: Part) -> str:
    """Name each place that costs more because it lies in a run: on a beat, or off."""
    free = replace(COSTS, off_downbeat_weight=0.0, weak_beat_weight=0.0)
    named = {0.0: ".", COSTS.off_downbeat_weight: "off", COSTS.weak_beat_weight: "beat"}
    return " ".join(
        named[round((with_it - without) / 0.95, 6)]
        for with_it, without in zip(
            weigh(part, 0.05), weigh(part, 0.05, free), strict=True
        )
    )


class TestPlaces:
    def test_among_sixteenths_the_eighth_is_the_place(self) -> None:
        """Common practice, no published source."""
        costs = weigh(part_of("F3e G3s A3s Bb3e A3s G3s F3e G3s A3s Bb3e A3s G3s F3q"))
        assert min(range(len(costs) - 1), key=costs.__getitem__) % 3 == 0

    def test_after_a_note_that_is_an_end_itself_no_cadence_is_torn(self) -> None:
        """Common practice, no published source: the last two notes stay together."""
        whole = replace(COSTS, torn_weight=0.0)
        torn = [
            weigh(part_of(line))[-1] - weigh(part_of(line), costs=whole)[-1]
            for line in ("C3q F3h G3q", "C3q F3h. G3q")
        ]
        assert torn == [COSTS.torn_weight, 0.0]

    def test_just_before_the_beat_a_group_must_not_be_cut(self) -> None:
        """Common practice, no published source: groups lead to the beat."""
        after_1st, after_2nd, before_last, before_beat = weigh(
            part_of("F3s G3s A3s Bb3s C4s Bb3s A3s G3s")
        )[:4]
        assert after_1st < after_2nd < before_last < before_beat

    def test_in_a_run_the_downbeat_is_the_place_then_another_beat(self) -> None:
        """Common practice, no published source: a figure comes to its goal there."""
        run = weigh(part_of("F3s G3s A3s Bb3s C4s Bb3s A3s G3s " * 4))
        downbeat, beat, off = run[0], run[4], run[5]
        assert downbeat < beat < off
        assert run[16] == downbeat, "the next bar's"

    @pytest.mark.parametrize(
        ("line", "places"),
        [
            ("F3s G3s A3s Bb3s C4s Bb3s A3s G3s F3q", ". off off off beat off . ."),
            ("F3e G3e A3e Bb3e C4e Bb3e A3e G3e F3q", ". . . . . . . ."),
            ("F3s G3s A3e F3s G3s A3e F3s G3s A3e F3q", ". . . . . . . . ."),
            ("F3s G3s A3s Bb3s C4s D4s Eb4e F4e", ". off off off . . ."),
        ],
    )
    def test_only_even_short_notes_are_a_run(self, line: str, places: str) -> None:
        """Two notes on either side tell."""
        assert in_a_run(part_of(line)) == places

    def test_a_run_in_six_eight_has_two_beats_in_a_bar(self) -> None:
        line = "F3s G3s A3s Bb3s C4s D4s Eb4s D4s C4s Bb3s A3s G3s F3q."
        places = ". off off off off off beat off off off . ."
        assert in_a_run(part_of(line, metre=Metre(6, 8))) == places

    def test_a_pickup_belongs_to_its_bar(self) -> None:
        costs = weigh(part_of("F3h G3q A3q Bb3w"))
        assert costs[2] > costs[1] > costs[0]

    def test_a_long_note_before_the_barline_is_no_pickup(self) -> None:
        assert weigh(part_of("F3w Bb3w F3w"))[0] == COSTS.place_weight

    def test_among_even_quarters_only_what_begins_a_phrase_is_a_pickup(self) -> None:
        """Common practice, no published source: in a chorale each bar ends with one."""
        part = part_of("F3q " * 8)
        times = time_notes(part, part.tempo_map)
        even = place_costs(part, [0.1] * 7, times, COSTS)
        begins = 0.9 * COSTS.barline_weight
        assert even[3] - even[1] == pytest.approx(begins * 0.1)
        ends = [0.1, 0.1, 0.8, 0.1, 0.1, 0.1, 0.1]
        begun = place_costs(part, ends, times, COSTS)
        drawn = COSTS.near_weight * (0.8 - 0.1)
        assert begun[3] - even[3] == pytest.approx(drawn + begins * (0.8 - 0.1))

    def test_of_two_long_notes_before_a_run_the_last_leads_into_nothing(self) -> None:
        """Common practice, no published source: one breathes after both."""
        costs = weigh(part_of("F3q G3q A3q A3q " + "G3s A3s G3s F3s " * 4))
        assert costs[3] == costs[2] == COSTS.place_weight

    def test_a_quarter_after_a_longer_note_is_a_pickup_still(self) -> None:
        costs = weigh(part_of("F3h. G3q A3q Bb3q C4q D4q"))
        assert costs[1] > costs[2]

    def test_six_eight_is_felt_in_two(self) -> None:
        costs = weigh(
            part_of("F3e G3e A3e Bb3e A3e G3e F3e G3e A3e", metre=Metre(6, 8))
        )
        assert costs[2] == max(costs[:5])
        assert costs[0] == costs[3] == min(costs[:5])

    def test_where_a_phrase_surely_ends_nothing_is_lost(self) -> None:
        assert weigh(part_of("F3s G3s A3s Bb3s"), end=1.0) == [0.0] * 3

    def test_a_rest_sets_the_notes_apart_anyway(self) -> None:
        joined, halfway, apart, _ = weigh(part_of("F3e F3e rs F3e re F3e F3e"))
        assert apart < halfway < joined

    def test_a_slur_and_a_grace_note_are_all_but_closed(self) -> None:
        part = part_of("F3q ~G3q A3q Bb3q")
        slurred, plain, _ = weigh(part)
        torn = COSTS.slur_weight + COSTS.slur_in_bar_weight
        assert slurred == pytest.approx(plain + torn)
        notes = (replace(part.notes[0], is_grace=True), *part.notes[1:])
        assert weigh(replace(part, notes=notes))[0] > 2 * COSTS.slur_weight

    def test_a_trill_is_not_torn_from_what_closes_it_nor_from_what_it_leads_to(
        self,
    ) -> None:
        """Common practice, no published source."""
        part = part_of("F3q A3h G3s A3s Bb3q F3q")
        trilled, closing = part.notes[1:3]
        trilled = replace(trilled, articulations=frozenset({"trill-mark"}))
        closing = replace(closing, is_grace=True)
        plain = weigh(part)[1]
        for notes, torn in (
            ((trilled, part.notes[2]), COSTS.trill_weight),
            ((part.notes[1], closing), 0.0),
            ((trilled, closing), COSTS.grace_weight),
        ):
            line = (part.notes[0], *notes, *part.notes[3:])
            cost = weigh(replace(part, notes=line))[1]
            assert cost == pytest.approx(plain + torn)

    def test_after_a_trill_a_rest_is_as_good_as_any(self) -> None:
        part = part_of("F3q A3h rh G3q F3q")
        trilled = replace(part.notes[1], articulations=frozenset({"trill-mark"}))
        line = (part.notes[0], trilled, *part.notes[2:])
        assert weigh(replace(part, notes=line)) == pytest.approx(weigh(part))

    def test_a_slur_over_several_bars_is_broken_at_a_bar_line(self) -> None:
        slurred = weigh(part_of("F3q ~F3q ~F3q ~F3q " + "~F3q " * 8))
        plain = weigh(part_of("F3q " * 12))
        torn = [a - b for a, b in zip(slurred, plain, strict=True)]
        assert [k for k, cost in enumerate(torn) if cost <= min(torn) + 1e-9] == [3, 7]

    def test_a_cadence_is_torn_where_no_rest_parts_its_notes(self) -> None:
        """Common practice, no published source."""
        mild = replace(COSTS, torn_weight=0.0)
        for line, weight in (("G3q F3h", COSTS.torn_weight), ("G3q rh F3h", 0.0)):
            part = part_of(f"F3q {line} F3q F3q")
            ends, times = [0.0, 0.0, 1.0, 0.0], time_notes(part, part.tempo_map)
            torn, whole = (place_costs(part, ends, times, c) for c in (COSTS, mild))
            assert torn[1] - whole[1] == pytest.approx(weight)
            assert torn[2] == whole[2]

    def test_a_likelier_phrase_end_nearby_draws_the_breath_to_itself(self) -> None:
        part = part_of("F3q F3q F3q F3q F3q")
        times = time_notes(part, part.tempo_map)
        alone = place_costs(part, [0.1, 0.1, 0.1, 0.1], times, COSTS)
        beside = place_costs(part, [0.1, 0.9, 0.1, 0.1], times, COSTS)
        assert [b - a > 0 for a, b in zip(alone, beside, strict=True)] == [
            *(True, False, True),
            False,
        ]

    def test_the_last_two_notes_of_a_phrase_are_not_torn_apart(self) -> None:
        """Common practice, no published source: a cadence stays whole."""
        part = part_of("F3q F3q F3q F3q F3q F3q")
        times = time_notes(part, part.tempo_map)
        costs = place_costs(part, [0.1, 0.1, 0.9, 0.1, 0.1], times, COSTS)
        first, before_last, at_end, _, before_end = costs
        assert before_last > first + COSTS.torn_weight / 2
        assert before_end > first + COSTS.torn_weight / 2
        assert at_end < first


class TestLack:
    def test_the_top_half_costs_nothing(self) -> None:
        assert LACK.of_note(-0.4, 0.0, 3.0, 1.0) == 0.0

    def test_time_and_depth_below_half_count(self) -> None:
        assert LACK.of_note(0.1, 0.2, 2.0, 0.0) == pytest.approx(1.5 * 2.0 * 0.15)
        assert LACK.of_note(-0.1, 0.2, 2.0, 0.0) == pytest.approx(1.5 * 2.0 * 0.1)

    def test_a_high_note_must_not_begin_low(self) -> None:
        plain, high = (LACK.of_note(0.1, 0.2, 2.0, w) for w in (0.0, 1.5))
        assert high - plain == pytest.approx(1.5 * 0.1)

    def test_low_air_costs_much_and_none_costs_far_more(self) -> None:
        half = 1.5 * 1.0
        assert LACK.of_note(0.3, 0.35, 1.0, 0.0) == pytest.approx(
            half * 0.325 + 20 * 0.05
        )
        assert LACK.of_note(0.3, 0.5, 1.0, 0.0) == pytest.approx(
            half * 0.35 + 20 * 0.1 + 100 * 0.5 + 5
        )

    def test_how_far_below_empty_does_not_matter_but_for_how_long(self) -> None:
        dry = LACK.of_note(0.5, 0.6, 1.0, 0.0)
        assert dry == LACK.of_note(5.0, 6.0, 1.0, 0.0)
        assert LACK.of_note(0.5, 0.6, 2.0, 0.0) > dry

    @given(
        st.floats(-0.4, 2.0),
        st.floats(1e-3, 0.5),
        st.floats(0.0, 0.5),
        st.floats(0.1, 5.0),
        st.sampled_from((0.0, 1.5)),
    )
    def test_more_air_never_costs_more(
        self, start: float, used: float, less: float, seconds: float, high: float
    ) -> None:
        richer = LACK.of_note(start, start + used, seconds, high)
        poorer = LACK.of_note(start + less, start + used + less, seconds, high)
        assert 0.0 <= richer <= poorer + 1e-12


@pytest.mark.parametrize(
    ("changes", "sentence"),
    [
        ({"worth_share": 0.0}, "worth_share must lie between 0 and 0.3"),
        ({"worth_share": 0.4}, "worth_share must lie between 0 and 0.3"),
        ({"worth_at_end_share": 0.0}, "must lie between 0 and worth_share"),
        ({"worth_at_end_share": 0.1}, "must lie between 0 and worth_share"),
        ({"out_first_end_share": 1.1}, "must lie between 0 and 1"),
        ({"out_first_half_share": -0.1}, "must lie between 0 and 1"),
        ({"fermata_hold_share": 0.9}, "a fermata must not be shorter"),
        ({"slow_pace_s": 0.1}, "slow_pace_s must be above"),
        ({"soonest_s": -1.0}, "no time may be below 0"),
        ({"soonest_at_end_s": -1.0}, "no time may be below 0"),
        ({"least_heard_longer_s": -0.1}, "no time may be below 0"),
        ({"least_heard_longer_s": 0.2}, "must be at most least_heard_s"),
        ({"most_taken_share": 1.0}, "must lie between 0 and 1"),
        ({"slur_weight": -1.0}, "no weight may be below 0"),
        ({"air_steps_count": 0}, "must be at least 1"),
        ({"rest_from_s": 0.0}, "rest_from_s must be above 0"),
        ({"full_from_s": 0.0}, "full_from_s must be above 0"),
    ],
)
def test_settings_that_no_plan_can_be_made_with_are_refused(
    changes: dict[str, float], sentence: str
) -> None:
    with pytest.raises(ConfigError, match=sentence):
        replace(COSTS, **changes)  # type: ignore[arg-type]
