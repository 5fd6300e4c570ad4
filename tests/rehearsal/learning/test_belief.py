"""How belief is weighed: against closed forms and SciPy's integration."""

from __future__ import annotations

from datetime import date
from math import exp, hypot, log, sqrt

import pytest
from scipy import integrate, stats

from coach.rehearsal.learning.belief import (
    Belief,
    after_day,
    believe_nothing_yet,
    flow_below,
    flows_of,
    weights_of,
)
from coach.rehearsal.learning.candidates import (
    FLOW_LOGS,
    LearningSettings,
    lay_candidates,
)
from coach.rehearsal.learning.replaying import Edge
from coach.rehearsal.learning.sights import Sight
from tests.rehearsal.learning.played_runs import SETTINGS, exact

DAY = date(2025, 3, 3)
FAR = FLOW_LOGS[-1]


def shown(
    latest: float,
    earliest: float | None = None,
    *,
    before: float = FAR,
    wrong: float = 0.0,
    spread: float = 0.04,
) -> Sight:
    edge = Edge(before, latest, latest if earliest is None else earliest)
    edges = ((edge,) * 5,) * 3
    return Sight(DAY, earliest is not None, edges, wrong, spread)


def believe(settings: LearningSettings, *sights: Sight) -> Belief:
    candidates = lay_candidates(settings)
    begun = believe_nothing_yet(candidates, settings, is_predicted=False)
    return after_day(begun, DAY, sights, candidates, settings)


def middle(belief: Belief) -> float:
    return flow_below(flows_of(belief), 0.5)


def spread(belief: Belief) -> float:
    flows = flows_of(belief)
    mean = sum(f * p for f, p in zip(FLOW_LOGS, flows, strict=True))
    return sqrt(sum((f - mean) ** 2 * p for f, p in zip(FLOW_LOGS, flows, strict=True)))


def test_before_the_first_run_the_belief_is_how_much_players_differ() -> None:
    """The middle nine tenths of a normal distribution: 1.645 spreads either way
    (any table of the normal distribution)."""
    belief = believe_nothing_yet(lay_candidates(SETTINGS), SETTINGS, is_predicted=False)
    low, high = (flow_below(flows_of(belief), share) for share in (0.05, 0.95))
    assert high == pytest.approx(1.645 * SETTINGS.players_differ_share, abs=2e-3)
    assert low == pytest.approx(-high, abs=1e-9)
    assert sum(weights_of(belief)) == pytest.approx(1.0)


def test_a_predicted_capacity_makes_it_wider() -> None:
    wide = believe_nothing_yet(lay_candidates(SETTINGS), SETTINGS, is_predicted=True)
    wanted = hypot(SETTINGS.players_differ_share, SETTINGS.capacities_differ_share)
    assert spread(wide) == pytest.approx(wanted, rel=0.02)


def test_one_exact_mark_agrees_with_two_normal_curves_multiplied() -> None:
    """The mean is weighed by precision (conjugate normal, any textbook)."""
    settings = exact()
    told = believe(settings, shown(0.245, 0.255, spread=0.1))
    prior, noise = settings.players_differ_share, 0.1
    precision = prior**-2 + noise**-2
    assert middle(told) == pytest.approx(0.25 * noise**-2 / precision, abs=2e-3)
    assert spread(told) == pytest.approx(precision**-0.5, rel=0.02)


def test_the_spread_of_days_adds_to_that_of_runs() -> None:
    """Marginal of a normal mean with normal noise: variances add (any textbook)."""
    settings = exact(days_differ_share=0.08)
    candidates = lay_candidates(settings)
    told = believe(settings, shown(0.245, 0.255, spread=0.1))
    rows = told.rows[: len(candidates.day_spreads)]
    for row, day in zip(rows, candidates.day_spreads, strict=True):
        noise = hypot(0.1, day)
        precision = settings.players_differ_share**-2 + noise**-2
        wanted = 0.25 * noise**-2 / precision
        assert flow_below(row, 0.5) == pytest.approx(wanted, abs=3e-3)


def test_a_run_to_the_end_agrees_with_scipy() -> None:
    settings = exact()
    told = believe(settings, shown(0.1, spread=0.1))
    prior = stats.norm(0, settings.players_differ_share)

    def weight(flow: float) -> float:
        return float(prior.pdf(flow) * stats.norm.cdf((0.1 - flow) / 0.1))

    total, _ = integrate.quad(weight, FLOW_LOGS[0], FLOW_LOGS[-1])
    for share in (0.05, 0.5, 0.95):
        below, _ = integrate.quad(
            weight, FLOW_LOGS[0], flow_below(flows_of(told), share)
        )
        assert below / total == pytest.approx(share, abs=0.004)


def test_slips_and_forgotten_marks_agree_with_scipy() -> None:
    settings = exact(wrong_share=0.05, forgotten_share=0.1)
    sights = (shown(0.3, 0.4, before=0.5, wrong=0.01), shown(0.35))
    told = believe(settings, *sights)
    prior = stats.norm(0, settings.players_differ_share)

    def below(edge: float, flow: float) -> float:
        return float(stats.norm.cdf((edge - flow) / 0.04))

    def weight(flow: float) -> float:
        lasted = 0.1 + 0.9 * below(0.5, flow)
        mark = lasted * 0.9 * (below(0.4, flow) - below(0.3, flow)) + 0.01
        end = 0.95 * (0.1 + 0.9 * below(0.35, flow))
        return float(prior.pdf(flow)) * mark * end

    total, _ = integrate.quad(weight, FLOW_LOGS[0], FLOW_LOGS[-1], limit=200)
    half, _ = integrate.quad(weight, FLOW_LOGS[0], middle(told), limit=200)
    assert half / total == pytest.approx(0.5, abs=0.01)


def test_many_runs_of_one_day_are_never_as_good_as_many_days() -> None:
    settings = exact(days_differ_share=0.08)
    candidates = lay_candidates(settings)
    mark = shown(0.2, 0.21)
    often = believe(settings, *[mark] * 30)
    days = believe(settings, mark)
    for k in range(1, 10):
        days = after_day(days, date(2025, 3, 3 + k), [mark], candidates, settings)
    assert spread(often) > 0.05
    assert spread(days) < spread(often) / 1.5


def test_hundreds_of_runs_of_one_day_that_contradict_each_other_leave_a_belief() -> (
    None
):
    """Each is unlikely beside the others: their product is less than any number."""
    early, late = shown(-0.6, -0.59), shown(0.6, 0.61)
    told = believe(SETTINGS, *[early, late] * 300)
    assert sum(weights_of(told)) == pytest.approx(1.0)


def test_days_that_agree_teach_that_days_differ_little() -> None:
    candidates = lay_candidates(SETTINGS)
    day_count = len(candidates.day_spreads)

    def spread_of_days(*flows: float) -> float:
        told = believe_nothing_yet(candidates, SETTINGS, is_predicted=False)
        for k, flow in enumerate(flows):
            sights = [shown(flow, flow + 0.01, spread=0.02)] * 4
            told = after_day(told, date(2025, 3, 3 + k), sights, candidates, SETTINGS)
        weights = weights_of(told)
        return sum(
            weight * candidates.day_spreads[k % day_count]
            for k, weight in enumerate(weights)
        )

    alike = spread_of_days(*[0.1] * 8)
    unlike = spread_of_days(*[0.0, 0.2] * 4)
    assert alike < 0.05 < 0.08 < unlike


def test_time_that_goes_by_widens_the_belief_as_a_random_walk_does() -> None:
    """Variances of independent steps add (any textbook)."""
    settings = exact(walk_per_day_share=0.02)
    candidates = lay_candidates(settings)
    told = believe(settings, shown(0.1, 0.11, spread=0.05))
    later = after_day(told, date(2025, 3, 28), (), candidates, settings)
    assert spread(later) == pytest.approx(hypot(spread(told), 0.1), rel=0.02)
    soon = after_day(told, date(2025, 3, 4), (), candidates, settings)
    assert spread(soon) == pytest.approx(hypot(spread(told), 0.02), rel=0.02)
    assert after_day(told, DAY, (), candidates, settings) == told


def test_a_flow_may_change_at_once_with_the_chance_of_the_days() -> None:
    """The variance of a mixture about one middle is the mixture of variances."""
    chance, days = 0.05, 3
    settings = exact(changed_days_share=chance, change_share=0.12)
    candidates = lay_candidates(settings)
    told = believe(settings, shown(0.0, 0.01, spread=0.05))
    later = after_day(told, date(2025, 3, 3 + days), (), candidates, settings)
    changed = 1.0 - (1.0 - chance) ** days
    wanted = hypot(spread(told), 0.12 * changed**0.5)
    assert spread(later) == pytest.approx(wanted, rel=0.03)


def test_nothing_of_a_belief_lies_beyond_its_ends() -> None:
    flows = flows_of(believe(SETTINGS))
    assert flow_below(flows, 1.0 + 1e-9) == FLOW_LOGS[-1]
    assert exp(flow_below(flows, 0.0)) < 0.5
    assert log(2) < FLOW_LOGS[-1]
